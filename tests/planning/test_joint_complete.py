"""The search over all selections, from nothing known, against exhaustive search."""

from __future__ import annotations

import pytest

from tests.planning.oracle_total import least_total
from tests.planning.random_problems import seeded_problem
from witnessmark.planning.joint_complete import CompleteSearch, TooMany
from witnessmark.planning.ordering import SKETCH, THOROUGH, Effort
from witnessmark.planning.ordering_bounds import fares_of
from witnessmark.planning.work import Meter, OutOfWorkUnits
from witnessmark.procedure.problem import Opening, Problem, Room, Way

FAR = 100_000
SIZES = (1, 6)
"""Openings: few enough for both searches to go without any limit."""


def search(
    problem: Problem, *, effort: Effort = THOROUGH, meter: Meter | None = None, most: int = 10**9
) -> CompleteSearch:
    return CompleteSearch(
        problem,
        frozenset(),
        least=sum(block.cost for block in problem.blocks),
        detours_pay=not is_direct(problem),
        effort=effort,
        known={},
        meter=meter or Meter(),
        most=most,
    )


def is_direct(problem: Problem) -> bool:
    return fares_of(problem.changeovers).direct


@pytest.mark.parametrize("seed", range(0, 240, 20))
def test_the_least_total_is_found_without_any_help(seed):
    for each in range(seed, seed + 20):
        problem = seeded_problem(each, SIZES)
        least = least_total(problem).cost
        complete = search(problem)
        bound = complete.run(FAR)
        if least is None:
            assert complete.best is None, each
            assert bound == FAR, each
        else:
            assert complete.best is not None, each
            assert complete.best.total == bound == least, each


def test_nothing_is_found_that_is_not_below_the_limit():
    for each in range(60):
        problem = seeded_problem(each, SIZES)
        least = least_total(problem).cost
        if least is not None:
            complete = search(problem)
            assert complete.run(least) == least
            assert complete.best is None


def test_with_orders_looked_at_in_passing_the_bound_still_holds():
    for each in range(120):
        problem = seeded_problem(each, SIZES)
        least = least_total(problem).cost if is_direct(problem) else None
        if least is not None:
            complete = search(problem, effort=SKETCH)
            assert complete.run(FAR) <= least, each
            assert complete.best is not None, each
            assert complete.best.total >= least, each


def test_a_removal_for_room_is_tried_and_done_without():
    def pump(saves: int) -> Problem:
        room = Room("elbow room", strip=((1, saves),))
        return Problem(
            (Opening("pump", (Way("only", 30, 30, rooms=(room,)),)),
             Opening("fan", (Way("only", 5, 5),))),
            goals=(0,),
        )  # fmt: skip

    for saves, ways in ((12, {0: 0, 1: 0}), (8, {0: 0})):
        complete = search(pump(saves))
        complete.run(FAR)
        assert complete.best is not None
        assert complete.best.choices.ways == ways


def test_too_many_selections_are_given_up_on():
    openings = tuple(
        Opening(f"goal {i}", tuple(Way(f"way {w}", 10, 10) for w in range(3))) for i in range(9)
    )
    problem = Problem(openings, goals=tuple(range(9)))
    with pytest.raises(TooMany):
        search(problem, most=1_000).run(FAR)
    with pytest.raises(OutOfWorkUnits):
        search(problem, meter=Meter(1_000)).run(FAR)
