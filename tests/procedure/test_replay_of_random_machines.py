"""Whatever machine is described: a plan the checker accepts is accepted by the rule book too.

And from any accepted plan, no lock, proof, fill or make-safe can be left out.
"""

from __future__ import annotations

from random import Random

from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st

from tests.procedure.any_plan import any_plan
from tests.procedure.bench_helpers import WORKSHOP, machine_of, state_of, step_id, without
from tests.procedure.random_machines import Drawing
from witnessmark.machine.model import JobState, ObjectKind
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.compile import Compiled, CompileError, compile_problem
from witnessmark.procedure.plan import Plan, StepKind
from witnessmark.procedure.replay import replay

SEEDS = st.integers(min_value=0, max_value=10**9)

DUE = (
    ObjectKind.LOCK,
    ObjectKind.SHAFT,
    ObjectKind.CIRCUIT,
    ObjectKind.MAKE_SAFE,
    ObjectKind.TEMPORARY,
)
"""What enters a plan as an opening and its closing, never as a free step."""


def drawn(seed: int) -> Compiled | None:
    """Compile a random machine; None where its own steps contradict its rules."""
    try:
        return compile_problem(machine_of(Drawing(seed).text()), ["work"], WORKSHOP)
    except CompileError as refused:
        codes = {complaint.code for complaint in refused.complaints}
    assert codes <= {"plan-act-against-rule", "plan-step-not-as-found"}
    return None


def plans_of(compiled: Compiled, seed: int, count: int) -> list[Plan]:
    drawn = (any_plan(compiled.problem, Random(seed + number)) for number in range(count))
    return [plan for plan in drawn if plan is not None]


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(SEEDS)
def test_every_plan_the_checker_accepts_replays(seed: int):
    compiled = drawn(seed)
    assume(compiled is not None)
    assert compiled is not None
    plans = plans_of(compiled, seed, 3)
    event("a plan exists" if plans else "impossible")
    for plan in plans:
        assert check_plan(compiled.problem, plan) == ()
        assert replay(compiled, plan) == ()


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(SEEDS)
def test_no_closing_of_anything_can_be_left_out(seed: int):
    compiled = drawn(seed)
    assume(compiled is not None)
    assert compiled is not None
    for plan in plans_of(compiled, seed, 1):
        for step in plan.steps:
            if step.kind is StepKind.REFIT:
                left_out = without(compiled, plan, step_id(compiled, step))
                found = replay(compiled, left_out)
                opening = compiled.openings[step.index]
                name = compiled.tables.names[opening.object_id]
                assert any(each.rule in {"rest", "state"} and name in each.says for each in found)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(SEEDS)
def test_no_lock_proof_fill_holder_or_make_safe_can_be_left_out_whole(seed: int):
    compiled = drawn(seed)
    assume(compiled is not None)
    assert compiled is not None
    for plan in plans_of(compiled, seed, 1):
        for index in plan.ways:
            info = compiled.openings[index]
            if info.kind not in DUE:
                continue
            ids = (f"strip {info.object_id} {info.state}", f"refit {info.object_id} {info.state}")
            event(f"left out: {info.kind}")
            assert replay(compiled, without(compiled, plan, *ids)) != ()


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(SEEDS)
def test_a_plan_continued_from_any_point_of_another_replays(seed: int):
    compiled = drawn(seed)
    assume(compiled is not None)
    assert compiled is not None
    for plan in plans_of(compiled, seed, 1):
        cut = Random(seed).randrange(len(plan.steps) + 1)
        state = state_after(compiled, plan, cut)
        rest = compile_problem(compiled.machine, ["work"], WORKSHOP, state)
        for again in plans_of(rest, seed, 2):
            event("continued")
            assert check_plan(rest.problem, again) == ()
            assert replay(rest, again) == ()


def state_after(compiled: Compiled, plan: Plan, count: int) -> JobState:
    """Give where a job stands after so many steps of a plan."""
    opened: dict[int, None] = {}
    for step in plan.steps[:count]:
        if step.kind is StepKind.STRIP:
            opened[step.index] = None
        elif step.kind is StepKind.REFIT:
            del opened[step.index]
    facts = [f"{compiled.openings[i].object_id} {compiled.openings[i].state}" for i in opened]
    by = [
        f"{fact}: {compiled.openings[i].ways[plan.ways[i]].id}"
        for fact, i in zip(facts, opened, strict=True)
        if len(compiled.openings[i].ways) > 1 and len(compiled.openings[i].specs) == 1
    ]
    return state_of(f"open: [{', '.join(facts)}]\nby: {{{', '.join(by)}}}\n")
