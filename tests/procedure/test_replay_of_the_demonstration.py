"""The demonstration's machines: any plan of any work replays, and nothing can be left out of it.

The plans here are drawn at random, so that they hold for whatever order a planner prefers.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.procedure.any_plan import any_plan
from tests.procedure.bench_helpers import planned, step_id, without
from witnessmark.machine.model import Machine, ObjectKind
from witnessmark.machine.reading import read_machine, read_workshop
from witnessmark.procedure.compile import Compiled, compile_problem
from witnessmark.procedure.plan import Plan, StepKind
from witnessmark.procedure.replay import replay

DEMO = Path(__file__).parents[2] / "demo"
FILES = sorted((DEMO / "machines").glob("*.yaml"))


def load(path: str) -> bytes:
    return Path(path).read_bytes()


def machine_in(path: Path) -> Machine:
    machine = read_machine(load, str(path)).value
    assert machine is not None
    return machine


def compiled_work(path: Path, *works: str) -> Compiled:
    workshop = read_workshop(load, str(DEMO / "workshop.yaml")).value
    assert workshop is not None
    machine = machine_in(path)
    return compile_problem(machine, works or tuple(machine.works), workshop)


WORKS = [(path, work) for path in FILES for work in machine_in(path).works]


@pytest.mark.parametrize(("path", "work"), WORKS, ids=lambda value: getattr(value, "stem", value))
def test_every_work_replays_whatever_the_order(path: Path, work: str):
    compiled = compiled_work(path, work)
    for seed in range(5):
        assert replay(compiled, planned(compiled, seed)) == ()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_all_works_together_replay(path: Path):
    compiled = compiled_work(path)
    assert replay(compiled, planned(compiled)) == ()


DUE = (
    ObjectKind.LOCK,
    ObjectKind.SHAFT,
    ObjectKind.CIRCUIT,
    ObjectKind.MAKE_SAFE,
    ObjectKind.TEMPORARY,
)


def due_in(compiled: Compiled, plan: Plan) -> list[int]:
    return [index for index in plan.ways if compiled.openings[index].kind in DUE]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_lock_proof_fill_make_safe_or_holder_can_be_left_out(path: Path):
    compiled = compiled_work(path)
    plan = any_plan(compiled.problem, Random(1))
    assert plan is not None
    due = due_in(compiled, plan)
    machine = compiled.machine
    described = (machine.locks, machine.shafts, machine.circuits, machine.make_safes)
    assert {compiled.openings[index].object_id for index in due} == {
        id_ for objects in (*described, machine.temporaries) for id_ in objects
    }
    for index in due:
        halves = [
            step_id(compiled, step)
            for step in plan.steps
            if step.index == index and step.kind is not StepKind.BLOCK
        ]
        closing = replay(compiled, without(compiled, plan, halves[-1]))
        assert any(fault.rule in {"rest", "state"} for fault in closing), halves
        assert replay(compiled, without(compiled, plan, *halves)) != (), halves


def test_the_demonstration_has_locks_proofs_and_fills_to_leave_out():
    kinds = {
        compiled.openings[index].kind
        for compiled in (compiled_work(path) for path in FILES)
        for index in due_in(compiled, planned(compiled))
    }
    assert kinds == set(DUE)
