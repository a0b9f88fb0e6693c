"""Every work of the demonstration goes from the first spanner to handing back by the ledger.

Each step of a plan is recorded with what is asked; gates stand where the rule book says they
fall, and none of them is in the way of the plan.
"""

from __future__ import annotations

import pytest

from tests.ledger.devices import Device
from tests.ledger.packs import DEMO, DUNLIN, job_of
from tests.ledger.small_history import EVERYTHING
from witnessmark.ledger.fold import fold
from witnessmark.ledger.gates import gate, gates_before
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.registers import registers

JOBS = [
    (DUNLIN, "belt"),
    (DEMO / "brack-genset-12.yaml", "timing-belt"),
    (DEMO / "brack-genset-12.yaml", "glow-plugs"),
    (DEMO / "brack-genset-12.yaml", "oil-and-filter"),
    (DEMO / "gull-20.yaml", "aux-belt"),
    (DEMO / "gull-20.yaml", "thermostat"),
    (DEMO / "gull-20.yaml", "clutch"),
    (DEMO / "tarn-two-stage.yaml", "valve-plates"),
    (DEMO / "tarn-two-stage.yaml", "drive-belt"),
]
PHOTO = "0" * 64
DAYS = 30 * 24 * 3_600_000


def state_of_job(pack, phone):
    return fold(pack, Graph(phone.holds), (PHOTO,))


def record(phone, step):
    if step["kind"] == "block":
        return phone.write(type="block", object=step["object"], values={"within": True})
    return phone.write(
        type="done",
        action=step["action"],
        object=step["object"],
        values=dict(EVERYTHING),
        photos=[PHOTO],
    )


@pytest.mark.parametrize(("path", "work"), JOBS, ids=lambda each: getattr(each, "stem", each))
def test_a_plan_recorded_step_by_step_breaks_no_rule_and_meets_no_shut_gate(path, work):
    _, _, pack = job_of(path, work)
    phone = Device("a")
    gated = {row["id"]: row["gates"] for row in pack["rules"]["actions"]}
    met = 0
    for number, step in enumerate(pack["plan"]["steps"]):
        if gated.get(step["action"]):
            state = state_of_job(pack, phone)
            for each in gates_before(state, step["action"], step["object"]):
                found = gate(state, each, None, step["object"], phone.now + DAYS)
                assert found["open"] == [], (number, step["says"])
                met += 1
        record(phone, step)
    assert met
    state = state_of_job(pack, phone)
    assert state.rows["flags"] == []
    assert outstanding(state) == []
    for each in ("closing-up", "lowering", "first-start", "going-under"):
        assert gate(state, each, None, None, phone.now + DAYS)["open"] == [], each
    assert gate(state, "cranking", "to start", None, phone.now + DAYS)["clear"]
    kept = [row["duty"] for row in registers(state)["duties that keep it"]]
    for each in kept:
        said = {"duty": each, "limit": "seen", "person": "ann", "done": True}
        phone.write(type="duty", values=said)
    state = state_of_job(pack, phone)
    handing_back = gate(state, "handing-back", None, None, phone.now + DAYS)
    assert handing_back["clear"]
    phone.write(type="gate", action="handing-back", values={"answered": handing_back["asks"]})
    phone.write(type="closed")
    assert outstanding(state_of_job(pack, phone)) == []


@pytest.mark.parametrize(("path", "work"), JOBS[:2], ids=["small engine", "generator set"])
def test_a_cover_goes_on_only_over_what_is_made(path, work):
    _, _, pack = job_of(path, work)
    phone = Device("a")
    seen = 0
    for step in pack["plan"]["steps"]:
        if step["action"] == "refit":
            found = gate(state_of_job(pack, phone), "covering", None, step["object"])
            assert found["open"] == [], step["says"]
            seen += 1
        record(phone, step)
    assert seen


@pytest.mark.parametrize(("path", "work"), JOBS[:2], ids=["small engine", "generator set"])
def test_any_step_left_out_is_outstanding_or_flagged_at_the_end(path, work):
    _, _, pack = job_of(path, work)
    steps = [step for step in pack["plan"]["steps"] if step["kind"] != "block"]
    for number in range(0, len(steps), 7):
        phone = Device("a")
        for step in steps[:number] + steps[number + 1 :]:
            record(phone, step)
        left_out = steps[number]
        about = {item["object"] for item in outstanding(state_of_job(pack, phone))}
        assert about, left_out["says"]


def test_a_ledger_without_a_step_left_out_hands_nothing_over_when_two_phones_share_it():
    _, _, pack = job_of(DUNLIN, "belt")
    phones = [Device("a"), Device("b", wrong_by=-5 * 24 * 3_600_000)]
    for number, step in enumerate(pack["plan"]["steps"]):
        phone, other = phones[number % 2], phones[1 - number % 2]
        phone.hear(other)
        record(phone, step)
    phones[0].hear(phones[1])
    state = state_of_job(pack, phones[0])
    assert state.conflicts() == []
    assert outstanding(state) == []
