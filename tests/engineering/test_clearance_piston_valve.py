"""Piston against valve, against a sweep at a hundredth of a degree done another way."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
import pytest

from witnessmark.engineering.clearance import (
    NEVER_CLEARS,
    Answer,
    LiftByLaw,
    LiftLaw,
    LiftTable,
    SliderCrank,
    Valve,
    belt_off,
    exhaust_lift,
    gap_at,
    inlet_lift,
    least_gap,
    over_teeth,
    piston_to_valve,
    table_from_cam,
)
from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.events import ValveEvents

CRANK = SliderCrank(0.045, 0.144)
EVENTS = ValveEvents(20, 45, 45, 20)
INLET = Valve("inlet", inlet_lift(EVENTS, 0.009), gap_shut=0.0025, angle=20)
EXHAUST = Valve("exhaust", exhaust_lift(EVENTS, 0.0085), gap_shut=0.0025, angle=20)
PER_TOOTH = 18.0


def swept(
    opens: float, closes: float, most: float, gap: float, early: float
) -> tuple[float, float]:
    """Least gap and its angle for harmonic lift, by arrays at a hundredth of a degree."""
    a = np.arange(-36000, 36000) / 100
    r, rod = 0.045, 0.144
    rad = np.radians(a)
    drop = r * (1 - np.cos(rad)) + rod - np.sqrt(rod**2 - (r * np.sin(rad)) ** 2)
    share = ((a + early - opens) % 720) / (closes - opens)
    lift = np.where(share < 1, most * (1 - np.cos(2 * np.pi * share)) / 2, 0)
    gaps = gap + drop * np.cos(np.radians(20)) - lift
    at = int(np.argmin(gaps))
    return float(gaps[at]), float(a[at])


@pytest.mark.parametrize("teeth", range(-4, 5))
def test_least_gap_of_both_valves_agrees_with_a_fine_sweep(teeth: int) -> None:
    early = teeth * PER_TOOTH
    for valve, opens, closes, most in (
        (INLET, -20, 225, 0.009),
        (EXHAUST, -225, 20, 0.0085),
    ):
        gap, angle = swept(opens, closes, most, 0.0025, early)
        least = least_gap(CRANK, valve, early)
        # A hundredth of a degree off the bottom of a dip of about 1 mm per 10° squared.
        assert least.gap == pytest.approx(gap, abs=1e-8)
        assert least.gap <= gap + 1e-12
        assert least.angle == pytest.approx(angle, abs=0.02)


def test_in_time_the_least_gap_comes_near_overlap_not_at_full_lift() -> None:
    # Fact TF4 (practice, not a standard): within about 20° of top dead centre.
    for valve in (INLET, EXHAUST):
        assert abs(least_gap(CRANK, valve).angle) <= 20


def test_advancing_takes_from_the_inlet_and_retarding_from_the_exhaust() -> None:
    # Fact TF6, racing press article.
    assert least_gap(CRANK, INLET, 10).gap < least_gap(CRANK, INLET).gap
    assert least_gap(CRANK, EXHAUST, -10).gap < least_gap(CRANK, EXHAUST).gap


def test_a_meeting_is_a_no_with_its_reason() -> None:
    answer = piston_to_valve(CRANK, INLET, 2 * PER_TOOTH, 2)
    assert answer.answer is Answer.NO
    assert answer.least is not None
    assert answer.least.gap < 0
    assert "inlet and piston would meet" in answer.why
    assert "overlap top dead centre" in answer.why


def test_a_gap_is_only_ever_not_shown_safe() -> None:
    answer = piston_to_valve(CRANK, INLET)
    assert answer.answer is Answer.NOT_SHOWN_SAFE
    assert "by these figures alone" in answer.why
    assert {a.value for a in Answer} == {"no, because", "not shown safe"}
    assert "never clears cranking" in NEVER_CLEARS


def test_the_makers_least_gap_and_the_accuracy_turn_a_small_gap_into_a_no() -> None:
    gap = least_gap(CRANK, INLET).gap
    fine = piston_to_valve(CRANK, replace(INLET, least_gap=gap - 1e-5))
    assert fine.answer is Answer.NOT_SHOWN_SAFE
    tight = piston_to_valve(CRANK, replace(INLET, least_gap=gap + 1e-5))
    assert tight.answer is Answer.NO
    assert "maker's" in tight.why
    vague = piston_to_valve(CRANK, replace(INLET, accuracy=gap + 1e-5))
    assert vague.answer is Answer.NO
    assert "within the accuracy" in vague.why


@pytest.mark.parametrize("missing", ["lift", "gap_shut", "angle"])
def test_missing_figures_mean_the_valves_are_taken_to_touch(missing: str) -> None:
    assert missing in {f.name for f in fields(Valve)}
    answer = piston_to_valve(CRANK, replace(INLET, **{missing: None}))
    assert answer.answer is Answer.NO
    assert "valves are taken to touch" in answer.why
    assert len(answer.missing) == 1
    assert answer.least is None


def test_a_missing_crank_is_named_with_the_rest() -> None:
    answer = piston_to_valve(None, Valve("inlet", None, None, None))
    assert answer.answer is Answer.NO
    assert len(answer.missing) == 4


def test_over_teeth_answers_for_every_valve_and_tooth() -> None:
    answers = over_teeth(CRANK, [INLET, EXHAUST], PER_TOOTH, range(-2, 3))
    assert [(a.valve, a.teeth) for a in answers] == [
        (valve, k) for valve in ("inlet", "exhaust") for k in range(-2, 3)
    ]
    assert all(a.early == a.teeth * PER_TOOTH for a in answers)
    by = {(a.valve, a.teeth): a.least.gap for a in answers}
    assert by["inlet", 2] < by["inlet", 1] < by["inlet", 0]
    assert by["exhaust", -2] < by["exhaust", -1] < by["exhaust", 0]


def test_with_the_belt_off_a_valve_left_open_is_met() -> None:
    answer = belt_off(INLET)
    assert answer.answer is Answer.NO
    assert answer.least is not None
    assert answer.least.gap == pytest.approx(0.0025 - 0.009)
    deep = belt_off(replace(INLET, gap_shut=0.020))
    assert deep.answer is Answer.NOT_SHOWN_SAFE
    assert "valves are taken to touch" in belt_off(replace(INLET, lift=None)).why
    assert belt_off(replace(INLET, angle=None)).least is not None


def test_no_tooth_error_is_worse_than_the_belt_off() -> None:
    worst = belt_off(INLET).least
    assert worst is not None
    for k in range(-20, 20):
        assert least_gap(CRANK, INLET, k * PER_TOOTH).gap >= worst.gap - 1e-12


def test_firing_top_dead_centre_is_told_from_overlap() -> None:
    answer = piston_to_valve(CRANK, EXHAUST, 12 * PER_TOOTH, 12)
    assert answer.least is not None
    assert abs(answer.least.angle) > 300
    assert "firing top dead centre" in answer.why


def test_a_table_gives_its_points_and_runs_straight_between() -> None:
    table = LiftTable(((-10, 0), (0, 0.001), (15, 0.004), (30, 0.001), (40, 0)))
    assert [table.lift(a) for a in (-10, 0, 15, 30, 40)] == [0, 0.001, 0.004, 0.001, 0]
    assert table.lift(7.5) == pytest.approx(0.0025)
    assert table.lift(7.5 + 720) == pytest.approx(0.0025)
    assert table.lift(7.5 - 1440) == pytest.approx(0.0025)
    assert table.lift(41) == table.lift(-11) == 0
    assert table.most == 0.004


def test_a_fine_table_of_a_law_gives_the_same_least_gap() -> None:
    law = inlet_lift(EVENTS, 0.009, LiftLaw.CYCLOIDAL)
    steps = 980
    angles = [law.opens + (law.closes - law.opens) * k / steps for k in range(steps + 1)]
    table = LiftTable(tuple((a, law.lift(a)) for a in angles))
    for early in (-18, 0, 18, 36):
        by_law = least_gap(CRANK, replace(INLET, lift=law), early)
        by_table = least_gap(CRANK, replace(INLET, lift=table), early)
        # Straight lines over a quarter degree lie within h²/8 of the greatest bend: 9 mm
        # times 2 pi over 122.5 degrees squared.
        bend = 0.009 * 2 * math.pi / 122.5**2 * 0.25**2 / 8
        assert by_table.gap == pytest.approx(by_law.gap, abs=2 * bend)


def test_a_table_from_the_cam_is_spread_by_the_teeth() -> None:
    table = table_from_cam([(-5, 0), (0, 0.005), (5, 0)], peak=110, crank_per_cam=2, rocker=1.2)
    assert table.points == ((100, 0), (110, pytest.approx(0.006)), (120, 0))


def test_lift_by_law_peaks_where_it_says_and_is_shut_elsewhere() -> None:
    lift = LiftByLaw(LiftLaw.POLYNOMIAL_345, opens=-20, peak=90, closes=225, most=0.009)
    assert lift.lift(90) == pytest.approx(0.009)
    assert lift.lift(-21) == lift.lift(226) == lift.lift(400) == 0
    assert lift.lift(90 + 720) == pytest.approx(0.009)
    assert 0 < lift.lift(-19) < lift.lift(0) < lift.lift(45)


@pytest.mark.parametrize(
    "make",
    [
        lambda: LiftByLaw(LiftLaw.HARMONIC, 0, 0, 10, 0.01),
        lambda: LiftByLaw(LiftLaw.HARMONIC, 0, 10, 730, 0.01),
        lambda: LiftByLaw(LiftLaw.HARMONIC, 0, 10, 20, 0),
        lambda: LiftTable(((0, 0), (1, 1))),
        lambda: LiftTable(((0, 0), (1, 1), (1, 0))),
        lambda: LiftTable(((0, 0), (1, 1), (30, 0))),
        lambda: LiftTable(((0, 0), (1, -1), (2, 0))),
        lambda: LiftTable(((0, 0), (1, 0), (2, 0))),
        lambda: LiftTable(((0, 0), (1, math.nan), (2, 0))),
        lambda: LiftTable(tuple((20 * k, 0.001) for k in range(40))),
        lambda: Valve("v", None, None, 90),
        lambda: Valve("v", None, -0.001, 0),
        lambda: Valve("v", None, 0.001, 0, accuracy=-1),
        lambda: gap_at(CRANK, Valve("v", None, 0.001, 0), 0),
        lambda: table_from_cam([(0, 0), (1, 1), (2, 0)], 0, 0),
    ],
)
def test_impossible_valves_and_lifts_are_refused(make: object) -> None:
    with pytest.raises(RefusalError):
        make()
