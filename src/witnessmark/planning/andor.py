"""An AND/OR problem: the part of a relaxation that the goals of one question can reach.

Nodes are visited in postorder from the goal, so that without circles one pass settles what
flows from needs to nodes. One node, the last in the order, stands for all goals. Sets of
nodes are whole numbers used as bits.
"""

from __future__ import annotations

from collections.abc import Sequence

UNREACHED = -1
"""As a set of bits: everything, the landmarks of what cannot be reached."""


class Graph:
    """Nodes, their ways, and what each way costs and needs.

    `order` lists the nodes in play, needs first; `circular` tells that some need comes
    later in it than what needs it. Lists are indexed by node or way and may hold more
    than what is in play. Nothing that two graphs may share is changed in place: the list
    of a node's ways is replaced as a whole.
    """

    __slots__ = ("circular", "cost", "goal", "needs", "order", "owner", "ways")

    def __init__(
        self,
        ways: list[list[int]],
        owner: list[int],
        cost: list[int],
        needs: list[tuple[int, ...]],
        order: list[int],
        *,
        circular: bool,
    ) -> None:
        self.ways = ways
        self.owner = owner
        self.cost = cost
        self.needs = needs
        self.order = order
        self.goal = order[-1]
        self.circular = circular

    def copy(self) -> Graph:
        """Copy what a branch may change."""
        return Graph(
            list(self.ways),
            self.owner,
            list(self.cost),
            list(self.needs),
            self.order,
            circular=self.circular,
        )


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
    order = list(range(len(names)))
    return Graph(ways, owner, cost, needs, order, circular=graph.circular), names, labels


def landmarks(graph: Graph, needs: Sequence[tuple[int, ...]] | None = None) -> list[int]:
    """Give for each node the set of nodes no derivation of it can do without.

    The greatest solution of LM(v) = {v} | AND over ways of OR over needs: starting from
    "everything", sets shrink until nothing changes. What stays `UNREACHED` has no
    derivation.

    Parameters
    ----------
    graph : Graph
        The problem.
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
    changed = True
    while changed:
        changed = False
        for v in graph.order:
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
                changed = True
        if not graph.circular:
            break
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
    changed = True
    while changed:
        changed = False
        for v in graph.order:
            if free[v]:
                continue
            for w in ways[v]:
                if cost[w]:
                    continue
                for u in needs[w]:
                    if not free[u]:
                        break
                else:
                    free[v] = 1
                    achiever[v] = w
                    changed = True
                    break
        if not graph.circular:
            break
    return achiever
