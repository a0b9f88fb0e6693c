"""A run's route can be laid, closes, and turns every shaft the way and as often as it should."""

# The files in here are as wide as people write them.

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.machine.written import check_text, machine_from
from witnessmark.machine.run_path import lay_run

RUN = """
parts:
  engine: {{fixed: true}}
runs:
  drive:
    pitch: {pitch}
    {belt}
    direction: {direction}
    drive: {drive}
    pulleys:
      crank: {{at: [0 mm, 0 mm], teeth: 20, shaft: crank}}
      cam: {{at: [0 mm, {height} mm], teeth: {teeth}, shaft: cam{more}}}
{tensioner}shafts:
  crank: {{direction: clockwise}}
  cam: {{direction: {turns}, ratio: {ratio}}}
"""


def run_text(**given_words: str) -> str:
    words = {
        "pitch": "10 mm",
        "belt": "teeth: 110",
        "direction": "clockwise",
        "drive": "belt",
        "height": "400",
        "teeth": "40",
        "more": "",
        "tensioner": "",
        "turns": "clockwise",
        "ratio": "1/2",
    }
    return RUN.format(**{**words, **given_words})


def codes_of(text: str) -> list[str]:
    return [found.code for found in check_text(text)]


def test_a_run_that_closes_and_turns_as_its_shafts_do_is_in_order() -> None:
    assert codes_of(run_text()) == []


def test_a_run_without_places_of_its_pulleys_is_not_laid() -> None:
    text = run_text().replace("at: [0 mm, 0 mm], ", "")
    run = machine_from(text).runs["drive"]
    assert lay_run(run) is None
    assert codes_of(text) == []


def test_a_toothed_pulley_without_a_pitch_has_no_size() -> None:
    assert codes_of(run_text().replace("pitch: 10 mm", "width: 20 mm")) == []


# The route is 1102.5 mm round: 5.5 mm may be missing where nothing takes it up (a two-hundredth
# of the belt), a hundredth with a tensioner.
@pytest.mark.parametrize(
    ("length", "tensioner", "expected"),
    [
        ("1098 mm", "", []),
        ("1096 mm", "", ["belt-does-not-fit"]),
        ("1107 mm", "", []),
        ("1109 mm", "", ["belt-does-not-fit"]),
        ("1096 mm", "    tensioner: {kind: slider, pulley: cam}\n", []),
        ("1091 mm", "    tensioner: {kind: slider, pulley: cam}\n", ["belt-does-not-fit"]),
        ("1096 mm", "    tensioner: {kind: a shim}\n", ["belt-does-not-fit"]),
    ],
)
def test_a_belt_is_as_long_as_its_way_round(
    length: str, tensioner: str, expected: list[str]
) -> None:
    assert codes_of(run_text(belt=f"length: {length}", tensioner=tensioner)) == expected


def test_a_belt_of_unknown_length_is_not_judged() -> None:
    assert codes_of(run_text(belt="width: 20 mm")) == []


def test_the_refusal_of_a_route_is_passed_on() -> None:
    (found,) = check_text(run_text(height="0"))
    assert found.code == "no-route"
    assert "crank and cam" in found.what


@given(crank=st.integers(10, 40), cam=st.integers(10, 40))
def test_the_ratio_is_that_of_the_teeth(crank: int, cam: int) -> None:
    text = run_text(belt="width: 20 mm", teeth=str(cam)).replace("teeth: 20", f"teeth: {crank}", 1)
    expected = [] if 2 * crank == cam else ["ratio-clash"]
    assert codes_of(text) == expected


def test_a_shaft_driven_from_one_that_turns_at_half_speed_counts_from_there() -> None:
    text = run_text(teeth="20", belt="teeth: 100", ratio="1/2")
    assert codes_of(text) == ["ratio-clash"]
    assert codes_of(text.replace("crank: {direction", "crank: {ratio: 1/2, direction")) == []


def test_a_shaft_that_turns_against_its_pulley_is_told() -> None:
    assert codes_of(run_text(turns="anticlockwise")) == ["turns-backwards"]


def test_directions_seen_from_different_sides_are_not_compared() -> None:
    text = run_text(turns="anticlockwise").replace("drive: belt", "viewpoint: gearbox end")
    assert codes_of(text) == ["turns-backwards"]  # nobody says where the machine is seen from
    assert codes_of(text + "viewpoint: pulley end\n") == []


@pytest.mark.parametrize(
    ("teeth", "floating", "expected"),
    [
        # Half of 360°/40 is 4.5°: less may leave the belt between two teeth.
        ("40", "4.5°", []),
        ("40", "4.4°", ["float-too-small"]),
        ("36", "5°", []),
        ("36", "4.9°", ["float-too-small"]),
    ],
)
def test_slots_reach_half_a_tooth_either_way(
    teeth: str, floating: str, expected: list[str]
) -> None:
    ratio = f"20/{teeth}"
    text = run_text(teeth=teeth, belt="width: 20 mm", ratio=ratio, more=f", floating: {floating}")
    assert codes_of(text) == expected


def test_a_chain_lies_on_the_corners_of_its_sprockets() -> None:
    # d = p / sin(180°/z), the chord of a regular polygon.
    path = lay_run(machine_from(run_text(drive="chain")).runs["drive"])
    assert path is not None
    assert path.contacts[0].pulley.diameter == pytest.approx(
        0.010 / math.sin(math.pi / 20), abs=1e-12
    )


def test_a_belt_of_two_pulleys_turns_as_its_run_does() -> None:
    text = run_text(direction="anticlockwise", turns="anticlockwise")
    text = text.replace("crank: {direction: clockwise", "crank: {direction: anticlockwise")
    assert codes_of(text) == []
