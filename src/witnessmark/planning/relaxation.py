"""Compile a problem to its relaxation R: what comes off, if order did not matter (P1).

R is an AND/OR problem: every node (an opening, a clear fact, one side of a room) has ways,
a way has a cost and needs other nodes, and the cheapest set of ways that reaches all goals
is sought. Nothing is ever undone in it, and no cost is below zero. It drops
`while_fitted`, the order of blocks and change-overs, and is never dearer than the access
cost of a valid plan.

- A clear fact is a node with one free way for each supporter.
- A room's side is a node every user of the way needs: free of charge nothing is saved, so
  the way costs its largest savings less, and the node gives back what is not saved.
- Needs for one half only (strip, refit) and asks count as needs where that is exact. In
  a circle of needs it is not: "f must be off to refit a" and "a must be off to strip f"
  go together well, though neither can be *reached* first. Such needs are left out of R and
  kept as `implied`, to be seen to when a solution breaks them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from witnessmark.planning.components import strong_components
from witnessmark.planning.precedence import Premise, PremiseKind
from witnessmark.procedure.plan import Saving
from witnessmark.procedure.problem import Opening, Problem, Side, Way

ANY_WAY = -1


class Implied(NamedTuple):
    """Where `node` is chosen (by `way`, if not by any), `fact` is chosen too."""

    node: int
    way: int
    fact: int


@dataclass(frozen=True, slots=True)
class Relaxation:
    """R in plain lists; nodes below the number of facts are the facts of the problem.

    `meanings` say what choosing a way means to a plan; None for "nothing saved".
    """

    problem: Problem
    ways: list[list[int]]
    owner: list[int]
    cost: list[int]
    needs: list[tuple[int, ...]]
    meanings: list[Premise | None]
    goals: tuple[int, ...]
    implied: tuple[Implied, ...]
    struck: frozenset[int]
    """Ways no plan can use: not the started one, or to be done while what is open is fitted."""
    later: dict[int, tuple[int, ...]]
    """What, if chosen at all, comes after a way: what it is done while fitted."""
    maybe_lifted: tuple[int, ...]
    """Openings with such ways, in order."""
    component: list[int]
    """A number for each node: needs have none higher, whatever may yet become a need."""

    def way_of(self, opening: int, way: int) -> int:
        """Give the number in R of a way of an opening."""
        return self.ways[opening][way]


def relax(problem: Problem) -> Relaxation:
    """Compile a problem."""
    return _Compiler(problem).compiled()


class _Compiler:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.started = [opening.started for opening in problem.openings]
        self.ways: list[list[int]] = [[] for _ in (*problem.openings, *problem.clears)]
        self.owner: list[int] = []
        self.cost: list[int] = []
        self.lasting: list[tuple[int, ...]] = []
        self.strip_only: list[tuple[int, ...]] = []
        self.refit_only: list[tuple[int, ...]] = []
        self.meanings: list[Premise | None] = []
        self.struck: set[int] = set()
        self.later: dict[int, tuple[int, ...]] = {}

    def compiled(self) -> Relaxation:
        problem = self.problem
        for a, opening in enumerate(problem.openings):
            for w, way in enumerate(opening.ways):
                self.add_opening_way(a, opening, w, way)
        for c, clear in enumerate(problem.clears, start=len(problem.openings)):
            for p in dict.fromkeys(clear.supporters):
                self.add(c, 0, (p,), meaning=Premise(PremiseKind.SUPPORTER, c, p))
        asks = self.open_asks()
        brought = self.brought(asks)
        component = self.circles(brought)
        needs, implied = self.settle_halves(asks, brought, component)
        self.book_asked(implied, needs)
        return Relaxation(
            problem=problem,
            ways=self.ways,
            owner=self.owner,
            cost=self.cost,
            needs=needs,
            meanings=self.meanings,
            goals=self.goals(),
            implied=implied,
            struck=frozenset(self.struck),
            later=self.later,
            component=component,
            maybe_lifted=tuple(dict.fromkeys(self.owner[w] for w in self.later)),
        )

    def add(
        self,
        node: int,
        cost: int,
        lasting: tuple[int, ...] = (),
        strip_only: tuple[int, ...] = (),
        refit_only: tuple[int, ...] = (),
        meaning: Premise | None = None,
    ) -> int:
        number = len(self.owner)
        self.ways[node].append(number)
        self.owner.append(node)
        self.cost.append(cost)
        self.lasting.append(lasting)
        self.strip_only.append(strip_only)
        self.refit_only.append(refit_only)
        self.meanings.append(meaning)
        return number

    def add_opening_way(self, a: int, opening: Opening, w: int, way: Way) -> None:
        """Add a way; a started opening has only its closing before it."""
        meaning = Premise(PremiseKind.WAY, a, w)
        if opening.started:
            number = self.add(
                a, way.refit, (), (), (*way.refit_needs, *self.kept_needs(way)), meaning
            )
            if opening.started_way not in (None, w):
                self.struck.add(number)
        else:
            number = self.add(a, way.cost, way.needs, way.strip_needs, way.refit_needs, meaning)
            if any(self.started[b] for b in way.while_fitted):
                self.struck.add(number)
        if way.while_fitted:
            self.later[number] = way.while_fitted
        for r, room in enumerate(way.rooms):
            for side in Side:
                removals = self.counting(opening, room.side(side), side)
                if removals:
                    self.add_room(number, a, r, side, removals)

    def kept_needs(self, way: Way) -> list[int]:
        """Give the clear needs of a started way that are true at the start."""
        return [
            fact
            for fact in way.needs
            if self.problem.is_clear(fact)
            and any(self.started[p] for p in self.problem.clear(fact).supporters)
        ]

    def counting(
        self, opening: Opening, savings: tuple[tuple[int, int], ...], side: Side
    ) -> dict[int, int]:
        """Give the removals that can save something at all."""
        if opening.started and side is Side.STRIP:
            return {}
        return {p: s for p, s in savings if s and (self.started[p] or not opening.started)}

    def add_room(self, way: int, a: int, r: int, side: Side, removals: dict[int, int]) -> None:
        most = max(removals.values())
        node = len(self.ways)
        self.ways.append([])
        for p, saved in removals.items():
            saving = Saving(opening=a, room=r, side=side, removal=p)
            self.add(node, most - saved, (p,), meaning=Premise(PremiseKind.SAVING, a, p, saving))
        self.add(node, most)
        self.cost[way] -= most
        self.lasting[way] = (*self.lasting[way], node)

    def goals(self) -> tuple[int, ...]:
        """Give what must be open: goals, what blocks need, what is started."""
        wanted = list(self.problem.goals)
        for block in self.problem.blocks:
            wanted += block.needs
        wanted += [a for a, started in enumerate(self.started) if started]
        return tuple(dict.fromkeys(wanted))

    # Asks and needs for one half

    def open_asks(self) -> list[tuple[int, int]]:
        """Give the asks that can go unanswered; what is started is chosen anyway."""
        return [(a, b) for a, b in dict.fromkeys(self.problem.asks) if not self.started[b]]

    def settle_halves(
        self, asks: list[tuple[int, int]], brought: dict[int, list[int]], part: list[int]
    ) -> tuple[list[tuple[int, ...]], tuple[Implied, ...]]:
        """Decide which asks and half needs are needs in R, and which are only implied.

        A need that no circle passes through costs nothing in exactness. In a circle an
        ask is never one; needs for one half may be, unless both kinds meet there. What
        needs an opening brings what that asks for as well, so it may need that too.
        """
        mixed = any(self.strip_only) and any(self.refit_only)
        met = {
            part[self.owner[w]]
            for w, needs in enumerate(self.strip_only)
            if mixed and any(part[n] == part[self.owner[w]] for n in needs)
        }
        implied = [Implied(a, ANY_WAY, b) for a, b in asks if part[a] == part[b]]
        needs: list[tuple[int, ...]] = []
        for w, a in enumerate(self.owner):
            if not (self.strip_only[w] or self.refit_only[w] or w in brought):
                needs.append(self.lasting[w])
                continue
            all_needs = [*self.lasting[w], *self.strip_only[w]]
            for f in self.refit_only[w]:
                if part[a] in met and part[f] == part[a]:
                    implied.append(Implied(a, w, f))
                else:
                    all_needs.append(f)
            all_needs += [b for b in brought.get(w, ()) if part[a] != part[b]]
            needs.append(tuple(dict.fromkeys(all_needs)))
        return needs, tuple(implied)

    def brought(self, asks: list[tuple[int, int]]) -> dict[int, list[int]]:
        """Give for each way what comes with it: what its opening and its needs ask for."""
        asked: dict[int, list[int]] = {}
        for a, b in asks:
            asked.setdefault(a, []).append(b)
        found: dict[int, list[int]] = {}
        for w, a in enumerate(self.owner if asks else ()):
            comes = [a, *self.lasting[w], *self.strip_only[w], *self.refit_only[w]]
            if asked.keys().isdisjoint(comes):
                continue
            known = set(comes)
            for n in comes:
                for b in asked.get(n, ()):
                    if b not in known:
                        known.add(b)
                        comes.append(b)
                        found.setdefault(w, []).append(b)
        return found

    def circles(self, brought: dict[int, list[int]]) -> list[int]:
        """Find the circles in everything that could ever count as a need in R.

        What must be done while b is fitted may become a need of b.
        """
        out: list[list[int]] = [[] for _ in self.ways]
        for w, a in enumerate(self.owner):
            out[a] += (*self.lasting[w], *self.strip_only[w], *self.refit_only[w])
        for w, facts in brought.items():
            out[self.owner[w]] += facts
        for w, later in self.later.items():
            for b in later:
                out[b].append(self.owner[w])
        return strong_components(out)

    def book_asked(self, implied: Sequence[Implied], needs: list[tuple[int, ...]]) -> None:
        """Book the least cost of what an ask brings on what asks for it (P3).

        Only where each way of the asked needs the asking: then either both are chosen
        or neither is. The deepest pair goes first, so that costs travel up a chain.
        """
        asked = [
            (i.node, i.fact)
            for i in implied
            if i.way == ANY_WAY and all(i.node in needs[w] for w in self.usable(i.fact))
        ]
        for a, b in _deepest_first(asked):
            least = min((self.cost[w] for w in self.usable(b)), default=0)
            for w in self.ways[b]:
                self.cost[w] -= least if w not in self.struck else 0
            for w in self.ways[a]:
                self.cost[w] += least

    def usable(self, node: int) -> list[int]:
        return [w for w in self.ways[node] if w not in self.struck]


def _deepest_first(pairs: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Sort (asking, asked) so that what an asked one asks for comes before it."""
    asked: dict[int, list[int]] = {}
    for a, b in pairs:
        asked.setdefault(a, []).append(b)
    in_order: list[tuple[int, int]] = []
    done: set[int] = set()
    stack = [(a, False) for a in reversed(asked)]
    while stack:
        a, below_done = stack.pop()
        if below_done:
            in_order += [(a, b) for b in asked[a]]
        elif a not in done:
            done.add(a)
            stack.append((a, True))
            stack += [(b, False) for b in asked[a] if b in asked]
    return in_order
