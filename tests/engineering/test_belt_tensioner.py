"""Tensioner travel against stepping along it finely with school tangents."""

from __future__ import annotations

import math

import pytest

from tests.engineering.belt_oracle import school_path
from witnessmark.engineering.belts.path import belt_path
from witnessmark.engineering.belts.pulleys import Face, Pulley
from witnessmark.engineering.belts.tensioner import Slide, Swing, Toward, tensioner_travel
from witnessmark.engineering.refusal import RefusalError

LAYOUT = [
    Pulley("crank", 0, 0, 0.10),
    Pulley("pump", 0.30, 0, 0.10),
    Pulley("tensioner", 0.15, 0.20, 0.05, face=Face.BACK),
    Pulley("cam", 0.15, 0.40, 0.10),
]
SWING = Swing(pivot_x=0.20, pivot_y=0.20, arm=0.05, start=90, end=270)


def length_with_tensioner_at(x: float, y: float) -> float:
    circles = [
        (x if p.name == "tensioner" else p.x, y if p.name == "tensioner" else p.y, p.radius,
         1 if p.face is Face.INSIDE else -1)
        for p in LAYOUT
    ]  # fmt: skip
    return school_path(circles)[0]


def swing_length(degrees: float) -> float:
    angle = math.radians(degrees)
    return length_with_tensioner_at(0.20 + 0.05 * math.cos(angle), 0.20 + 0.05 * math.sin(angle))


def test_settings_are_where_a_fine_walk_finds_them() -> None:
    wanted = belt_path(LAYOUT).length
    steps = [90 + k / 100 for k in range(18001)]
    misfits = [swing_length(q) - wanted for q in steps]
    crossings = [
        steps[k] for k in range(len(steps) - 1) if (misfits[k] > 0) != (misfits[k + 1] > 0)
    ]
    travel = tensioner_travel(LAYOUT, 2, SWING, wanted)
    assert [s.position for s in travel.settings] == pytest.approx(crossings, abs=0.0101)
    assert travel.longest == pytest.approx(wanted + max(misfits), abs=1e-9)
    assert travel.shortest == pytest.approx(wanted + min(misfits), abs=1e-9)


def test_setting_gives_the_belt_length_and_distances_from_both_stops() -> None:
    wanted = belt_path(LAYOUT).length
    first, second = tensioner_travel(LAYOUT, 2, SWING, wanted).settings
    assert first.position == pytest.approx(180)
    assert (first.from_start, first.from_end) == pytest.approx((90, 90))
    assert first.pointer == pytest.approx(90)
    assert first.path.length == pytest.approx(wanted, abs=1e-12)
    assert second.position > first.position


def test_length_per_degree_is_the_slope_of_the_length() -> None:
    for setting in tensioner_travel(LAYOUT, 2, SWING, belt_path(LAYOUT).length).settings:
        step = 1e-3
        slope = (swing_length(setting.position + step) - swing_length(setting.position - step)) / (
            2 * step
        )
        assert setting.length_per_unit == pytest.approx(slope, rel=1e-6)


def test_it_says_towards_which_stop_the_belt_tightens() -> None:
    first, second = tensioner_travel(LAYOUT, 2, SWING, belt_path(LAYOUT).length).settings
    assert (first.tightens, second.tightens) == (Toward.END, Toward.START)
    assert swing_length(first.position + 1) > swing_length(first.position)
    assert swing_length(second.position - 1) > swing_length(second.position)


def test_tolerance_gives_the_band_of_the_pointer() -> None:
    wanted = belt_path(LAYOUT).length
    first = tensioner_travel(LAYOUT, 2, SWING, wanted, 0.001).settings[0]
    assert first.takes_up_tolerance
    assert first.with_shortest is not None
    assert first.with_longest is not None
    assert swing_length(first.with_shortest) == pytest.approx(wanted - 0.001, abs=1e-12)
    assert swing_length(first.with_longest) == pytest.approx(wanted + 0.001, abs=1e-12)


def test_tolerance_beyond_the_travel_is_said() -> None:
    longest = tensioner_travel(LAYOUT, 2, SWING, belt_path(LAYOUT).length).longest
    setting = tensioner_travel(LAYOUT, 2, SWING, longest - 0.0005, 0.001).settings[0]
    assert setting.with_longest is None
    assert setting.with_shortest is not None
    assert not setting.takes_up_tolerance


@pytest.mark.parametrize(("extra", "words"), [(0.01, "10 mm too long"), (-0.01, "10 mm too short")])
def test_a_belt_outside_the_travel_is_refused_by_how_much(extra: float, words: str) -> None:
    travel = tensioner_travel(LAYOUT, 2, SWING, belt_path(LAYOUT).length)
    length = travel.longest + extra if extra > 0 else travel.shortest + extra
    with pytest.raises(RefusalError, match=words):
        tensioner_travel(LAYOUT, 2, SWING, length)


def test_eccentric_round_a_whole_turn_has_two_settings_one_each_side() -> None:
    eccentric = Swing(pivot_x=0.15, pivot_y=0.20, arm=0.006, start=0, end=360)
    middle = belt_path(LAYOUT).length
    travel = tensioner_travel(LAYOUT, 2, eccentric, middle)
    assert len(travel.settings) == 2
    assert {s.tightens for s in travel.settings} == {Toward.START, Toward.END}
    assert travel.longest - travel.shortest < 2 * 2 * 0.006  # two spans, twice the throw


def test_travel_may_run_clockwise() -> None:
    wanted = belt_path(LAYOUT).length
    back = Swing(0.20, 0.20, 0.05, start=270, end=90, pointer_at=10)
    settings = tensioner_travel(LAYOUT, 2, back, wanted).settings
    forward = tensioner_travel(LAYOUT, 2, SWING, wanted).settings
    assert [s.position for s in settings] == pytest.approx([s.position for s in forward][::-1])
    assert settings[-1].tightens is Toward.START
    assert settings[-1].pointer == pytest.approx(10 - 90)


def test_slider_is_followed_in_a_straight_line() -> None:
    slide = Slide(x=0.15, y=0.20, heading=180, start=-0.03, end=0.03)
    wanted = belt_path(LAYOUT).length + 0.004
    (setting,) = tensioner_travel(LAYOUT, 2, slide, wanted).settings
    assert length_with_tensioner_at(0.15 - setting.position, 0.20) == pytest.approx(wanted)
    assert setting.tightens is Toward.END
    assert setting.from_start + setting.from_end == pytest.approx(0.06)


def test_part_of_the_travel_without_a_path_is_named() -> None:
    long_slide = Slide(x=0.15, y=0.20, heading=0, start=-0.05, end=0.5)
    travel = tensioner_travel(LAYOUT, 2, long_slide, belt_path(LAYOUT).length)
    assert travel.blocked is not None
    assert travel.settings


def test_no_path_anywhere_is_refused() -> None:
    with pytest.raises(RefusalError, match="no position of tensioner"):
        tensioner_travel(LAYOUT, 2, Slide(5, 5, 0, 0, 0.01), 1.5)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Swing(0, 0, 0, 0, 90),
        lambda: Swing(0, 0, 0.05, 30, 30),
        lambda: Swing(0, 0, 0.05, 0, 400),
        lambda: Slide(0, 0, 0, 0.01, 0.01),
        lambda: tensioner_travel(LAYOUT, 2, SWING, 0),
        lambda: tensioner_travel(LAYOUT, 2, SWING, 1.5, 2),
        lambda: tensioner_travel(LAYOUT, 2, SWING, 1.5, -1),
    ],
)
def test_impossible_tensioners_are_refused(make: object) -> None:
    with pytest.raises(RefusalError):
        make()
