"""The slider-crank against its own derivatives, worked at higher precision."""

from __future__ import annotations

import math

import mpmath
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.engineering.clearance import SliderCrank
from witnessmark.engineering.refusal import RefusalError

ANGLES = st.floats(-720, 720)
RATIOS = st.floats(1.5, 8)


def drop_exact(angle: object, radius: float, rod: float) -> mpmath.mpf:
    """The school formula at the working precision: r(1 - cos a) + l - sqrt(l² - r² sin² a)."""
    a = mpmath.radians(mpmath.mpf(angle))
    r, length = mpmath.mpf(radius), mpmath.mpf(rod)
    return r * (1 - mpmath.cos(a)) + length - mpmath.sqrt(length**2 - (r * mpmath.sin(a)) ** 2)


@given(ANGLES, RATIOS)
def test_drop_agrees_with_the_school_formula_to_rounding(angle: float, ratio: float) -> None:
    crank = SliderCrank(0.04, 0.04 * ratio)
    with mpmath.workdps(50):
        exact = float(drop_exact(angle, 0.04, 0.04 * ratio))
    assert crank.drop(angle) == pytest.approx(exact, rel=1e-12, abs=1e-17)


@pytest.mark.parametrize("angle", [-170, -40, 0, 1, 33, 75, 90, 150, 180, 300])
def test_speed_and_acceleration_are_the_derivatives_of_the_drop(angle: float) -> None:
    crank = SliderCrank(0.045, 0.144)
    rpm = 2400
    per_second = 6 * rpm  # degrees
    with mpmath.workdps(40):
        first, second = (
            float(mpmath.diff(lambda a: drop_exact(a, 0.045, 0.144), angle, n) * per_second**n)
            for n in (1, 2)
        )
    assert crank.speed(angle, rpm) == pytest.approx(first, rel=1e-9, abs=1e-9)
    assert crank.acceleration(angle, rpm) == pytest.approx(second, rel=1e-9)


@pytest.mark.parametrize("angle", [0, 20, 60, 90, 140, 200])
def test_rod_speed_and_acceleration_are_the_derivatives_of_its_lean(angle: float) -> None:
    crank = SliderCrank(0.15, 0.6)

    def lean(a: float) -> mpmath.mpf:
        return mpmath.asin(mpmath.sin(mpmath.radians(a)) / 4)

    with mpmath.workdps(40):
        first = float(mpmath.diff(lean, angle) * 6 * 450)
        second = float(mpmath.diff(lean, angle, 2) * (6 * 450) ** 2)
    assert crank.rod_speed(angle, 450) == pytest.approx(first, rel=1e-9, abs=1e-9)
    assert crank.rod_acceleration(angle, 450) == pytest.approx(second, rel=1e-9, abs=1e-9)


@given(st.floats(0, 180), RATIOS)
def test_angle_at_drop_gives_the_angle_back(angle: float, ratio: float) -> None:
    crank = SliderCrank(0.05, 0.05 * ratio)
    # Near the dead centres the drop hardly tells the angle: compare what it drops.
    back = crank.angle_at_drop(min(crank.drop(angle), 0.1))
    assert crank.drop(back) == pytest.approx(crank.drop(angle), abs=1e-15 / 1e-2)


@pytest.mark.parametrize("ratio", [1.5, 2, 3.2, 5, 8])
def test_the_greatest_speed_is_where_a_fine_walk_finds_it(ratio: float) -> None:
    crank = SliderCrank(0.05, 0.05 * ratio)
    walked = max((k / 50 for k in range(1, 9000)), key=lambda a: crank.speed(a, 1000))
    assert crank.angle_of_greatest_speed() == pytest.approx(walked, abs=0.021)


def test_two_terms_near_the_exact_greatest_speed_for_a_long_rod() -> None:
    crank = SliderCrank(0.05, 0.4)
    assert crank.angle_of_greatest_speed_two_term() == pytest.approx(
        crank.angle_of_greatest_speed(), abs=0.2
    )


@pytest.mark.parametrize(("radius", "rod"), [(0, 0.1), (0.05, 0.05), (0.05, math.nan), (-1, 2)])
def test_impossible_cranks_are_refused(radius: float, rod: float) -> None:
    with pytest.raises(RefusalError):
        SliderCrank(radius, rod)


@pytest.mark.parametrize("drop", [-0.001, 0.101])
def test_a_drop_beyond_the_stroke_is_refused(drop: float) -> None:
    with pytest.raises(RefusalError, match="within the stroke of 100 mm"):
        SliderCrank(0.05, 0.2).angle_at_drop(drop)
