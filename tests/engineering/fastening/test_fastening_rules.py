"""What must not meet on a bolt, and which bolt must not be pulled again."""

from __future__ import annotations

import pytest

from witnessmark.engineering.fastening.rules import (
    further_pull_refusal,
    is_lubricant,
    surface_troubles,
)
from witnessmark.quantities.tightness import read_tightness


def test_which_surfaces_are_slippery() -> None:
    slippery = ["oiled", "greased", "anti-seize", "waxed", "copper grease", "engine oil"]
    assert all(is_lubricant(word) for word in slippery)
    assert not any(is_lubricant(word) for word in ("dry", "threadlocker", "sealed", "painted"))


@pytest.mark.parametrize(
    ("surfaces", "place", "says"),
    [
        (("oiled",), {"drives_by_friction": True}, "drive by friction"),
        (("anti-seize", "threadlocked"), {}, "meets threadlocker"),
        (("Oiled", "threadlocker"), {}, "meets threadlocker"),
        (("dry",), {"blind": True}, "clean-and-dry"),
    ],
)
def test_what_must_not_meet(surfaces, place, says) -> None:
    (trouble,) = surface_troubles(surfaces, **place)
    assert says in trouble


def test_what_may_meet() -> None:
    assert surface_troubles(("oiled",)) == ()
    assert surface_troubles(("dry",), drives_by_friction=True) == ()
    assert surface_troubles(("threadlocker",), blind=True, cleaned_and_dried=True) == ()


@pytest.mark.parametrize(
    ("tightness", "surfaces", "single_use", "says"),
    [
        ("60 N·m + 90°", (), False, "turned by an angle"),
        ("22 N·m", ("threadlocked",), False, "breaks the lock"),
        ("22 N·m", ("sealed",), False, "breaks the seal"),
        ("22 N·m", (), True, "used once"),
        ("seated", (), False, "no torque"),
    ],
)
def test_who_must_not_be_pulled_again(tightness, surfaces, single_use, says) -> None:
    refusal = further_pull_refusal(read_tightness(tightness), surfaces, single_use=single_use)
    assert refusal is not None
    assert says in refusal


def test_a_plain_torque_may_be_pulled_again() -> None:
    assert further_pull_refusal(read_tightness("22 N·m"), ("oiled",)) is None
