"""The exact optimum of an AND/OR problem (one solve of R).

Exact steps make the problem smaller until little is left: ways that cannot be used go,
what every solution holds is paid at once, what is free is taken, dominated ways go. The
rest is bounded from both sides; ways too dear for a better solution go; and if a gap is
left, one choice is branched on. All of it is about R alone: nothing that is dropped here
is dropped from the problem R was compiled from.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import attrgetter

from witnessmark.planning.andor import (
    UNREACHED,
    Graph,
    compact,
    derive_free,
    landmarks,
    members,
    rests_on,
)
from witnessmark.planning.landmark_cuts import (
    INFINITE,
    costs_above,
    cut_bound,
    dearest_need_costs,
)
from witnessmark.planning.upper_bound import cheapest_found, quickly_found, unshared_prices
from witnessmark.planning.work import Meter, OutOfWorkUnits


@dataclass(frozen=True, slots=True)
class Optimum:
    """The cheapest solution: its cost, and the way of each node it holds."""

    cost: int
    choice: dict[int, int]


@dataclass(slots=True)
class Progress:
    """How far a solve had come when the work ran out: a lower bound, the best so far."""

    bound: int = 0
    best: Optimum | None = None


def relaxed_optimum(
    graph: Graph,
    meter: Meter,
    cutoff: int = INFINITE,
    known: list[int] | None = None,
    progress: Progress | None = None,
) -> Optimum | None:
    """Find the cheapest solution below a cutoff; None when there is none.

    Parameters
    ----------
    graph : Graph
        The problem; it is not changed.
    meter : Meter
        Where work is counted.
    cutoff : int
        Solutions this dear or dearer are of no interest. [tenths of a minute]
    known : list[int], optional
        The landmarks of the graph, where they are known already.
    progress : Progress, optional
        Is brought up to date when the work runs out.

    Raises
    ------
    OutOfWorkUnits
        When the meter says so.
    """
    whole = _Branch(graph.copy(), meter, 0)
    if not whole.shrink_once(known or landmarks(graph, meter)) or whole.paid >= cutoff:
        return None
    if whole.is_free(graph.goal):
        return Optimum(whole.paid, follow_back(graph, whole.achiever))
    whole.drop_dominated()
    small, names, labels = compact(whole.graph)
    core = _Branch(small, meter, whole.paid)

    def in_whole(found: Optimum) -> Optimum:
        choice = {names[v]: labels[w] for v, w in found.choice.items()}
        return Optimum(found.cost, follow_back(graph, {**choice, **whole.achiever}))

    try:
        best = core.best(cutoff)
    except OutOfWorkUnits:
        if progress is not None:
            progress.bound = max(core.paid, core.bound)
            progress.best = in_whole(core.so_far[-1]) if core.so_far else None
        raise
    return None if best is None else in_whole(best)


def follow_back(graph: Graph, choice: dict[int, int]) -> dict[int, int]:
    """Keep of a choice of ways what the goal rests on."""
    kept: dict[int, int] = {}
    stack = [graph.goal]
    while stack:
        v = stack.pop()
        if v not in kept:
            kept[v] = choice[v]
            stack += graph.needs[choice[v]]
    return kept


class _Branch:
    """A problem that shrinks, what it has paid, and what it holds free."""

    def __init__(self, graph: Graph, meter: Meter, paid: int) -> None:
        self.graph = graph
        self.meter = meter
        self.paid = paid
        self.free = bytearray(len(graph.ways))
        self.achiever: dict[int, int] = {}
        self.landmarks: list[int] = []
        self.residual: list[int] = []
        self.bound = 0
        self.is_bounded = False
        self.paid_by_cuts = 0
        self.depth = 0
        self.nearest = INFINITE
        self.so_far: list[Optimum] = []
        """Solutions in the order they were found, each better than the last."""

    def child(self) -> _Branch:
        """Copy a branch for one of its children."""
        twin = _Branch(self.graph.copy(), self.meter, self.paid)
        twin.depth = self.depth + 1
        twin.bound = self.bound
        twin.so_far = self.so_far
        twin.free = bytearray(self.free)
        twin.achiever = dict(self.achiever)
        return twin

    def is_free(self, node: int) -> bool:
        return bool(self.free[node])

    def best(self, cutoff: int) -> Optimum | None:
        """Solve exactly, branching where needed."""
        found: Optimum | None = None
        while self.bounded(cutoff):
            if self.is_free(self.graph.goal):
                self.so_far.append(Optimum(self.paid, dict(self.achiever)))
                return self.so_far[-1]
            dropped_for = None
            for search in (quickly_found, cheapest_found):
                if search is cheapest_found and not self.is_worth_pains(cutoff):
                    continue
                cost, choice = search(self.graph, self.residual, self.meter)
                self.nearest = min(self.nearest, self.paid + cost)
                if self.paid + cost < cutoff:
                    cutoff = self.paid + cost
                    found = Optimum(cutoff, {**self.achiever, **choice})
                    self.so_far.append(found)
                if self.bound >= cutoff:
                    break
                if cutoff != dropped_for and self.drop_dear(cutoff):
                    break
                dropped_for = cutoff
            else:
                return self.branch(cutoff) or found
        return found

    def is_worth_pains(self, cutoff: int) -> bool:
        """Tell whether a better solution may be near: always at the root."""
        return not self.depth or self.nearest <= cutoff + (cutoff - self.bound) // 4

    def bounded(self, cutoff: int) -> bool:
        """Shrink and bound from below; say whether something below the cutoff may be left."""
        if self.is_bounded:
            return self.bound < cutoff
        if not self.shrink() or self.paid >= cutoff:
            return False
        self.is_bounded = True
        self.bound = max(self.bound, self.paid)
        if not self.is_free(self.graph.goal):
            cuts = cut_bound(self.graph, self.landmarks, self.meter)
            self.residual = cuts.residual
            self.paid_by_cuts = cuts.bound
            self.bound = max(self.bound, self.paid + cuts.bound)
        return self.bound < cutoff

    def branch(self, cutoff: int) -> Optimum | None:
        """Try each way of one node that every solution holds, the lowest bound first."""
        graph = self.graph
        price, _ = unshared_prices(graph, graph.cost, self.meter)
        forced = self.landmarks[graph.goal]
        at = max(
            (v for v in graph.order if forced >> v & 1 and len(graph.ways[v]) > 1),
            key=price.__getitem__,
        )
        children = []
        for w in graph.ways[at]:
            child = self.child()
            child.graph.ways[at] = [w]
            if child.bounded(cutoff):
                children.append(child)
        found: Optimum | None = None
        for child in sorted(children, key=attrgetter("bound")):
            better = child.best(cutoff)
            if better is not None:
                found, cutoff = better, better.cost
        return found

    # Exact steps

    def shrink(self) -> bool:
        """Apply the exact steps until none helps; say whether the goal can be reached."""
        while self.shrink_once(landmarks(self.graph, self.meter)):
            if self.is_free(self.graph.goal) or not self.drop_dominated():
                return True
        return False

    def shrink_once(self, found: list[int]) -> bool:
        """Apply all steps but the last once, by landmarks; say if the goal can be reached."""
        graph = self.graph
        self.meter.spend(len(graph.order))
        if found[graph.goal] == UNREACHED:
            return False
        self.landmarks = found
        self.drop_useless(found)
        self.pay_forced(found[graph.goal])
        self.take_free()
        return True

    def drop_useless(self, found: list[int]) -> None:
        """Take out ways whose needs cannot be reached, or not before their own node."""
        graph = self.graph
        unreached = UNREACHED in [found[v] for v in graph.order]
        for part in graph.parts:
            if part.circular or unreached:
                for v in part.nodes:
                    bad = 1 << v
                    graph.ways[v] = [
                        w for w in graph.ways[v] if not bad & rests_on(graph.needs[w], found)
                    ]

    def pay_forced(self, forced: int) -> None:
        """Pay the least way of each node that every solution holds."""
        graph = self.graph
        for v in members(forced):
            least = min([graph.cost[w] for w in graph.ways[v]])
            if least:
                self.paid += least
                for w in graph.ways[v]:
                    graph.cost[w] -= least

    def take_free(self) -> None:
        """Take what is free, and keep only what the goal may still need."""
        graph, free = self.graph, self.free
        self.achiever.update(derive_free(graph, free))
        if free[graph.goal]:
            return
        seen = bytearray(len(graph.ways))
        seen[graph.goal] = 1
        stack = [graph.goal]
        while stack:
            for w in graph.ways[stack.pop()]:
                met_free = False
                for u in graph.needs[w]:
                    if seen[u]:
                        continue
                    if free[u]:
                        met_free = True
                    else:
                        seen[u] = 1
                        stack.append(u)
                if met_free:
                    graph.needs[w] = tuple([u for u in graph.needs[w] if not free[u]])
        graph.keep(seen)

    def drop_dominated(self) -> bool:
        """Take out ways another way of the same node always replaces.

        A way goes if another is not dearer and needs nothing that is not reached anyway
        before the first can be used; or if another is cheaper even with all it needs
        besides, paid in full.
        """
        graph = self.graph
        price, _ = unshared_prices(graph, graph.cost, self.meter)
        dropped = False
        for v in graph.order:
            ways = graph.ways[v]
            if len(ways) > 1:
                kept = self.undominated(ways, self.landmarks, price)
                if len(kept) < len(ways):
                    dropped = True
                    graph.ways[v] = kept
        return dropped

    def undominated(self, ways: list[int], found: list[int], price: list[int]) -> list[int]:
        cost, needs = self.graph.cost, self.graph.needs
        kept = list(ways)
        beaten: list[int] = []
        for w in ways:
            reached = rests_on(needs[w], found)
            for x in ways:
                if x == w or cost[x] > cost[w]:
                    continue
                extra = [price[u] for u in needs[x] if not reached >> u & 1]
                if cost[x] + sum(extra) < cost[w]:
                    beaten.append(w)
                    break
                if not extra and x in kept:
                    kept.remove(w)
                    break
        return [w for w in kept if w not in beaten]

    def drop_dear(self, cutoff: int) -> bool:
        """Take out ways that no solution below the cutoff can use."""
        graph, residual = self.graph, self.residual
        depth = dearest_need_costs(graph, residual, self.meter)
        above = costs_above(graph, residual, self.meter)
        room = cutoff - self.paid - self.paid_by_cuts
        dropped = False
        for v in graph.order:
            kept = [
                w
                for w in graph.ways[v]
                if above[v] + residual[w] + max([depth[u] for u in graph.needs[w]], default=0)
                < room
            ]
            if len(kept) < len(graph.ways[v]):
                dropped = True
                graph.ways[v] = kept
        self.is_bounded = self.is_bounded and not dropped
        return dropped
