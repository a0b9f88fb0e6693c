"""What a person at the machine taps, and what the phone then holds: counted and read back."""

from __future__ import annotations

import pytest

from tests.bench.bench_stage import staged
from tests.bench.invented import cover_pack, demo_pack

DONE, PHOTO, TROUBLE = "[data-tap=done]", "[data-tap=photo] input", "[data-tap=trouble]"
JOB = "#/job/job-1"


@pytest.fixture(scope="module")
def stage():
    with staged() as found:
        yield found


@pytest.fixture
def open_phone(stage):
    phones = []

    def make(pack, address=JOB, **more):
        phone = stage.phone(pack, **more)
        phones.append(phone)
        phone.go(address)
        phone.taps = 0
        return phone

    yield make
    for phone in phones:
        phone.close()


@pytest.fixture(scope="module")
def cover():
    return cover_pack()


@pytest.fixture(scope="module")
def genset():
    return demo_pack("brack-genset-12", "timing-belt")


def acts(phone):
    return [
        (row["action"], row["object"], row["values"])
        for row in phone.events()
        if row["type"] == "done"
    ]


def test_sixteen_bolts_and_their_cover_come_off_in_three_taps_and_one_photo(open_phone, cover):
    phone = open_phone(cover)
    assert "16 of 16" in phone.words()
    phone.tap(DONE)
    phone.photo()
    phone.tap("[data-ask='where it lies'] [data-choice^=tray]")
    phone.tap(DONE)
    assert (phone.taps, phone.photos) == (3, 1)
    undone, off = acts(phone)
    assert undone == ("undo", "case-cover-bolts", {"count": 16})
    assert off[:2] == ("take-off", "case-cover")
    assert off[2]["where it lies"] == "tray 1"
    photo, taken = phone.events()[-2:]
    assert photo["type"] == "photo"
    assert taken["photos"] == photo["photos"]


def test_its_bolts_are_tightened_in_two_stages_in_four_taps_wrench_named(open_phone, cover):
    phone = open_phone(cover)
    for _ in range(4):  # bolts out, cover off, gasket off and on
        phone.tap(DONE)
    phone.tap(DONE)
    assert "Fit and tighten case cover bolts" in phone.words()
    assert "pass 1 of 2" in phone.words()
    phone.taps = 0
    for _ in range(2):
        phone.tap("[data-ask=wrench] [data-choice]")
        phone.tap(DONE)
    assert phone.taps <= 4
    loose, first, last = acts(phone)[-3:]
    assert loose == ("put-in-loose", "case-cover-bolts", {"count": 16})
    assert first[0] == "tighten-a-stage"
    assert (first[2]["stage"], first[2]["count"], first[2]["wrench"]) == (1, 16, "shop wrench")
    assert last[0] == "tighten"
    assert (last[2]["stage"], last[2]["count"], last[2]["wrench"]) == ("final", 16, "shop wrench")
    assert "Nothing outstanding" in phone.words()


def test_the_first_entry_of_a_cold_page_is_two_taps_away(open_phone, cover):
    phone = open_phone(cover, "#/")
    phone.tap("[data-job=job-1]")
    phone.tap(DONE)
    assert phone.taps == 2
    assert [row["type"] for row in phone.events()] == ["begin", "done"]


def test_a_mis_tap_is_taken_back_at_once_and_stays_in_the_log(open_phone, cover):
    phone = open_phone(cover)
    phone.tap(DONE)
    assert "1 outstanding" in phone.words()
    phone.tap("[data-tap=undo]")
    assert "Nothing outstanding" in phone.words()
    assert "Undo case cover bolts" in phone.words()
    correct = phone.events()[-1]
    assert correct["type"] == "correct"
    assert correct["values"]["instead"] is None
    phone.go(f"{JOB}/log")
    assert "taken back" in phone.words()


def test_any_entry_of_the_log_is_taken_back(open_phone, cover):
    phone = open_phone(cover)
    phone.tap(DONE)
    phone.tap(DONE)
    phone.go(f"{JOB}/log")
    phone.tap("[data-tap=take-back]", at=1)
    assert "case cover bolts" not in phone.shows(".open")
    assert phone.events()[-1]["values"]["corrects"] == phone.events()[1]["id"]


def test_stopped_is_one_tap_and_the_last_three_steps_are_stated_on_return(open_phone, cover):
    phone = open_phone(cover)
    for _ in range(4):
        phone.tap(DONE)
    phone.taps = 0
    phone.tap("[data-tap=stopped]")
    assert phone.taps == 1
    assert phone.events()[-1]["type"] == "stopped"
    phone.tap("[data-tap=back]")
    assert phone.count(".again") == 3
    assert phone.count("[data-tap=go-on]:disabled") == 1
    for at in range(3):
        phone.tap("[data-choice='as recorded']", at=at)
    phone.tap("[data-tap=go-on]")
    back = phone.events()[-1]
    assert back["type"] == "returned"
    last = [row["id"] for row in phone.events() if row["type"] == "done"][-3:]
    assert {row["event"] for row in back["values"]["looked"]} == set(last)
    assert {row["stands"] for row in back["values"]["looked"]} == {"as recorded"}
    assert phone.count(DONE) == 1


def test_a_step_that_is_not_known_on_return_is_begun_again(open_phone, cover):
    phone = open_phone(cover)
    for _ in range(6):
        phone.tap(DONE)
    phone.tap("[data-tap=stopped]")
    phone.tap("[data-tap=back]")
    for at in range(3):
        phone.tap(f"[data-choice='{'unknown' if at == 0 else 'as recorded'}']", at=at)
    phone.tap("[data-tap=go-on]")
    assert "not known" in phone.shows(".open")
    assert "begin again" in phone.words()
    phone.tap(DONE)
    assert acts(phone)[-1][0] == "begin-again"


def test_trouble_says_what_it_adds_and_asks_for_bolts_one_by_one_then(open_phone, cover):
    phone = open_phone(cover)
    assert phone.count(".piece") == 0
    phone.tap(TROUBLE)
    phone.tap("[data-piece='7']")
    phone.tap("[data-trouble=sheared]")
    assert "It adds" in phone.words()
    assert "get the stump out" in phone.words()
    trouble, found = phone.events()[-2:]
    assert trouble["values"] == {"kind": "sheared", "pieces": ["7"]}
    assert (found["type"], found["values"]["what"]) == ("found", "sheared")
    phone.tap("[data-tap=back]")
    assert phone.count(".piece") == 16
    phone.tap("[data-key='piece 7']")
    phone.tap(DONE)
    chosen = acts(phone)[-1][2]["pieces"]
    assert chosen == [str(n) for n in range(1, 17) if n != 7]


def test_without_the_workshop_the_plan_stays_and_that_is_said(open_phone, cover):
    phone = open_phone(cover)
    phone.tap(TROUBLE)
    phone.tap("[data-trouble='cannot get at it from here']")
    assert "cannot be reached" in phone.shows("[data-plan=unreached]")


def test_something_else_first_is_found_by_typing_and_never_asked_why(open_phone, genset):
    phone = open_phone(genset)
    phone.tap("[data-key=all]")
    assert phone.count("[data-legal=true]") > 3
    assert phone.count("[data-legal=false]") == 0
    every = phone.count("[data-legal]")
    phone.type("[data-field=search]", "drain")
    assert 0 < phone.count("[data-legal=true]") < every
    lines = phone.stage.do(lambda: phone.page.locator("[data-legal]").all_inner_texts())
    assert all("drain" in line.lower() for line in lines)
    phone.tap("[data-action=drain]")
    phone.tap(DONE)
    assert acts(phone)[-1][0] == "drain"
    assert phone.events()[-1]["note"] is None


def test_what_breaks_a_rule_is_named_and_written_all_the_same(open_phone, genset):
    phone = open_phone(genset, f"{JOB}/act/take-off/timing-belt")
    assert "Not yet, by the rules" in phone.words()
    phone.tap(DONE)
    assert acts(phone)[-1][:2] == ("take-off", "timing-belt")
    phone.go(f"{JOB}/odd")
    assert phone.count("text=Settle it") > 0


def test_a_gate_with_something_open_names_it_and_gives_no_plain_pass(open_phone, cover):
    phone = open_phone(cover)
    phone.tap(DONE)
    phone.go(f"{JOB}/gate/handing-back")
    assert "case cover bolts: out" in phone.shows(".open-here")
    assert phone.count("[data-tap=pass]") == 0
    phone.go(JOB)
    phone.tap(DONE)
    assert acts(phone)[-1][0] == "take-off"


def test_a_gate_is_passed_by_name_with_pin_and_reason(open_phone, cover):
    phone = open_phone(cover, pins={"ann": "270418"})
    phone.tap(DONE)
    phone.go(f"{JOB}/gate/walking-away")
    phone.type("[data-field=reason]", "fetching the other wrench")
    phone.tap("[data-tap=pass-by-name]")
    phone.tap("[data-person=ann]")
    phone.type("[data-field=pin]", "270419")
    phone.tap("[data-tap=pin]")
    assert "not the PIN" in phone.shows("[role=status] .caution")
    assert [row["type"] for row in phone.events()] == ["begin", "done"]
    phone.type("[data-field=pin]", "270418")
    phone.tap("[data-tap=pin]")
    phone.shows("#bench[data-screen='/job/:job']")
    passed = phone.events()[-1]
    assert (passed["type"], passed["action"], passed["person"]) == ("gate", "walking-away", "ann")
    assert passed["values"]["reason"] == "fetching the other wrench"


def test_cranking_with_a_lock_in_is_passed_by_nobody(open_phone, genset):
    lock = next(id_ for id_, row in genset["objects"].items() if row["kind"] == "lock")
    phone = open_phone(genset, f"{JOB}/act/put-in/{lock}")
    phone.tap(DONE)
    phone.go(f"{JOB}/gate/cranking?purpose=to+start")
    assert "cannot be passed now, by anybody" in phone.words()
    assert phone.count("[data-tap=pass-by-name], [data-tap=pass]") == 0


def test_a_critical_joint_asks_stage_wrench_and_photo_one_tap_each(open_phone, genset):
    joint = next(
        id_
        for id_, row in genset["objects"].items()
        if row["kind"] == "joint" and row["critical"] and "N·m" in (row["tightness"] or "")
        if not row["sets"]
    )
    phone = open_phone(genset, f"{JOB}/act/make/{joint}")
    phone.tap(DONE)
    asked = []
    while phone.count("#screen[data-holding]"):
        asked.append(phone.shows(".asked"))
        if phone.count(".camera input"):
            phone.photo(".camera input")
        else:
            phone.tap("[data-choice]")
    assert [each for each in asked if "wrench" in each]
    assert [each for each in asked if "Photograph" in each]
    written = [row for row in phone.events() if row["type"] == "done"][-1]
    assert written["values"]["wrench"]
    assert written["photos"]


def test_a_second_look_is_by_another_person_with_their_pin(open_phone, cover):
    phone = open_phone(cover, pins={"ben": "908172"})
    phone.tap(DONE)
    phone.go(f"{JOB}/look")
    phone.tap("[data-act]")
    phone.type("[data-field=seen]", "sixteen holes, all clean")
    phone.tap("[data-tap=seen]")
    phone.tap("[data-person=ben]")
    phone.type("[data-field=pin]", "908172")
    phone.tap("[data-tap=pin]")
    phone.shows("#bench[data-screen='/job/:job']")
    look = phone.events()[-1]
    assert (look["type"], look["person"]) == ("look", "ben")
    assert look["values"]["looked_at"] == [phone.events()[1]["id"]]
    phone.go(f"{JOB}/registers")
    assert "second person" in phone.words()


def test_what_an_apprentice_may_not_do_alone_stands_before_the_cover(open_phone, cover):
    phone = open_phone(cover, person="ben")
    phone.tap(DONE)
    assert phone.events()[-1]["values"]["to_be_seen"] is True
    phone.tap(DONE)  # parts are on the list
    assert "to_be_seen" not in phone.events()[-1]["values"]
    phone.go(f"{JOB}/gate/covering")
    assert "to be seen by another person" in phone.shows(".open-here")
    phone.go(f"{JOB}/open")
    assert phone.count("[data-kind='to be seen'] a") == 1


def test_a_rag_in_and_a_bolt_dropped_are_outstanding_until_counted_out(open_phone, cover):
    phone = open_phone(cover, f"{JOB}/put")
    phone.tap("[data-choice=rag]")
    phone.tap("[data-tap=dropped]")
    assert "2 outstanding" in phone.shows(".open")
    phone.tap("[data-tap=out]")
    phone.tap("[data-tap=found]")
    assert "Nothing outstanding" in phone.shows(".open")


def test_a_reading_outside_its_limit_is_outstanding(open_phone, cover):
    phone = open_phone(cover, f"{JOB}/reading")
    for field, words in (("what", "cover, out of flat"), ("reading", "0,12"), ("most", "0.1")):
        phone.type(f"[data-field={field}]", words)
    phone.tap("[data-tap=measure]")
    assert "out of flat" in phone.shows(".open")
    assert phone.events()[-1]["values"] == {
        "what": "cover, out of flat",
        "reading": "0.12",
        "unit": "mm",
        "at_most": "0.1",
    }


def test_the_whole_small_job_is_handed_back_from_the_screens_alone(open_phone, cover):
    phone = open_phone(cover)
    while phone.count(DONE):
        phone.tap(DONE)
        while phone.count("#screen[data-holding]"):
            phone.tap("[data-choice]")
    assert "Every step of the plan is done" in phone.words()
    phone.tap("[data-tap=handing-back]")
    for at in range(phone.count("[data-tap=answer]")):
        phone.tap("[data-tap=answer]", at=at)
    phone.tap("[data-tap=pass]")
    phone.tap("[data-tap=hand-back]")
    assert "Handed back" in phone.words()
    assert [row["type"] for row in phone.events()][-2:] == ["gate", "closed"]
    assert "Nothing outstanding" in phone.shows(".open")


def test_a_tensioner_is_set_as_often_as_needed_each_time_with_its_reading(open_phone, genset):
    tensioner = next(id_ for id_, row in genset["objects"].items() if row["sets"])
    phone = open_phone(genset, f"{JOB}/act/make/{tensioner}")
    phone.tap(DONE)
    while phone.count("[data-tap=set]") == 0:
        phone.tap("[data-tap=owed]")
    assert "a setting, not a tightness" in phone.words()
    reading, warm, pointer = (f"#screen .other input >> nth={at}" for at in range(3))
    phone.type(reading, "12 N·m, dial wrench")
    phone.tap("#screen button:has-text('Set; now again')")
    phone.type(reading, "12 N·m, dial wrench")
    phone.type(warm, "21")
    phone.type(pointer, "in its notch")
    phone.tap("[data-choice=anticlockwise]")
    phone.tap("[data-tap=set]")
    while phone.count("#screen[data-holding]"):
        phone.tap("[data-tap=owed]")
    written = [row for row in phone.events() if row["type"] == "done"][-1]["values"]
    assert written["setting"] == (
        "12 N·m, dial wrench; then 12 N·m, dial wrench, belt 21 °C, pointer in its notch, "
        "anticlockwise"
    )
    assert [row["reading"] for row in written["settings"]] == ["12 N·m, dial wrench"] * 2
