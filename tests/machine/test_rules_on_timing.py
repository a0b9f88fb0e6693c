"""Whatever disturbs a timing run is proved after, and before it matters."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

import pytest

from tests.machine.written import check_text, machine_from
from witnessmark.machine.derived import Derived

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
    disturbed_by: [cam-bolt slack]
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


def test_a_run_whose_shafts_can_be_proved_is_in_order() -> None:
    assert codes_of(ENGINE) == []


def test_belt_clamp_and_turning_bolt_disturb_whether_the_file_says_so_or_not() -> None:
    said = ENGINE.replace("    disturbed_by: [clamp slack]\n", "    turned_by: cover-bolts\n")
    derived = Derived(machine_from(said.replace("disturbed_by: [cam-bolt slack]", "turns: 2")))
    crank, cam = (derived.machine.shafts[name] for name in ("crank", "cam"))
    assert [str(fact) for fact in derived.disturbing(crank)] == [
        "cover-bolts out",
        "belt off",
        "clamp slack",
    ]
    assert [str(fact) for fact in derived.disturbing(cam)] == ["belt off", "clamp slack"]


def test_a_pulley_that_may_slip_on_its_shaft_disturbs_that_shaft() -> None:
    text = ENGINE.replace("    disturbed_by: [cam-bolt slack]\n", "")
    assert codes_of(text) == []  # no work undoes that bolt
    text = text.replace("goals: [belt off]", "goals: [cam-bolt slack]")
    found = check_text(text)
    assert [str(each) for each in found] == [
        (
            "m.yaml:27:3: timing-not-proved: 'timing-belt' disturbs timing run 'timing' with "
            "'cam-bolt slack', and 'cam' is not proved after it: list 'cam-bolt slack' under "
            "'disturbed_by' of 'cam'"
        )
    ]


def test_a_called_work_disturbs_for_the_one_that_calls() -> None:
    text = ENGINE.replace("    disturbed_by: [cam-bolt slack]\n", "").replace(
        "  timing-belt: {goals: [belt off]}",
        "  seal: {calls: [front]}\n  front: {goals: [belt-cover off], calls: [deep]}\n"
        "  deep: {goals: [cam-bolt slack]}",
    )
    assert "'seal' disturbs timing run" in str(check_text(text)[0])


def test_a_need_of_the_strip_alone_is_no_proof_after() -> None:
    text = ENGINE.replace("    disturbed_by: [cam-bolt slack]\n", "").replace(
        "tightness: 90 N·m, slack: {strip: 1 min, refit: 1 min}",
        "tightness: 90 N·m, slack: {strip: 1 min, refit: 1 min, strip_needs: [cam unproven]}",
    )
    text = text.replace("goals: [belt off]", "goals: [cam-bolt slack]")
    assert codes_of(text) == ["timing-not-proved"]
    assert codes_of(text.replace("strip_needs: [cam", "needs: [cam")) == []


def test_a_shaft_belongs_to_a_run_by_its_own_word_or_by_a_pulley() -> None:
    no_proof = ENGINE.replace("    proof: two turns\n", "").replace("    proof: slot level\n", "")
    assert codes_of(no_proof) == ["no-proof", "no-proof"]
    by_word = no_proof.replace("crank: {shaft: crank}, ", "").replace(
        "  crank:\n", "  crank:\n    run: timing\n"
    )
    assert codes_of(by_word) == ["no-proof", "no-proof"]
    assert codes_of(no_proof.replace("crank: {shaft: crank}, ", "")) == ["no-proof"]


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("acts: [turn crank 2]", []),  # it comes while the crank is unproven by itself
        ("acts: [turn crank 2], needs: [belt-cover]", []),
        ("acts: [turn crank 2], before: [belt off, clamp slack]", []),
        ("acts: [turn crank 2], before: [crank unproven]", ["turned-after-proof"]),
        ("acts: [turn crank 2], before: [belt-cover off]", ["turned-after-proof"]),
        ("acts: [turn cam 1], before: [crank unproven]", ["turned-after-proof"]),
        ("acts: [turn crank 1], before: [cam unproven]", []),
    ],
)
def test_a_step_that_turns_a_shaft_lies_before_its_proof(step: str, expected: list[str]) -> None:
    assert codes_of(with_step(step)) == expected


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("acts: [start]", []),  # it comes when all is proved by itself
        ("acts: [crank], needs: [belt-cover]", []),  # a look while it cranks, proved or not yet
        ("acts: [start], needs: [belt off]", ["started-before-proof"]),
        ("acts: [crank], needs: [clamp slack]", ["started-before-proof"]),
        ("acts: [crank, start], needs: [cam unproven]", ["started-before-proof"]),
    ],
)
def test_the_engine_starts_after_the_proof(step: str, expected: list[str]) -> None:
    assert codes_of(with_step(step)) == expected


def test_a_bar_can_put_a_start_before_the_proof() -> None:
    bar = "bars: {odd: {never: start, unless: [belt off]}}\n"
    assert codes_of(with_step("acts: [start]") + bar) == ["started-before-proof"]


def test_a_run_that_keeps_no_time_may_be_turned_and_started_at_any_time() -> None:
    text = with_step("acts: [start, turn crank 2], before: [crank unproven]")
    assert codes_of(text.replace("timing: true", "timing: false")) == []


def test_a_mark_on_the_pulley_is_read_with_the_pulley_on() -> None:
    mark = "    mark: {text: notch, seen_only_before: [sprocket off]}\n    proof: two turns\n"
    assert codes_of(ENGINE.replace("    proof: two turns\n", mark)) == []


def test_a_mark_behind_the_cover_keeps_the_cover_off_until_the_proof() -> None:
    mark = "    mark: {text: notch, seen_with: [belt-cover]}\n    proof: slot level\n"
    text = ENGINE.replace("    proof: slot level\n", mark)
    text = text.replace("needs: [crank unproven]", "why: to see")
    assert codes_of(text) == []


def test_a_shaft_that_cannot_be_proved_is_complained_about_once() -> None:
    text = with_step("acts: [start, turn cam 1], needs: [belt off]").replace(
        "    unproven: {strip: 2 min, refit: 6 min, needs: [crank unproven]}\n", ""
    )
    found = [each for each in check_text(text) if "'cam'" in each.what]
    assert [each.code for each in found] == ["no-proof"]
