"""Workshop files and state files."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.machine.written import (
    check_state_text,
    check_workshop_text,
    machine_from,
    state_read,
    workshop_read,
)
from witnessmark.machine.reading import kind_of_file
from witnessmark.machine.workshop import Workshop

GARAGE = """\
workshop: 1
name: Ferry Lane Garage (invented)
currency: GBP
rate: 54
first_position: on the ground
position_change: 1 min
tool_change: 0.2 min
moves:
  front: {under: 2 min, bench: 0.5 min}
  bench: {front: 0.7 min}
wrenches:
  small: {name: small click wrench, from: 5 N·m, to: 18 lbf·ft, drive: 1/4 in, checked: 2026-03-02, length: 210 mm, unit: lb·in}
  dial: {from: 4 N·m, to: 20 N·m, shows_value: true, due: 2027-01-31}
adapters:
  crowfoot: {name: crowfoot 13 mm, length: 1 in, at: 1/4 turn, drive: 1/4 in}
  ring: {length: 32 mm}
tools: [socket 10 mm, key 6 mm]
special_tools: [crank holder HP-31]
stock: {GU-2201: 20}
second_torque_unit: ft-lb
risk: {may shear: 6 min}
"""


def test_a_workshop_is_read_exactly():
    found = workshop_read(GARAGE).value
    assert found is not None
    assert (found.name, found.currency, found.rate_per_hour) == (
        "Ferry Lane Garage (invented)",
        "GBP",
        Fraction(54),
    )
    assert (found.position_change, found.tool_change) == (10, 2)
    small, dial = found.wrenches
    assert (small.name, small.low, small.drive, small.checked) == (
        "small click wrench",
        Fraction(5),
        "1/4 in",
        "2026-03-02",
    )
    # 1 lbf ft = 0.45359237 kg x 9.80665 m/s² x 0.3048 m, exactly
    assert small.high == 18 * Fraction("0.45359237") * Fraction("9.80665") * Fraction("0.3048")
    assert (dial.name, dial.shows_value) == ("dial", True)
    assert (small.length, small.unit, small.due) == (Fraction(21, 100), "lbf·in", None)
    assert (dial.length, dial.unit, dial.due) == (None, "N·m", "2027-01-31")
    crowfoot, ring = found.adapters
    assert (crowfoot.name, crowfoot.drive) == ("crowfoot 13 mm", "1/4 in")
    assert (crowfoot.length, crowfoot.at) == (Fraction(254, 10_000), 90)
    assert (ring.name, ring.length, ring.at) == ("ring", Fraction(32, 1000), 0)
    assert found.tools == {"socket 10 mm", "key 6 mm"}
    assert found.special_tools == {"crank holder HP-31"}
    assert found.stock == {"GU-2201": 20}
    assert found.second_torque_unit == "lbf·ft"
    assert found.risk_minutes == {"may shear": 60}


def test_a_move_said_one_way_takes_as_long_the_other_way():
    found = workshop_read(GARAGE).value
    assert found is not None
    assert (found.move("front", "under"), found.move("under", "front")) == (20, 20)
    assert (found.move("front", "bench"), found.move("bench", "front")) == (5, 7)
    assert found.moves["under"]["front"] == 20
    assert found.move("front", "front") == 0
    assert found.move("front", "roof") == found.position_change


def test_an_empty_workshop_file_has_the_usual_figures():
    found = workshop_read("workshop: 1\n").value
    usual = Workshop(name="", file="w.yaml")
    assert found is not None
    assert (found.position_change, found.tool_change, found.first_position) == (
        usual.position_change,
        usual.tool_change,
        usual.first_position,
    )


@pytest.mark.parametrize(
    ("moves", "expected"),
    [
        ("{a: {b: 2 min}}", []),  # twice the usual change, by way of anywhere else, is no more
        ("{a: {b: 2.1 min}}", ["triangle"]),
        ("{a: {b: 1 min}, b: {c: 0.5 min}, c: {a: 0.5 min}}", []),
        ("{a: {b: 1.1 min}, b: {c: 0.5 min}, c: {a: 0.5 min}}", ["triangle"]),
        ("{on the ground: {a: 0.2 min, b: 0.2 min}}", ["triangle"]),  # the usual a to b is 1 min
        ("{on the ground: {a: 0.2 min, b: 0.2 min}, a: {b: 0.4 min}}", []),
        ("{a: {b: 0.1 min}, b: {a: 2.5 min}}", ["triangle"]),
        # A quick move makes another position as near as this one is
        ("{a: {b: 0.1 min}, c: {a: 0.1 min, b: 2 min}}", ["triangle"]),
    ],
)
def test_no_way_round_is_shorter_than_the_straight_one(moves: str, expected: list[str]) -> None:
    text = f"workshop: 1\nposition_change: 1 min\nmoves: {moves}\n"
    assert [each.code for each in check_workshop_text(text)] == expected


def test_a_unit_of_torque_is_asked_for():
    found = check_workshop_text("workshop: 1\nsecond_torque_unit: bar\n")
    assert [each.code for each in found] == ["unknown-word"]


def test_a_wrong_workshop_file_collects_everything():
    found = check_workshop_text(
        "workshop: 1\nrate: much\nstock: {A: some}\nmoves: {a: 3 min}\ntool_change: soon\n"
        "wrenches: {w: {from: 5 N}}\nstuff: 3\n"
    )
    assert sorted(each.code for each in found) == [
        "missing-quantity",
        "not-a-whole-number",
        "unknown-key",
        "unreadable-quantity",
        "unreadable-quantity",
        "wrench-range",
        "wrong-shape",
        "wrong-unit",
    ]


MACHINE = machine_from(
    """
parts:
  frame: {fixed: true}
  cover: {trapped_by: [lid], off: {ways: {up: {strip: 1 min, refit: 1 min}, down: {strip: 1 min, refit: 1 min}}}}
  lid: {trapped_by: [cover], off: {strip: 1 min, refit: 1 min}}
assemblies: {top: {parts: [cover, lid], off: {strip: 1 min, refit: 1 min}}}
"""
)


def test_a_state_is_read():
    text = "state: 1\nmachine: trial\nopen: [cover off, top]\nby: {cover off: up}\nstruck: [cover off/down]\n"
    read = state_read(text)
    assert read.complaints == ()
    found = read.value
    assert found is not None
    assert found.machine.id == "trial"
    assert [str(fact) for fact in found.open] == ["cover off", "top"]
    assert [(str(fact), way.id) for fact, way in found.by] == [("cover off", "up")]
    assert [(str(fact), way.id) for fact, way in found.struck] == [("cover off", "down")]
    assert check_state_text(text, MACHINE) == []


def test_a_state_is_checked_against_its_machine():
    text = (
        "state: 1\nmachine: trial\nopen: [cuver off, cover fitted, lid moved]\n"
        "by: {cover off: over}\nstruck: [top off/up, x/, cover off/sideways]\n"
    )
    assert [(each.place.line, each.code) for each in check_state_text(text, MACHINE)] == [
        (3, "unknown-id"),
        (3, "rest-state"),
        (3, "not-described"),
        (4, "not-open"),
        (4, "unknown-id"),
        (5, "unknown-id"),
        (5, "not-a-way"),
        (5, "unknown-id"),
    ]


def test_without_its_machine_only_the_shape_of_a_state_is_checked():
    assert check_state_text("state: 1\nmachine: trial\nopen: [anything at all]\n") == []
    assert [each.code for each in check_state_text("state: 1\n")] == ["missing-key"]


@pytest.mark.parametrize(
    ("start", "kind"),
    [
        ("# a comment\nworkshop: 1\n", "workshop"),
        ("state: 1\n", "state"),
        ("witnessmark: 1\nbars: {x: {why: 'workshop: 1'}}\n", "witnessmark"),
        ('{"workshop": 1}', "workshop"),
        ("machine: x\n", "witnessmark"),
        ("", "witnessmark"),
    ],
)
def test_files_are_told_apart_by_their_version_key(start: str, kind: str) -> None:
    assert kind_of_file(start.encode()) == kind


def test_a_date_must_be_in_the_calendar():
    found = check_workshop_text(
        "workshop: 1\nwrenches: {w: {from: 5 N·m, to: 25 N·m, checked: 2026-02-30}}\n"
    )
    assert [each.code for each in found] == ["unreadable-date"]


def test_a_state_file_with_the_wrong_shapes_collects_everything():
    found = check_state_text("state: 1\nmachine: trial\nopen: cover\nby: {cover off: [up]}\n")
    assert [each.code for each in found] == ["wrong-shape", "wrong-shape"]


def test_an_unreadable_workshop_or_state_file_gives_nothing():
    assert workshop_read("workshop: [\n").value is None
    assert workshop_read("- x\n").value is None
    assert state_read("state: 9\n").value is None


def test_a_state_tells_what_was_open_before_and_which_steps_are_done():
    text = "state: 1\nmachine: trial\nbeen: [cover off]\ndone: [nothing/of-it]\n"
    read = state_read(text)
    assert read.complaints == ()
    found = read.value
    assert found is not None
    assert [str(fact) for fact in found.been] == ["cover off"]
    assert [step.id for step in found.done] == ["nothing/of-it"]
    assert [(each.place.line, each.code) for each in check_state_text(text, MACHINE)] == [
        (4, "unknown-id")
    ]
