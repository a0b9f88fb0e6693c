"""The relaxation's parts against their definitions, on random AND/OR problems."""

from __future__ import annotations

import random
from itertools import product

import pytest

from tests.planning.random_problems import seeded_problem
from witnessmark.planning.andor import UNREACHED, Graph, Part, arranged, compact, landmarks, members
from witnessmark.planning.components import strong_components
from witnessmark.planning.landmark_cuts import (
    costs_above,
    costs_through,
    cut_bound,
    dearest_need_costs,
)
from witnessmark.planning.query import Query, graph_of
from witnessmark.planning.relaxation import relax
from witnessmark.planning.relaxed_optimum import Progress, relaxed_optimum
from witnessmark.planning.selection import select
from witnessmark.planning.upper_bound import (
    cheapest_found,
    cost_of_choice,
    follow,
    improved,
    shared_ways,
    stands,
    unshared_prices,
)
from witnessmark.planning.work import Meter, OutOfWorkUnits


def chunks(count: int) -> list[range]:
    """Split seeds, so that several processes can share them."""
    return [range(first, min(first + 100, count)) for first in range(0, count, 100)]


def random_graph(seed: int) -> Graph:
    """Make a small AND/OR problem, often with circles; its last node is the goal."""
    chance = random.Random(seed)
    count = chance.randint(2, 8)
    ways: list[list[int]] = []
    owner: list[int] = []
    needs: list[tuple[int, ...]] = []
    backwards = chance.choice((0.0, 0.1, 0.4))
    for v in range(count):
        ways.append([])
        for _ in range(chance.choice((1, 1, 2, 3))):
            others = range(count) if chance.random() < backwards else range(v)
            wanted = {u for u in others if u != v and chance.random() < 2 / count}
            ways[v].append(len(owner))
            owner.append(v)
            needs.append(tuple(sorted(wanted)))
    ways.append([len(owner)])
    owner.append(count)
    needs.append(tuple(sorted({chance.randrange(count) for _ in range(2)})))
    cost = [chance.choice((0, 1, 2, 3, 7, 20)) for _ in owner[:-1]] + [0]
    return Graph(ways, owner, cost, needs, parts_of(ways, needs))


def parts_of(ways: list[list[int]], needs: list[tuple[int, ...]]) -> list[Part]:
    component = strong_components([[u for w in found for u in needs[w]] for found in ways])
    return arranged(range(len(ways)), component, ways, needs)


def solutions(graph: Graph) -> list[dict[int, int]]:
    """Give every choice of one way per node that reaches the goal, cut to what it needs."""
    found = {}
    nodes = sorted(graph.order)
    for picked in product(*(graph.ways[v] for v in nodes)):
        choice = dict(zip(nodes, picked, strict=True))
        kept: dict[int, int] = {}
        stack = [graph.goal]
        while stack:
            v = stack.pop()
            if v not in kept:
                kept[v] = choice[v]
                stack += graph.needs[choice[v]]
        if reaches(graph, kept):
            found[tuple(sorted(kept.items()))] = kept
    return list(found.values())


def reaches(graph: Graph, choice: dict[int, int]) -> bool:
    """Derive what can be derived, step by step, and see whether that is everything."""
    derived: set[int] = set()
    for _ in choice:
        derived |= {v for v, w in choice.items() if derived.issuperset(graph.needs[w])}
    return derived == set(choice)


def cost(graph: Graph, choice: dict[int, int]) -> int:
    return sum(graph.cost[w] for w in choice.values())


@pytest.mark.parametrize("seeds", chunks(400))
def test_the_optimum_is_the_cheapest_of_all_solutions(seeds):
    for seed in seeds:
        graph = random_graph(seed)
        every = solutions(graph)
        optimum = relaxed_optimum(graph, Meter())
        if not every:
            assert optimum is None
            continue
        assert optimum is not None
        assert optimum.cost == min(cost(graph, choice) for choice in every)
        assert optimum.choice in every
        assert cost(graph, optimum.choice) == optimum.cost
        assert relaxed_optimum(graph, Meter(), cutoff=optimum.cost) is None
        assert relaxed_optimum(graph, Meter(), cutoff=optimum.cost + 1) is not None


@pytest.mark.parametrize("seeds", chunks(400))
def test_landmarks_are_what_cannot_be_done_without(seeds):
    for seed in seeds:
        graph = random_graph(seed)
        found = landmarks(graph, Meter())
        for v in graph.order:
            for u in graph.order:
                without = graph.copy()
                without.ways[u] = []
                reached = landmarks(without, Meter())[v] != UNREACHED
                if found[v] == UNREACHED:
                    assert not reached
                else:
                    assert bool(found[v] >> u & 1) == (not reached)


@pytest.mark.parametrize("seeds", chunks(400))
def test_every_solution_pays_for_every_cut(seeds):
    for seed in seeds:
        graph = random_graph(seed)
        found = landmarks(graph, Meter())
        every = solutions(graph)
        if not every:
            continue
        bound = cut_bound(graph, found, Meter())
        paid = [0] * len(graph.owner)
        for cut in bound.cuts:
            assert cut.paid > 0
            for w in cut.ways:
                paid[w] += cut.paid
            assert all(set(cut.ways) & set(choice.values()) for choice in every)
        assert [c - p for c, p in zip(graph.cost, paid, strict=True)] == bound.residual
        assert min(bound.residual) >= 0
        assert bound.bound == sum(cut.paid for cut in bound.cuts)
        assert bound.bound <= min(cost(graph, choice) for choice in every)


@pytest.mark.parametrize("seeds", chunks(400))
def test_no_solution_with_a_way_costs_less_than_its_chain_and_its_needs(seeds):
    for seed in seeds:
        graph = random_graph(seed)
        every = solutions(graph)
        if not every:
            continue
        bound = cut_bound(graph, landmarks(graph, Meter()), Meter())
        depth = dearest_need_costs(graph, bound.residual, Meter())
        above = costs_above(graph, bound.residual, Meter())
        for choice in every:
            for v, w in choice.items():
                needs = max((depth[u] for u in graph.needs[w]), default=0)
                least = bound.bound + above[v] + bound.residual[w] + needs
                assert cost(graph, choice) >= least


@pytest.mark.parametrize("seeds", chunks(400))
def test_no_solution_costs_less_than_is_said_of_its_ways_whatever_else_it_holds(seeds):
    for seed in seeds:
        graph = random_graph(seed)
        if not solutions(graph):
            continue
        besides = seed % graph.goal
        found = landmarks(graph, Meter())
        least = costs_through(graph, found, Meter(), [besides])
        holding_both = graph.copy()
        holding_both.needs[-1] = (*graph.needs[-1], besides)
        for choice in [*solutions(graph), *solutions(holding_both)]:
            assert cost(graph, choice) >= max(least[w] for w in choice.values())


@pytest.mark.parametrize("seeds", chunks(400))
def test_what_is_found_fast_is_a_solution(seeds):
    for seed in seeds:
        graph = random_graph(seed)
        every = solutions(graph)
        if not every:
            continue
        bound = cut_bound(graph, landmarks(graph, Meter()), Meter())
        price, ways = unshared_prices(graph, graph.cost, Meter())
        unshared = follow(graph, ways)
        assert unshared in every
        assert price[graph.goal] >= cost(graph, unshared)
        assert follow(graph, shared_ways(graph, graph.cost, Meter())) in every
        found, choice = cheapest_found(graph, bound.residual, Meter())
        assert choice in every
        assert found == cost_of_choice(graph, choice)
        better, changed = improved(graph, unshared, Meter())
        assert changed in every
        assert better == cost(graph, changed) <= cost(graph, unshared)


def test_a_solution_that_rests_on_itself_does_not_stand():
    # Node 0 by node 1 and node 1 by node 0, or each by itself.
    ways, owner = [[0, 1], [2, 3], [4]], [0, 0, 1, 1, 2]
    needs: list[tuple[int, ...]] = [(1,), (), (0,), (), (0, 1)]
    graph = Graph(ways, owner, [0] * 5, needs, parts_of(ways, needs))
    circle = graph.circle_numbers()
    assert not stands(graph, {0: 0, 1: 2, 2: 4}, circle)
    assert stands(graph, {0: 1, 1: 2, 2: 4}, circle)


def test_parts_put_needs_first_and_keep_circles_together():
    # 0 and 2 need each other, 1 needs 2, 3 needs itself, 4 needs 1 and 3.
    ways = [[v] for v in range(5)]
    needs: list[tuple[int, ...]] = [(2,), (2,), (0,), (3,), (1, 3)]
    assert [(sorted(part.nodes), part.circular) for part in parts_of(ways, needs)] == [
        ([0, 2], True),
        ([1], False),
        ([3], True),
        ([4], False),
    ]


def test_what_might_stand_in_a_circle_and_does_not_is_settled_in_one_go():
    parts = arranged([1, 0, 2], [0, 0, 1], [[0], [1], [2]], [(1,), (), (0,)])
    assert parts == [Part([1, 0, 2], circular=False)]


@pytest.mark.parametrize("seeds", chunks(200))
def test_components_are_the_circles_of_reachability(seeds):
    for seed in seeds:
        chance = random.Random(seed)
        count = chance.randint(1, 9)
        out = [[u for u in range(count) if chance.random() < 1.5 / count] for _ in range(count)]
        reach = [{v} for v in range(count)]
        for _ in range(count):
            reach = [set().union(here, *(reach[u] for u in out[v])) for v, here in enumerate(reach)]
        part = strong_components(out)
        for v, u in product(range(count), repeat=2):
            assert (part[v] == part[u]) == (u in reach[v] and v in reach[u])
            if u in reach[v]:
                assert part[u] <= part[v]


@pytest.mark.parametrize("seeds", chunks(100))
def test_new_numbers_change_nothing(seeds):
    for seed in seeds:
        graph = random_graph(seed)
        small, names, labels = compact(graph)
        first, second = relaxed_optimum(graph, Meter()), relaxed_optimum(small, Meter())
        assert (first is None) == (second is None)
        if first is not None and second is not None:
            assert first.cost == second.cost
            assert (
                cost(graph, {names[v]: labels[w] for v, w in second.choice.items()}) == first.cost
            )


@pytest.mark.parametrize("seeds", chunks(300))
def test_the_relaxation_never_costs_more_than_the_best_selection(seeds):
    for seed in seeds:
        problem = seeded_problem(seed)
        relaxation = relax(problem)
        meter = Meter()
        graph = graph_of(Query(relaxation, relaxation.struck, relaxation.goals), meter)
        optimum = relaxed_optimum(graph, meter)
        found = select(problem)
        if found.cost is not None:
            assert optimum is not None
            assert optimum.cost <= found.cost


def test_members_are_listed_lowest_first():
    assert members(0b101001) == [0, 3, 5]
    assert members(0) == []


def hitting_set(seed: int, size: int = 40) -> Graph:
    """Make a problem of many goals, each by one of three shared needs: hard on bounds."""
    chance = random.Random(seed)
    ways = [[v] for v in range(size)]
    owner = list(range(size))
    needs: list[tuple[int, ...]] = [()] * size
    for goal in range(size, 3 * size):
        ways.append([])
        for u in chance.sample(range(size), 3):
            ways[goal].append(len(owner))
            owner.append(goal)
            needs.append((u,))
    ways.append([len(owner)])
    owner.append(3 * size)
    needs.append(tuple(range(size, 3 * size)))
    costs = [chance.randint(20, 40) for _ in range(size)] + [0] * (len(owner) - size)
    return Graph(ways, owner, costs, needs, parts_of(ways, needs))


def test_progress_holds_a_bound_and_a_solution_when_the_work_runs_out():
    graph = hitting_set(1, 25)
    progress = Progress()
    with pytest.raises(OutOfWorkUnits):
        relaxed_optimum(graph, Meter(5_000), progress=progress)
    assert progress.best is not None
    assert reaches(graph, progress.best.choice)
    assert cost(graph, progress.best.choice) == progress.best.cost
    optimum = relaxed_optimum(graph, Meter())
    assert optimum is not None
    assert 0 < progress.bound <= optimum.cost <= progress.best.cost
