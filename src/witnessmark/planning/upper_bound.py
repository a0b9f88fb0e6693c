"""Good solutions of an AND/OR problem, fast: the upper bound.

Each node is priced as if nothing were shared (cost of a way plus the prices of all its
needs); following the cheapest ways from the goal gives a solution, whose cost counts
everything shared once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from witnessmark.planning.andor import Graph
from witnessmark.planning.landmark_cuts import INFINITE
from witnessmark.planning.work import Meter


def unshared_prices(graph: Graph, cost: Sequence[int]) -> tuple[list[int], list[int]]:
    """Price each node with nothing shared; give the prices and the cheapest ways.

    Following the cheapest ways never goes in circles, whatever costs nothing: a way is
    only preferred when all its needs have been reached before.
    """
    price = [INFINITE] * len(graph.ways)
    best = [-1] * len(graph.ways)
    changed = True
    while changed:
        changed = False
        for v in graph.order:
            for w in graph.ways[v]:
                total = cost[w]
                for u in graph.needs[w]:
                    total += price[u]
                if total < price[v]:
                    price[v] = total
                    best[v] = w
                    changed = True
        if not graph.circular:
            break
    return price, best


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


def stands(graph: Graph, chosen: Mapping[int, int]) -> bool:
    """Tell whether a solution rests on nothing but itself, without circles."""
    if not graph.circular:
        return True
    waiting = {v: len(graph.needs[w]) for v, w in chosen.items()}
    users: dict[int, list[int]] = {}
    for v, w in chosen.items():
        for u in graph.needs[w]:
            users.setdefault(u, []).append(v)
    ready = [v for v, count in waiting.items() if not count]
    for v in ready:
        for user in users.get(v, ()):
            waiting[user] -= 1
            if not waiting[user]:
                ready.append(user)
    return len(ready) == len(chosen)


def cheapest_found(
    graph: Graph, guides: Sequence[Sequence[int]], meter: Meter
) -> tuple[int, dict[int, int]]:
    """Give the best solution some cost guides and small changes lead to, with its cost."""
    best_cost = INFINITE
    best_choice: dict[int, int] = {}
    for guide in guides:
        _, ways = unshared_prices(graph, guide)
        cost, choice = improved(graph, follow(graph, ways), meter)
        if cost < best_cost:
            best_cost, best_choice = cost, choice
    return best_cost, best_choice


def improved(graph: Graph, chosen: dict[int, int], meter: Meter) -> tuple[int, dict[int, int]]:
    """Change one way at a time while that makes a solution cheaper.

    Changes are tried in the order of what they seem to gain: what only this node needs
    is saved, what the other way needs is paid for unless the solution has it already.
    """
    cost = cost_of_choice(graph, chosen)
    gained = True
    while gained:
        gained = False
        meter.spend(4 * len(graph.order))
        for _, v, w, ways in _changes(graph, chosen):
            meter.spend(len(chosen))
            ways[v] = w
            other = follow(graph, ways)
            other_cost = cost_of_choice(graph, other)
            if other_cost < cost and stands(graph, other):
                cost, chosen, gained = other_cost, other, True
                break
            ways[v] = chosen[v]
    return cost, chosen


def _changes(graph: Graph, chosen: dict[int, int]) -> list[tuple[int, int, int, list[int]]]:
    """List changes that seem to gain: gain (negative), node, way, ways of all nodes."""
    known = list(graph.cost)
    for w in chosen.values():
        known[w] = 0
    price, ways = unshared_prices(graph, known)
    for v, w in chosen.items():
        ways[v] = w
    alone = _costs_alone(graph, chosen)
    changes = []
    for v, chosen_way in chosen.items():
        if len(graph.ways[v]) > 1:
            for w in graph.ways[v]:
                if w != chosen_way:
                    gain = alone[v] - graph.cost[w] - sum([price[u] for u in graph.needs[w]])
                    if gain > 0:
                        changes.append((-gain, v, w, ways))
    changes.sort(key=lambda change: change[:3])
    return changes


def _costs_alone(graph: Graph, chosen: Mapping[int, int]) -> dict[int, int]:
    """Give for each node of a solution what goes if it goes: needs nobody else has."""
    users: dict[int, int] = {}
    for w in chosen.values():
        for u in graph.needs[w]:
            users[u] = users.get(u, 0) + 1
    alone: dict[int, int] = {}
    stack = [(graph.goal, False)]
    while stack:
        v, ready = stack.pop()
        mine = [u for u in graph.needs[chosen[v]] if users[u] == 1]
        if ready:
            alone[v] = graph.cost[chosen[v]] + sum([alone[u] for u in mine])
        elif v not in alone:
            alone[v] = 0
            stack.append((v, True))
            stack += [(u, False) for u in graph.needs[chosen[v]] if u not in alone]
    return alone
