"""The search for the least change-overs, against one that takes every step singly."""

from __future__ import annotations

import random

import pytest

from tests.planning.ordering_by_steps import least_by_steps, random_task
from witnessmark.planning.ordering_bounds import fares_of
from witnessmark.planning.ordering_reduction import reduce_task
from witnessmark.planning.ordering_search import Sequencer
from witnessmark.planning.ordering_task import Fork, Task, settle
from witnessmark.procedure.problem import ANYWHERE, Changeovers

ENOUGH = 1_000_000
FAR = 10_000


def sequencer(task: Task, changeovers: Changeovers, *, merge: bool | None = None) -> Sequencer:
    fares = fares_of(changeovers)
    reduced = reduce_task(task, merge=fares.direct if merge is None else merge)
    return Sequencer(reduced.task, fares, changeovers.matrix, refits=0)


def two_places(tool_change: int = 2, fare: int = 5) -> Changeovers:
    return Changeovers(
        ("ground", "front", "under"),
        ((0, fare, fare), (fare, 0, fare), (fare, fare, 0)),
        ("bare hands", "socket", "key"),
        tool_change,
    )


def test_all_that_can_be_done_at_a_place_is_done_on_one_visit():
    # front, under, front with nothing to wait for: front is visited once.
    task = Task((1, 2, 1), (0, 0, 0), (0, 0, 0))
    found = sequencer(task, two_places()).best_first(FAR, ENOUGH)
    assert found.bound == 15
    assert found.state is not None
    assert found.state.cost == 15


def test_precedence_forces_a_second_visit():
    task = Task((1, 2, 1), (0, 0, 0), (0, 0b1, 0b11))
    assert sequencer(task, two_places()).best_first(FAR, ENOUGH).bound == 20


def test_a_tool_is_kept_from_place_to_place():
    # The socket at the front and under: taken up once, put down once.
    task = Task((1, 2), (1, 1), (0, 0))
    assert sequencer(task, two_places()).best_first(FAR, ENOUGH).bound == 15 + 2 * 2


def test_steps_that_may_be_done_anywhere_cost_nothing():
    task = Task((ANYWHERE, 1, ANYWHERE), (ANYWHERE, 1, ANYWHERE), (0, 0b1, 0b10))
    assert sequencer(task, two_places()).best_first(FAR, ENOUGH).bound == 10 + 4


def test_a_block_before_an_opening_or_after_it_whichever_is_cheaper():
    # The block (0) and the opening (1, closed by 2) at the front, 3 under in between.
    task = settle(Task((1, 1, 1, 2), (0, 0, 0, 0), (0, 0, 0b1010, 0b10), (Fork(0, 1, 2),)))
    assert task is not None
    changeovers = two_places()
    found = sequencer(task, changeovers).best_first(FAR, ENOUGH)
    assert found.bound == least_by_steps(task, changeovers) == 20


def test_where_straight_is_dearer_a_step_on_the_way_is_worth_going_by():
    # Ground to under costs 9 straight, 2 by way of the front, where a step waits anyway.
    changeovers = Changeovers(
        ("ground", "front", "under"), ((0, 1, 9), (1, 0, 1), (9, 1, 0)), ("hands",), 0
    )
    task = Task((1, 1, 2), (0, 0, 0), (0, 0, 0))
    found = sequencer(task, changeovers).best_first(FAR, ENOUGH)
    assert found.bound == least_by_steps(task, changeovers) == 1 + 1 + 1 + 1


@pytest.mark.parametrize("seed", range(0, 600, 20))
def test_the_best_order_costs_what_single_steps_find(seed):
    for each in range(seed, seed + 20):
        task, changeovers = random_task(random.Random(each))
        least = least_by_steps(task, changeovers)
        found = sequencer(task, changeovers).best_first(FAR, ENOUGH)
        if least is None:
            assert found.state is None, each
        else:
            assert found.state is not None, each
            assert found.state.cost == found.bound == least, each


@pytest.mark.parametrize("seed", range(6000, 6600, 30))
def test_blocks_that_want_things_shut_are_seen_to_at_least_cost(seed):
    for each in range(seed, seed + 30):
        task, changeovers = random_task(random.Random(each), most=8, forks_tried=6)
        least = least_by_steps(task, changeovers)
        found = sequencer(task, changeovers).best_first(FAR, ENOUGH)
        assert (None if found.state is None else found.bound) == least, each


@pytest.mark.parametrize("seed", range(1000, 1300, 20))
def test_merging_loses_no_best_order(seed):
    for each in range(seed, seed + 20):
        task, changeovers = random_task(random.Random(each), most=12)
        if fares_of(changeovers).direct:
            merged = sequencer(task, changeovers, merge=True).best_first(FAR, ENOUGH)
            whole = sequencer(task, changeovers, merge=False).best_first(FAR, ENOUGH)
            assert merged.bound == whole.bound, each


@pytest.mark.parametrize("seed", range(2000, 2300, 20))
def test_a_search_cut_short_never_promises_too_much(seed):
    for each in range(seed, seed + 20):
        task, changeovers = random_task(random.Random(each))
        least = least_by_steps(task, changeovers)
        if least is None:
            continue
        engine = sequencer(task, changeovers)
        assert engine.start().bound <= least, each
        for most in (0, 3, 10):
            assert engine.best_first(least + 1, most).bound <= least, each


@pytest.mark.parametrize("width", [1, 3])
def test_a_sketch_is_an_order_and_no_cheaper_than_the_best(width):
    for each in range(3000, 3150):
        task, changeovers = random_task(random.Random(each))
        least = least_by_steps(task, changeovers)
        state = sequencer(task, changeovers).beam(width, ENOUGH).state
        if least is None:
            assert state is None, each
        elif state is not None:
            assert state.cost >= least, each
        else:
            assert task.forks, "only forks can lead a sketch into a dead end"


def test_every_bound_along_a_best_order_is_kept_to():
    for each in range(4000, 4120):
        task, changeovers = random_task(random.Random(each))
        found = sequencer(task, changeovers).best_first(FAR, ENOUGH)
        state = found.state
        while state is not None:
            assert state.bound <= found.bound, each
            state = state.came_from
