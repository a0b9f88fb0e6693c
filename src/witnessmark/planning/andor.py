"""An AND/OR problem: the part of a relaxation that the goals of one question can reach.

Nodes are visited in postorder from the goal, so that without circles one pass settles what
flows from needs to nodes. One node, the last in the order, stands for all goals. Sets of
nodes are whole numbers used as bits.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

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


def arranged(
    order: Sequence[int],
    component: Sequence[int],
    ways: Sequence[Sequence[int]],
    needs: Sequence[Sequence[int]],
) -> list[Part]:
    """Cut an order of nodes into parts.

    Parameters
    ----------
    order : Sequence[int]
        The nodes, needs first as far as that goes.
    component : Sequence[int]
        A number for each node: needs have none higher, nodes in a circle have the same.
    ways : Sequence[Sequence[int]]
        The ways of each node.
    needs : Sequence[Sequence[int]]
        The needs of each way.
    """
    placed = sorted(order, key=component.__getitem__)
    place = {v: at for at, v in enumerate(placed)}
    parts: list[Part] = []
    for _, group in groupby(placed, key=component.__getitem__):
        nodes = list(group)
        circular = _has_need_after(nodes, place, ways, needs)
        if parts and not (circular or parts[-1].circular):
            parts[-1].nodes.extend(nodes)
        else:
            parts.append(Part(nodes, circular))
    return parts


def _has_need_after(
    nodes: Sequence[int],
    place: Mapping[int, int],
    ways: Sequence[Sequence[int]],
    needs: Sequence[Sequence[int]],
) -> bool:
    if len(nodes) == 1:
        return any(nodes[0] in needs[w] for w in ways[nodes[0]])
    for v in nodes:
        at = place[v]
        for w in ways[v]:
            for u in needs[w]:
                if place[u] >= at:
                    return True
    return False


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
    component = [at for at, part in enumerate(graph.parts) for _ in part.nodes]
    parts = arranged(range(len(names)), component, ways, needs)
    return Graph(ways, owner, cost, needs, parts), names, labels


def landmarks(graph: Graph, meter: Meter) -> list[int]:
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

    References
    ----------
    .. [1] E. Keyder, S. Richter, M. Helmert, "Sound and complete landmarks for And/Or
       graphs", ECAI 2010, pp. 335-340.
    """
    found = [UNREACHED] * len(graph.ways)
    ways, needs = graph.ways, graph.needs
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
