"""The exact optimum of an AND/OR problem (one solve of R).

Exact steps make the problem smaller until little is left: ways that cannot be used go,
what every solution holds is paid at once, what is free is taken, dominated ways go. The
rest is bounded from both sides; ways too dear for a better solution go; and if a gap is
left, one choice is branched on. All of it is about R alone: nothing that is dropped here
is dropped from the problem R was compiled from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.planning.andor import UNREACHED, Graph, free_nodes, landmarks, members
from witnessmark.planning.landmark_cuts import INFINITE, cut_bound
from witnessmark.planning.upper_bound import cheapest_found, unshared_prices
from witnessmark.planning.work import Meter


@dataclass(frozen=True, slots=True)
class Optimum:
    """The cheapest solution: its cost, and the way of each node it holds."""

    cost: int
    choice: dict[int, int]


def relaxed_optimum(graph: Graph, meter: Meter, cutoff: int = INFINITE) -> Optimum | None:
    """Find the cheapest solution below a cutoff; None when there is none.

    Parameters
    ----------
    graph : Graph
        The problem; it is not changed.
    meter : Meter
        Where work is counted.
    cutoff : int
        Solutions this dear or dearer are of no interest. [tenths of a minute]

    Raises
    ------
    OutOfWorkUnits
        When the meter says so.
    """
    return _Branch(graph.copy(), graph.needs, {}, 0, meter).best(cutoff)


class _Branch:
    """A problem that shrinks, what it has paid, and what it holds free."""

    def __init__(
        self,
        graph: Graph,
        whole_needs: Sequence[tuple[int, ...]],
        achiever: dict[int, int],
        paid: int,
        meter: Meter,
    ) -> None:
        self.graph = graph
        self.whole_needs = whole_needs
        self.achiever = achiever
        self.paid = paid
        self.meter = meter

    def best(self, cutoff: int) -> Optimum | None:
        """Solve exactly, branching where needed."""
        found: Optimum | None = None
        while True:
            if not self.shrink() or self.paid >= cutoff:
                return found
            graph = self.graph
            if graph.goal in self.achiever:
                return Optimum(self.paid, self.whole({}))
            price, _ = unshared_prices(graph, graph.cost)
            bound = cut_bound(graph, self.meter)
            cost, choice = cheapest_found(graph, (graph.cost, bound.residual))
            if self.paid + cost < cutoff:
                cutoff = self.paid + cost
                found = Optimum(cutoff, self.whole(choice))
            if self.paid + bound.bound >= cutoff:
                return found
            if not self.drop_dear(cutoff - self.paid - bound.bound, bound.residual, bound.depth):
                break
        return self.branch(cutoff, price) or found

    def branch(self, cutoff: int, price: list[int]) -> Optimum | None:
        """Try each way of one node that every solution holds."""
        graph = self.graph
        forced = [v for v in members(landmarks(graph)[graph.goal]) if len(graph.ways[v]) > 1]
        at = max(forced, key=price.__getitem__)
        found: Optimum | None = None
        worth = {w: graph.cost[w] + sum(price[u] for u in graph.needs[w]) for w in graph.ways[at]}
        for w in sorted(worth, key=worth.__getitem__):
            child = self.copy()
            child.graph.ways[at] = [w]
            better = child.best(cutoff)
            if better is not None:
                found, cutoff = better, better.cost
        return found

    def copy(self) -> _Branch:
        return _Branch(
            self.graph.copy(), self.whole_needs, dict(self.achiever), self.paid, self.meter
        )

    def whole(self, choice: dict[int, int]) -> dict[int, int]:
        """Give a solution with everything free it rests on."""
        chosen: dict[int, int] = {}
        stack = [self.graph.goal]
        while stack:
            v = stack.pop()
            if v not in chosen:
                chosen[v] = self.achiever[v] if v in self.achiever else choice[v]
                stack += self.whole_needs[chosen[v]]
        return chosen

    # Exact steps

    def shrink(self) -> bool:
        """Apply the exact steps until none helps; say whether the goal can be reached."""
        while True:
            self.meter.spend(sum(len(self.graph.ways[v]) for v in self.graph.order))
            found = landmarks(self.graph)
            if found[self.graph.goal] == UNREACHED:
                return False
            self.drop_useless(found)
            self.pay_forced(found[self.graph.goal])
            self.take_free()
            if self.graph.goal in self.achiever or not self.drop_dominated():
                return True

    def drop_useless(self, found: list[int]) -> None:
        """Take out ways whose needs cannot be reached, or not before their own node."""
        graph = self.graph
        for v in graph.order:
            graph.ways[v] = [
                w
                for w in graph.ways[v]
                if not any(found[u] == UNREACHED or found[u] >> v & 1 for u in graph.needs[w])
            ]

    def pay_forced(self, forced: int) -> None:
        """Pay the least way of each node that every solution holds."""
        graph = self.graph
        for v in members(forced):
            least = min(graph.cost[w] for w in graph.ways[v])
            if least:
                self.paid += least
                for w in graph.ways[v]:
                    graph.cost[w] -= least

    def take_free(self) -> None:
        """Take what is free, and keep only what the goal may still need."""
        graph = self.graph
        known = len(self.achiever)
        free_nodes(graph, self.achiever)
        if graph.goal in self.achiever:
            return
        if len(self.achiever) > known:
            for v in graph.order:
                for w in graph.ways[v]:
                    if any(u in self.achiever for u in graph.needs[w]):
                        graph.needs[w] = tuple(u for u in graph.needs[w] if u not in self.achiever)
        self.keep_reachable()

    def keep_reachable(self) -> None:
        graph = self.graph
        seen = {graph.goal}
        stack = [graph.goal]
        while stack:
            for w in graph.ways[stack.pop()]:
                for u in graph.needs[w]:
                    if u not in seen:
                        seen.add(u)
                        stack.append(u)
        if len(seen) < len(graph.order):
            for v in graph.order:
                if v not in seen:
                    graph.ways[v] = []
            graph.order = sorted(seen)

    def drop_dominated(self) -> bool:
        """Take out ways another way of the same node always replaces.

        A way goes if another is not dearer and needs nothing that is not reached anyway
        before the first can be used; or if another is cheaper even with all it needs
        besides, paid in full.
        """
        graph = self.graph
        found = landmarks(graph)
        price, _ = unshared_prices(graph, graph.cost)
        dropped = False
        for v in graph.order:
            if len(graph.ways[v]) > 1:
                kept = self.undominated(graph.ways[v], found, price)
                dropped = dropped or len(kept) < len(graph.ways[v])
                graph.ways[v] = kept
        return dropped

    def undominated(self, ways: list[int], found: list[int], price: list[int]) -> list[int]:
        graph = self.graph
        reached = {}
        for w in ways:
            join = 0
            for u in graph.needs[w]:
                join |= found[u]
            reached[w] = join
        beaten = {w for w in ways if any(self.beats(x, w, reached, price) for x in ways)}
        kept = [w for w in ways if w not in beaten]
        for w in list(kept):
            if any(
                x != w
                and graph.cost[x] <= graph.cost[w]
                and all(reached[w] >> u & 1 for u in graph.needs[x])
                for x in kept
            ):
                kept.remove(w)
        return kept

    def beats(self, x: int, w: int, reached: dict[int, int], price: list[int]) -> bool:
        """Tell whether way x is cheaper than w even with all its own needs paid in full."""
        cost = self.graph.cost
        if cost[x] >= cost[w]:
            return False
        extra = sum(price[u] for u in self.graph.needs[x] if not reached[w] >> u & 1)
        return cost[x] + extra < cost[w]

    def drop_dear(self, gap: int, residual: list[int], depth: list[int]) -> bool:
        """Take out ways that no solution within the gap above the bound can use."""
        graph = self.graph
        dropped = False
        for v in graph.order:
            kept = [
                w
                for w in graph.ways[v]
                if residual[w] + max((depth[u] for u in graph.needs[w]), default=0) < gap
            ]
            dropped = dropped or len(kept) < len(graph.ways[v])
            graph.ways[v] = kept
        return dropped
