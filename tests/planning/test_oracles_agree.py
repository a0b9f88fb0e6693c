"""The oracles against each other, and against the definition of a valid plan itself."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations, product

import pytest

from tests.planning import oracle_access, oracle_total
from tests.planning.random_problems import seeded_problem
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import Plan, Saving, Step, StepKind, cost_of
from witnessmark.procedure.problem import Problem, Side


@pytest.mark.parametrize("first", range(0, 800, 100))
def test_exhaustive_search_and_integer_programme_agree_on_access(first):
    for seed in range(first, first + 100):
        problem = seeded_problem(seed)
        programme = oracle_access.least_access(problem)
        assert programme.cost == oracle_total.least_access(problem), seed
        if programme.plan is not None:
            assert check_plan(problem, programme.plan) == (), seed
            assert cost_of(problem, programme.plan).access == programme.cost, seed


@pytest.mark.parametrize("first", range(10_000, 10_400, 100))
def test_the_plan_of_exhaustive_search_is_valid_and_costs_what_is_said(first):
    for seed in range(first, first + 100):
        problem = seeded_problem(seed, (1, 6))
        answer = oracle_total.least_total(problem)
        if answer.plan is not None:
            assert check_plan(problem, answer.plan) == (), seed
            assert cost_of(problem, answer.plan).total == answer.cost, seed


def every_plan(problem: Problem) -> Iterator[Plan]:
    """Give every plan that can be written down at all, valid or not."""
    openings = range(len(problem.openings))
    facts = range(len(problem.openings), len(problem.openings) + len(problem.clears))
    for picked in product(*([None, *range(len(problem.openings[a].ways))] for a in openings)):
        ways = {a: w for a, w in enumerate(picked) if w is not None}
        if any(problem.openings[a].started and a not in ways for a in openings):
            continue
        sides = [
            [None, *(Saving(a, r, side, p) for p, _ in room.side(side) if p in ways)]
            for a, w in ways.items()
            for r, room in enumerate(problem.openings[a].ways[w].rooms)
            for side in Side
        ]
        steps = [Step(StepKind.BLOCK, k) for k in range(len(problem.blocks))]
        steps += [Step(StepKind.REFIT, a) for a in ways]
        steps += [Step(StepKind.STRIP, a) for a in ways if not problem.openings[a].started]
        supporters = [
            [None, *(q for q in set(problem.clear(fact).supporters) if q in ways)] for fact in facts
        ]
        for rests in product(*supporters):
            rest = {fact: q for fact, q in zip(facts, rests, strict=True) if q is not None}
            for counted in product(*sides):
                savings = tuple(saving for saving in counted if saving is not None)
                unordered = Plan(ways, rest, savings)
                if all("is left out" in fault.says for fault in check_plan(problem, unordered)):
                    for order in permutations(steps):
                        yield Plan(ways, rest, savings, order)


def is_tiny(problem: Problem) -> bool:
    """Tell whether all plans can be written down in a moment."""
    started = sum(opening.started for opening in problem.openings)
    steps = 2 * len(problem.openings) - started + len(problem.blocks)
    ways = sum(len(opening.ways) for opening in problem.openings)
    return steps <= 5 and ways <= 5


TINY = [seed for seed in range(700) if is_tiny(seeded_problem(seed, (1, 3)))]


@pytest.mark.parametrize("part", range(4))
def test_both_oracles_agree_with_the_checker_on_every_plan_of_tiny_problems(part):
    """The optimum is the cheapest plan the checker accepts among all that can be written."""
    for seed in TINY[part::4]:
        problem = seeded_problem(seed, (1, 3))
        costs = [
            cost_of(problem, plan) for plan in every_plan(problem) if not check_plan(problem, plan)
        ]
        least_total = min((cost.total for cost in costs), default=None)
        least_access = min((cost.access for cost in costs), default=None)
        assert oracle_total.least_total(problem).cost == least_total, seed
        assert oracle_access.least_access(problem).cost == least_access, seed


def test_the_tiny_problems_are_many():
    assert len(TINY) >= 300
