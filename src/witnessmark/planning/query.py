"""One node of the search: a relaxation, less what is forbidden, with what follows.

What follows from what every plan holds is exact for the whole problem, and all of it is
decided before any dominance looks at ways (P2, P3):

- a way whose need rests on the opening itself, or on what it must be done before, is dead;
- where a is in every plan, by ways all of which are done while b is fitted, b needs a;
- where a is in every plan and asks for b, b is wanted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from witnessmark.planning.andor import UNREACHED, Graph, landmarks, members
from witnessmark.planning.relaxation import ANY_WAY, Relaxation
from witnessmark.planning.work import Meter


@dataclass(slots=True)
class Query:
    """What a branch of the search forbids and demands.

    `lifted` gives for an opening those that became needs of all its ways.
    """

    relaxation: Relaxation
    forbidden: frozenset[int]
    wanted: tuple[int, ...]
    lifted: dict[int, tuple[int, ...]] = field(default_factory=dict)

    def forbid(self, ways: Iterable[int]) -> Query:
        """Give the branch in which these ways are out."""
        return Query(self.relaxation, self.forbidden | set(ways), self.wanted, self.lifted)

    def demand(self, nodes: Sequence[int]) -> Query:
        """Give the branch in which these nodes are wanted."""
        wanted = tuple(dict.fromkeys((*self.wanted, *nodes)))
        return Query(self.relaxation, self.forbidden, wanted, self.lifted)


@dataclass(frozen=True, slots=True)
class Settled:
    """A query with all that follows: its graph, and the nodes every plan holds."""

    query: Query
    graph: Graph
    forced: frozenset[int]


def settle_query(query: Query, meter: Meter) -> Settled | None:
    """Draw all conclusions; None when the goals cannot be reached."""
    while True:
        graph = build_graph(query)
        meter.spend(2 * len(graph.owner))
        found = landmarks(graph)
        if found[graph.goal] == UNREACHED:
            return None
        forced = members(found[graph.goal])
        dead = dead_ways(query, graph, found)
        lifted = lifts(query, graph, forced)
        wanted = answers(query, graph, forced)
        if not (dead or lifted or wanted):
            names = frozenset(graph.names[v] for v in forced)
            return Settled(query, graph, names)
        query = Query(
            query.relaxation,
            query.forbidden | dead,
            tuple(dict.fromkeys((*query.wanted, *wanted))),
            {**query.lifted, **lifted},
        )


def build_graph(query: Query) -> Graph:
    """List what the wanted nodes can reach, in postorder."""
    relaxation = query.relaxation
    forbidden = query.forbidden | relaxation.struck
    number: dict[int, int] = {}
    names: list[int] = []
    kept: dict[int, list[int]] = {}

    def open_node(node: int) -> tuple[int, list[int]]:
        kept[node] = [w for w in relaxation.ways[node] if w not in forbidden]
        needs = [n for w in kept[node] for n in relaxation.needs[w]]
        needs += query.lifted.get(node, ())
        return node, needs

    for root in query.wanted:
        if root in kept:
            continue
        stack = [open_node(root)]
        while stack:
            node, needs = stack[-1]
            while needs and needs[-1] in kept:
                needs.pop()
            if needs:
                stack.append(open_node(needs.pop()))
            else:
                stack.pop()
                number[node] = len(names)
                names.append(node)
    ways: list[list[int]] = []
    owner: list[int] = []
    cost: list[int] = []
    all_needs: list[tuple[int, ...]] = []
    labels: list[int] = []
    for v, node in enumerate(names):
        extra = query.lifted.get(node, ())
        ways.append(list(range(len(owner), len(owner) + len(kept[node]))))
        for w in kept[node]:
            owner.append(v)
            cost.append(relaxation.cost[w])
            all_needs.append(tuple(number[n] for n in (*relaxation.needs[w], *extra)))
            labels.append(w)
    ways.append([len(owner)])
    owner.append(len(names))
    cost.append(0)
    all_needs.append(tuple(number[n] for n in query.wanted))
    labels.append(-1)
    return Graph(ways, owner, cost, all_needs, [*names, -1], labels)


def dead_ways(query: Query, graph: Graph, found: list[int]) -> set[int]:
    """Find ways no plan can use (P4).

    Their needs cannot be reached; or rest on the opening itself; or rest, by needs that
    last the whole stay, on something that must still be fitted.
    """
    relaxation = query.relaxation
    lasting = landmarks(graph, lasting_needs(query, graph)) if relaxation.halves else found
    number = {name: v for v, name in enumerate(graph.names)}
    dead: set[int] = set()
    for v in graph.order:
        for w in graph.ways[v]:
            needs = graph.needs[w]
            label = graph.labels[w]
            if any(found[u] == UNREACHED or found[u] >> v & 1 for u in needs):
                dead.add(label)
                continue
            later = while_fitted(relaxation, label)
            if later:
                join = 0
                for u in needs if not relaxation.halves else lasting_of(query, graph, w, number):
                    join |= lasting[u]
                if any(b in number and join >> number[b] & 1 for b in later):
                    dead.add(label)
    return dead


def while_fitted(relaxation: Relaxation, way: int) -> tuple[int, ...]:
    """Give the openings that, if chosen, come after a way."""
    meaning = relaxation.meanings[way] if way >= 0 else None
    if meaning is None or meaning.subject >= len(relaxation.problem.openings):
        return ()
    if meaning.saving is not None:
        return ()
    return relaxation.problem.openings[meaning.subject].ways[meaning.pick].while_fitted


def lasting_needs(query: Query, graph: Graph) -> list[tuple[int, ...]]:
    """Give the lasting needs of each way of a graph."""
    number = {name: v for v, name in enumerate(graph.names)}
    return [lasting_of(query, graph, w, number) for w in range(len(graph.owner))]


def lasting_of(query: Query, graph: Graph, way: int, number: dict[int, int]) -> tuple[int, ...]:
    """Give the lasting needs of one way, lifted ones among them."""
    label = graph.labels[way]
    if label < 0:
        return graph.needs[way]
    extra = query.lifted.get(graph.names[graph.owner[way]], ())
    return tuple(number[n] for n in (*query.relaxation.lasting[label], *extra))


def lifts(query: Query, graph: Graph, forced: list[int]) -> dict[int, tuple[int, ...]]:
    """Find openings that became needs: in every plan, and always before another (P2)."""
    relaxation = query.relaxation
    openings = relaxation.problem.openings
    new: dict[int, tuple[int, ...]] = {}
    for v in forced:
        a = graph.names[v]
        if not 0 <= a < len(openings):
            continue
        always: set[int] | None = None
        for w in graph.ways[v]:
            later = set(while_fitted(relaxation, graph.labels[w]))
            always = later if always is None else always & later
        for b in sorted(always or ()):
            known = new.get(b, query.lifted.get(b, ()))
            if a not in known and not openings[b].started:
                new[b] = (*known, a)
    return new


def answers(query: Query, graph: Graph, forced: list[int]) -> list[int]:
    """Find what is wanted because something every plan holds implies it (P3)."""
    held = {graph.names[v]: graph.ways[v] for v in forced}
    found = []
    for implied in query.relaxation.implied:
        if implied.node not in held or implied.fact in held:
            continue
        labels = [graph.labels[w] for w in held[implied.node]]
        if implied.way == ANY_WAY or labels == [implied.way]:
            found.append(implied.fact)
    return found
