"""Tightening and slackening orders, passes and stages."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.engineering.fastening.orders import (
    Spot,
    cross_order,
    cross_sequence,
    is_ring,
    ring_order,
    slackening_order,
    spiral_order,
    tightening_order,
)
from witnessmark.engineering.fastening.passes import (
    FLANGE_SHARES,
    slackening_passes,
    tightening_passes,
)
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.tightness import read_tightness


def _ring(count: int, radius: float = 60.0, turn: float = 0.0, wobble=()) -> tuple[Spot, ...]:
    shifts = list(wobble) or [0.0] * count
    return tuple(
        Spot(
            str(i + 1),
            radius * math.cos(2 * math.pi * (i + shifts[i]) / count + turn),
            radius * math.sin(2 * math.pi * (i + shifts[i]) / count + turn),
        )
        for i in range(count)
    )


def _avoidable(count: int) -> bool:
    """By trying every order: can a ring be gone over with no two neighbours in a row?"""
    return any(
        all((b - a) % count not in {1, count - 1} for a, b in itertools.pairwise(order))
        for order in itertools.permutations(range(count))
    )


@pytest.mark.parametrize("count", range(2, 8))
def test_neighbours_follow_each_other_only_where_trying_every_order_finds_no_way_out(
    count,
) -> None:
    sequence = cross_sequence(count)
    follows = any((b - a) % count in {1, count - 1} for a, b in itertools.pairwise(sequence))
    assert follows is not _avoidable(count)


@given(st.integers(1, 200))
def test_a_cross_names_each_place_once_and_from_five_on_never_two_neighbours(count) -> None:
    sequence = cross_sequence(count)
    assert sorted(sequence) == list(range(count))
    if count >= 5:
        assert all((b - a) % count not in {1, count - 1} for a, b in itertools.pairwise(sequence))


@given(st.integers(1, 40))
def test_a_ring_with_an_even_count_goes_straight_across(count) -> None:
    sequence = cross_sequence(2 * count)
    for one, other in zip(sequence[::2], sequence[1::2], strict=True):
        assert (other - one) % (2 * count) == count


@given(st.integers(5, 40), st.floats(-3.0, 3.0), st.randoms(use_true_random=False), st.data())
def test_an_uneven_ring_is_still_gone_over_across(count, turn, shuffle, data) -> None:
    wobble = data.draw(st.lists(st.floats(-0.2, 0.2), min_size=count, max_size=count))
    spots = list(_ring(count, turn=turn, wobble=wobble))
    shuffle.shuffle(spots)
    order = tightening_order(tuple(spots))
    assert order.pattern == "cross"
    assert sorted(order.names, key=int) == [str(n) for n in range(1, count + 1)]
    assert order.names[0] == spots[0].name
    for one, other in itertools.pairwise(order.names):
        assert (int(one) - int(other)) % count not in {1, count - 1}


points = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=1, max_size=30, unique=True
)


@given(points)
def test_any_group_of_holes_gets_each_name_once_both_ways(places) -> None:
    spots = tuple(Spot(f"h{i}", 10.0 * x, 10.0 * y) for i, (x, y) in enumerate(places))
    order = tightening_order(spots)
    assert sorted(order.names) == sorted(s.name for s in spots)
    assert slackening_order(spots).names == order.names[::-1]


@given(points)
def test_a_spiral_never_comes_back_towards_the_middle(places) -> None:
    spots = tuple(Spot(f"h{i}", 10.0 * x, 10.0 * y) for i, (x, y) in enumerate(places))
    middle = [(min(c) + max(c)) / 2 for c in zip(*((s.x, s.y) for s in spots), strict=True)]
    by_name = {s.name: math.hypot(s.x - middle[0], s.y - middle[1]) for s in spots}
    far = max(by_name.values())
    reached = 0.0
    for name in spiral_order(spots):
        assert by_name[name] >= reached - 0.02 * far - 1e-9
        reached = max(reached, by_name[name])


def test_a_cylinder_head_begins_in_the_middle_and_ends_at_the_corners() -> None:
    """General engine practice: middle pair first, outwards, side to side."""
    head = tuple(
        Spot(f"{row}{column}", 95.0 * column, {"a": 0.0, "b": 80.0}[row])
        for column in range(1, 6)
        for row in "ab"
    )
    order = tightening_order(head)
    assert order.pattern == "spiral"
    assert set(order.names[:2]) == {"a3", "b3"}
    assert set(order.names[2:6]) == {"a2", "b2", "a4", "b4"}
    assert set(order.names[6:]) == {"a1", "b1", "a5", "b5"}
    rows = [name[0] for name in order.names]
    assert rows.count("a") == rows.count("b")
    assert slackening_order(head).names[-1] == order.names[0]


def test_a_row_of_bolts_goes_out_from_the_middle_to_both_ends() -> None:
    row = tuple(Spot(str(n), 50.0 * n, 0.0) for n in range(1, 6))
    assert tightening_order(row).names == ("3", "2", "4", "1", "5")


def test_four_on_a_rectangle_go_cornerwise() -> None:
    corners = (Spot("a", 0, 0), Spot("b", 100, 0), Spot("c", 100, 60), Spot("d", 0, 60))
    assert tightening_order(corners).names == ("a", "c", "b", "d")
    assert ring_order(corners) == ("a", "b", "c", "d")


def test_what_is_a_ring_and_what_is_not() -> None:
    assert is_ring(_ring(8))
    assert is_ring(_ring(3))
    assert not is_ring(_ring(8)[:4])
    assert not is_ring((Spot("a", 0, 0), Spot("b", 1, 0)))
    grid = tuple(Spot(f"{x}{y}", x, y) for x in range(3) for y in range(3))
    assert not is_ring(grid)
    assert spiral_order(grid)[0] == "11"


def test_the_makers_order_outranks_everything() -> None:
    spots = _ring(6)
    given_order = ("1", "2", "3", "4", "5", "6")
    order = tightening_order(spots, given_order)
    assert (order.names, order.pattern) == (given_order, "given")
    own_slackening = ("6", "1", "5", "2", "4", "3")
    assert slackening_order(spots, own_slackening).names == own_slackening


@pytest.mark.parametrize(
    ("spots", "given_order", "says"),
    [
        ((), None, "no holes"),
        ((Spot("a", 0, 0), Spot("a", 1, 0)), None, "same name"),
        ((Spot("a", 0, 0), Spot("b", 0, 0)), None, "same place"),
        ((Spot("a", 0, 0), Spot("b", 1, 0)), ("a",), "each hole once"),
        ((Spot("a", 0, 0), Spot("b", 1, 0)), ("a", "a"), "each hole once"),
    ],
)
def test_groups_that_cannot_be_are_refused(spots, given_order, says) -> None:
    with pytest.raises(RefusalError, match=says):
        tightening_order(spots, given_order)


def test_flange_passes_rise_and_end_with_a_round_until_nothing_moves() -> None:
    """Gasket maker procedure: 30, 60, 100 %, then round until no nut moves."""
    spots = _ring(8)
    order = tightening_order(spots)
    passes = tightening_passes(
        order, read_tightness("60 N·m"), shares=FLANGE_SHARES, last_round=ring_order(spots)
    )
    assert [p.torque for p in passes] == pytest.approx([18.0, 36.0, 60.0, 60.0])
    assert [p.number for p in passes] == [1, 2, 3, 4]
    assert [p.again for p in passes] == [False, False, False, True]
    assert passes[0].words == "30% of 60 N·m"
    assert passes[3].names == tuple(str(n) for n in range(1, 9))
    assert all(p.names == order.names for p in passes[:3])


def test_every_stage_is_done_on_every_bolt_before_the_next() -> None:
    order = tightening_order(_ring(6))
    passes = tightening_passes(order, read_tightness("20 N·m + 40 N·m + 90° + 90°"))
    assert [(p.torque, p.angle) for p in passes] == [
        (20.0, None), (40.0, None), (None, 90.0), (None, 90.0),
    ]  # fmt: skip
    assert all(sorted(p.names) == sorted(order.names) for p in passes)
    assert passes[2].words == "a further 90°"


def test_passes_that_cannot_be_are_refused() -> None:
    order = tightening_order(_ring(6))
    with pytest.raises(RefusalError, match="has no torque"):
        tightening_passes(order, read_tightness("seated"))
    with pytest.raises(RefusalError, match="do not rise to 1"):
        tightening_passes(order, read_tightness("60 N·m"), shares=(0.6, 0.3, 1.0))
    with pytest.raises(RefusalError, match="cannot follow an angle"):
        tightening_passes(order, read_tightness("60 N·m + 90°"), last_round=order.names)


def test_slackening_goes_backwards_a_bit_at_a_time() -> None:
    order = slackening_order(_ring(6))
    passes = slackening_passes(order)
    assert [p.angle for p in passes] == [-90.0, -180.0, None]
    assert all(p.names == order.names for p in passes)
    assert cross_order(_ring(6))[::-1] == order.names
