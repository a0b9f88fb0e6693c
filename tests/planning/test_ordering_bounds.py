"""Forced visits, least fares and what visits cost at least."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from tests.planning.ordering_by_steps import least_by_steps, random_task
from witnessmark.planning.ordering_bounds import (
    Fares,
    fares_of,
    least_left,
    price_visits,
    visits,
)
from witnessmark.planning.ordering_task import later_than
from witnessmark.procedure.problem import Changeovers


def mask(*nodes: int) -> int:
    return sum(1 << node for node in nodes)


def chain(count: int) -> list[int]:
    """Give the precedence of nodes that follow one another."""
    return [(1 << node) - 1 for node in range(count)]


def count_visits(there: int, elsewhere: int, earlier: list[int]):
    return visits(there, elsewhere, earlier, later_than(earlier))


def uniform(size: int, fare: int, tool_change: int = 0) -> Fares:
    matrix = tuple(tuple(0 if i == j else fare for j in range(size)) for i in range(size))
    return fares_of(
        Changeovers(tuple(map(str, range(size))), matrix, ("hands", "socket"), tool_change)
    )


def test_a_place_is_come_back_to_after_a_step_elsewhere():
    # Nodes 0 and 2 there, 1 elsewhere, one after the other.
    found = count_visits(mask(0, 2), mask(1), chain(3))
    assert found.left(mask(0, 1, 2)) == 2
    assert found.left(mask(1, 2)) == 1
    assert found.left(0) == 0


def test_a_step_that_may_be_done_there_too_does_not_end_a_visit():
    found = count_visits(mask(0, 2), 0, chain(3))
    assert found.left(mask(0, 1, 2)) == 1


def test_steps_that_need_not_follow_one_another_share_a_visit():
    assert count_visits(mask(0, 2), mask(1), [0, 0, 0]).left(mask(0, 1, 2)) == 1


def test_the_visit_going_on_is_the_first_unless_a_step_elsewhere_comes_before():
    found = count_visits(mask(0, 2), mask(1), chain(3))
    assert found.left_and_spared(mask(0, 1, 2)) == (2, 1)
    assert found.left_and_spared(mask(1, 2)) == (1, 0)
    assert found.left_and_spared(0) == (0, 0)


def test_fares_by_way_of_another_place_count_where_they_are_lower():
    fares = fares_of(Changeovers(("a", "b", "c"), ((0, 1, 9), (1, 0, 1), (9, 1, 0))))
    assert fares.between[0][2] == 2
    assert not fares.direct


def test_straight_is_direct_when_never_dearer_and_staying_is_free():
    assert uniform(3, 5).direct
    staying_costs = fares_of(Changeovers(("a",), ((1,),)))
    assert not staying_costs.direct


def test_visits_to_alike_places_cost_the_fare():
    prices = price_visits({1: 2, 2: 1, 0: 1}, uniform(3, 5))
    assert prices.visit == (5, 5, 5)
    assert prices.standing == (0, 0, 0)


def test_a_near_way_in_used_once_does_not_make_every_visit_cheap():
    # Everything is 1 from the ground, but the ground is left only once: between the two
    # others it costs 6. Three visits each: at least 1 + 5 x 6 + 1, the cheapest fares
    # into each alone would say 7.
    matrix = ((0, 1, 1), (1, 0, 6), (1, 6, 0))
    closed = Fares(matrix, least=1, tool_change=0, direct=True)
    forced = {0: 1, 1: 3, 2: 3}
    prices = price_visits(forced, closed)
    worth = sum(count * prices.visit[p] for p, count in forced.items()) + prices.standing[0]
    assert 7 < worth <= 1 + 5 * 6 + 1


def test_visit_prices_never_exceed_the_cost_of_any_walk():
    for seed in range(200):
        chance = random.Random(seed)
        size = chance.randint(2, 5)
        matrix = [[0 if i == j else chance.randint(0, 9) for j in range(size)] for i in range(size)]
        fares = fares_of(Changeovers(tuple(map(str, range(size))), tuple(map(tuple, matrix))))
        walk = [0] + [chance.randrange(size) for _ in range(8)] + [0]
        moves = [(i, j) for i, j in pairwise(walk) if i != j]
        cost = sum(fares.between[i][j] for i, j in moves)
        entered = [j for _, j in moves]
        forced = {p: chance.randint(0, entered.count(p)) for p in set(entered)}
        prices = price_visits(forced, fares)
        worth = sum(count * prices.visit[p] for p, count in forced.items()) + prices.standing[0]
        assert worth <= cost, seed


@pytest.mark.parametrize(
    ("positions", "tools", "places", "expected"),
    [
        (10, 4, 0, 14),  # two moves, two changes
        (10, 4, 6, 10 + 8),  # six places, two of them by moving: four changes of tool alone
        (0, 0, 5, 10),  # cheapest to change the tool five times
        (5, 0, 3, 5 + 4),
    ],
)
def test_moves_tools_and_places_are_combined(positions, tools, places, expected):
    assert least_left(positions, tools, places, uniform(3, 5, tool_change=2)) == expected


def test_where_moving_is_cheaper_than_changing_tools_more_moves_are_allowed_for():
    # Moves at 1, tool changes at 4: five places by five moves cost 5, not 20.
    assert least_left(0, 0, 5, uniform(3, 1, tool_change=4)) == 5


def test_the_bound_of_random_tasks_with_fares_that_differ_is_kept_to():
    from witnessmark.planning.ordering_reduction import reduce_task
    from witnessmark.planning.ordering_search import Sequencer

    for seed in range(5000, 5200):
        task, changeovers = random_task(random.Random(seed), most=8)
        least = least_by_steps(task, changeovers)
        fares = fares_of(changeovers)
        engine = Sequencer(reduce_task(task, merge=fares.direct).task, fares, changeovers.matrix, 0)
        assert least is None or engine.start().bound <= least, seed
