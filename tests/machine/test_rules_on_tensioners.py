"""Tensioners: a torque held is a setting, the travel takes up the belt, the acts leave it set."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

import math

import pytest

from tests.machine.written import check_text, read_text
from witnessmark.machine.run_tension import act_lines, tension_setting, travel_lines, travel_of

TWO = """
parts: {{engine: {{fixed: true}}}}
joints: {{nut: {{kind: bolts, holds: [engine], tightness: 24 N·m}}}}
runs:
  drive:
    length: {length}
    direction: clockwise
    pulleys:
      crank: {{at: [0 mm, 0 mm], diameter: 100 mm}}
      idler: {{at: [300 mm, 0 mm], diameter: 100 mm}}
    tensioner: {{kind: slider, pulley: idler, clamp: nut, {how}}}
"""
ROUND = 600 + 100 * math.pi
"""Two equal pulleys 300 mm apart: twice the distance and once round a pulley [mm]."""


def what(how: str, length: str = "920 mm") -> list[str]:
    return [str(c) for c in check_text(TWO.format(length=length, how=how).lstrip())]


def the_run(how: str, length: str = "920 mm"):
    machine = read_text(TWO.format(length=length, how=how).lstrip()).value
    assert machine is not None
    return machine.runs["drive"]


def test_a_slider_along_the_line_of_centres_moves_half_of_what_the_belt_is_longer():
    run = the_run("slot: {heading: 0°, from: -10 mm, to: 10 mm}")
    (setting,) = travel_of(run).settings
    expected = (920 - ROUND) / 2 / 1000
    assert setting.position == pytest.approx(expected, abs=1e-8)
    assert setting.from_start + setting.from_end == pytest.approx(0.020)
    assert travel_lines(run) == (
        "fits 12.9 mm from the slack stop and 7.1 mm from the other, by the drawing",
    )


def test_an_arm_may_swing_through_the_x_axis_and_is_drawn_within_its_stops():
    assert what("arm: {pivot: [280 mm, 0 mm], from: -90°, to: 90°}", "913 mm") == []
    assert what("arm: {pivot: [280 mm, 0 mm], from: 270°, to: 450°}", "913 mm") == []
    assert ": no-travel: " in what("arm: {pivot: [280 mm, 0 mm], from: 20°, to: 90°}", "910 mm")[0]


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("slot: {heading: 0°, from: -10 mm, to: 1 mm}", "long"),
        ("slot: {heading: 0°, from: 1 mm, to: 9 mm}", "its pulley is drawn outside its stops"),
        ("slot: {heading: 0°, from: 0 mm, to: 0 mm}", "the slider has no travel"),
        ("arm: {from: 0°, to: 9°}", "its arm has no pivot"),
        ("arm: {pivot: [300 mm, 0 mm], from: 0°, to: 9°}", "the tensioner's arm has no length"),
        (
            "arm: {pivot: [280 mm, 0 mm], from: -90°, to: 9°}, slot: {heading: 0°, from: -9 mm, to: 9 mm}",
            "it has an arm and a slot",
        ),
    ],
)
def test_a_travel_that_cannot_be_is_said(how, words):
    (said,) = what(how)
    assert ": no-travel: the tensioner of 'drive' cannot travel so: " in said
    assert words in said


def test_the_acts_say_everything_that_is_read_in_the_order_of_the_file():
    run = the_run(
        "acts: [{act: set, at_least: 108 Hz, at_most: 116 Hz, coldest: 10 °C, warmest: 30 °C, pointer: in its notch, direction: anticlockwise, stand: 10 min}, {act: turn, turns: 2}, {act: slacken}, {act: set, at_least: {is: 90 Hz, source: handbook page 4}, at_most: 99 Hz}]"
    )
    assert act_lines(run, "at the pulley end") == (
        "set: turning anticlockwise, seen at the pulley end; after standing 10 min; belt at 10 °C to 30 °C; reads 108 Hz to 116 Hz (invented for this test); pointer in its notch",
        "turn: 2 turns of the first shaft, clockwise, seen at the pulley end",
        "slacken",
        "set again: reads 90 Hz to 99 Hz (handbook page 4)",
    )
    setting = tension_setting(run)
    assert [str(act.act) for act in setting.acts] == ["set", "turn", "slacken", "set"]
    assert setting.acts[0].stand == 600.0
    assert setting.acts[0].belt_temperature == pytest.approx((10.0, 30.0))
    assert setting.acts[3].source == "handbook page 4"


@pytest.mark.parametrize(
    ("acts", "words"),
    [
        ("{act: turn, turns: 2}", "is never set"),
        ("{act: set}", "the act 'set' reads nothing"),
        ("{act: set, pointer: notch}, {act: turn}", "a turn needs turns and a direction"),
        ("{act: set, at_least: 9 Hz}", "a reading with one end only"),
        ("{act: set, at_least: 9 Hz, at_most: 10 N}", "which is no tension"),
        ("{act: set, at_least: 9 bar, at_most: 10 bar}", "which is no tension"),
        ("{act: set, at_least: 10 Hz, at_most: 9 Hz}", "is not a band"),
        ("{act: set, pointer: notch, coldest: 30 °C, warmest: 10 °C}", "warmer than its warmest"),
    ],
)
def test_acts_that_cannot_be_done_are_said(acts, words):
    (said,) = what(f"acts: [{acts}]")
    assert ": tension-acts: 'drive' cannot be tensioned as its acts say: " in said
    assert words in said
