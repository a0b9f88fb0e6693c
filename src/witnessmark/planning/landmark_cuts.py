"""A lower bound from cuts: sets of ways of which every solution uses one.

A cut is a set of nodes Z with the goal in it. Whatever is done, some node of Z is the
first of them to be reached, by a way that needs none of them; so one of the ways of Z
that need nothing in Z has to be paid. Cuts are found one after another, each paid with
what the cheapest of its ways still costs, until the dearest need of every goal is free.

**Trap**: all ways of Z that need nothing in Z belong to the cut, those as well that the
search for Z has not looked at. Stopping early gives a bound that is too high.

References
----------
.. [1] M. Helmert, C. Domshlak, "Landmarks, critical paths and abstractions: what's the
   difference anyway?", ICAPS 2009, pp. 162-169 (the cuts; ours are defined by Z).
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.planning.andor import Graph
from witnessmark.planning.work import Meter

INFINITE = 1 << 60


@dataclass(frozen=True, slots=True)
class CutBound:
    """A lower bound, what each way still costs after it, and the cuts that pay it."""

    bound: int
    residual: list[int]
    depth: list[int]
    """The dearest-need cost of each node at the residual costs."""
    cuts: list[tuple[list[int], int]]
    """Ways of each cut, and what it pays."""


def cut_bound(
    graph: Graph, meter: Meter, inherited: list[tuple[list[int], int]] | None = None
) -> CutBound:
    """Bound the cost of reaching the goal from below."""
    return _Cutter(graph, meter).run(inherited or [])


class _Cutter:
    def __init__(self, graph: Graph, meter: Meter) -> None:
        self.graph = graph
        self.meter = meter
        self.residual = list(graph.cost)
        self.cuts: list[tuple[list[int], int]] = []
        self.users: dict[int, list[int]] = {}
        for v in graph.order:
            for w in graph.ways[v]:
                for u in graph.needs[w]:
                    self.users.setdefault(u, []).append(v)

    def run(self, inherited: list[tuple[list[int], int]]) -> CutBound:
        bound = sum(self.pay_again(cut) for cut, _ in inherited)
        self.depth = dearest_need_costs(self.graph, self.residual)
        self.meter.spend(len(self.users))
        goal = self.graph.goal
        while self.depth[goal]:
            cut = self.crossing(self.zone())
            paid = min(self.residual[w] for w in cut)
            bound += paid
            for w in cut:
                self.residual[w] -= paid
            self.cuts.append((cut, paid))
            self.settle({self.graph.owner[w] for w in cut})
        return CutBound(bound, self.residual, self.depth, self.cuts)

    def pay_again(self, cut: list[int]) -> int:
        """Pay a cut found before some ways were taken out."""
        left = [w for w in cut if w in self.graph.ways[self.graph.owner[w]]]
        paid = min((self.residual[w] for w in left), default=0)
        if paid:
            for w in left:
                self.residual[w] -= paid
            self.cuts.append((left, paid))
        return paid

    def zone(self) -> set[int]:
        """Give the nodes from which the goal follows free of charge, by dearest needs."""
        graph, depth = self.graph, self.depth
        zone = {graph.goal}
        stack = [graph.goal]
        while stack:
            for w in graph.ways[stack.pop()]:
                if self.residual[w]:
                    continue
                dearest = max(graph.needs[w], key=depth.__getitem__)
                if dearest not in zone:
                    zone.add(dearest)
                    stack.append(dearest)
        return zone

    def crossing(self, zone: set[int]) -> list[int]:
        """Give every way of the zone that needs nothing in it."""
        graph = self.graph
        cut = []
        looked = 0
        for v in sorted(zone):
            for w in graph.ways[v]:
                looked += 1
                if zone.isdisjoint(graph.needs[w]):
                    cut.append(w)
        self.meter.spend(looked)
        return cut

    def settle(self, changed: set[int]) -> None:
        """Bring the dearest-need costs up to date after costs have fallen."""
        graph, depth, residual = self.graph, self.depth, self.residual
        queue = sorted(changed)
        looked = 0
        while queue:
            again: set[int] = set()
            for v in queue:
                least = depth[v]
                for w in graph.ways[v]:
                    looked += 1
                    cost = residual[w]
                    if cost < least:
                        cost += max((depth[u] for u in graph.needs[w]), default=0)
                        least = min(least, cost)
                if least < depth[v]:
                    depth[v] = least
                    again.update(self.users.get(v, ()))
            queue = sorted(again)
        self.meter.spend(looked)


def dearest_need_costs(graph: Graph, cost: list[int]) -> list[int]:
    """Give for each node the least over its ways of cost plus dearest need."""
    depth = [INFINITE] * len(graph.ways)
    changed = True
    while changed:
        changed = again = False
        for v in graph.order:
            least = depth[v]
            for w in graph.ways[v]:
                dearest = 0
                for u in graph.needs[w]:
                    again = again or u >= v
                    dearest = max(dearest, depth[u])
                least = min(least, cost[w] + dearest)
            if least < depth[v]:
                depth[v] = least
                changed = True
        if not again:
            break
    return depth
