"""Precedence as masks: closing it, adding to it, and deciding forks."""

from __future__ import annotations

from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from witnessmark.planning.ordering_task import (
    Fork,
    Task,
    close_over,
    decide,
    direct_only,
    later_than,
    members,
    narrow,
    settle,
)
from witnessmark.procedure.problem import ANYWHERE


def mask(*nodes: int) -> int:
    return sum(1 << node for node in nodes)


def task(before: list[int], *forks: tuple[int, int, int]) -> Task:
    anywhere = (ANYWHERE,) * len(before)
    return Task(anywhere, anywhere, tuple(before), tuple(Fork(*fork) for fork in forks))


@st.composite
def arcs_among(draw, most=6, *, circles=True):
    count = draw(st.integers(1, most))
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1))
    arcs = draw(st.lists(pairs, max_size=10))
    if not circles:
        arcs = [(min(pair), max(pair)) for pair in arcs if pair[0] != pair[1]]
    return count, arcs


@st.composite
def tasks_with_forks(draw):
    count, arcs = draw(arcs_among())
    before = [0] * count
    for first, then in arcs:
        before[then] |= 1 << first
    triples = st.permutations(range(count)).map(lambda nodes: tuple(nodes[:3]))
    forks = draw(st.lists(triples, max_size=3)) if count >= 3 else []
    for _, opened, closed in forks:
        before[closed] |= 1 << opened
    return task(before, *forks)


def keeps(order: tuple[int, ...], wanted: Task) -> bool:
    at = {node: i for i, node in enumerate(order)}
    return all(
        at[first] < at[then] for then in order for first in members(wanted.earlier[then])
    ) and all(
        at[fork.block] < at[fork.opened] or at[fork.closed] < at[fork.block]
        for fork in wanted.forks
    )


def orders_by_trying_all(wanted: Task) -> list[tuple[int, ...]]:
    return [order for order in permutations(range(len(wanted))) if keeps(order, wanted)]


def test_what_comes_before_through_others_is_added():
    assert close_over([0, mask(0), mask(1)]) == [0, mask(0), mask(0, 1)]


def test_a_circle_has_no_closed_precedence():
    assert close_over([mask(2), mask(0), mask(1)]) is None
    assert close_over([mask(0)]) is None


def test_what_follows_from_the_rest_is_left_out():
    assert direct_only([0, mask(0), mask(0, 1)]) == [0, mask(0), mask(1)]


@given(arcs_among(circles=False))
def test_closing_and_leaving_out_are_inverse(drawn):
    count, arcs = drawn
    before = [0] * count
    for first, then in arcs:
        before[then] |= 1 << first
    earlier = close_over(before)
    assert earlier is not None
    assert close_over(direct_only(earlier)) == earlier


@given(arcs_among(circles=False))
def test_later_is_earlier_seen_from_the_other_side(drawn):
    count, arcs = drawn
    before = [0] * count
    for first, then in arcs:
        before[then] |= 1 << first
    earlier = close_over(before)
    later = later_than(earlier)
    for one in range(count):
        for other in range(count):
            assert (earlier[one] >> other & 1) == (later[other] >> one & 1)


@given(arcs_among(), arcs_among())
def test_arcs_added_later_are_as_good_as_arcs_there_at_first(drawn, added):
    count, arcs = drawn
    more = [(first, then) for first, then in added[1] if max(first, then) < count]
    before = [0] * count
    for first, then in arcs:
        before[then] |= 1 << first
    closed = close_over(before)
    for first, then in more:
        before[then] |= 1 << first
    expected = close_over(before)
    if closed is None:
        assert expected is None
        return
    narrowed = narrow(task(closed), more)
    assert (None if narrowed is None else list(narrowed.earlier)) == expected


def test_a_fork_with_one_side_left_is_settled():
    # The opening (1, closed by 2) is needed by something before the block 0.
    settled = settle(task([mask(1), 0, mask(1)], (0, 1, 2)))
    assert settled is not None
    assert settled.forks == ()
    assert settled.earlier[0] == mask(1, 2)


def test_a_fork_that_closes_a_circle_either_way_has_no_order():
    # Open before the block, and closed only after it.
    assert settle(task([mask(1), 0, mask(0, 1)], (0, 1, 2))) is None


def test_a_fork_nothing_speaks_to_stays_open_until_decided():
    settled = settle(task([0, 0, mask(1)], (0, 1, 2)))
    assert settled is not None
    assert settled.forks == (Fork(0, 1, 2),)
    decided = decide(settled)
    assert decided is not None
    assert not decided.forks


@given(tasks_with_forks())
def test_an_order_is_found_if_and_only_if_there_is_one(wanted):
    orders = orders_by_trying_all(wanted)
    settled = settle(wanted)
    decided = decide(settled) if settled is not None else None
    assert (decided is not None) == bool(orders)
    if decided is not None:
        assert any(keeps(order, decided) for order in orders)


@given(tasks_with_forks())
def test_settling_loses_no_order(wanted):
    settled = settle(wanted)
    kept = orders_by_trying_all(settled) if settled is not None else []
    assert kept == orders_by_trying_all(wanted)
