"""What plan steps say at a belt drive: marks first, pins, route and length, tension, cautions."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.cli.plan import planned_job
from witnessmark.cli.session import open_session
from witnessmark.engineering.coolant_filling import HOT, POISON
from witnessmark.engineering.timing.cautions import FINGERS, NEVER_CRANK_LOCKED, SPRUNG_TENSIONER
from witnessmark.planning.drive_step import (
    BEFORE_IT_COMES_OFF,
    LOCK_IN,
    LOCK_OUT,
    PINS_FIRST,
    drive_cautions,
)
from witnessmark.procedure.plan import StepKind

MACHINES = Path(__file__).parents[2] / "demo/machines"


@pytest.fixture(scope="module")
def gull():
    return planned_job(open_session(MACHINES / "gull-20.yaml", ["timing-belt"]))


@pytest.fixture(scope="module")
def genset():
    return planned_job(open_session(MACHINES / "brack-genset-12.yaml", ["timing-belt"]))


def at(job, object_id: str, state: str, phase: StepKind):
    return next(
        step
        for step in job.steps
        if (step.object_id, step.state, step.phase) == (object_id, state, phase)
    )


def test_the_belt_is_marked_and_photographed_before_it_comes_off(gull):
    assert at(gull, "timing-belt", "off", StepKind.STRIP).drive == (BEFORE_IT_COMES_OFF,)


def test_length_and_route_are_checked_when_the_belt_is_fitted(gull):
    fitted = at(gull, "timing-belt", "off", StepKind.REFIT).drive
    assert fitted == (
        "check the length against the old one: 169 teeth, 1352 mm",
        (
            "check the route: crank, pump, tensioner (back of the belt), inlet, exhaust, "
            "lower idler, running clockwise, seen standing at the pulley end, looking at the engine"
        ),
    )


def test_the_acts_of_tensioning_stand_at_the_clamp_and_nowhere_else(genset):
    (step,) = [s for s in genset.steps if PINS_FIRST in s.drive]
    assert (step.object_id, step.phase) == ("tensioner-nut", StepKind.REFIT)
    assert [words.split(":")[0] for words in step.drive] == [
        "1. set",
        "2. slacken",
        "3. set again",
        PINS_FIRST.removesuffix(":"),
        "4. turn",
        "5. check",
    ]
    assert "reads 92 Hz to 100 Hz (invented for the demonstration)" in step.drive[2]


def test_pins_are_said_in_and_out_and_are_out_before_the_proof_turns(genset):
    pins = [s for s in genset.steps if s.object_id in genset.machine.locks]
    assert {s.drive for s in pins} == {(LOCK_IN,), (LOCK_OUT,)}
    proof = at(genset, "crankshaft", "unproven", StepKind.REFIT)
    assert max(s.number for s in pins) < proof.number
    slackened = at(genset, "tensioner-nut", "slack", StepKind.STRIP)
    assert max(s.number for s in pins if s.phase is StepKind.STRIP) < slackened.number


def test_the_proof_says_which_way_to_turn_and_reads_the_tension_again(genset):
    proof = at(genset, "crankshaft", "unproven", StepKind.REFIT)
    assert proof.drive == (
        "turn in the running direction only: clockwise",
        "then the tension of the timing belt run again, as read when it was set",
    )


def test_cautions_of_drives_and_pins_stand_on_every_job_that_touches_them(gull, genset):
    for job in (gull, genset):
        assert {NEVER_CRANK_LOCKED, FINGERS, SPRUNG_TENSIONER} <= set(job.cautions)
    assert not {HOT, POISON} & set(genset.cautions)


def test_coolant_is_hot_and_poisonous_wherever_its_circuit_is_opened(gull):
    assert {HOT, POISON} <= set(drive_cautions(gull.machine, {"coolant"}))
    assert drive_cautions(gull.machine, {"wheel-nuts"}) == ()
