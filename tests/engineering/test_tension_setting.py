"""Set, turn, slacken, set again: what was done beside what the maker gives.

The maker and figures here are invented, but for the two of common practice, no source: a
small tensioner is set by about 12 N·m on its square drive and held while its clamp is
tightened; tension is set cold.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.tension import Band
from witnessmark.engineering.tension_setting import (
    Act,
    Direction,
    Done,
    Gauge,
    Setting,
    SettingAct,
    compare,
    is_tensioned,
)

BOOK = "Harrow Engines, sheet 7 (invented)"
WAY = Direction.ANTICLOCKWISE
COLD = (15.0, 25.0)
SETTING = Setting(
    "cam belt",
    (
        SettingAct(
            Act.SET, BOOK, Gauge.FREQUENCY, Band(110, 115, 120), COLD, "at the notch", WAY,
            stand=3_600,
        ),
        SettingAct(Act.TURN, BOOK, direction=Direction.CLOCKWISE, turns=2),
        SettingAct(Act.SLACKEN, BOOK),
        SettingAct(Act.SET, BOOK, Gauge.FREQUENCY, Band(85, 88, 91), COLD, direction=WAY),
        SettingAct(Act.TURN, BOOK, direction=Direction.CLOCKWISE, turns=2),
        SettingAct(Act.CHECK, BOOK, Gauge.FREQUENCY, Band(83, 88, 93), COLD, "in the window"),
    ),
)  # fmt: skip
DONE = [
    Done(Act.SET, Band(112, 114, 116), 20, "at the notch", WAY, stood=4_000),
    Done(Act.TURN, direction=Direction.CLOCKWISE, turns=2),
    Done(Act.SLACKEN),
    Done(Act.SET, Band(86, 87, 88), 20, direction=WAY),
    Done(Act.TURN, direction=Direction.CLOCKWISE, turns=2.5),
    Done(Act.CHECK, Band(85, 86, 87), 21, "in the window"),
]


def open_words(done) -> str:
    return " | ".join(f.words for f in compare(SETTING, done) if not f.settled)


def changed(place: int, **figures) -> list[Done]:
    return [*DONE[: place - 1], replace(DONE[place - 1], **figures), *DONE[place:]]


def test_a_setting_done_as_given_is_settled() -> None:
    findings = compare(SETTING, DONE)
    assert [f.place for f in findings] == [1, 2, 3, 4, 5, 6]
    assert all(f.settled for f in findings)
    assert is_tensioned(SETTING, DONE)


@pytest.mark.parametrize("missing", range(1, 7))
def test_a_setting_left_off_is_not_tensioned(missing: int) -> None:
    """Set once and turned is not set: each act not done yet is named."""
    assert not is_tensioned(SETTING, DONE[: missing - 1])
    assert open_words(DONE[: missing - 1]).count("not done yet") == 7 - missing


@pytest.mark.parametrize(
    ("done", "words"),
    [
        (changed(1, reading=Band(121, 122, 123)), "set again"),
        (changed(1, reading=Band(118, 119, 121)), "not decided"),
        (changed(1, reading=None), "reading missing"),
        (changed(1, belt_temperature=60), "let it stand"),
        (changed(1, belt_temperature=None), "belt temperature missing"),
        (changed(1, pointer="past the notch"), "'at the notch' is due"),
        (changed(6, pointer=None), "not looked at"),
        (changed(1, direction=Direction.CLOCKWISE), "'anticlockwise at the pulley end' is due"),
        (changed(2, direction=Direction.ANTICLOCKWISE), "'clockwise at the pulley end' is due"),
        (changed(2, turns=1), "turns: 1 turns, 2 due"),
        (changed(1, stood=None), "none written"),
        (changed(3, act=Act.SET), "begin again at act 3"),
        ([*DONE, Done(Act.TURN, direction=Direction.CLOCKWISE, turns=1)], "read the tension again"),
    ],
)
def test_what_differs_is_named_and_stays_open(done, words) -> None:
    assert words in open_words(done)
    assert not is_tensioned(SETTING, done)


def test_a_torque_held_on_the_tensioner_is_a_setting() -> None:
    """Common practice, no source: about 12 N·m on the square drive, held while clamped; cold."""
    practice = "common practice, no source"
    act = SettingAct(
        Act.SET, practice, Gauge.TORQUE, Band.within(12.0, 0.04), (5.0, 30.0),
        hold_while="the clamp nut is tightened",
    )  # fmt: skip
    setting = Setting("small tensioner", (act,))
    assert is_tensioned(setting, [Done(Act.SET, Band.within(12.0, 0.02), 18)])
    assert not is_tensioned(setting, [Done(Act.SET, Band.within(12.0, 0.02), 70)])


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: SettingAct(Act.SET, "", Gauge.TORQUE, Band.exact(12.0)),
        lambda: SettingAct(Act.SET, BOOK),
        lambda: SettingAct(Act.CHECK, BOOK),
        lambda: SettingAct(Act.TURN, BOOK, turns=2),
        lambda: SettingAct(Act.TURN, BOOK, direction=WAY),
        lambda: SettingAct(Act.SET, BOOK, None, Band.exact(12.0)),
        lambda: SettingAct(Act.SET, BOOK, Gauge.POINTER, Band.exact(12.0)),
        lambda: Setting("belt", ()),
        lambda: Setting("belt", (SettingAct(Act.TURN, BOOK, direction=WAY, turns=2),)),
        lambda: Setting(
            "belt",
            (
                SettingAct(Act.SET, BOOK, Gauge.POINTER, pointer="at the notch"),
                SettingAct(Act.SLACKEN, BOOK),
            ),
        ),
    ],
)
def test_a_setting_that_cannot_be_done_is_refused(wrong) -> None:
    with pytest.raises(RefusalError):
        wrong()
