"""Tightness at the bench: what is not known, pulled again, set, or out of a size table."""

from __future__ import annotations

import pytest

from tests.ledger.packs import dunlin, nobody
from tests.ledger.small_history import Bench
from witnessmark.ledger.fold import fold
from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.registers import registers

PACK = dunlin()
MARKS = ("marks",)


def kinds(bench: Bench, pack=PACK) -> list[tuple[str, str | None]]:
    return [
        (item["kind"], item["object"]) for item in outstanding(fold(pack, bench.history, MARKS))
    ]


def flags(bench: Bench, pack=PACK) -> list[str]:
    return [row["rule"] for row in fold(pack, bench.history, MARKS).rows["flags"]]


def head_off_and_on() -> Bench:
    bench = Bench()
    bench.whole("drain", "coolant")
    bench.whole("drain", "fuel")
    bench.whole("undo", "head-bolts")
    bench.whole("make", "head-bolts")
    return bench


def test_one_unknown_angle_makes_the_pattern_unknown_and_its_gasket_due():
    bench = head_off_and_on()
    bench.do("lose-count", "head-bolts", pieces=["3"], why_not_known="the telephone")
    state = fold(PACK, bench.history, MARKS)
    assert state.state("head-bolts") == "unknown"
    items = {item["id"]: item for item in outstanding(state)}
    assert items["open:head-bolts:unknown"]["pieces"] == ["1", "2", "3", "4"]
    assert "renew:head-gasket" in items
    assert [line["object"] for line in registers(state)["not known"]] == ["head-bolts"]


def test_an_unknown_pattern_is_begun_again_with_new_bolts_and_a_new_gasket():
    bench = head_off_and_on()
    bench.do("lose-count", "head-bolts", pieces=["3"])
    bench.whole("begin-again", "head-bolts")
    bench.whole("tighten", "head-bolts")
    assert "single use" in flags(bench)
    bench = head_off_and_on()
    bench.do("lose-count", "head-bolts", pieces=["3"])
    bench.whole("begin-again", "head-bolts")
    bench.whole("take-out", "head-bolts")
    bench.whole("make", "head-bolts")
    assert flags(bench) == []
    assert ("renew", "head-gasket") in kinds(bench)
    bench.say("renewed", "head-gasket", {"part": "DU-310"})
    assert ("renew", "head-gasket") not in kinds(bench)


def test_an_unknown_bolt_of_a_torque_only_joint_is_unknown_alone():
    bench = Bench()
    bench.do("lose-count", "cover-bolts", pieces=["3"])
    items = outstanding(fold(PACK, bench.history, MARKS))
    assert [item["pieces"] for item in items] == [["3"]]


@pytest.mark.parametrize(
    ("joint", "refused"),
    [
        ("mount-bolts", False),
        ("head-bolts", True),
        ("crank-bolt", True),
        ("cap-screws", True),
        ("hose-end", True),
    ],
)
def test_a_further_pull_says_not_below_or_is_refused(joint, refused):
    bench = Bench()
    bench.do("pull-again", joint, wrench="W3")
    state = fold(PACK, bench.history)
    assert ("further pull" in flags(bench)) is refused
    assert [line["says"] for line in registers(state)["pulled again"]] == [
        f"{PACK['objects'][joint]['name']}: not below"
    ]


def test_a_tensioner_is_set_and_the_setting_is_no_tightness():
    bench = Bench()
    bench.whole("slacken", "tensioner-clamp", setting_as_found="pointer mid")
    bench.do(
        "tighten", "tensioner-clamp", stage="1", wrench="W3", photos=["marks"],
        setting="12 N·m held, 20 °C, pointer mid",
    )  # fmt: skip
    state = fold(PACK, bench.history, MARKS)
    said = [line["says"] for line in registers(state)["settings"]]
    assert "belt tensioner" not in said
    assert any("found at pointer mid" in each for each in said)
    assert any("set to 12 N·m held" in each for each in said)
    assert "tensioner-clamp" not in state.figures


def test_a_size_tables_figure_serves_a_cover_by_a_named_person_and_says_so_everywhere():
    bench = Bench()
    bench.say("noted", "n-a-1", {"kind": "joint", "name": "side cover", "role": "cover",
                                 "count": 6, "state": "out"})  # fmt: skip
    bench.do("make", "n-a-1", figure={"from": "size table", "torque": "9 N·m"})
    state = fold(nobody(), bench.history)
    assert outstanding(state) == []
    assert registers(state)["figures"][0]["prints"] == "size table, not the maker's"


@pytest.mark.parametrize(
    "role",
    ["head", "main", "rod", "cam", "crank", "flywheel", "clutch", "tensioner", "brake", "steering",
     "suspension", "wheel", "restraint", "lifting", "pressure", None],
)  # fmt: skip
def test_a_size_tables_figure_is_refused_for_every_other_joint(role):
    bench = Bench()
    bench.say("noted", "n-a-1", {"kind": "joint", "name": "bolts", "role": role, "state": "out"})
    bench.do("make", "n-a-1", figure={"from": "size table", "torque": "100 N·m"})
    found = kinds(bench, nobody())
    assert ("flag", "n-a-1") in found
    assert ("figure", "n-a-1") in found


def test_without_a_figure_the_person_says_how_and_papers_say_no_makers_figure():
    bench = Bench()
    bench.say("noted", "n-a-1", {"kind": "joint", "name": "panel bolts", "count": 2,
                                 "state": "out"})  # fmt: skip
    bench.do("make", "n-a-1")
    assert kinds(bench, nobody()) == [("evidence", "n-a-1")]
    bench.do("make", "n-a-1", how="by feel, short ratchet")
    state = fold(nobody(), bench.history)
    assert outstanding(state) == []
    assert registers(state)["figures"][0]["prints"] == "no maker's figure"


def test_a_critical_kind_waits_for_its_source():
    bench = Bench()
    bench.say("noted", "n-a-1", {"kind": "joint", "name": "wheel bolts", "role": "wheel",
                                 "count": 4, "state": "out"})  # fmt: skip
    bench.do("make", "n-a-1", how="by feel")
    assert kinds(bench, nobody()) == [("figure", "n-a-1")]
    told = {"tightness": "100 N·m", "source": "plate on the axle"}
    bench.say("noted", "n-a-1", told)
    assert kinds(bench, nobody()) == []
    state = fold(nobody(), bench.history)
    assert registers(state)["figures"][0]["prints"] == "plate on the axle"


# Interruption


def test_paint_marks_decide_for_an_angled_bolt_and_nothing_else_does():
    for by, stands in ((None, "unknown"), ("a look", "unknown"), ("paint marks", "made")):
        bench = head_off_and_on()
        last = [e for e in bench.history.order if bench.history.events[e]["type"] == "done"][-3:]
        bench.say("stopped")
        looked = [{"event": each, "stands": "as recorded", "by": by} for each in last]
        bench.say("returned", None, {"looked": looked})
        state = fold(PACK, bench.history, MARKS)
        assert state.state("head-bolts") == stands, by


def test_a_step_after_a_stop_without_looking_is_flagged():
    bench = Bench()
    bench.do("undo", "cover-bolts")
    bench.say("stopped")
    bench.do("undo", "undertray-clips")
    assert flags(bench) == ["not looked at"]
    assert ("interruption", None) in kinds(bench)


def test_the_last_three_steps_are_looked_at_by_name():
    bench = Bench()
    steps = [bench.whole("undo", each) for each in
             ("undertray-clips", "cover-bolts", "wheel-bolts", "radiator-bolts")]  # fmt: skip
    bench.say("stopped")
    looked = [{"event": each, "stands": "as recorded"} for each in steps[2:]]
    bench.say("returned", None, {"looked": looked})
    items = outstanding(fold(PACK, bench.history, MARKS))
    assert [item["object"] for item in items if item["kind"] == "interruption"] == ["cover-bolts"]


def test_a_doubt_about_a_part_stays_until_it_is_done_again():
    bench = Bench()
    bench.whole("undo", "undertray-clips")
    off = bench.whole("take-off", "undertray")
    on = bench.whole("refit", "undertray")
    clips = bench.whole("make", "undertray-clips")
    bench.say("stopped")
    looked = [{"event": each, "stands": "as recorded"} for each in (off, clips)]
    bench.say("returned", None, {"looked": [*looked, {"event": on, "stands": "unknown"}]})
    assert kinds(bench) == [("doubt", "undertray")]
    bench.whole("refit", "undertray")
    assert kinds(bench) == []


def test_alone_a_second_look_is_later_and_has_a_photo_and_reads_same_person():
    for minutes, photos, flagged in ((1, ("p",), True), (20, (), True), (20, ("p",), False)):
        bench = Bench()
        bench.whole("undo", "wheel-bolts")
        bench.whole("make", "wheel-bolts")
        bench.now += minutes * 60_000
        bench.say("look", "wheel-bolts", {"looked_at": "paint lines meet"}, photos=photos)
        state = fold(PACK, bench.history, ("marks", "p"))
        assert registers(state)["looks"][0]["reads"] == "same person"
        assert ("look" in flags(bench)) is flagged


def test_no_exception_is_taken_for_a_lock_that_is_in():
    bench = Bench()
    bench.whole("set-to-marks", "crankshaft")
    bench.whole("put-in", "crank-pin")
    item = "open:crank-pin:in"
    bench.say("exception", None, {"items": [item], "reason": "later"})
    assert ("open", "crank-pin") in kinds(bench)
    assert flags(bench) == ["exception"]
    bench.say("exception", None, {"items": ["open:crankshaft:unproven"], "reason": "later"})
    state = fold(PACK, bench.history, MARKS)
    assert [line["object"] for line in registers(state)["exceptions"]] == ["crankshaft"]


def test_evidence_given_afterwards_is_owed_no_more():
    bench = Bench()
    bench.whole("undo", "wheel-bolts")
    made = bench.do("make", "wheel-bolts", stage="1", wrench="W3")
    assert kinds(bench) == [("evidence", "wheel-bolts")]
    told = {"for": made, "evidence": "photo of the marks"}
    bench.say("photo", None, told, photos=("marks",))
    assert kinds(bench) == []
