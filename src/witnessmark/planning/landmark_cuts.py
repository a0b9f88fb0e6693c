"""A lower bound from cuts: sets of ways of which every solution uses one.

A cut is a set of nodes Z, one of which every solution holds. Some node of Z is the first
of them to be reached, by a way that rests on none of them: needs none, and has none among
the landmarks of its needs. So one of the ways of Z that rest on nothing in Z has to be
paid. Cuts are found one after another, each paid with what the cheapest of its ways still
costs; the sum of the payments is a bound.

The nodes that every solution holds are taken one after another, deepest first, and cuts
are made for each until it can be reached free of charge. A cut starts from the node alone
and grows by what a free way still rests on: the landmark whose cheapest way costs most.
Growing by landmarks instead of by needs keeps cuts small, and small cuts pay more.

**Trap**: every way of Z that rests on nothing in Z belongs to the cut, those as well that
the search for Z has not looked at. Stopping early gives a bound that is too high.

References
----------
.. [1] M. Helmert, C. Domshlak, "Landmarks, critical paths and abstractions: what's the
   difference anyway?", ICAPS 2009, pp. 162-169 (cuts in delete-free planning).
.. [2] R. T. Wong, "A dual ascent approach for Steiner tree problems on a directed graph",
   Mathematical Programming 28, 1984, pp. 271-287 (paying cuts one after another).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from witnessmark.planning.andor import Graph, members
from witnessmark.planning.work import Meter

INFINITE = 1 << 60


@dataclass(frozen=True, slots=True)
class Cut:
    """Ways of which every solution uses one, and what the bound lets them pay."""

    ways: tuple[int, ...]
    paid: int


@dataclass(frozen=True, slots=True)
class CutBound:
    """A lower bound, what each way still costs after it, and the cuts that pay it."""

    bound: int
    residual: list[int]
    cuts: tuple[Cut, ...]


def cut_bound(graph: Graph, landmarks: Sequence[int], meter: Meter) -> CutBound:
    """Bound the cost of reaching the goal from below.

    Parameters
    ----------
    graph : Graph
        The problem; its goal can be reached.
    landmarks : Sequence[int]
        For each node a set of nodes that no derivation of it can do without.
    meter : Meter
        Where work is counted.
    """
    return _Cutter(graph, landmarks, meter).run()


class _Cutter:
    """Pays cuts, and keeps what can be reached free of charge at what is left to pay."""

    def __init__(self, graph: Graph, landmarks: Sequence[int], meter: Meter) -> None:
        self.graph = graph
        self.landmarks = landmarks
        self.meter = meter
        self.residual = list(graph.cost)
        self.cuts: list[Cut] = []
        self.rests: dict[int, int] = {}
        """For each way the landmarks of its needs."""
        self.waiting: dict[int, int] = {}
        """For each way how many of its needs are not free."""
        self.users: dict[int, list[int]] = {}
        self.least: dict[int, int] = {}
        """For each node what its cheapest way still costs."""
        self.not_free = 0
        self.lay_out()

    def lay_out(self) -> None:
        graph, residual = self.graph, self.residual
        for v in graph.order:
            self.not_free |= 1 << v
            self.least[v] = min([residual[w] for w in graph.ways[v]], default=INFINITE)
            for w in graph.ways[v]:
                rests = 0
                for u in graph.needs[w]:
                    rests |= self.landmarks[u]
                    self.users.setdefault(u, []).append(w)
                self.rests[w] = rests
                self.waiting[w] = len(graph.needs[w])
        self.meter.spend(len(self.rests))
        self.free([w for w, count in self.waiting.items() if not count and not residual[w]])

    def free(self, ways: list[int]) -> None:
        """Mark what can be reached by these ways as free, and all that follows."""
        owner, waiting, residual = self.graph.owner, self.waiting, self.residual
        for way in ways:
            v = owner[way]
            if not self.not_free >> v & 1:
                continue
            self.not_free ^= 1 << v
            for w in self.users.get(v, ()):
                waiting[w] -= 1
                if not waiting[w] and not residual[w]:
                    ways.append(w)

    def run(self) -> CutBound:
        forced = self.landmarks[self.graph.goal]
        for v in self.graph.order:
            if forced >> v & 1:
                while self.not_free >> v & 1:
                    self.pay(self.cut_for(v))
        bound = sum(cut.paid for cut in self.cuts)
        return CutBound(bound, self.residual, tuple(self.cuts))

    def cut_for(self, start: int) -> list[int]:
        """Grow a set of nodes from one, and give the ways that rest on nothing in it."""
        ways, residual, rests = self.graph.ways, self.residual, self.rests
        zone = 1 << start
        nodes = [start]
        for v in nodes:
            for w in ways[v]:
                if not residual[w] and not rests[w] & zone:
                    dearest = max(members(rests[w] & self.not_free), key=self.least.__getitem__)
                    zone |= 1 << dearest
                    nodes.append(dearest)
        cut = [w for v in nodes for w in ways[v] if not rests[w] & zone]
        self.meter.spend(len(nodes) + len(cut))
        return cut

    def pay(self, cut: list[int]) -> None:
        residual = self.residual
        paid = min([residual[w] for w in cut])
        owner, least = self.graph.owner, self.least
        reached = []
        for w in cut:
            residual[w] -= paid
            least[owner[w]] = min(least[owner[w]], residual[w])
            if not residual[w] and not self.waiting[w]:
                reached.append(w)
        self.cuts.append(Cut(tuple(cut), paid))
        self.free(reached)


def dearest_need_costs(graph: Graph, cost: Sequence[int], meter: Meter) -> list[int]:
    """Give for each node the least over its ways of cost plus dearest need.

    No derivation of the node costs less.
    """
    depth = [INFINITE] * len(graph.ways)
    ways, needs = graph.ways, graph.needs
    for nodes, circular in graph.parts:
        changed = True
        while changed:
            changed = False
            meter.spend(len(nodes))
            for v in nodes:
                least = depth[v]
                for w in ways[v]:
                    total = cost[w] + max([depth[u] for u in needs[w]], default=0)
                    least = min(least, total)
                if least < depth[v]:
                    depth[v] = least
                    changed = circular
    return depth


def costs_above(
    graph: Graph, cost: Sequence[int], meter: Meter, besides: Iterable[int] = ()
) -> list[int]:
    """Give for each node the least cost of a chain of ways from the goal down to it.

    A solution that holds the node holds such a chain, besides a derivation of the node.
    A chain may also begin at what is held `besides`, for reasons the graph does not know.
    """
    above = [INFINITE] * len(graph.ways)
    for v in (graph.goal, *besides):
        above[v] = 0
    ways, needs = graph.ways, graph.needs
    for nodes, circular in reversed(graph.parts):
        changed = True
        while changed:
            changed = False
            meter.spend(len(nodes))
            for v in reversed(nodes):
                for w in ways[v]:
                    total = above[v] + cost[w]
                    for u in needs[w]:
                        if total < above[u]:
                            above[u] = total
                            changed = circular
    return above


def costs_through(
    graph: Graph, landmarks: Sequence[int], meter: Meter, besides: Iterable[int]
) -> dict[int, int]:
    """Give for each way in play what a solution that uses it costs at least.

    Parameters
    ----------
    graph : Graph
        The problem, with every way that anything to be compared with may use.
    landmarks : Sequence[int]
        For each node a set of nodes that no derivation of it can do without.
    meter : Meter
        Where work is counted.
    besides : Iterable[int]
        Nodes a solution may hold though nothing in the graph needs them.
    """
    cuts = cut_bound(graph, landmarks, meter)
    depth = dearest_need_costs(graph, cuts.residual, meter)
    above = costs_above(graph, cuts.residual, meter, besides)
    return {
        w: cuts.bound
        + above[v]
        + cuts.residual[w]
        + max([depth[u] for u in graph.needs[w]], default=0)
        for v in graph.order
        for w in graph.ways[v]
    }
