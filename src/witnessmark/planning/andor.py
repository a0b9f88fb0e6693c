"""An AND/OR problem of one query: the part of a relaxation its goals can reach.

Nodes are numbered in postorder from the goals, so that without circles one pass in order
of number settles what flows from needs to nodes. The last node stands for all goals. Sets
of nodes are whole numbers used as bits.
"""

from __future__ import annotations

from collections.abc import Sequence

UNREACHED = -1
"""As a set of bits: everything, the landmarks of what cannot be reached."""


class Graph:
    """Nodes, their ways, and what each way costs and needs.

    Ways keep their number for the life of a graph; taking one out takes it from the list
    of its node. `names` are the numbers of nodes outside, `labels` those of ways (-1 for
    the way of all goals).
    """

    __slots__ = ("cost", "labels", "names", "needs", "order", "owner", "ways")

    def __init__(
        self,
        ways: list[list[int]],
        owner: list[int],
        cost: list[int],
        needs: list[tuple[int, ...]],
        names: list[int],
        labels: list[int],
    ) -> None:
        self.ways = ways
        self.owner = owner
        self.cost = cost
        self.needs = needs
        self.names = names
        self.labels = labels
        self.order: Sequence[int] = range(len(ways))

    @property
    def goal(self) -> int:
        """The node that stands for all goals."""
        return len(self.ways) - 1

    def copy(self) -> Graph:
        """Copy what a branch may change: ways of nodes, costs, needs, order."""
        twin = Graph(
            [list(each) for each in self.ways],
            self.owner,
            list(self.cost),
            list(self.needs),
            self.names,
            self.labels,
        )
        twin.order = self.order
        return twin


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
        again = False
        for v in graph.order:
            meet = UNREACHED
            for w in ways[v]:
                join = 0
                for u in needs[w]:
                    join |= found[u]
                    again = again or u >= v
                meet &= join
            if meet != UNREACHED:
                meet |= 1 << v
            if meet != found[v]:
                found[v] = meet
                changed = True
        if not again:
            break
    return found


def members(bits: int) -> list[int]:
    """List the members of a set of bits, lowest first."""
    found = []
    while bits:
        low = bits & -bits
        found.append(low.bit_length() - 1)
        bits ^= low
    return found


def free_nodes(graph: Graph, achiever: dict[int, int]) -> None:
    """Find all nodes that can be reached without cost, and by which way.

    Parameters
    ----------
    graph : Graph
        The problem.
    achiever : dict[int, int]
        Ways of nodes known to be free; those found are added, each needing only nodes
        that stand before it.
    """
    changed = True
    while changed:
        changed = again = False
        for v in graph.order:
            if v in achiever:
                continue
            for w in graph.ways[v]:
                if graph.cost[w]:
                    continue
                if all(u in achiever for u in graph.needs[w]):
                    achiever[v] = w
                    changed = True
                    break
                again = again or any(u >= v for u in graph.needs[w])
        if not again:
            break
