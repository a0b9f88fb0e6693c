"""Good solutions of an AND/OR problem, fast: the upper bound.

Each node is priced, the cheapest way of each is noted, and following these ways from the
goal gives a solution; then one way at a time is changed while that gains. Prices either
take each need in full (fast, but what two needs share is counted twice) or count the union
of what the needs rest on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from operator import itemgetter

from witnessmark.planning.andor import Graph, members
from witnessmark.planning.landmark_cuts import INFINITE
from witnessmark.planning.work import Meter


def unshared_prices(graph: Graph, cost: Sequence[int], meter: Meter) -> tuple[list[int], list[int]]:
    """Price each node with nothing shared; give the prices and the cheapest ways.

    Following the cheapest ways never goes in circles, whatever costs nothing: a way is
    only preferred when all its needs have been reached before.
    """
    price = [INFINITE] * len(graph.ways)
    best = [-1] * len(graph.ways)
    needs = graph.needs
    for nodes, circular in graph.parts:
        changed = True
        while changed:
            changed = False
            meter.spend(len(nodes))
            for v in nodes:
                for w in graph.ways[v]:
                    total = cost[w]
                    for u in needs[w]:
                        total += price[u]
                    if total < price[v]:
                        price[v] = total
                        best[v] = w
                        changed = circular
    return price, best


def shared_ways(graph: Graph, cost: Sequence[int], meter: Meter) -> list[int]:
    """Give the cheapest way of each node when what its needs share is counted once.

    References
    ----------
    .. [1] E. Keyder, H. Geffner, "Heuristics for planning with action costs revisited",
       ECAI 2008, pp. 588-592 (the set-additive heuristic).
    """
    best = [-1] * len(graph.ways)
    price = [INFINITE] * len(graph.ways)
    rests = [0] * len(graph.ways)
    for nodes, circular in graph.parts:
        changed = True
        while changed:
            changed = False
            meter.spend(4 * len(nodes))
            for v in nodes:
                if best[v] >= 0:
                    continue
                for w in graph.ways[v]:
                    needs = sorted(graph.needs[w], key=price.__getitem__, reverse=True)
                    if needs and price[needs[0]] == INFINITE:
                        continue
                    total, union = cost[w], 0
                    if needs:
                        total += price[needs[0]]
                        union = rests[needs[0]]
                    for u in needs[1:]:
                        total += sum([cost[best[x]] for x in members(rests[u] & ~union)])
                        union |= rests[u]
                    if total < price[v]:
                        price[v], best[v], rests[v] = total, w, union | 1 << v
                        changed = circular
    return best


def follow(graph: Graph, best: Mapping[int, int] | Sequence[int]) -> dict[int, int]:
    """Follow one way per node from the goal; give the nodes met and their ways."""
    chosen: dict[int, int] = {}
    stack = [graph.goal]
    while stack:
        v = stack.pop()
        if v in chosen:
            continue
        w = best[v]
        chosen[v] = w
        stack += graph.needs[w]
    return chosen


def cost_of_choice(graph: Graph, chosen: Mapping[int, int]) -> int:
    """Add up a solution, each way once."""
    cost = graph.cost
    return sum([cost[w] for w in chosen.values()])


def stands(graph: Graph, chosen: Mapping[int, int], circle: Sequence[int]) -> bool:
    """Tell whether a solution rests on nothing but itself, without circles.

    `circle` numbers the circular part of each node (`Graph.circle_numbers`).
    """
    within = {v: w for v, w in chosen.items() if circle[v]}
    waiting: dict[int, int] = {}
    users: dict[int, list[int]] = {}
    for v, w in within.items():
        needs = [u for u in graph.needs[w] if circle[u] == circle[v]]
        waiting[v] = len(needs)
        for u in needs:
            users.setdefault(u, []).append(v)
    ready = [v for v, count in waiting.items() if not count]
    for v in ready:
        for user in users.get(v, ()):
            waiting[user] -= 1
            if not waiting[user]:
                ready.append(user)
    return len(ready) == len(within)


def cheapest_found(
    graph: Graph, residual: Sequence[int], meter: Meter
) -> tuple[int, dict[int, int]]:
    """Give the best solution found from several starts, with its cost.

    Parameters
    ----------
    graph : Graph
        The problem.
    residual : Sequence[int]
        What each way still costs after the lower bound; a solution that uses what
        costs nothing is close to it.
    meter : Meter
        Where work is counted.
    """
    _, unshared = unshared_prices(graph, residual, meter)
    shared = shared_ways(graph, graph.cost, meter)
    starts = [follow(graph, ways) for ways in (unshared, shared)]
    return min([improved(graph, chosen, meter) for chosen in starts], key=itemgetter(0))


def quickly_found(
    graph: Graph, residual: Sequence[int], meter: Meter
) -> tuple[int, dict[int, int]]:
    """Give one solution close to the lower bound, with its cost."""
    _, ways = unshared_prices(graph, residual, meter)
    chosen = follow(graph, ways)
    return cost_of_choice(graph, chosen), chosen


def improved(graph: Graph, chosen: dict[int, int], meter: Meter) -> tuple[int, dict[int, int]]:
    """Change one way at a time while that makes a solution cheaper.

    Changes are tried in the order of what they seem to gain: what only this node needs
    is saved, what the other way needs is paid for unless the solution has it already.
    """
    cost = cost_of_choice(graph, chosen)
    circle = graph.circle_numbers()
    gained = True
    while gained:
        gained = False
        changes, ways = _changes(graph, chosen, meter)
        for v, w in changes:
            if v not in chosen:
                continue
            meter.spend(len(chosen))
            before, ways[v] = ways[v], w
            other = follow(graph, ways)
            other_cost = cost_of_choice(graph, other)
            if other_cost < cost and stands(graph, other, circle):
                cost, chosen, gained = other_cost, other, True
            else:
                ways[v] = before
    return cost, chosen


def _changes(
    graph: Graph, chosen: dict[int, int], meter: Meter
) -> tuple[list[tuple[int, int]], list[int]]:
    """List changes (node, way) that seem to gain, best first; and the ways of all nodes.

    Nodes outside the solution have the way that adds least to it.
    """
    known = list(graph.cost)
    for w in chosen.values():
        known[w] = 0
    price, ways = unshared_prices(graph, known, meter)
    alone = _costs_alone(graph, chosen)
    meter.spend(2 * len(chosen))
    changes = []
    for v, chosen_way in chosen.items():
        ways[v] = chosen_way
        if len(graph.ways[v]) > 1:
            for w in graph.ways[v]:
                gain = alone[v] - graph.cost[w] - sum([price[u] for u in graph.needs[w]])
                if gain > 0 and w != chosen_way:
                    changes.append((-gain, v, w))
    changes.sort()
    return [(v, w) for _, v, w in changes], ways


def _costs_alone(graph: Graph, chosen: Mapping[int, int]) -> dict[int, int]:
    """Give for each node of a solution what goes if it goes: all that only it rests on.

    That is what it dominates: what every path from the goal reaches through it.
    """
    users: dict[int, list[int]] = {v: [] for v in chosen}
    for v, w in chosen.items():
        for u in graph.needs[w]:
            users[u].append(v)
    left = {v: len(using) for v, using in users.items()}
    order = [graph.goal]
    above = {graph.goal: 1}
    """Places in `order` that every path from the goal to a node passes, its own included."""
    nearest = {graph.goal: 0}
    for place, v in enumerate(order):
        if place:
            passed = -1
            for user in users[v]:
                passed &= above[user]
            above[v] = passed | 1 << place
            nearest[v] = passed.bit_length() - 1
        for u in graph.needs[chosen[v]]:
            left[u] -= 1
            if not left[u]:
                order.append(u)
    alone = {v: graph.cost[chosen[v]] for v in order}
    for v in reversed(order[1:]):
        alone[order[nearest[v]]] += alone[v]
    return alone
