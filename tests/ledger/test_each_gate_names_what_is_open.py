"""Each gate, each thing it lists: opened one by one, and named.

The cases follow the rule book's own rows, so that a clearance or a register added to a gate
is tested from the day it stands there.
"""

from __future__ import annotations

from copy import deepcopy

import pytest

from tests.ledger.packs import dunlin
from tests.ledger.small_history import Bench
from witnessmark.ledger.fold import fold
from witnessmark.ledger.gates import gate
from witnessmark.ledger.outstanding import outstanding
from witnessmark.procedure.rulebook import RULE_BOOK

PACK = deepcopy(dunlin())
MARKS = ("marks",)
ROLES = {row["role"] for row in PACK["objects"].values() if row["kind"] == "joint"}

DEEPER = {
    "lock": ("crank-pin", "put-in"),
    "temporary": ("crank-holder", "fit"),
    "part": ("undertray", "take-off"),
    "assembly": ("cooling-pack", "assembly-take-off"),
    "circuit": ("coolant", "drain"),
    "shaft": ("crankshaft", "turn"),
    "make-safe": ("battery", "make-safe"),
}

TARGET = {"turning-by-hand": "crankshaft", "covering": "cover", "opening-pressure": "coolant"}


def looked_at(bench: Bench, gate_id: str, purpose: str | None = None) -> list[str | None]:
    state = fold(PACK, bench.history, MARKS)
    found = gate(state, gate_id, purpose, TARGET.get(gate_id))
    return [each["object"] for each in found["open"]]


def purpose_of(row) -> str | None:
    return row.purposes[0] if row.purposes else None


def clearances():
    for row in RULE_BOOK.gates.values():
        for clearance in row.clear_when:
            if clearance.kind != "joint":
                yield pytest.param(row, DEEPER[clearance.kind], id=f"{row.id}-{clearance.kind}")
                continue
            for role in clearance.roles or ("any",):
                joint = joint_of(row.id, role)
                if joint is not None:
                    yield pytest.param(row, (joint, "undo"), id=f"{row.id}-{role}")


def joint_of(gate_id: str, role: str) -> str | None:
    if gate_id == "covering":
        return None
    if role == "any":
        return "undertray-clips"
    for id_, row in PACK["objects"].items():
        if row["kind"] == "joint" and row["role"] == role:
            return id_
    return None


@pytest.mark.parametrize(("row", "opened"), list(clearances()))
def test_what_a_gate_wants_closed_is_named_while_it_is_open(row, opened):
    object_, action = opened
    bench = Bench()
    assert object_ not in looked_at(bench, row.id, purpose_of(row))
    bench.whole(action, object_)
    assert object_ in looked_at(bench, row.id, purpose_of(row))


def test_the_small_engine_has_joints_of_half_the_roles_the_gates_name():
    named = {
        role
        for row in RULE_BOOK.gates.values()
        for clearance in row.clear_when
        if clearance.kind == "joint"
        for role in clearance.roles
    }
    assert {"head", "crank", "tensioner", "pressure", "wheel", "lifting"} <= named & ROLES


def test_covering_names_what_disappears_behind_the_cover():
    bench = Bench()
    bench.whole("slacken", "tensioner-clamp")
    assert "tensioner-clamp" in looked_at(bench, "covering")
    bench.whole("tighten", "tensioner-clamp")
    assert looked_at(bench, "covering") == []


def drop(bench: Bench) -> str:
    bench.say("put", "clip", {"what": "clip", "how": "dropped"})
    return "clip"


def leave_tool(bench: Bench) -> str:
    bench.say("put", "lamp", {"what": "lamp", "how": "in"})
    return "lamp"


def leave_support(bench: Bench) -> str:
    bench.whole("fit", "support")
    return "support"


def disagree(bench: Bench) -> str:
    bench.do("slacken", "mount-bolts")
    bench.told = {"a": set(bench.history.order), "b": set(bench.history.order)}
    bench.apart = True
    bench.do("tighten", "mount-bolts", by="a")
    bench.do("take-out", "mount-bolts", by="b")
    bench.apart = False
    return "mount-bolts"


def wait_for_cold(bench: Bench) -> str:
    PACK["objects"]["coolant"]["waits"] = {"drained": {"strip": 450, "refit": 0}}
    bench.whole("drain", "coolant")
    return "coolant"


def leave_open_end(bench: Bench) -> str:
    bench.do("undo", "hose-end")
    return "hose-end"


def leave_slack(bench: Bench) -> str:
    bench.do("slacken", "cover-bolts")
    return "cover-bolts"


def find_wrong(bench: Bench) -> str:
    bench.say("found", "cover-bolts", {"what": "missing", "piece": "3"})
    return "cover-bolts"


def take_one_out(bench: Bench) -> str:
    bench.do("undo", "cover-bolts", pieces=["2"])
    return "cover-bolts"


def leave_open(bench: Bench) -> str:
    bench.say("trouble", "cover", {"kind": "seized"})
    return "cover"


def owe_a_duty(bench: Bench) -> str | None:
    bench.whole("drain", "coolant")
    bench.whole("fill-and-bleed", "coolant")
    return None


def just_leave(bench: Bench) -> str | None:
    bench.do("undo", "cover-bolts")
    return None


def leave_to_be_seen(bench: Bench) -> str:
    bench.say("done", "cover-bolts", {"to_be_seen": True}, action="make")
    return "cover-bolts"


def fill_too_little(bench: Bench) -> str:
    bench.whole("drain", "coolant", litres_out="4")
    bench.whole("fill-and-bleed", "coolant", litres_in="2")
    return "coolant"


LEAVE = {
    "to be seen": leave_to_be_seen,
    "litres short": fill_too_little,
    "dropped": drop,
    "tools": leave_tool,
    "supports": leave_support,
    "conflicts": disagree,
    "not before": wait_for_cold,
    "open ends": leave_open_end,
    "slack": leave_slack,
    "found wrong": find_wrong,
    "counts": take_one_out,
    "outstanding": leave_open,
    "duties that keep it": owe_a_duty,
    "interruption": just_leave,
}


@pytest.mark.parametrize(
    ("row", "register"),
    [
        pytest.param(row, name, id=f"{row.id}-{name}")
        for row in RULE_BOOK.gates.values()
        for name in row.registers
    ],
)
def test_what_a_register_holds_is_named_by_the_gates_that_ask_for_it(row, register):
    bench = Bench()
    assert looked_at(bench, row.id, purpose_of(row)) == []
    left = LEAVE[register](bench)
    assert left in looked_at(bench, row.id, purpose_of(row))
    PACK["objects"]["coolant"]["waits"] = {}


def test_a_wait_is_over_when_its_time_has_come():
    bench = Bench()
    wait_for_cold(bench)
    state = fold(PACK, bench.history, MARKS)
    PACK["objects"]["coolant"]["waits"] = {}
    begun = bench.history.events["a1"]["wall"]
    for minutes, is_open in ((44, True), (46, False)):
        found = gate(state, "opening-pressure", None, "fuel", begun + minutes * 60_000)
        assert any(each["object"] == "coolant" for each in found["open"]) is is_open


# What the rules let through


def test_running_to_bleed_with_trims_off_is_legal():
    bench = Bench()
    bench.whole("undo", "undertray-clips")
    bench.whole("take-off", "undertray")
    bench.whole("drain", "coolant")
    bench.whole("fill", "coolant")
    state = fold(PACK, bench.history, MARKS)
    assert gate(state, "cranking", "to start")["clear"]
    assert gate(state, "first-start")["clear"]
    bench.do("start")
    assert fold(PACK, bench.history, MARKS).rows["flags"] == []


def test_cranking_to_prime_with_the_fuel_relieved_is_legal_and_starting_so_with_it_drained_is_not():
    bench = Bench()
    bench.whole("relieve", "fuel")
    bench.whole("drain", "fuel")
    state = fold(PACK, bench.history, MARKS)
    assert gate(state, "cranking", "to prime")["clear"]
    assert not gate(state, "cranking", "to start")["clear"]
    assert not gate(state, "first-start")["clear"]


def test_a_pin_may_go_in_to_probe_and_keeps_turning_shut_until_it_is_recorded_out():
    bench = Bench()
    bench.whole("set-to-marks", "crankshaft")
    bench.whole("put-in", "crank-pin")
    assert "crank-pin" in looked_at(bench, "turning-by-hand")
    bench.whole("pull-out", "crank-pin")
    assert looked_at(bench, "turning-by-hand") == []
    assert fold(PACK, bench.history, MARKS).rows["flags"] == []


# Passing


def test_cranking_wants_to_know_its_purpose():
    found = gate(fold(PACK, Bench().history), "cranking")
    assert [each["kind"] for each in found["open"]] == ["purpose"]


def test_only_a_lock_makes_cranking_impassable():
    bench = Bench()
    bench.whole("fit", "crank-holder")
    assert gate(fold(PACK, bench.history, MARKS), "cranking", "to test")["passable"]
    bench.whole("set-to-marks", "crankshaft")
    bench.whole("put-in", "crank-pin")
    found = gate(fold(PACK, bench.history, MARKS), "cranking", "to test")
    assert not found["passable"]


@pytest.mark.parametrize("gate_id", [row.id for row in RULE_BOOK.gates.values() if row.passable])
def test_every_other_gate_can_be_passed_by_a_named_person_with_a_lock_in(gate_id):
    bench = Bench()
    bench.whole("set-to-marks", "crankshaft")
    bench.whole("put-in", "crank-pin")
    assert gate(fold(PACK, bench.history, MARKS), gate_id, None, TARGET.get(gate_id))["passable"]


def test_a_pass_over_something_open_has_a_person_and_a_reason_or_is_flagged():
    bench = Bench()
    bench.whole("undo", "wheel-bolts")
    asks = list(RULE_BOOK.gates["lowering"].asks)
    bench.say("gate", None, {"answered": asks}, action="lowering")
    bench.say("gate", None, {"answered": asks, "reason": "move as it is"}, action="lowering")
    state = fold(PACK, bench.history, MARKS)
    assert [row["rule"] for row in state.rows["flags"]] == ["gate"]
    assert [row["clear"] for row in state.rows["passes"]] == [False, False]


def test_a_pass_without_its_answers_is_flagged():
    bench = Bench()
    bench.say("gate", None, {}, action="lowering")
    state = fold(PACK, bench.history)
    assert [row["rule"] for row in state.rows["flags"]] == ["gate asks"]


def test_a_reason_does_not_pass_cranking_with_a_pin_in():
    bench = Bench()
    bench.whole("set-to-marks", "crankshaft")
    bench.whole("put-in", "crank-pin")
    asks = list(RULE_BOOK.gates["cranking"].asks)
    values = {"purpose": "to test", "answered": asks, "reason": "the boss says so"}
    bench.say("gate", None, values, action="cranking")
    state = fold(PACK, bench.history, MARKS)
    assert [row["rule"] for row in state.rows["flags"]] == ["gate"]


def test_what_comes_in_later_reopens_a_pass_until_it_is_passed_again():
    bench = Bench()
    asks = list(RULE_BOOK.gates["lowering"].asks)
    bench.apart = True
    passed = bench.say("gate", None, {"answered": asks}, action="lowering", by="a")
    bench.whole("slacken", "wheel-bolts", by="b")
    items = outstanding(fold(PACK, bench.history, MARKS))
    assert f"gate:{passed}" in [item["id"] for item in items]
    bench.apart = False
    values = {"answered": asks, "reason": "move as it is"}
    bench.say("gate", None, values, action="lowering", by="a")
    items = outstanding(fold(PACK, bench.history, MARKS))
    assert f"gate:{passed}" not in [item["id"] for item in items]
