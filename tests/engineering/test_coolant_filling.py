"""Drain to a height, fill, bleed, prime, run up, cold re-check; and the airlock test.

The circuit is invented. The half hour before opening is of an automotive teaching task
sheet, the slow loosening of the cap of TM 9-2815-256-24.
"""

from __future__ import annotations

import pytest

from witnessmark.engineering.coolant_balance import Balance, airlock_test
from witnessmark.engineering.coolant_circuit import (
    Circuit,
    Draining,
    Point,
    PointKind,
    drain_below,
    may_open,
)
from witnessmark.engineering.coolant_filling import COOL_DOWN, POISON, Waits, filling_plan
from witnessmark.engineering.refusal import RefusalError

CIRCUIT = Circuit(
    "Harrow 4 (invented)",
    (
        Point("radiator drain", PointKind.DRAIN, 0.10),
        Point("pump joint", PointKind.JOINT, 0.30),
        Point("thermostat housing", PointKind.JOINT, 0.55),
        Point("heater bleed", PointKind.BLEED, 0.60),
        Point("top bleed", PointKind.BLEED, 0.70),
        Point("header tank", PointKind.FILLER, 0.75),
    ),
    levels=((0.0, 0.5), (0.3, 3.5), (0.6, 7.0), (0.75, 8.0)),
    prime=("turbocharger jacket",),
    run_up="Run at 1,500 rpm until the fan comes in twice",
    source="Harrow Engines, sheet 3 (invented)",
)


def test_draining_below_a_joint_leaves_what_lies_lower() -> None:
    found = drain_below(CIRCUIT, "pump joint", "radiator drain")
    assert found == Draining(out=pytest.approx(4.5), stays=pytest.approx(3.5), level=0.30)
    assert found.out + found.stays == pytest.approx(CIRCUIT.capacity)


def test_a_circuit_already_low_gives_nothing_more() -> None:
    found = drain_below(CIRCUIT, "thermostat housing", "radiator drain", level=0.45)
    assert found == Draining(out=0.0, stays=pytest.approx(5.25), level=0.45)


def test_a_drain_above_the_joint_cannot_empty_it() -> None:
    high = Circuit(
        "high drain", (*CIRCUIT.points, Point("plug", PointKind.DRAIN, 0.4)), CIRCUIT.levels
    )
    with pytest.raises(RefusalError, match="lies above"):
        drain_below(high, "pump joint", "plug")


@pytest.mark.parametrize(
    ("name", "level", "released", "filling", "allowed", "why"),
    [
        ("pump joint", 0.20, True, False, True, "stands below"),
        ("pump joint", 0.60, True, False, False, "3.5 L stand above it"),
        ("pump joint", 0.20, False, False, False, "under pressure"),
        ("header tank", 0.75, False, False, False, "under pressure"),
        ("header tank", 0.75, True, False, True, "what it is for"),
        ("radiator drain", 0.75, True, False, True, "what it is for"),
        ("top bleed", 0.74, True, True, True, "while it is being filled"),
        ("top bleed", 0.74, True, False, False, "stand above it"),
        ("thermostat housing", 0.50, True, True, True, "stands below"),
        ("pump joint", 0.50, True, True, False, "stand above it"),
    ],
)
def test_what_may_be_opened(name, level, released, filling, allowed, why) -> None:
    """A joint above the level, and a bleed screw while filling, may be opened."""
    ruling = may_open(CIRCUIT, name, level=level, pressure_released=released, filling=filling)
    assert ruling.allowed is allowed
    assert why in ruling.why


def test_the_plan_runs_from_hot_and_full_to_the_cold_re_check() -> None:
    steps = filling_plan(CIRCUIT, "pump joint", "radiator drain")
    assert [s.id for s in steps] == [
        "stop", "release", "drain", "cap", "close", "fill", "bleed heater bleed",
        "bleed top bleed", "prime turbocharger jacket", "balance", "run up", "stop again",
        "cold re-check",
    ]  # fmt: skip
    assert "4.5 L come out" in steps[2].what
    assert steps[10].what.startswith("Run at 1,500 rpm")


def test_every_step_waits_only_for_steps_before_it_and_names_sources() -> None:
    seen: set[str] = set()
    for step in filling_plan(CIRCUIT, "pump joint", "radiator drain"):
        assert step.source
        assert all(wait.after in seen and wait.source for wait in step.not_before)
        assert step.not_before or step.id == "stop"
        seen.add(step.id)


def test_not_before_times_come_from_a_source_or_are_missing() -> None:
    """Thirty minutes before opening is sourced; the cold stand is the maker's or a condition."""
    plan = {s.id: s for s in filling_plan(CIRCUIT, "pump joint", "radiator drain")}
    (opening,) = plan["release"].not_before
    assert (opening.after, opening.seconds) == ("stop", COOL_DOWN)
    assert COOL_DOWN == 1800.0
    (cold,) = plan["cold re-check"].not_before
    assert cold.seconds is None
    assert "cold to the touch" in cold.condition
    waits = Waits(stand_before_recheck=6 * 3600.0, stand_source="Harrow sheet 3 (invented)")
    told = {s.id: s for s in filling_plan(CIRCUIT, "pump joint", "radiator drain", waits)}
    assert told["cold re-check"].not_before[0].seconds == 6 * 3600.0
    assert told["cold re-check"].not_before[0].source == "Harrow sheet 3 (invented)"


def test_the_dangers_stand_at_their_steps() -> None:
    plan = {s.id: s for s in filling_plan(CIRCUIT, "pump joint", "radiator drain")}
    assert any("scalds" in c for c in plan["release"].cautions)
    assert POISON in plan["drain"].cautions
    assert POISON in plan["fill"].cautions
    assert any("fan" in c for c in plan["run up"].cautions)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Circuit("flat", (), ((0.0, 1.0),)),
        lambda: Circuit("falling", (), ((0.0, 2.0), (0.5, 1.0))),
        lambda: Circuit("standing", (), ((0.5, 1.0), (0.5, 2.0))),
        lambda: CIRCUIT.point("no such"),
    ],
)
def test_a_circuit_that_cannot_be_is_refused(wrong) -> None:
    with pytest.raises(RefusalError):
        wrong()


def test_litres_below_a_height_are_read_between_the_levels() -> None:
    heights = (-1.0, 0.0, 0.15, 0.45, 0.75, 2.0)
    assert [CIRCUIT.litres_below(h) for h in heights] == pytest.approx([0.5, 0.5, 2.0, 5.25, 8, 8])


@pytest.mark.parametrize(
    ("out", "into", "spilt", "off", "verdict"),
    [
        (5.0, 5.0, 0.0, 0.2, Balance.AGREES),
        (5.0, 4.9, 0.0, 0.2, Balance.AGREES),
        (5.0, 2.5, 0.0, 0.2, Balance.SHORT),
        (5.0, 4.7, 0.0, 0.2, Balance.SHORT),
        (5.0, 5.0, 0.5, 0.2, Balance.SHORT),
        (5.0, 5.5, 0.5, 0.2, Balance.AGREES),
        (5.0, 5.4, 0.0, 0.2, Balance.OVER),
        (5.0, 4.7, 0.0, 0.8, Balance.NOT_DECIDED),
    ],
)
def test_litres_in_against_out(out, into, spilt, off, verdict) -> None:
    """If about half goes in, air is trapped; measuring too coarse decides nothing."""
    found = airlock_test(out, into, uncertainty=off, spilt=spilt)
    assert found.verdict is verdict
    assert found.missing == pytest.approx(out + spilt - into)
    assert found.words


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: airlock_test(0.0, 5.0, uncertainty=0.2),
        lambda: airlock_test(5.0, -1.0, uncertainty=0.2),
        lambda: airlock_test(5.0, 5.0, uncertainty=0.0),
        lambda: airlock_test(5.0, 5.0, uncertainty=0.2, spilt=-0.1),
    ],
)
def test_figures_below_zero_are_refused(wrong) -> None:
    with pytest.raises(RefusalError):
        wrong()
