"""The curve through a table: through every point, never past them, as SciPy draws it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from witnessmark.engineering.coolant import Glycol, freezing, strength_for, volume_percent
from witnessmark.engineering.coolant_curve import straight, through

# Hundredths: between values next to nothing apart SciPy's own division overflows.
VALUES = st.integers(-2_000, 2_000).map(lambda hundredths: hundredths / 100)
STEPS = st.lists(st.tuples(st.floats(0.1, 10), VALUES), min_size=2, max_size=12)


def table(steps) -> list[tuple[float, float]]:
    points, x = [], 0.0
    for step, y in steps:
        x += step
        points.append((x, y))
    return points


@given(STEPS, st.floats(0, 1))
def test_the_curve_is_the_monotone_cubic_of_scipy(steps, place) -> None:
    points = table(steps)
    first, last = points[0][0], points[-1][0]
    x = min(max(first + place * (last - first), first), last)
    reference = PchipInterpolator(*zip(*points, strict=True))
    assert through(points, x) == pytest.approx(float(reference(x)), rel=1e-9, abs=1e-9)


@given(STEPS)
def test_both_pass_through_every_point(steps) -> None:
    points = table(steps)
    for x, y in points:
        assert through(points, x) == pytest.approx(y, abs=1e-12)
        assert straight(points, x) == pytest.approx(y, abs=1e-12)


@given(st.sampled_from(Glycol), st.floats(0, 59.9), st.floats(0.001, 0.1))
def test_more_glycol_never_freezes_sooner_within_the_tables(glycol, mass, more) -> None:
    """Each source by itself; melted by a hundredth at most where two change hands."""
    weak, strong = freezing(glycol, mass), freezing(glycol, min(60.0, mass + more))
    for figure in weak.figures:
        other = [f.value for f in strong.figures if f.source == figure.source]
        assert all(value <= figure.value + 1e-9 for value in other)
    assert volume_percent(glycol, mass) <= mass + 1e-9


@given(st.sampled_from(Glycol), st.floats(-47.0, -0.5))
def test_the_strength_for_a_cold_stands_it_by_every_source(glycol, celsius) -> None:
    mass = strength_for(glycol, celsius)
    assert freezing(glycol, mass).high <= celsius + 1e-3
    assert freezing(glycol, mass - 0.1).high > celsius if mass > 0.1 else True
