"""A half-done job on paper: a stranger finds where it stands, and nobody starts it."""

from __future__ import annotations

import pytest

from tests.ledger.small_history import Bench
from tests.papers.job_papers import (
    BLANK,
    DIGEST,
    PACK,
    folded,
    pages,
    printed,
    printing,
    squeezed,
)
from witnessmark.ledger.outstanding import outstanding
from witnessmark.papers.handover_sheet import handover_sheet
from witnessmark.papers.state_card import MOST_NAMES, NOTHING_OPEN, state_card

PRIVATE = {"customer": "Pia Plover, 8 Nowhere Lane", "plate": "DEMO 17"}


def half_done() -> Bench:
    """The cover is off, the coolant out, a pin in; two people do not agree about the mount."""
    bench = Bench()
    bench.do("fit", "support")
    bench.do("drain", "coolant", litres_out="3.5")
    bench.do("undo", "cover-bolts", length_and_place="on the board")
    bench.do("set-to-marks", "crankshaft", mark="line at the pointer")
    bench.do("take-off", "cover", where_it_lies="third shelf")
    bench.do("put-in", "crank-pin", hole="behind the plug")
    bench.apart = True
    bench.do("undo", "mount-bolts", by="a")
    bench.do("slacken", "mount-bolts", by="b")
    bench.apart = False
    return bench


@pytest.fixture(scope="module")
def bench():
    return half_done()


@pytest.fixture(scope="module")
def state(bench):
    return folded(bench)


def words_of(state, bench, **more):
    return [each["words"] for each in state_card(state, printing(bench, **more))["words"]]


def test_every_outstanding_thing_is_printed_by_name(state, bench):
    sheet = printed("handover-sheet", handover_sheet(state, printing(bench)))
    assert len(outstanding(state)) > 5
    for item in outstanding(state):
        assert squeezed(item["says"]) in sheet


def test_what_goes_back_first_stands_first(state, bench):
    listed = [row["what"] for row in handover_sheet(state, printing(bench))["outstanding"]]
    closings = [s["object"] for s in PACK["plan"]["steps"] if s["kind"] == "refit"]
    names = [PACK["objects"][o]["name"] for o in dict.fromkeys(closings)]
    places = [names.index(words.partition(":")[0]) for words in listed]
    assert places == sorted(places)
    assert len(places) > 4


def test_on_a_machine_nobody_described_the_last_thing_off_goes_back_first():
    bench = Bench()
    for number, name in enumerate(("bonnet", "shield", "pump"), 1):
        told = {"kind": "part", "name": name, "state": "off"}
        bench.say("noted", f"n-a-{number}", told)
    sheet = handover_sheet(folded(bench, BLANK), printing(bench))
    assert [row["what"] for row in sheet["outstanding"]] == [
        "pump: off",
        "shield: off",
        "bonnet: off",
    ]
    assert "nearest the machine first" in sheet["next_note"]


def test_each_line_says_who_and_when_by_the_clock_on_the_wall(bench):
    sheet = handover_sheet(folded(bench), printing(bench))
    cover = next(row for row in sheet["outstanding"] if row["what"].startswith("belt cover"))
    # 1,700,000,000 s is 14 November 2023, 22:13:20 at Greenwich; two hours ahead here.
    assert cover["since"] == "Ann Tern, 15 Nov 2023, 00:13"


def test_people_who_do_not_agree_stand_apart_with_what_each_wrote(state, bench):
    odd = [row["what"] for row in handover_sheet(state, printing(bench))["odd"]]
    for bolt in ("1", "2", "3"):
        assert f"mount bolts {bolt}: 'out' by ann and 'slack' by bob" in odd
    assert "PEOPLE DO NOT AGREE" in words_of(state, bench)


def test_the_last_three_steps_stand_the_latest_first(state, bench):
    last = handover_sheet(state, printing(bench))["last"]
    assert [row["what"] for row in last] == [
        "slacken mount bolts",
        "undo mount bolts",
        "put crank pin in",
    ]
    assert last[2]["detail"] == "hole: behind the plug"


def test_what_is_next_is_the_first_step_nobody_wrote_down(state, bench):
    coming = handover_sheet(state, printing(bench))["next"]
    steps = PACK["plan"]["steps"]
    assert coming[0]["what"] == next(s["says"] for s in steps if s["object"] == "hose-end")
    assert coming[0]["number"] == "4"
    written = {"drain coolant", "undo cover bolts", "take off belt cover", "put crank pin in"}
    assert written.isdisjoint(row["what"] for row in coming)


def test_a_closing_that_came_undone_is_next_again():
    bench = Bench()
    for action in ("slacken", "take-out", "enter", "tighten"):
        bench.do(action, "crank-bolt")
    before = handover_sheet(folded(bench), printing(bench))["next"]
    bench.do("slacken", "crank-bolt")
    numbers = {
        s["action"]: str(n)
        for n, s in enumerate(PACK["plan"]["steps"], 1)
        if s["object"] == "crank-bolt"
    }
    left = {row["number"] for row in _every_next(bench)}
    assert numbers["tighten"] in left
    assert numbers["tighten"] not in {row["number"] for row in before}


def _every_next(bench):
    from witnessmark.papers.next_steps import step_rows, steps_left

    return list(step_rows(steps_left(folded(bench))))


def test_a_stop_is_said_until_somebody_comes_back(bench):
    stopped = half_done()
    stopped.say("stopped", by="a")
    sheet = printed("handover-sheet", handover_sheet(folded(stopped), printing(stopped)))
    assert squeezed("Nobody has come back") in sheet
    looked = [{"event": id_, "stands": "as recorded"} for id_ in stopped.history.order[-4:-1]]
    stopped.say("returned", values={"looked": looked}, by="a")
    sheet = printed("handover-sheet", handover_sheet(folded(stopped), printing(stopped)))
    assert squeezed("Nobody has come back") not in sheet
    assert squeezed("back: Ann Tern") in sheet


def test_walking_away_without_a_stop_is_said(state, bench):
    assert (
        "no interruption mark: press stop first" in handover_sheet(state, printing(bench))["stands"]
    )


def test_what_a_named_person_let_stand_is_printed_with_the_reason():
    bench = half_done()
    bench.say("exception", "cover", {"items": ["open:cover:off"], "reason": "new cover on Friday"})
    bench.say("gate", None, {"reason": "to the paint shop"}, action="lowering")
    sheet = handover_sheet(folded(bench), printing(bench))
    assert not [row for row in sheet["outstanding"] if row["what"] == "belt cover: off"]
    assert [row["what"] for row in sheet["exceptions"]] == [
        "belt cover: off; ann: new cover on Friday"
    ]
    assert [row["what"] for row in sheet["passes"]] == [
        "before lowering or rolling: ann: to the paint shop"
    ]
    assert squeezed("new cover on Friday") in printed("handover-sheet", sheet)


def test_without_the_customers_name_nothing_private_is_on_the_sheet(state, bench):
    shown = printed("handover-sheet", handover_sheet(state, printing(bench)))
    kept = printed("handover-sheet", handover_sheet(state, printing(bench, **PRIVATE)))
    for words in (*PRIVATE.values(), "Belt for Pia Plover"):
        assert squeezed(words) not in shown
        assert squeezed(words) in kept


def test_the_card_never_carries_customer_plate_or_title(state, bench):
    card = printed("state-card", state_card(state, printing(bench, **PRIVATE)))
    for words in (*PRIVATE.values(), "Belt for Pia Plover"):
        assert squeezed(words) not in card


def test_the_head_of_the_arrival_book_stands_on_both(state, bench):
    sheet = printed("handover-sheet", handover_sheet(state, printing(bench)))
    assert squeezed(f"line 12, head {DIGEST}") in sheet
    card = printed("state-card", state_card(state, printing(bench)))
    assert squeezed("5f1c 0a77 be93 d2e4") in card
    assert DIGEST not in card


# The large words


def test_a_pin_in_says_do_not_turn_and_do_not_start():
    bench = Bench()
    bench.do("put-in", "cam-pin", hole="behind the sprocket")
    assert words_of(folded(bench), bench)[:2] == ["DO NOT START", "DO NOT TURN"]
    bench.do("pull-out", "cam-pin", locks_out="1")
    assert {"DO NOT START", "DO NOT TURN"}.isdisjoint(words_of(folded(bench), bench))


@pytest.mark.parametrize(
    ("action", "object_", "word"),
    [
        ("fit", "support", "ON SUPPORTS"),
        ("fit", "crank-holder", "HOLDING TOOL FITTED"),
        ("undo", "wheel-bolts", "DO NOT LOWER OR ROLL"),
        ("drain", "coolant", "COOLANT: DRAINED"),
        ("take-off", "undertray", "DO NOT START"),
    ],
)
def test_what_is_done_brings_its_word_and_undoing_it_takes_it_away(action, object_, word):
    bench = Bench()
    assert words_of(folded(bench), bench) == [NOTHING_OPEN]
    done = bench.do(action, object_)
    assert any(words.startswith(word) for words in words_of(folded(bench), bench))
    bench.say("correct", None, {"corrects": done, "instead": None})
    assert words_of(folded(bench), bench) == [NOTHING_OPEN]


def test_on_a_machine_nobody_described_anything_off_bars_the_start():
    bench = Bench()
    bench.say("noted", "n-a-1", {"kind": "part", "name": "air duct", "state": "off"})
    card = state_card(folded(bench, BLANK), printing(bench))
    assert card["words"][0] == {"words": "DO NOT START", "because": "air duct: off"}


def test_the_card_is_one_page_however_much_is_open(bench):
    full = half_done()
    for number in range(40):
        full.say(
            "noted", f"n-a-{number}", {"kind": "part", "name": f"bracket {number}", "state": "off"}
        )
        full.say("put", None, {"what": f"rag {number}", "how": "in", "kind": "rag"})
    content = state_card(folded(full), printing(full))
    assert len(pages("state-card", content)) == 1
    assert "more: see the handover sheet" in content["words"][0]["because"]
    assert content["words"][0]["because"].count("; ") == MOST_NAMES
    sheet = printed("handover-sheet", handover_sheet(folded(full), printing(full)))
    for number in range(40):
        assert squeezed(f"bracket {number}: off") in sheet
        assert squeezed(f"rag {number}: still in") in sheet


def test_both_in_one_print_are_the_card_and_then_the_sheet(state, bench):
    card, sheet = state_card(state, printing(bench)), handover_sheet(state, printing(bench))
    both = pages("handover-with-card", {"card": card, "sheet": sheet})
    alone = [*pages("state-card", card), *pages("handover-sheet", sheet)]
    assert [squeezed(page) for page in both] == [squeezed(page) for page in alone]


def test_printing_twice_gives_the_same_bytes(state, bench):
    from witnessmark.papers.rendering import render_pdf

    for template, content in (
        ("handover-sheet", handover_sheet(state, printing(bench))),
        ("state-card", state_card(state, printing(bench))),
    ):
        assert render_pdf(template, content) == render_pdf(template, content)
