"""How often a place, a position or a tool must still be come back to.

Along a chain of steps that must follow one another, each return to a place after a step
that can only be done elsewhere is a new visit. The most visits along any chain is a number
no order can beat, and the sums over all positions, all tools and all places hold at once:
a change-over goes to one position, one tool and one place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from witnessmark.planning.ordering_task import members
from witnessmark.procedure.problem import ANYWHERE, GROUND, Changeovers


@dataclass(frozen=True, slots=True)
class Visits:
    """Forced visits to one place (or position, or tool).

    `at_least[j]` masks the nodes from which a chain makes `most - j` visits or more;
    `elsewhere[n]` the nodes before `n` that end a visit.
    """

    most: int
    at_least: tuple[int, ...]
    elsewhere: Mapping[int, int]

    def left(self, undone: int) -> int:
        """Count the visits these undone nodes still force, from anywhere else."""
        left = self.most
        for mask in self.at_least:
            if mask & undone:
                return left
            left -= 1
        return 0

    def left_and_spared(self, undone: int) -> tuple[int, int]:
        """Count them, and say (0 or 1) whether the visit going on may be the first of them."""
        left = self.most
        for mask in self.at_least:
            first = mask & undone
            if first:
                while first:
                    lowest = first & -first
                    if self.elsewhere[lowest.bit_length() - 1] & undone:
                        return left, 0
                    first ^= lowest
                return left, 1
            left -= 1
        return 0, 0


def visits(there: int, elsewhere: int, earlier: Sequence[int], later: Sequence[int]) -> Visits:
    """Count the visits forced by the nodes that are `there`.

    `elsewhere` masks the nodes that end a visit. Earlier nodes have lower numbers.
    """
    nodes = list(members(there))
    levels: list[int] = []
    """`levels[j]` masks the nodes from which a chain makes more than `j` visits."""
    for node in reversed(nodes):
        then = later[node]
        most = len(levels)
        while most and not levels[most - 1] & then:
            most -= 1
        # Those a chain goes on to with most visits; one more if all are a visit apart.
        apart = most == 0 or any(
            then & earlier[other] & elsewhere for other in members(levels[most - 1] & then)
        )
        made = most + 1 if apart else most
        levels.extend([0] * (made - len(levels)))
        for level in range(made):
            levels[level] |= 1 << node
    return Visits(
        most=len(levels),
        at_least=tuple(reversed(levels)),
        elsewhere={node: earlier[node] & elsewhere for node in nodes},
    )


@dataclass(frozen=True, slots=True)
class Fares:
    """Least costs of change-overs, valid whatever lies between."""

    between: tuple[tuple[int, ...], ...]
    """Cheapest way from position to position, by way of others where that is cheaper."""
    least: int
    """Cheapest way between any two positions."""
    tool_change: int
    direct: bool
    """Whether going straight is never dearer than going by way of others."""


def fares_of(changeovers: Changeovers) -> Fares:
    """Find the least costs of change-overs between positions."""
    size = range(len(changeovers.matrix))
    between = [list(row) for row in changeovers.matrix]
    for i in size:
        between[i][i] = 0
    for via in size:
        for i in size:
            for j in size:
                between[i][j] = min(between[i][j], between[i][via] + between[via][j])
    closed = tuple(map(tuple, between))
    return Fares(
        between=closed,
        least=min((closed[i][j] for i in size for j in size if i != j), default=0),
        tool_change=changeovers.tool_change,
        direct=closed == changeovers.matrix,
    )


@dataclass(frozen=True, slots=True)
class VisitPrices:
    """What a visit to each position adds at least, with a correction for where one stands.

    Going on from `here` costs at least the sum over the visits to come of `visit`, and
    `standing[here]` more (or less).
    """

    visit: tuple[int, ...]
    standing: tuple[int, ...]


def price_visits(forced: Mapping[int, int], fares: Fares) -> VisitPrices:
    """Price visits so that the forced ones cost as much as can be said.

    A move from i to j is worth its fare less `u[i]` plus `u[j]` for any numbers u: over a
    whole visit these cancel, but the cheapest such move into j may be dearer than the
    cheapest fare. (The numbers are the dual prices of leaving each position as often as it
    is come to.) They are raised or lowered one by one while that helps.
    """
    places = sorted({GROUND, *forced})
    between = fares.between
    shift = [0] * len(between)

    def visit(j: int) -> int:
        return min((between[i][j] - shift[i] for i in places if i != j), default=0) + shift[j]

    def worth() -> int:
        visits_worth = {j: visit(j) for j in places}
        if min(visits_worth.values()) < 0:
            return -1
        return sum(count * visits_worth[j] for j, count in forced.items())

    best = worth()
    step = max((between[i][j] for i in places for j in places), default=0)
    while step:
        better = False
        for place in places:
            for change in (step, -step) if place != GROUND else ():
                shift[place] += change
                now = worth()
                if now > best:
                    best, better = now, True
                else:
                    shift[place] -= change
        step = step if better else step // 2
    visits_worth = {j: visit(j) for j in places}
    return VisitPrices(
        visit=tuple(visits_worth.get(j, 0) for j in range(len(between))),
        standing=tuple(each - shift[GROUND] for each in shift),
    )


def least_left(positions: int, tools: int, places: int, fares: Fares) -> int:
    """Combine what positions, tools and places each force into one bound.

    With `m` moves between positions, moves cost at least `positions` and `m` times the
    cheapest move; of the `places` changes of place all but `m` change the tool only.
    """
    change = fares.tool_change
    if not change or not fares.least:
        return positions + tools
    moves = positions // fares.least

    def with_moves(m: int) -> int:
        return max(positions, m * fares.least) + max(tools, change * (places - m))

    # Convex in m: the least lies at one of the bends.
    last_bend = max(moves + 1, places - tools // change)
    return min(with_moves(moves), with_moves(moves + 1), with_moves(last_bend))


def fits(position: int, tool: int, at_position: int, with_tool: int) -> bool:
    """Tell whether a step with this place may be done at that place."""
    return position in (ANYWHERE, at_position) and tool in (ANYWHERE, with_tool)
