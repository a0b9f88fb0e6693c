"""One node of the search: a relaxation, less what is forbidden, with what follows.

What follows from what every plan holds is exact for the whole problem, and all of it is
decided before any dominance looks at ways (P2, P3):

- a way that rests on the opening itself, or on what it must be done before, is dead;
- where a is in every plan, by ways all of which are done while b is fitted, b needs a;
- where a is in every plan and asks for b, b is wanted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from witnessmark.planning.andor import UNREACHED, Graph, arranged, landmarks, rests_on
from witnessmark.planning.relaxation import ANY_WAY, Relaxation
from witnessmark.planning.work import Meter


@dataclass(frozen=True, slots=True)
class Query:
    """What a branch of the search forbids and demands.

    `lifted` gives for an opening those that became needs of all its ways. `base` is the
    graph of a branch above with the same lifts, where that saves making it anew.
    """

    relaxation: Relaxation
    forbidden: frozenset[int]
    wanted: tuple[int, ...]
    lifted: dict[int, tuple[int, ...]] = field(default_factory=dict)
    base: Graph | None = None

    def forbid(self, ways: Iterable[int]) -> Query:
        """Give the branch in which these ways are out."""
        return replace(self, forbidden=self.forbidden.union(ways))

    def demand(self, nodes: Sequence[int]) -> Query:
        """Give the branch in which these nodes are wanted."""
        return replace(self, wanted=tuple(dict.fromkeys((*self.wanted, *nodes))))


@dataclass(frozen=True, slots=True)
class Settled:
    """A query with all that follows: its graph and the landmarks of that."""

    query: Query
    graph: Graph
    landmarks: list[int]


def settle_query(query: Query, meter: Meter) -> Settled | None:
    """Draw all conclusions; None when the goals cannot be reached."""
    graph = graph_of(query, meter)
    found = landmarks(graph, meter)
    while found[graph.goal] != UNREACHED:
        dead = dead_ways(graph, found) | too_late(query, graph, found)
        graph.take_out(dead)
        lifted = lifts(query, graph, found[graph.goal])
        wanted = answers(query, graph, found[graph.goal])
        query = query.forbid(dead).demand(wanted)
        if lifted:
            query = replace(query, lifted={**query.lifted, **lifted}, base=None)
        elif wanted:
            query = replace(query, base=graph)
        elif not dead:
            return Settled(replace(query, base=graph), graph, found)
        if lifted or wanted:
            graph = graph_of(query, meter)
        found = landmarks(graph, meter)
    return None


def graph_of(query: Query, meter: Meter) -> Graph:
    """Give what the wanted nodes can reach, needs first; numbers are those of R."""
    relaxation = query.relaxation
    base = query.base
    if base is not None and set(query.wanted) <= set(base.order):
        graph = base.copy()
        graph.needs[-1] = query.wanted
        graph.take_out(query.forbidden)
        return graph
    goal = len(relaxation.ways)
    ways = [*relaxation.ways, [len(relaxation.needs)]]
    needs = [*relaxation.needs, query.wanted]
    for w in query.forbidden:
        a = relaxation.owner[w]
        ways[a] = [x for x in ways[a] if x != w]
    for b, extra in query.lifted.items():
        for w in ways[b]:
            needs[w] = (*needs[w], *extra)
    order = _postorder(goal, ways, needs)
    meter.spend(2 * len(order))
    parts = arranged(order, [*relaxation.component, goal], ways, needs)
    return Graph(ways, [*relaxation.owner, goal], [*relaxation.cost, 0], needs, parts)


def _postorder(
    goal: int, ways: Sequence[Sequence[int]], needs: Sequence[tuple[int, ...]]
) -> list[int]:
    """Visit what the goal can reach, needs first as far as that goes."""
    order: list[int] = []
    state = bytearray(len(ways))
    stack = [goal]
    while stack:
        node = stack[-1]
        if state[node]:
            stack.pop()
            if state[node] == 1:
                state[node] = 2
                order.append(node)
            continue
        state[node] = 1
        for w in ways[node]:
            stack += [u for u in needs[w] if not state[u]]
    return order


def dead_ways(graph: Graph, found: list[int]) -> set[int]:
    """Find ways whose needs cannot be reached, or rest on the opening itself (P4)."""
    dead: set[int] = set()
    unreached = UNREACHED in [found[v] for v in graph.order]
    for part in graph.parts:
        if part.circular or unreached:
            for v in part.nodes:
                bad = 1 << v
                for w in graph.ways[v]:
                    if bad & rests_on(graph.needs[w], found):
                        dead.add(w)
    return dead


def too_late(query: Query, graph: Graph, found: list[int]) -> set[int]:
    """Find ways that rest on something they are to be done while it is fitted (P4).

    The chain of needs from the way to that thing and its being done first make a circle of
    what might be needs. In such a circle R has needs for one half of one kind only, so the
    chain says of all strips, or of all refits, that the way comes too late.
    """
    late = set()
    for v in graph.order:
        for w in graph.ways[v]:
            later = query.relaxation.later.get(w)
            if later is not None:
                rests = rests_on(graph.needs[w], found)
                if any(rests >> b & 1 for b in later):
                    late.add(w)
    return late


def lifts(query: Query, graph: Graph, forced: int) -> dict[int, tuple[int, ...]]:
    """Find openings that became needs: in every plan, and always before another (P2)."""
    relaxation = query.relaxation
    openings = relaxation.problem.openings
    new: dict[int, tuple[int, ...]] = {}
    for a in relaxation.maybe_lifted:
        if not forced >> a & 1 or not graph.ways[a]:
            continue
        always = set.intersection(*[set(relaxation.later.get(w, ())) for w in graph.ways[a]])
        for b in sorted(always):
            known = new.get(b, query.lifted.get(b, ()))
            if a not in known and not openings[b].started:
                new[b] = (*known, a)
    return new


def answers(query: Query, graph: Graph, forced: int) -> list[int]:
    """Find what is wanted because something every plan holds implies it (P3)."""
    return [
        implied.fact
        for implied in query.relaxation.implied
        if forced >> implied.node & 1
        and not forced >> implied.fact & 1
        and (implied.way == ANY_WAY or graph.ways[implied.node] == [implied.way])
    ]
