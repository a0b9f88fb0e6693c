"""An AND/OR problem: the part of a relaxation that the goals of one question can reach.

Nodes are visited in postorder from the goal, so that without circles one pass settles what
flows from needs to nodes. One node, the last in the order, stands for all goals. Sets of
nodes are whole numbers used as bits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from typing import NamedTuple

from witnessmark.planning.components import strong_components
from witnessmark.planning.work import Meter

UNREACHED = -1
"""As a set of bits: everything, the landmarks of what cannot be reached."""


class Part(NamedTuple):
    """Nodes to be settled one after another; in a circle, again until nothing changes."""

    nodes: list[int]
    circular: bool


class Graph:
    """Nodes, their ways, and what each way costs and needs.

    `parts` hold the nodes in play, in an order in which needs come first, but for those
    within one circular part. Lists are indexed by node or way and may hold more than what
    is in play. Nothing that two graphs may share is changed in place: the list of a node's
    ways is replaced as a whole.
    """

    __slots__ = ("cost", "goal", "needs", "order", "owner", "parts", "ways")

    def __init__(
        self,
        ways: list[list[int]],
        owner: list[int],
        cost: list[int],
        needs: list[tuple[int, ...]],
        parts: list[Part],
    ) -> None:
        self.ways = ways
        self.owner = owner
        self.cost = cost
        self.needs = needs
        self.parts = parts
        self.order = [v for part in parts for v in part.nodes]
        self.goal = self.order[-1]

    @property
    def circular(self) -> bool:
        """Whether some nodes stand in a circle."""
        return any(part.circular for part in self.parts)

    def copy(self) -> Graph:
        """Copy what a branch may change."""
        return Graph(list(self.ways), self.owner, list(self.cost), list(self.needs), self.parts)

    def keep(self, marked: bytearray) -> None:
        """Keep in play only the nodes that are marked."""
        kept = [Part([v for v in part.nodes if marked[v]], part.circular) for part in self.parts]
        self.parts = [
            Part(part.nodes, part.circular and len(part.nodes) > 1) for part in kept if part.nodes
        ]
        self.order = [v for part in self.parts for v in part.nodes]

    def take_out(self, gone: Collection[int]) -> None:
        """Take ways out."""
        for v in {self.owner[w] for w in gone}:
            self.ways[v] = [w for w in self.ways[v] if w not in gone]

    def circle_numbers(self) -> list[int]:
        """Give for each node the number of its circular part; zero if in none."""
        number = [0] * len(self.ways)
        for at, part in enumerate(self.parts, start=1):
            if part.circular:
                for v in part.nodes:
                    number[v] = at
        return number


def arranged(order: Sequence[int], out: Sequence[Sequence[int]], *, circular: bool) -> list[Part]:
    """Cut an order of nodes into parts.

    Parameters
    ----------
    order : Sequence[int]
        The nodes, needs first where there is no circle.
    out : Sequence[Sequence[int]]
        The places in `order` of what each of them needs by any way.
    circular : bool
        Whether there is any circle.
    """
    if not circular:
        return [Part(list(order), circular=False)]
    component = strong_components(out)
    sizes = Counter(component)
    loops = {component[at] for at, needs in enumerate(out) if at in needs}
    parts: list[Part] = []
    last = -1
    for at in sorted(range(len(order)), key=component.__getitem__):
        number = component[at]
        in_circle = sizes[number] > 1 or number in loops
        if parts and (number == last or not (in_circle or parts[-1].circular)):
            parts[-1].nodes.append(order[at])
        else:
            parts.append(Part([order[at]], in_circle))
        last = number
    return parts


def compact(graph: Graph) -> tuple[Graph, list[int], list[int]]:
    """Give what is in play new numbers, nodes in their order; and the old numbers.

    Returns
    -------
    tuple[Graph, list[int], list[int]]
        The graph, and for each of its nodes and ways the number it had.
    """
    names = list(graph.order)
    number = {node: v for v, node in enumerate(names)}
    labels: list[int] = []
    owner: list[int] = []
    ways: list[list[int]] = []
    for v, node in enumerate(names):
        first = len(labels)
        labels += graph.ways[node]
        ways.append(list(range(first, len(labels))))
        owner += [v] * len(graph.ways[node])
    cost = [graph.cost[w] for w in labels]
    needs = [tuple([number[u] for u in graph.needs[w]]) for w in labels]
    out = [[u for w in found for u in needs[w]] for found in ways]
    parts = arranged(range(len(names)), out, circular=graph.circular)
    return Graph(ways, owner, cost, needs, parts), names, labels


def landmarks(
    graph: Graph, meter: Meter, needs: Sequence[tuple[int, ...]] | None = None
) -> list[int]:
    """Give for each node the set of nodes no derivation of it can do without.

    The greatest solution of LM(v) = {v} | AND over ways of OR over needs: starting from
    "everything", sets shrink until nothing changes. What stays `UNREACHED` has no
    derivation.

    Parameters
    ----------
    graph : Graph
        The problem.
    meter : Meter
        Where work is counted.
    needs : Sequence[tuple[int, ...]], optional
        Needs of the ways, where not all count.

    References
    ----------
    .. [1] E. Keyder, S. Richter, M. Helmert, "Sound and complete landmarks for And/Or
       graphs", ECAI 2010, pp. 335-340.
    """
    needs = graph.needs if needs is None else needs
    found = [UNREACHED] * len(graph.ways)
    ways = graph.ways
    for nodes, circular in graph.parts:
        changed = True
        while changed:
            changed = False
            meter.spend(len(nodes))
            for v in nodes:
                meet = UNREACHED
                for w in ways[v]:
                    join = 0
                    for u in needs[w]:
                        join |= found[u]
                    meet &= join
                if meet != UNREACHED:
                    meet |= 1 << v
                if meet != found[v]:
                    found[v] = meet
                    changed = circular
    return found


def rests_on(needs: tuple[int, ...], found: list[int]) -> int:
    """Give the set of nodes reached before a way with these needs; all if it never is."""
    rests = 0
    for u in needs:
        rests |= found[u]
    return rests


def members(bits: int) -> list[int]:
    """List the members of a set of bits, lowest first."""
    found = []
    while bits:
        low = bits & -bits
        found.append(low.bit_length() - 1)
        bits ^= low
    return found


def derive_free(graph: Graph, free: bytearray) -> dict[int, int]:
    """Find what can be reached without cost, and by which way.

    Parameters
    ----------
    graph : Graph
        The problem.
    free : bytearray
        Marks nodes known to be free; those found are marked too.

    Returns
    -------
    dict[int, int]
        The way of each node found; it needs only nodes marked before.
    """
    achiever: dict[int, int] = {}
    cost, needs, ways = graph.cost, graph.needs, graph.ways
    for nodes, circular in graph.parts:
        changed = True
        while changed:
            changed = False
            for v in nodes:
                if free[v]:
                    continue
                for w in ways[v]:
                    if not cost[w] and 0 not in [free[u] for u in needs[w]]:
                        free[v] = 1
                        achiever[v] = w
                        changed = circular
                        break
    return achiever
