"""Any turn of a shaft after its proof makes the run unproven: no such plan is accepted.

Undoing or tightening the bolt a shaft is turned by counts as a turn.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from tests.procedure.any_plan import any_plan
from tests.procedure.bench_helpers import moved_after, steps_of
from witnessmark.machine.acts import Verb
from witnessmark.machine.derived import acts_of
from witnessmark.machine.reading import read_machine, read_workshop
from witnessmark.procedure.checking import Rule, check_plan
from witnessmark.procedure.compile import Compiled, compile_problem
from witnessmark.procedure.plan import Plan
from witnessmark.procedure.replay import replay

DEMO = Path(__file__).parents[2] / "demo"
TIMED = [DEMO / "machines" / name for name in ("gull-20.yaml", "brack-genset-12.yaml")]


def load(path: str) -> bytes:
    return Path(path).read_bytes()


@pytest.fixture(scope="module", params=TIMED, ids=lambda path: path.stem)
def whole_job(request: pytest.FixtureRequest) -> tuple[Compiled, Plan]:
    """A plan of every work of a machine at once."""
    machine = read_machine(load, str(request.param)).value
    workshop = read_workshop(load, str(DEMO / "workshop.yaml")).value
    assert machine is not None
    assert workshop is not None
    compiled = compile_problem(machine, tuple(machine.works), workshop)
    plan = any_plan(compiled.problem, Random(3))
    assert plan is not None
    assert check_plan(compiled.problem, plan) == ()
    return compiled, plan


def disturbances(compiled: Compiled, plan: Plan) -> Iterator[tuple[str, str]]:
    """Give each shaft's proof with each step of the plan that may turn the shaft.

    Both halves of what disturbs it, of the bolt it is turned by, and every step that
    turns it.
    """
    steps = steps_of(compiled, plan)
    for shaft in compiled.machine.shafts.values():
        proof = f"refit {shaft.id} unproven"
        facts = [str(ref) for ref in shaft.disturbed_by]
        if shaft.turned_by is not None:
            facts += [f"{shaft.turned_by.id} slack", f"{shaft.turned_by.id} out"]
        turning = [f"{half} {fact}" for fact in facts for half in ("strip", "refit")]
        turning += [
            f"do {work.id}/{step.id}"
            for work in compiled.works
            for step in work.steps
            if any(act.verb is Verb.TURN and act.object == shaft.id for act in acts_of(step))
        ]
        for step in dict.fromkeys(turning):
            if proof in steps and step in steps:
                yield proof, step


def test_no_step_that_may_turn_a_shaft_comes_after_its_proof(whole_job: tuple[Compiled, Plan]):
    compiled, plan = whole_job
    found = list(disturbances(compiled, plan))
    assert found
    order = steps_of(compiled, plan)
    for proof, step in found:
        assert order.index(step) < order.index(proof)
        late = moved_after(compiled, plan, step, after=proof)
        faults = check_plan(compiled.problem, late)
        assert faults, (proof, step)
        # What stands inside another disturbance is refused on that one's account.
        if step.startswith("do ") or (step.startswith("refit") and step.endswith("slack")):
            shaft = proof.removeprefix("refit ").removesuffix(" unproven")
            said = [fault.says for fault in faults if fault.rule in {Rule.NEEDS, Rule.BLOCKS}]
            assert any(f"{shaft} unproven" in words for words in said), (proof, step, said)
        assert replay(compiled, late) != (), (proof, step)


def test_the_bolt_a_crank_is_turned_by_is_among_them(whole_job: tuple[Compiled, Plan]):
    compiled, plan = whole_job
    bolts = {s.turned_by.id for s in compiled.machine.shafts.values() if s.turned_by is not None}
    tightened = {step for _, step in disturbances(compiled, plan) if step.startswith("refit")}
    assert any(
        f"refit {bolt} slack" in tightened or f"refit {bolt} out" in tightened for bolt in bolts
    )
