"""Good solutions of an AND/OR problem, fast: the upper bound.

Each node is priced as if nothing were shared (cost of a way plus the prices of all its
needs); following the cheapest ways from the goal gives a solution, whose cost counts
everything shared once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from witnessmark.planning.andor import Graph
from witnessmark.planning.landmark_cuts import INFINITE


def unshared_prices(graph: Graph, cost: Sequence[int]) -> tuple[list[int], list[int]]:
    """Price each node with nothing shared; give the prices and the cheapest ways.

    Following the cheapest ways never goes in circles, whatever costs nothing: a way is
    only preferred when all its needs have been reached before.
    """
    price = [INFINITE] * len(graph.ways)
    best = [-1] * len(graph.ways)
    changed = True
    while changed:
        changed = again = False
        for v in graph.order:
            for w in graph.ways[v]:
                total = cost[w]
                for u in graph.needs[w]:
                    total += price[u]
                    again = again or u >= v
                if total < price[v]:
                    price[v] = total
                    best[v] = w
                    changed = True
        if not again:
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
    return sum(graph.cost[w] for w in chosen.values())


def cheapest_found(graph: Graph, guides: Sequence[Sequence[int]]) -> tuple[int, dict[int, int]]:
    """Give the best solution that any of some cost guides leads to, with its cost.

    After each guide, what the solution has paid already is priced at nothing and the
    ways are chosen again, as long as that gains.
    """
    best_cost = INFINITE
    best_choice: dict[int, int] = {}
    for guide in guides:
        cost = list(guide)
        while True:
            _, ways = unshared_prices(graph, cost)
            chosen = follow(graph, ways)
            total = cost_of_choice(graph, chosen)
            if total >= best_cost:
                break
            best_cost, best_choice = total, chosen
            cost = list(guide)
            for w in chosen.values():
                cost[w] = 0
    return best_cost, best_choice
