"""A routing found again: the order and the faces a belt of known length lay on.

Every closed order of the pulleys whose belt neither crosses itself, runs through a pulley
nor misses one is a routing. The search goes from pulley to pulley and drops an order as
soon as it can no longer close. Three facts cut it down without losing any routing:

* A span that crosses a span already laid is out, and so is a pulley no span can reach.
* Pulleys on the convex hull of the whole drive come in the hull's own order. (The belt lies
  within the hull; each such pulley joins the belt to the outside through its own disc; paths
  from a closed curve to the outside that do not cross keep their order.)
* A length already too great, or that can no longer be reached, is out.

Steps are counted, not seconds: the same question always gives the same answer.
"""

from __future__ import annotations

import heapq
import itertools
import math
from dataclasses import dataclass, field, replace

from witnessmark.engineering.belts.crossing import RUB, distance_to_segment, segments_cross
from witnessmark.engineering.belts.path import (
    NO_WRAP,
    BeltPath,
    Span,
    belt_path,
    refuse_bad_layout,
    tangent,
    wrap_between,
)
from witnessmark.engineering.belts.pulleys import Face, Pulley, direction_of
from witnessmark.engineering.refusal import RefusalError

MOST_PULLEYS = 16
STEP_BUDGET = 80_000  # under a second on the core it was tried on; measured in benchmarks/drives.py


@dataclass(frozen=True, slots=True)
class Routing:
    """One routing: pulleys in belt order with their faces, and how far its length is off.

    Attributes
    ----------
    path : BeltPath
        The path, in the order the belt runs.
    misfit : float
        Path length less belt length. [m]
    """

    path: BeltPath
    misfit: float

    @property
    def order(self) -> tuple[str, ...]:
        """Names of the pulleys in belt order."""
        return tuple(contact.pulley.name for contact in self.path.contacts)


@dataclass(frozen=True, slots=True)
class RoutingSearch:
    """What the search found.

    Attributes
    ----------
    routings : tuple of Routing
        The best, nearest in length first. When none fits, the nearest that do not.
    fitting : int
        How many routings have the belt's length within tolerance.
    complete : bool
        Whether every routing was looked at.
    stopped : str or None
        Where it stopped, when it did not look at every one.
    steps : int
        Spans tried.
    """

    routings: tuple[Routing, ...]
    fitting: int
    complete: bool
    stopped: str | None
    steps: int


def find_routings(
    pulleys: list[Pulley] | tuple[Pulley, ...],
    belt_length: float,
    tolerance: float,
    *,
    most: int = 20,
    step_budget: int = STEP_BUDGET,
) -> RoutingSearch:
    """Find the routings over all the pulleys that suit a belt length.

    Parameters
    ----------
    pulleys : sequence of Pulley
        Every pulley the belt touches, in any order. A face or direction that is not known
        is None, and both are tried.
    belt_length : float
        Length of the belt's pitch line. [m]
    tolerance : float
        How far the length may be off, plus and minus. [m]
    most : int
        How many routings to give.
    step_budget : int
        Spans to try before stopping.

    Returns
    -------
    RoutingSearch
        The best routings, the count, and whether the search was complete.

    Raises
    ------
    RefusalError
        If the layout itself is impossible, faces and directions contradict each other, or
        there are more than 16 pulleys.

    Notes
    -----
    When no pulley says which way it turns, a routing run backwards is the same routing and
    is given once, running clockwise. Counted against trying every order in the tests.
    """
    layout = tuple(pulleys)
    refuse_bad_layout(layout)
    if len(layout) > MOST_PULLEYS:
        raise RefusalError(
            f"{len(layout)} pulleys are more than the search takes ({MOST_PULLEYS})",
            "split the drive by belt",
        )
    if not 0.0 < belt_length < math.inf or not 0.0 <= tolerance < belt_length:
        raise RefusalError("the belt's length or tolerance is not usable", "check both figures")
    if len({p.name for p in layout}) != len(layout):
        raise RefusalError("two pulleys have the same name", "name each so it can be told")
    loops = _possible_loops(layout)
    search = _Search(belt_length, tolerance, most, step_budget)
    hull = hull_order(layout)
    search.start = hull[0]
    for loop, senses in loops.items():
        if not search.exhausted:
            _Walk(search, layout, senses, loop, hull).run()
    found = sorted((-key, order) for key, order in search.best)
    routings = tuple(
        _routing(layout, order, belt_length)
        for misfit, order in found
        if misfit <= tolerance or search.fitting == 0
    )
    stopped = None
    if search.exhausted:
        stopped = (
            f"stopped after {search.steps} spans tried, "
            f"{search.branches_done} of {search.branches} first moves from "
            f"{layout[search.start].name} searched through"
        )
    return RoutingSearch(routings, search.fitting, not search.exhausted, stopped, search.steps)


# Which way the loop runs, and (pulley, sense) in belt order.
Order = tuple[int, tuple[tuple[int, int], ...]]


@dataclass(slots=True)
class _Search:
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


def _possible_loops(layout: tuple[Pulley, ...]) -> dict[int, tuple[tuple[int, ...], ...]]:
    """For each way the loop may run, the senses each pulley may take."""
    known = any(p.turns is not None for p in layout)
    loops: dict[int, tuple[tuple[int, ...], ...]] = {}
    for loop in (-1, 1) if known else (-1,):
        senses = tuple(_senses(p, loop) for p in layout)
        if all(senses):
            loops[loop] = senses
    if not loops:
        raise RefusalError(
            "faces and directions contradict each other",
            "pulleys on the same face turn the same way, on opposite faces opposite ways",
        )
    return loops


def _senses(pulley: Pulley, loop: int) -> tuple[int, ...]:
    by_face = {None: (-1, 1), Face.INSIDE: (loop,), Face.BACK: (-loop,)}[pulley.face]
    return tuple(s for s in by_face if pulley.turns is None or s == pulley.turns.sense)


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
            if span is None:
                continue
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
class _Edge:
    """A possible span from one pulley and sense to another."""

    start: tuple[int, int]
    end: tuple[int, int]
    span: Span


class _Walk:
    """The walk over one running direction of the loop."""

    def __init__(
        self,
        search: _Search,
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

    def _possible_edges(self) -> list[_Edge]:
        edges: list[_Edge] = []
        nodes = [(i, s) for i, senses in enumerate(self.senses) for s in senses]
        for start, end in itertools.permutations(nodes, 2):
            if start[0] == end[0]:
                continue
            span = tangent(self.layout[start[0]], self.layout[end[0]], start[1], end[1])
            assert span is not None
            if not self._runs_through(span, start[0], end[0]):
                edges.append(_Edge(start, end, span))
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


def _routing(layout: tuple[Pulley, ...], order: Order, length: float) -> Routing:
    """Turn an order of pulleys and senses into a checked path that starts as written."""
    loop, nodes = order
    at = next(k for k, (index, _) in enumerate(nodes) if index == 0)
    pulleys = [
        replace(
            layout[index],
            face=Face.INSIDE if sense == loop else Face.BACK,
            turns=direction_of(sense),
        )
        for index, sense in [*nodes[at:], *nodes[:at]]
    ]
    path = belt_path(pulleys)
    return Routing(path, path.length - length)
