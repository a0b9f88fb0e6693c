"""The walk from pulley to pulley that finds every closed belt route.

An order is dropped as soon as it can no longer close. Three facts cut the walk down without
losing any route:

* A span that crosses a span already laid is out, and so is a pulley no span can reach.
* Pulleys on the convex hull of the whole drive come in the hull's own order. (The belt lies
  within the hull; each such pulley joins the belt to the outside through its own disc; paths
  from a closed curve to the outside that do not cross keep their order.)
* A length already too great, or that can no longer be reached, is out.
"""

from __future__ import annotations

import heapq
import itertools
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from witnessmark.engineering.belts.crossing import RUB, distance_to_segment, segments_cross
from witnessmark.engineering.belts.path import NO_WRAP, Span, tangent, wrap_between

if TYPE_CHECKING:
    from witnessmark.engineering.belts.pulleys import Pulley

# Which way the loop runs, and (pulley, sense) in belt order.
Order = tuple[int, tuple[tuple[int, int], ...]]


@dataclass(slots=True)
class Search:
    """What the walk carries: the wish, the best found and how far it has come.

    `window` is how far off a length may be and still matter: any at first; once enough
    routings are held, as far as the worst of them, but never less than the tolerance.
    """

    length: float
    tolerance: float
    most: int
    budget: int
    window: float = math.inf
    steps: int = 0
    fitting: int = 0
    exhausted: bool = False
    best: list[tuple[float, Order]] = field(default_factory=list)
    start: int = 0
    branches: int = 0
    branches_done: int = 0

    def offer(self, length: float, order: Order) -> None:
        """Take a closed routing: count it, keep it if it is among the best."""
        misfit = abs(length - self.length)
        if misfit <= self.tolerance:
            self.fitting += 1
        if len(self.best) < self.most:
            heapq.heappush(self.best, (-misfit, order))
        else:
            heapq.heappushpop(self.best, (-misfit, order))
        if len(self.best) == self.most:
            self.window = max(self.tolerance, -self.best[0][0])


def hull_order(layout: tuple[Pulley, ...]) -> list[int]:
    """Pulleys on the convex hull of all the discs, anticlockwise, each once."""
    current = max(range(len(layout)), key=lambda i: (layout[i].x + layout[i].radius, -i))
    order = [current]
    heading = complex(0.0, 1.0)
    # A large disc may show between others more than once, so the walk ends by its turning.
    turned = 0.0
    while turned < math.tau:
        best: tuple[float, float, int, complex] | None = None
        for j, pulley in enumerate(layout):
            if j == current:
                continue
            span = tangent(layout[current], pulley, 1, 1)
            assert span is not None
            turn = wrap_between(heading, span.heading, 1)
            candidate = (turn, -span.length, j, span.heading)
            if best is None or candidate[:2] < best[:2]:
                best = candidate
        assert best is not None
        turned += best[0]
        heading, current = best[3], best[2]
        if turned < math.tau and current not in order:
            order.append(current)
    return order


@dataclass(frozen=True, slots=True)
class Edge:
    """A possible span from one pulley and sense to another."""

    start: tuple[int, int]
    end: tuple[int, int]
    span: Span


class Walk:
    """The walk over one running direction of the loop."""

    def __init__(
        self,
        search: Search,
        layout: tuple[Pulley, ...],
        senses: tuple[tuple[int, ...], ...],
        loop: int,
        hull: list[int],
    ) -> None:
        self.search = search
        self.layout = layout
        self.senses = senses
        self.loop = loop
        # hull[0] comes first; a clockwise loop meets the others in the reverse order.
        self.hull = hull if loop > 0 else [hull[0], *reversed(hull[1:])]
        self.edges = self._possible_edges()
        count = len(layout)
        self.leaving: dict[tuple[int, int], int] = {}
        self.out_of = [0] * count
        self.into = [0] * count
        self.touching: dict[tuple[int, int], int] = {}
        self.nearest_in = [math.inf] * count
        self.farthest_in = [0.0] * count
        for index, edge in enumerate(self.edges):
            bit = 1 << index
            self.leaving[edge.start] = self.leaving.get(edge.start, 0) | bit
            self.out_of[edge.start[0]] |= bit
            self.into[edge.end[0]] |= bit
            for node in (edge.start, edge.end):
                self.touching[node] = self.touching.get(node, 0) | bit
            length, into = edge.span.length, edge.end[0]
            self.nearest_in[into] = min(self.nearest_in[into], length)
            self.farthest_in[into] = max(self.farthest_in[into], length)
        self.conflicts: dict[int, int] = {}
        self.joints: dict[tuple[int, int], float] = {}
        self.hull_mask = self._masks_by_hull()

    def run(self) -> None:
        """Try every sense of the first pulley, and every first span from it."""
        start = self.hull[0]
        everything = (1 << len(self.edges)) - 1
        for sense in self.senses[start]:
            node = (start, sense)
            others = 0
            for other in self.senses[start]:
                if other != sense:
                    others |= self.touching.get((start, other), 0)
            available = everything & ~others
            firsts = list(_bits(self.leaving.get(node, 0) & available & self.hull_mask[0]))
            self.search.branches += len(firsts)
            for index in firsts:
                self._step([index], available, 0, self.edges[index].span.length, 0.0)
                if self.search.exhausted:
                    return
                self.search.branches_done += 1

    def _step(
        self, route: list[int], available: int, hull_at: int, length: float, turned: float
    ) -> None:
        """Lay the last edge of the route, then try every next one."""
        search = self.search
        search.steps += 1
        if search.steps > search.budget:
            search.exhausted = True
            return
        edge = self.edges[route[-1]]
        pulley = edge.end[0]
        if pulley == self.hull[0]:
            self._close(route, length, turned)
            return
        if hull_at + 1 < len(self.hull) and pulley == self.hull[hull_at + 1]:
            hull_at += 1
        available &= ~(
            self._conflicts_of(route[-1]) | self.out_of[edge.start[0]] | self.into[pulley]
        )
        for other in self.senses[pulley]:
            if other != edge.end[1]:
                available &= ~self.touching.get((pulley, other), 0)
        if not self._can_still_close(route, available, length):
            return
        nexts = self.leaving.get(edge.end, 0) & available & self.hull_mask[hull_at]
        last = len(route) == len(self.layout) - 1
        for index in _bits(nexts):
            if (self.edges[index].end[0] == self.hull[0]) != last:
                continue
            wrap = self._wrap(route[-1], index)
            if wrap < NO_WRAP:
                continue
            route.append(index)
            self._step(
                route,
                available,
                hull_at,
                length + self.edges[index].span.length + wrap * self.layout[pulley].radius,
                turned + wrap * edge.end[1],
            )
            route.pop()
            if search.exhausted:
                return

    def _close(self, route: list[int], length: float, turned: float) -> None:
        """Close the loop on the first pulley; offer it when it is sound."""
        first, last = route[0], route[-1]
        sense = self.edges[first].start[1]
        if self.edges[last].end[1] != sense or self._crosses_laid(route):
            return
        wrap = self._wrap(last, first)
        if wrap < NO_WRAP or round((turned + wrap * sense) / math.tau) != self.loop:
            return
        length += wrap * self.layout[self.hull[0]].radius
        self.search.offer(length, (self.loop, tuple(self.edges[i].start for i in route)))

    def _crosses_laid(self, route: list[int]) -> bool:
        conflicts = self._conflicts_of(route[-1])
        return any(conflicts >> index & 1 for index in route[:-1])

    def _can_still_close(self, route: list[int], available: int, length: float) -> bool:
        """Say whether every pulley left can be reached and left, at a length that may fit."""
        visited = {self.edges[index].start[0] for index in route}
        here = self.edges[route[-1]].end[0]
        first = self.hull[0]
        least = length
        most = length + math.tau * (self.layout[here].radius + self.layout[first].radius)
        for pulley in range(len(self.layout)):
            if pulley in visited and pulley != first:
                continue
            if pulley != here and not self.into[pulley] & available:
                return False
            if pulley != first and not self.out_of[pulley] & available:
                return False
            if pulley != here:
                least += self.nearest_in[pulley]
                most += self.farthest_in[pulley]
                if pulley != first:
                    most += math.tau * self.layout[pulley].radius
        search = self.search
        return least <= search.length + search.window and most >= search.length - search.window

    def _possible_edges(self) -> list[Edge]:
        edges: list[Edge] = []
        nodes = [(i, s) for i, senses in enumerate(self.senses) for s in senses]
        for start, end in itertools.permutations(nodes, 2):
            if start[0] == end[0]:
                continue
            span = tangent(self.layout[start[0]], self.layout[end[0]], start[1], end[1])
            assert span is not None
            if not self._runs_through(span, start[0], end[0]):
                edges.append(Edge(start, end, span))
        edges.sort(key=lambda edge: edge.span.length)
        return edges

    def _runs_through(self, span: Span, start: int, end: int) -> bool:
        return any(
            distance_to_segment((p.x, p.y), span.leaves, span.arrives) <= p.radius + RUB
            for k, p in enumerate(self.layout)
            if k not in {start, end}
        )

    def _masks_by_hull(self) -> list[int]:
        """Edges allowed when hull[0..k] are passed: not to a later hull pulley out of turn."""
        masks = []
        for at in range(len(self.hull)):
            mask = (1 << len(self.edges)) - 1
            for pulley in self.hull[at + 2 :]:
                mask &= ~self.into[pulley]
            if at + 1 < len(self.hull):
                mask &= ~self.into[self.hull[0]]
            masks.append(mask)
        return masks

    def _conflicts_of(self, index: int) -> int:
        """Edges that cross this one, as bits; worked out when first wanted."""
        known = self.conflicts.get(index)
        if known is not None:
            return known
        mine = self.edges[index].span
        mask = 0
        for other, edge in enumerate(self.edges):
            if other != index and segments_cross(
                mine.leaves, mine.arrives, edge.span.leaves, edge.span.arrives
            ):
                mask |= 1 << other
        self.conflicts[index] = mask
        return mask

    def _wrap(self, arriving: int, leaving: int) -> float:
        key = (arriving, leaving)
        wrap = self.joints.get(key)
        if wrap is None:
            a, b = self.edges[arriving], self.edges[leaving]
            wrap = self.joints[key] = wrap_between(a.span.heading, b.span.heading, a.end[1])
        return wrap


def _bits(mask: int) -> list[int]:
    """Positions of the bits set, lowest first."""
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return found
