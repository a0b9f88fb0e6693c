"""Gates where they fall in a plan, each listing by name what must be closed."""

# ruff: noqa: E501 - in the machine files below one thing stands on one line

from __future__ import annotations

from pathlib import Path

import pytest

from tests.procedure.bench_helpers import WORKSHOP, compiled_of, moved, plan_by, step_id
from witnessmark.machine.reading import read_machine
from witnessmark.procedure.compile import Compiled, compile_problem
from witnessmark.procedure.gates import GatePoint, gates_in
from witnessmark.procedure.plan import Plan

DOCS = Path(__file__).parents[2] / "docs"


@pytest.fixture(scope="module")
def example() -> Compiled:
    text = (DOCS / "worked-example.yaml").read_bytes()
    machine = read_machine(lambda _: text, "docs/worked-example.yaml").value
    assert machine is not None
    return compile_problem(machine, ["belt"], WORKSHOP)


@pytest.fixture(scope="module")
def plan(example: Compiled) -> Plan:
    page = (DOCS / "worked-example.md").read_text(encoding="utf-8")
    lines = page.split("```text\n")[1].split("```")[0].splitlines()
    return plan_by(example, (line.strip().split(" ", 1)[1].split("  ")[0] for line in lines))


def falls(compiled: Compiled, plan: Plan, gate: str) -> list[tuple[str, GatePoint]]:
    """Give where a gate falls, by the step it falls before."""
    names = [step_id(compiled, step) for step in plan.steps] + ["the end"]
    return [(names[p.before - 1], p) for p in gates_in(compiled, plan) if p.gate == gate]


def test_the_first_spanner_and_handing_back_stand_at_either_end(example: Compiled, plan: Plan):
    points = gates_in(example, plan)
    assert (points[0].gate, points[0].before) == ("first-spanner", 1)
    assert (points[-1].gate, points[-1].before) == ("handing-back", len(plan.steps) + 1)
    assert [p.before for p in points] == sorted(p.before for p in points)


def test_turning_by_hand_lists_the_pin_before_marks_trial_turn_and_proof(
    example: Compiled, plan: Plan
):
    found = falls(example, plan, "turning-by-hand")
    assert [(step, point.closed, point.open) for step, point in found] == [
        ("strip crankshaft unproven", ("crank pin",), ()),
        ("do belt/trial-turn", ("crank pin",), ()),
        ("refit crankshaft unproven", ("crank pin",), ()),
    ]


def test_a_pin_still_in_is_named_as_open(example: Compiled, plan: Plan):
    early = moved(example, plan, "do belt/trial-turn", before="refit crank-pin in")
    found = dict(falls(example, early, "turning-by-hand"))
    assert found["do belt/trial-turn"].open == ("crank pin: in",)


def test_draining_is_opening_pressure(example: Compiled, plan: Plan):
    assert [step for step, _ in falls(example, plan, "opening-pressure")] == [
        "strip coolant drained"
    ]


def test_a_cover_is_not_refitted_over_a_slack_joint(example: Compiled, plan: Plan):
    ((step, point),) = falls(example, plan, "covering")
    assert (step, point.closed, point.open) == ("refit cover off", ("tensioner clamp nut",), ())


def test_going_under_and_coming_out_again(example: Compiled, plan: Plan):
    under = [step for step, _ in falls(example, plan, "going-under")]
    assert under == [
        "strip crank-pin in", "do belt/feel-pin", "refit crank-pin in", "refit support fitted",
    ]  # fmt: skip
    out = [step for step, _ in falls(example, plan, "lowering")]
    assert out == ["strip hose-end out", "refit belt off", "do belt/trial-turn", "the end"]


def test_handing_back_lists_everything_that_was_disturbed(example: Compiled, plan: Plan):
    ((step, point),) = falls(example, plan, "handing-back")
    assert step == "the end"
    touched = {example.openings[index].name for index in plan.ways}
    assert set(point.closed) == touched
    assert point.open == ()


def test_closing_up_falls_after_the_last_refit(example: Compiled, plan: Plan):
    ((_, point),) = falls(example, plan, "closing-up")
    assert point.before == len(plan.steps) + 1


RUN_UP = """\
parts:
  frame: {name: frame, fixed: true}
  pan: {name: pan, off: {strip: 1 min, refit: 1 min, position: under}}
joints:
  pan-bolts: {kind: bolts, holds: [pan], to: frame, role: wheel, tightness: 9 N·m, out: {strip: 1 min, refit: 1 min}}
  head-bolts: {kind: bolts, holds: [frame], role: head, tightness: 9 N·m, slack: {strip: 1 min, refit: 1 min}}
locks:
  pin: {name: pin, hole: block, holds: [crank], in: {strip: 1 min, refit: 1 min}}
shafts:
  crank: {name: crank, unproven: {strip: 1 min, refit: 1 min}, proof: turn it}
temporary:
  puller: {name: puller, kind: puller, fitted: {strip: 1 min, refit: 1 min}}
works:
  all:
    name: all
    goals: [pan off, head-bolts slack, pin in, puller fitted]
    steps:
      start: {text: start it, time: 1 min, acts: [start]}
      lower: {text: let it down, time: 1 min, acts: [lower]}
"""  # fmt: skip


def run_up() -> tuple[Compiled, Plan]:
    compiled = compiled_of(RUN_UP)
    order = """
        strip crank unproven, strip pin in, refit pin in, refit crank unproven,
        strip puller fitted, refit puller fitted, strip head-bolts slack, strip pan-bolts out,
        strip pan off, refit pan off, do all/lower, do all/start, refit pan-bolts out,
        refit head-bolts slack
    """
    return compiled, plan_by(compiled, (s.strip() for s in order.replace("\n", " ").split(",")))


def test_cranking_cannot_be_passed_with_a_lock_in():
    compiled, plan = run_up()
    ((_, point),) = falls(compiled, plan, "cranking")
    assert not point.passable
    assert (point.closed, point.open) == (("pin", "puller", "crank"), ())
    assert point.wanted == ("pin: out", "puller: away", "crank: proven")


def test_the_first_start_names_what_is_still_slack_of_what_kills_engines():
    compiled, plan = run_up()
    ((_, point),) = falls(compiled, plan, "first-start")
    assert point.open == ("head bolts: slack",)


def test_lowering_names_what_carries_the_machine_and_is_undone():
    compiled, plan = run_up()
    lowering = dict(falls(compiled, plan, "lowering"))
    assert lowering["do all/lower"].open == ("pan bolts: out",)


def test_what_is_open_at_the_start_of_a_visit_counts():
    compiled = compiled_of(RUN_UP, state="open: [pin in]\n")
    plan = plan_by(
        compiled,
        ["do all/start", "refit pin in", "refit crank unproven", "strip puller fitted",
         "refit puller fitted", "strip pan-bolts out", "strip pan off", "refit pan off",
         "refit pan-bolts out", "strip head-bolts slack", "refit head-bolts slack", "do all/lower"],
    )  # fmt: skip
    ((_, point),) = falls(compiled, plan, "cranking")
    assert point.open == ("pin: in", "crank: unproven, belt on")
