"""One tension told every way, with its band: there and back, and over the corners."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.engineering import tension as t
from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.tension import Band, Span, TensionerArm
from witnessmark.engineering.tension_readings import (
    by_deflection,
    by_frequency,
    by_torque,
    read_as,
)

TENSIONS = st.floats(20.0, 2_000.0)
LENGTHS = st.floats(0.05, 1.0)
MASSES = st.floats(0.02, 0.5)
SHARES = st.floats(0.0, 0.2)


@given(TENSIONS, LENGTHS, MASSES)
def test_note_and_tension_are_inverses(tension, length, mass) -> None:
    note = t.span_frequency(tension, length, mass)
    assert t.tension_from_frequency(note, length, mass) == pytest.approx(tension, rel=1e-12)
    assert t.span_length(note, tension, mass) == pytest.approx(length, rel=1e-12)
    assert t.span_frequency(tension, length, mass, 3) == pytest.approx(3 * note, rel=1e-12)


@given(TENSIONS, LENGTHS, st.floats(0.002, 0.2))
def test_press_and_tension_are_inverses(tension, length, share) -> None:
    force = t.deflection_force(tension, share * length, length)
    back = t.tension_from_deflection(force, share * length, length)
    assert back == pytest.approx(tension, rel=1e-12)


@given(TENSIONS, st.floats(0.01, 0.2), st.floats(5, 355), st.floats(5, 175))
def test_torque_and_tension_are_inverses(tension, arm, wrap, angle) -> None:
    torque = t.tensioner_torque(tension, arm, wrap, angle)
    assert t.tension_from_torque(torque, arm, wrap, angle) == pytest.approx(tension, rel=1e-12)


@given(TENSIONS, LENGTHS, MASSES, st.tuples(SHARES, SHARES, SHARES))
def test_the_band_holds_everything_inside_the_readings(tension, length, mass, shares) -> None:
    """Brute force: a grid inside the three bands never leaves the band of the tension."""
    note = t.span_frequency(tension, length, mass)
    bands = [Band.within(v, s) for v, s in zip((note, length, mass), shares, strict=True)]
    found = by_frequency(Span(bands[1], bands[2]), bands[0])
    steps = [
        (b.low, (b.low + b.nominal) / 2, b.nominal, (b.nominal + b.high) / 2, b.high) for b in bands
    ]
    values = [t.tension_from_frequency(*corner) for corner in itertools.product(*steps)]
    assert min(values) == pytest.approx(found.low, rel=1e-12)
    assert max(values) == pytest.approx(found.high, rel=1e-12)
    assert found.nominal == pytest.approx(tension, rel=1e-9)


def test_a_wrap_band_over_half_a_turn_keeps_the_turning_point() -> None:
    """The load is greatest at a wrap of 180°, inside the band and not at its ends."""
    arm = TensionerArm(Band.exact(0.04), Band(150.0, 170.0, 190.0))
    found = read_as(Band.exact(200.0), arm=arm)
    assert found.load.high == pytest.approx(400.0)
    assert found.load.low == pytest.approx(400.0 * math.sin(math.radians(75)))


def test_an_arm_angle_band_over_the_right_angle_keeps_the_turning_point() -> None:
    arm = TensionerArm(Band.exact(0.04), Band.exact(60.0), Band(80.0, 85.0, 100.0))
    assert by_torque(arm, Band.exact(8.0)).low == pytest.approx(200.0)


def test_three_ways_of_reading_one_belt_agree() -> None:
    length, mass, deflection = Band.exact(0.2), Band.exact(0.1), Band.exact(0.003)
    arm = TensionerArm(Band.exact(0.04), Band.exact(60.0))
    told = read_as(Band.exact(160.0), length=length, mass=mass, deflection=deflection, arm=arm)
    assert told.frequency.nominal == pytest.approx(100.0)
    assert told.torque.nominal == pytest.approx(6.4)
    for back in (
        by_frequency(Span(length, mass), told.frequency),
        by_deflection(length, told.force, deflection),
        by_torque(arm, told.torque),
    ):
        assert back.nominal == pytest.approx(160.0, rel=1e-12)


def test_what_was_not_given_is_missing() -> None:
    told = read_as(Band.exact(160.0), length=Band.exact(0.2))
    assert (told.frequency, told.force, told.torque, told.load) == (None, None, None, None)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: t.wave_speed(0.0, 0.1),
        lambda: t.wave_speed(160.0, -0.1),
        lambda: t.tension_from_frequency(math.nan, 0.2, 0.1),
        lambda: t.tension_from_frequency(100.0, math.inf, 0.1),
        lambda: t.tension_from_slope(20.0, 0.0),
        lambda: t.tension_from_slope(20.0, 90.0),
        lambda: t.tension_from_deflection(20.0, 0.2, 0.4),
        lambda: t.pulley_load(100.0, 0.0),
        lambda: t.pulley_load(100.0, 360.0),
        lambda: t.tensioner_torque(100.0, 0.04, 60.0, 180.0),
        lambda: t.mass_of_sample(0.1, 0.0),
        lambda: t.mass_of_round(7_930.0, 0.0),
        lambda: Band(2.0, 1.0, 3.0),
        lambda: Band(0.0, 1.0, 3.0),
        lambda: Band(1.0, 1.0, math.inf),
        lambda: Band.within(100.0, 1.0),
    ],
)
def test_figures_that_cannot_be_are_refused_with_words(wrong) -> None:
    with pytest.raises(RefusalError) as refusal:
        wrong()
    assert refusal.value.what
    assert refusal.value.hint
