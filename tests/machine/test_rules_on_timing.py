"""Whatever disturbs a timing run is proved after, and before it matters."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

import pytest
from tests.machine.written import check_text

ENGINE = """
parts:
  engine: {fixed: true}
  belt-cover: {off: {strip: 1 min, refit: 1 min}}
  belt: {off: {strip: 1 min, refit: 1 min, needs: [belt-cover, clamp slack]}}
  sprocket: {off: {strip: 1 min, refit: 1 min, needs: [belt]}}
  idler: {off: {strip: 1 min, refit: 1 min}}
joints:
  cover-bolts: {kind: bolts, holds: [belt-cover], to: engine, tightness: 9 N·m, out: {strip: 1 min, refit: 1 min}}
  clamp: {kind: bolts, holds: [idler], to: engine, tightness: 20 N·m, slack: {strip: 1 min, refit: 1 min, needs: [belt-cover]}}
  cam-bolt: {kind: bolts, holds: [sprocket], to: engine, tightness: 90 N·m, slack: {strip: 1 min, refit: 1 min}}
runs:
  timing:
    timing: true
    belt: belt
    pulleys: {crank: {shaft: crank}, cam: {shaft: cam, part: sprocket}}
    tensioner: {kind: eccentric, clamp: clamp}
shafts:
  crank:
    unproven: {strip: 2 min, refit: 6 min, needs: [belt-cover]}
    proof: two turns
    disturbed_by: [clamp slack]
  cam:
    unproven: {strip: 2 min, refit: 6 min, needs: [crank unproven]}
    proof: slot level
    disturbed_by: [clamp slack, cam-bolt slack]
works:
  timing-belt: {goals: [belt off]}
"""


def codes_of(text: str) -> list[str]:
    return [found.code for found in check_text(text)]


def with_step(step: str) -> str:
    return ENGINE.replace(
        "  timing-belt: {goals: [belt off]}",
        "  timing-belt:\n    goals: [belt off]\n    steps:\n      try: {text: x, time: 1 min, "
        + step
        + "}",
    )


def test_a_run_whose_every_disturbance_is_named_is_in_order() -> None:
    assert codes_of(ENGINE) == []


def test_each_shaft_must_be_proved_after_the_belt_was_off() -> None:
    text = ENGINE.replace("disturbed_by: [clamp slack, cam-bolt slack]", "turns: 2")
    found = [str(each) for each in check_text(text)]
    assert found == [
        (
            "m.yaml:28:3: timing-not-proved: 'timing-belt' disturbs timing run 'timing' with 'belt "
            "off', and 'cam' is not proved after it: list 'belt off' under 'disturbed_by' of 'cam'"
        ),
        (
            "m.yaml:28:3: timing-not-proved: 'timing-belt' disturbs timing run 'timing' with 'clamp "
            "slack', and 'cam' is not proved after it: list 'clamp slack' under 'disturbed_by' of "
            "'cam'"
        ),
    ]


def test_a_work_that_leaves_the_run_alone_asks_for_no_proof() -> None:
    text = ENGINE.replace("disturbed_by: [clamp slack, cam-bolt slack]", "turns: 2")
    assert codes_of(text.replace("goals: [belt off]", "goals: [belt-cover off]")) == []


def test_a_called_work_disturbs_for_the_one_that_calls() -> None:
    text = ENGINE.replace("disturbed_by: [clamp slack, cam-bolt slack]", "turns: 2")
    text = text.replace(
        "  timing-belt: {goals: [belt off]}",
        "  pump: {calls: [belt]}\n  belt: {goals: [belt-cover off], calls: [deep]}\n"
        "  deep: {goals: [belt off]}",
    )
    assert "'pump' disturbs timing run" in str(check_text(text)[0])


def test_a_pulley_that_may_slip_on_its_shaft_disturbs_that_shaft() -> None:
    text = ENGINE.replace("disturbed_by: [clamp slack, cam-bolt slack]", "disturbed_by: [belt off]")
    text = text.replace("goals: [belt off]", "goals: [cam-bolt slack]")
    found = check_text(text)
    assert [each.code for each in found] == ["timing-not-proved"]
    assert "with 'cam-bolt slack', and 'cam' is not proved" in found[0].what


def test_a_need_of_the_strip_alone_is_no_proof_after() -> None:
    text = ENGINE.replace("disturbed_by: [clamp slack]", "turns: 2").replace(
        "needs: [belt-cover, clamp slack]",
        "needs: [belt-cover, clamp slack], strip_needs: [crank unproven]",
    )
    text = text.replace("needs: [crank unproven]", "needs: [belt-cover]")
    found = check_text(text)
    assert {each.code for each in found} == {"timing-not-proved"}
    assert all("'crank' is not proved" in each.what for each in found)


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("acts: [turn crank 2], needs: [crank unproven]", []),
        ("acts: [turn crank 2], needs: [cam unproven]", []),  # it needs the crank's
        ("acts: [turn crank 2], needs: [belt-cover]", ["turned-after-proof"]),
        ("acts: [turn cam 1], needs: [crank unproven]", ["turned-after-proof"]),
    ],
)
def test_a_step_that_turns_a_shaft_lies_before_its_proof(step: str, expected: list[str]) -> None:
    assert codes_of(with_step(step)) == expected


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("acts: [start], before: [crank unproven, cam unproven]", []),
        ("acts: [start], before: [belt-cover off]", []),  # a proof is done with the cover off
        ("acts: [start], before: [crank unproven]", []),  # the cam's lies inside the crank's
        ("acts: [start], before: [cam unproven]", ["started-before-proof"]),
        ("acts: [crank]", ["started-before-proof"]),
    ],
)
def test_the_engine_starts_after_the_proof(step: str, expected: list[str]) -> None:
    assert codes_of(with_step(step)) == expected


def test_a_bar_on_starting_is_as_good_as_the_step_saying_so() -> None:
    bar = "bars: {proved: {never: start, while: [crank unproven]}}\n"
    assert codes_of(with_step("acts: [start]") + bar) == []


def test_a_step_before_anything_is_disturbed_may_turn_and_start_a_plain_run() -> None:
    text = with_step("acts: [start, turn crank 2]").replace("timing: true", "timing: false")
    assert codes_of(text) == []


def test_a_mark_on_the_pulley_is_read_with_the_pulley_on() -> None:
    mark = "    mark: {text: notch, seen_only_before: [sprocket off]}\n    proof: two turns\n"
    assert codes_of(ENGINE.replace("    proof: two turns\n", mark)) == []


def test_a_mark_behind_the_cover_keeps_the_cover_off_until_the_proof() -> None:
    mark = "    mark: {text: notch, seen_with: [belt-cover]}\n    proof: slot level\n"
    text = ENGINE.replace("    proof: slot level\n", mark)
    text = text.replace("needs: [crank unproven]", "why: to see")
    assert codes_of(text) == []


def test_a_run_without_a_belt_part_is_disturbed_by_its_clamp_alone() -> None:
    text = ENGINE.replace("    belt: belt\n", "").replace("disturbed_by: [clamp slack]", "turns: 2")
    text = text.replace("needs: [crank unproven]", "needs: [belt-cover]")
    found = [each.what for each in check_text(text) if each.code == "timing-not-proved"]
    assert found == [
        (
            "'timing-belt' disturbs timing run 'timing' with 'clamp slack', and 'crank' is not "
            "proved after it"
        )
    ]


def test_a_shaft_that_cannot_be_proved_is_complained_about_once() -> None:
    text = with_step("acts: [start, turn cam 1]").replace(
        "    unproven: {strip: 2 min, refit: 6 min, needs: [crank unproven]}\n", ""
    )
    found = [each for each in check_text(text) if "'cam'" in each.what]
    assert [each.code for each in found] == ["no-proof"]
