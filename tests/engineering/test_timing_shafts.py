"""Shafts: ratios from teeth, state as plain data, and what holds what."""

from __future__ import annotations

from fractions import Fraction

import pytest

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.cautions import (
    Ignition,
    near_drives,
    plugs_out,
    turning_by_hand,
)
from witnessmark.engineering.timing.readings import degrees_from_rim, degrees_from_teeth
from witnessmark.engineering.timing.shafts import (
    Hold,
    Role,
    Shaft,
    ShaftState,
    TimingRun,
    degrees_per_tooth,
)

CRANK = Shaft("crank", 22, Role.CRANK)
INLET = Shaft("inlet cam", 44, Role.VALVES, "crank")
EXHAUST = Shaft("exhaust cam", 18, Role.VALVES, "inlet cam", driver_teeth=18)
PUMP = Shaft("pump", 33, Role.INJECTION, "crank")


def test_ratios_follow_the_teeth_along_the_drive() -> None:
    run = TimingRun((CRANK, INLET, EXHAUST, PUMP))
    assert run.ratio("inlet cam") == Fraction(1, 2)
    assert run.ratio("exhaust cam") == Fraction(1, 2)
    assert run.ratio("pump") == Fraction(2, 3)
    assert run.speed("pump", Fraction(3000)) == 2000


def test_one_tooth_in_crank_degrees_is_the_same_everywhere_on_one_belt() -> None:
    run = TimingRun((CRANK, INLET, PUMP))
    assert {run.crank_degrees_per_tooth(s.name) for s in run.shafts} == {Fraction(360, 22)}


def test_one_tooth_on_a_second_chain_is_worth_its_own_crank_degrees() -> None:
    run = TimingRun((CRANK, INLET, EXHAUST))
    assert run.crank_degrees_per_tooth("exhaust cam") == Fraction(360, 18) * 2


def test_drivers_come_before_what_they_drive() -> None:
    run = TimingRun((EXHAUST, INLET, PUMP, CRANK))
    names = [s.name for s in run.from_crank_outwards()]
    assert names.index("crank") < names.index("inlet cam") < names.index("exhaust cam")


@pytest.mark.parametrize(
    ("shafts", "words"),
    [
        ((CRANK, CRANK), "two shafts are called crank"),
        ((CRANK, Shaft("b", 20)), "2 shafts have no driver"),
        ((Shaft("a", 20, driven_by="a"),), "0 shafts have no driver"),
        ((CRANK, Shaft("a", 20, driven_by="x")), "driven by x"),
        (
            (CRANK, Shaft("a", 20, driven_by="b"), Shaft("b", 20, driven_by="a")),
            "ring: a < b < a",
        ),
    ],
)
def test_impossible_runs_are_refused(shafts: tuple[Shaft, ...], words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        TimingRun(shafts)


def test_impossible_shafts_are_refused() -> None:
    for make in (
        lambda: Shaft("a", 2),
        lambda: Shaft("a", 20, driver_teeth=0),
        lambda: Shaft("a", 20, floats=Fraction(-1)),
        lambda: degrees_per_tooth(1),
        lambda: TimingRun((CRANK,)).shaft("x"),
    ):
        with pytest.raises(RefusalError):
            make()


@pytest.mark.parametrize(
    ("state", "held", "against_bolt", "words"),
    [
        (
            ShaftState("crank", Fraction(0), frozenset({Hold.PIN})),
            True,
            False,
            "crank: at its mark, held by pin",
        ),
        (
            ShaftState("cam", Fraction(9), frozenset({Hold.BELT, Hold.HOLDER})),
            True,
            True,
            "cam: 9° ahead of its mark, held by belt and holder",
        ),
        (
            ShaftState("cam", Fraction(-9, 2), read_by_eye=True),
            False,
            False,
            "cam: 4.5° behind its mark, held by nothing (a mark read by eye holds nothing)",
        ),
        (ShaftState("pump"), False, False, "pump: position unknown, held by nothing"),
    ],
)
def test_each_shaft_has_its_own_state_and_what_holds_it(
    state: ShaftState, held: bool, against_bolt: bool, words: str
) -> None:
    assert state.held is held
    assert state.held_against_its_bolt is against_bolt
    assert state.in_words() == words


def test_at_its_mark_is_yes_no_or_not_known() -> None:
    offsets = (Fraction(0), Fraction(1), None)
    assert [ShaftState("a", o).at_mark for o in offsets] == [True, False, None]


def test_teeth_and_rim_lengths_become_degrees() -> None:
    assert degrees_from_teeth(Fraction(-1, 2), 40) == Fraction(-9, 2)
    # A quarter of the way round: s = pi r / 2.
    quarter = Fraction(157079632679, 10**14)
    assert float(degrees_from_rim(quarter, Fraction(1, 1000))) == pytest.approx(90)


@pytest.mark.parametrize(("distance", "radius"), [(1, 0), (1, -1), (4, 1)])
def test_impossible_rim_lengths_are_refused(distance: int, radius: int) -> None:
    with pytest.raises(RefusalError):
        degrees_from_rim(Fraction(distance), Fraction(radius))


def test_turning_by_hand_says_short_bar_plugs_out_and_stop_at_first_resistance() -> None:
    for ignition in Ignition:
        text = " ".join(turning_by_hand(ignition))
        for words in ("short bar", "first resistance", "where that is safe", "Never crank with"):
            assert words in text
    assert "spark plugs" in plugs_out(Ignition.SPARK)
    assert "glow plugs" in plugs_out(Ignition.COMPRESSION)
    assert "glow plugs" in plugs_out(Ignition.UNKNOWN)


def test_backwards_gives_way_only_to_the_makers_own_step() -> None:
    text = " ".join(turning_by_hand())
    assert "backwards only where the maker's own step says so" in text


def test_near_drives_fingers_clothing_and_sprung_tensioners_are_named() -> None:
    text = " ".join(near_drives())
    for words in ("fingers", "sleeves", "sprung tensioner"):
        assert words in text.lower()
