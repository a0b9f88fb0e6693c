"""Machines in the file format, compiled, planned and replayed: what these tests share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from random import Random
from textwrap import dedent

from tests.procedure.any_plan import any_plan
from witnessmark.machine.model import JobState, Machine
from witnessmark.machine.reading import read_machine, read_state
from witnessmark.machine.workshop import Workshop
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.compile import Compiled, compile_problem
from witnessmark.procedure.plan import Plan, Step, StepKind
from witnessmark.procedure.replay import ReplayFault, replay

WORKSHOP = Workshop(name="Test bay (invented)", file="workshop.yaml", rate_per_hour=Fraction(60))

HEADER = """\
witnessmark: 1
machine: test-rig
name: test rig
source: invented for the demonstration
positions: {front: in front, under: underneath}
"""


def machine_of(text: str, *, header: str = HEADER) -> Machine:
    """Read a machine; only warnings are let through."""
    given = (header + dedent(text)).encode()
    result = read_machine(lambda _: given, "rig.yaml")
    assert [str(each) for each in result.complaints if not each.is_warning] == []
    assert result.value is not None
    return result.value


def state_of(text: str) -> JobState:
    given = ("state: 1\nmachine: test-rig\n" + dedent(text)).encode()
    result = read_state(lambda _: given, "state.yaml")
    assert [str(each) for each in result.complaints] == []
    assert result.value is not None
    return result.value


def compiled_of(
    text: str, *works: str, state: str | None = None, workshop: Workshop = WORKSHOP
) -> Compiled:
    machine = machine_of(text)
    begun = None if state is None else state_of(state)
    return compile_problem(machine, works or tuple(machine.works), workshop, begun)


def planned(compiled: Compiled, seed: int = 0) -> Plan:
    """Draw a plan that the checker accepts."""
    plan = any_plan(compiled.problem, Random(seed))
    assert plan is not None
    assert check_plan(compiled.problem, plan) == ()
    return plan


def plan_by(compiled: Compiled, ids: Iterable[str]) -> Plan:
    """Build the plan that does these steps in this order, everything by its first way."""
    problem = compiled.problem
    steps = {
        f"{kind} {opening.id}": Step(kind, index)
        for index, opening in enumerate(problem.openings)
        for kind in (StepKind.STRIP, StepKind.REFIT)
    }
    steps |= {
        f"do {block.id}": Step(StepKind.BLOCK, index) for index, block in enumerate(problem.blocks)
    }
    wanted = tuple(steps[id_] for id_ in ids)
    ways = {step.index: 0 for step in wanted if step.kind is not StepKind.BLOCK}
    supporters = {
        len(problem.openings) + number: next(s for s in clear.supporters if s in ways)
        for number, clear in enumerate(problem.clears)
        if set(clear.supporters) & set(ways)
    }
    return Plan(ways=ways, supporters=supporters, steps=wanted)


def needs_of(compiled: Compiled) -> dict[str, set[str]]:
    """Give the needs of every opening, all its ways together."""
    problem = compiled.problem
    return {
        opening.id: {problem.fact_id(fact) for way in opening.ways for fact in way.needs}
        for opening in problem.openings
    }


def while_fitted_of(compiled: Compiled) -> dict[str, set[str]]:
    """Give what each opening comes before; openings without any are left out."""
    problem = compiled.problem
    found = {
        opening.id: {problem.openings[b].id for way in opening.ways for b in way.while_fitted}
        for opening in problem.openings
    }
    return {id_: others for id_, others in found.items() if others}


def block_of(compiled: Compiled, id_: str) -> tuple[set[str], set[str]]:
    """Give the needs and the befores of a block."""
    problem = compiled.problem
    block = next(block for block in problem.blocks if block.id == id_)
    needs = {problem.fact_id(fact) for fact in block.needs}
    return needs, {problem.openings[b].id for b in block.before}


def step_id(compiled: Compiled, step: Step) -> str:
    """Name a step: `strip cover off`, `refit crank-pin in`, `do belt/compare`."""
    problem = compiled.problem
    if step.kind is StepKind.BLOCK:
        return f"do {problem.blocks[step.index].id}"
    return f"{step.kind} {problem.openings[step.index].id}"


def steps_of(compiled: Compiled, plan: Plan) -> list[str]:
    return [step_id(compiled, step) for step in plan.steps]


def reordered(compiled: Compiled, plan: Plan, ids: Iterable[str]) -> Plan:
    """Give a plan's steps another order, or leave some out."""
    by_id = {step_id(compiled, step): step for step in plan.steps}
    return replace(plan, steps=tuple(by_id[id_] for id_ in ids))


def moved(compiled: Compiled, plan: Plan, id_: str, *, before: str) -> Plan:
    """Do one step of a plan just before another."""
    ids = [each for each in steps_of(compiled, plan) if each != id_]
    ids.insert(ids.index(before), id_)
    return reordered(compiled, plan, ids)


def moved_after(compiled: Compiled, plan: Plan, id_: str, *, after: str) -> Plan:
    """Do one step of a plan just after another."""
    ids = [each for each in steps_of(compiled, plan) if each != id_]
    ids.insert(ids.index(after) + 1, id_)
    return reordered(compiled, plan, ids)


def without(compiled: Compiled, plan: Plan, *left_out: str) -> Plan:
    """Leave steps out of a plan."""
    assert set(left_out) <= set(steps_of(compiled, plan))
    return reordered(
        compiled, plan, [each for each in steps_of(compiled, plan) if each not in left_out]
    )


def refusals(compiled: Compiled, plan: Plan) -> list[tuple[str, str, str]]:
    """Replay a plan: (step, rule, words) of every fault; the step by name."""
    return [(_at(compiled, plan, each), each.rule, each.says) for each in replay(compiled, plan)]


def _at(compiled: Compiled, plan: Plan, fault: ReplayFault) -> str:
    return "the plan" if fault.step is None else step_id(compiled, plan.steps[fault.step - 1])
