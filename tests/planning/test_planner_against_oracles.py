"""The planner against two oracles on 5,000 random problems.

An integer programme solved with HiGHS gives the least access, exhaustive search the least
total (up to eight openings). Neither shares code with the planner, nor with each other.
A failure names the seed: `seeded_problem(seed, sizes)` makes the problem again.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from tests.planning import oracle_access, oracle_total
from tests.planning.random_problems import MIDDLING, SMALL, problems, seeded_problem
from witnessmark.planning.planner import PlanResult, make_plan
from witnessmark.planning.selection import Outcome, select
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import cost_of
from witnessmark.procedure.problem import Problem

SMALL_PROBLEMS = 4_000
MIDDLING_PROBLEMS = 1_000


def chunks(count: int, size: int) -> list[range]:
    """Split the seeds, so that several processes can share them."""
    return [range(first, min(first + size, count)) for first in range(0, count, size)]


def chunk_name(seeds: range) -> str:
    return f"{seeds.start}-{seeds.stop - 1}"


def access_differences(problem: Problem, result: PlanResult) -> list[str]:
    """Hold the planner's access, and its plan against the rules."""
    least = oracle_access.least_access(problem).cost
    selection = select(problem)
    found = [
        f"{who} is {outcome}, least access is {least}"
        for who, outcome in (("plan", result.outcome), ("selection", selection.outcome))
        if (outcome is Outcome.IMPOSSIBLE) != (least is None) or outcome is Outcome.OUT_OF_WORK
    ]
    if least is None or found:
        return found + ["impossible with a plan" for _ in [1] if least is None and result.plan]
    if not (selection.proven and selection.cost == selection.bound == least):
        found.append(f"selection {selection.cost}, bound {selection.bound}, least {least}")
    if not (result.access_proven and result.access_bound == least <= (result.access_cost or 0)):
        found.append(f"access {result.access_cost} >= {result.access_bound}, least {least}")
    if result.plan is None:
        return [*found, "no plan"]
    found += [fault.says for fault in check_plan(problem, result.plan)]
    cost = cost_of(problem, result.plan)
    if (cost.access, cost.total, cost.changeover) != (
        result.access_cost,
        result.total_cost,
        result.changeover_cost,
    ):
        found.append(f"the plan costs {cost}, not what is reported")
    if result.changeover_bound > cost.changeover:
        found.append(f"change-overs {cost.changeover} below bound {result.changeover_bound}")
    if (result.outcome is Outcome.BEST) != (result.total_bound == cost.total):
        found.append(f"{result.outcome} with {cost.total} >= {result.total_bound}")
    return found


def total_differences(problem: Problem, result: PlanResult) -> list[str]:
    """Hold the planner's total and its bound."""
    least = oracle_total.least_total(problem).cost
    if least is None or result.total_cost is None:
        return [] if least is result.total_cost else [f"total {result.total_cost}, least {least}"]
    found = []
    if not result.total_bound <= least <= result.total_cost:
        found.append(f"total {result.total_cost} >= {result.total_bound}, least {least}")
    if result.outcome is not Outcome.BEST:
        found.append(f"total {result.total_cost} not proven, least {least}")
    return found


@pytest.mark.slow
@pytest.mark.parametrize("seeds", chunks(SMALL_PROBLEMS, 50), ids=chunk_name)
def test_small_problems_agree_on_access_and_total(seeds):
    differing = {}
    for seed in seeds:
        problem = seeded_problem(seed, SMALL)
        result = make_plan(problem)
        differences = access_differences(problem, result) + total_differences(problem, result)
        if differences:
            differing[seed] = differences
    assert differing == {}


@pytest.mark.slow
@pytest.mark.parametrize("seeds", chunks(MIDDLING_PROBLEMS, 25), ids=chunk_name)
def test_middling_problems_agree_on_access(seeds):
    differing = {}
    for seed in seeds:
        problem = seeded_problem(seed, MIDDLING)
        differences = access_differences(problem, make_plan(problem))
        if differences:
            differing[seed] = differences
    assert differing == {}


def struck(problem: Problem, bans: frozenset[tuple[int, int]]) -> Problem:
    """Strike ways out by letting each wait for itself; a started way cannot be struck."""
    openings = list(problem.openings)
    for a, w in bans:
        opening = openings[a]
        if not (opening.started and opening.started_way == w):
            way = opening.ways[w]
            ways = list(opening.ways)
            ways[w] = replace(way, needs=(*way.needs, a))
            openings[a] = replace(opening, ways=tuple(ways))
    return replace(problem, openings=tuple(openings))


@pytest.mark.parametrize("seeds", chunks(400, 50), ids=chunk_name)
def test_trouble_marks_agree(seeds):
    """Where ways are struck out, as on the problem that never could use them."""
    differing = {}
    for seed in seeds:
        chance = random.Random(seed)
        problem = seeded_problem(100_000 + seed, SMALL)
        every = [(a, w) for a, o in enumerate(problem.openings) for w in range(len(o.ways))]
        bans = frozenset(chance.sample(every, min(len(every), chance.randint(1, 3))))
        result, plain = make_plan(problem, bans=bans), struck(problem, bans)
        differences = total_differences(plain, result)
        if result.access_bound != (oracle_access.least_access(plain).cost or 0):
            differences += [] if result.plan is None else [f"access {result.access_bound}"]
        if result.plan is not None:
            differences += [fault.says for fault in check_plan(plain, result.plan)]
        if differences:
            differing[seed] = differences
    assert differing == {}


@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(problem=problems(SMALL))
def test_problems_hypothesis_makes_agree(problem):
    """The same on problems that shrink."""
    result = make_plan(problem)
    assert access_differences(problem, result) == []
    assert total_differences(problem, result) == []
