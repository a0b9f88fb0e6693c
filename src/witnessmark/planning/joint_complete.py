"""Look at every selection that may still be the best, for small problems.

Selections are built fact by fact: each fact still wanted is opened by each of its ways or
cleared by each of its supporters in turn. What no need asks for may still pay: a removal
that makes room, or, where going straight is dearer than by way of another place, a step
to go by way of. A branch is left when its access, less all it might save, with the least
change-overs of any plan, is no better than the best plan known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from witnessmark.planning.choosing import (
    Choices,
    cost_left,
    countable,
    wanted_at_first,
    wanted_with,
)
from witnessmark.planning.ordering import Effort, Ordering, Orders, orders_of
from witnessmark.planning.ordering_task import Task
from witnessmark.planning.work import Meter
from witnessmark.procedure.plan import Saving
from witnessmark.procedure.problem import Problem, Side, Way

UNITS_PER_PARTIAL = 20
UNITS_PER_OPENING = 20
"""Work units for looking at a partial selection, and for writing out an opening's arcs."""

FEW_STEPS = 50
"""Selections of so few steps are ordered once before their savings are decided."""


class TooMany(Exception):  # noqa: N818  (it is an answer, not an error)
    """There are more selections than may be looked at."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A whole plan: choices, steps in order, and its total."""

    choices: Choices
    ordering: Ordering
    total: int


@dataclass(frozen=True, slots=True)
class _Partial:
    """A selection being built.

    `refused` are openings that must stay shut in this branch. `orders` are those of all
    that was chosen when nothing was wanted last; whatever is added can only lose some.
    """

    ways: dict[int, int]
    supporters: dict[int, int]
    wanted: tuple[int, ...]
    refused: frozenset[int] = frozenset()
    orders: Orders | None = None


class CompleteSearch:
    """All selections of a problem below a total.

    Parameters
    ----------
    problem : Problem
        What is wanted.
    bans : frozenset[tuple[int, int]]
        Ways that may not be used.
    least : int
        What blocks and change-overs of any plan cost at least. [tenths of a minute]
    detours_pay : bool
        Whether a step that nothing needs may make change-overs cheaper.
    effort : Effort
        How hard to look for the best order of each selection.
    known : dict[Task, Ordering]
        Orders found before.
    meter : Meter
        Where work is counted.
    most : int
        So many work units may be spent.
    """

    def __init__(
        self,
        problem: Problem,
        bans: frozenset[tuple[int, int]],
        *,
        least: int,
        detours_pay: bool,
        effort: Effort,
        known: dict[Task, Ordering],
        meter: Meter,
        most: int,
    ) -> None:
        self.problem = problem
        self.bans = bans
        self.least = least
        self.detours_pay = detours_pay
        self.effort = effort
        self.known = known
        self.meter = meter
        self.limit = meter.used + most
        self.blocks = sum(block.cost for block in problem.blocks)
        self.asked: dict[int, list[int]] = {}
        for a, b in problem.asks:
            self.asked.setdefault(a, []).append(b)
        self.best: Candidate | None = None
        self.below = 0
        self.unproven: int | None = None
        """What no plan can beat whose best order could not be proven."""
        self.seen: set[object] = set()

    def run(self, below: int) -> int:
        """Look for the plan with the least total, and give what no plan can beat.

        The best plan found is in `best`, if it is below the limit.

        Raises
        ------
        TooMany
            When the search would take too long.
        """
        self.below = below
        self.look(_Partial({}, {}, wanted_at_first(self.problem)))
        return self.below if self.unproven is None else min(self.below, self.unproven)

    def look(self, partial: _Partial) -> None:
        """Go on from a partial selection."""
        self.count(UNITS_PER_PARTIAL + len(partial.ways))
        if self.least_total(partial) >= self.below:
            return
        fact = next((f for f in partial.wanted if not self.is_chosen(partial, f)), None)
        if fact is not None:
            clear = self.problem.is_clear(fact)
            branches = self.supported(partial, fact) if clear else self.opened(partial, fact)
            for branch in branches:
                self.look(branch)
            return
        if partial.orders is None or len(partial.orders.choices.ways) < len(partial.ways):
            self.count(UNITS_PER_OPENING * len(partial.ways))
            ways = dict(sorted(partial.ways.items()))
            orders = orders_of(self.problem, ways, partial.supporters, ())
            if orders is None:
                return
            partial = replace(partial, wanted=(), orders=orders)
            if self.least_total(partial) >= self.below:
                return
        extra = self.possible_extra(partial)
        if extra is None:
            self.finish(partial)
            return
        self.look(replace(partial, wanted=(extra,)))
        self.look(replace(partial, refused=partial.refused | {extra}))

    def least_total(self, partial: _Partial) -> int:
        """Give what no plan can beat that goes on from here."""
        least = self.least
        if partial.orders is not None:
            least = max(least, self.blocks + partial.orders.bound)
        return least + self.access(partial)

    def access(self, partial: _Partial) -> int:
        """Give what is chosen so far, less all it might save."""
        return sum(
            self.least_cost(a, self.problem.openings[a].ways[w], partial.refused)
            for a, w in partial.ways.items()
        )

    def is_chosen(self, partial: _Partial, fact: int) -> bool:
        """Tell whether a fact is seen to already."""
        return fact in (partial.supporters if self.problem.is_clear(fact) else partial.ways)

    def supported(self, partial: _Partial, fact: int) -> Iterator[_Partial]:
        """Give a branch for each supporter of a clear fact, chosen ones first."""
        supporters = dict.fromkeys(self.problem.clear(fact).supporters)
        for s in sorted(supporters, key=lambda s: s not in partial.ways):
            if s not in partial.refused:
                yield replace(
                    partial,
                    supporters={**partial.supporters, fact: s},
                    wanted=(*partial.wanted, s),
                )

    def opened(self, partial: _Partial, a: int) -> Iterator[_Partial]:
        """Give a branch for each way of an opening, cheapest first."""
        if a in partial.refused:
            return
        opening = self.problem.openings[a]
        options = []
        for w, way in enumerate(opening.ways):
            if opening.started and opening.started_way is not None:
                if w != opening.started_way:
                    continue
            elif (a, w) in self.bans:
                continue
            options.append((self.least_cost(a, way, partial.refused), w, way))
        for _, w, way in sorted(options, key=lambda each: each[:2]):
            yield replace(
                partial,
                ways={**partial.ways, a: w},
                wanted=(
                    *partial.wanted,
                    *wanted_with(self.problem, a, way),
                    *self.asked.get(a, ()),
                ),
            )

    def least_cost(self, a: int, way: Way, refused: frozenset[int]) -> int:
        """Give what a way costs with every saving it could still have."""
        saved = sum(
            max(
                (s for p, s in countable(self.problem, a, way, r, side) if p not in refused),
                default=0,
            )
            for r in range(len(way.rooms))
            for side in Side
        )
        return cost_left(self.problem, a, way) - saved

    def possible_extra(self, partial: _Partial) -> int | None:
        """Give an opening nothing needs that might still pay."""
        openings: Iterator[int]
        if self.detours_pay:
            openings = iter(range(len(self.problem.openings)))
        else:
            openings = (
                p
                for a, w in partial.ways.items()
                for way in (self.problem.openings[a].ways[w],)
                for r in range(len(way.rooms))
                for side in Side
                for p, _ in countable(self.problem, a, way, r, side)
            )
        return next(
            (p for p in openings if p not in partial.ways and p not in partial.refused), None
        )

    # Savings, then the order

    def finish(self, partial: _Partial) -> None:
        """Order a whole selection with the savings that pay."""
        orders = partial.orders
        assert orders is not None, "orders are known when nothing is wanted"
        key = (tuple(sorted(partial.ways.items())), orders.steps, orders.task)
        if key in self.seen:
            return
        self.seen.add(key)
        options = list(self.savings_possible(partial))
        access = self.access(partial)
        if options:
            self.decide_savings(partial, orders, options, access, self.changeovers(orders))
        else:
            self.order(partial, orders, access + self.blocks)

    def changeovers(self, orders: Orders) -> int:
        """Give the least change-overs of a selection when no saving counts."""
        if len(orders.steps) > FEW_STEPS:
            return orders.bound
        self.count(UNITS_PER_OPENING * len(orders.steps))
        ordering = orders.best(self.meter, self.effort)
        return self.below if ordering is None else ordering.bound

    def savings_possible(self, partial: _Partial) -> Iterator[list[tuple[int, Saving | None]]]:
        """Give for each side of a room what may count there, and what is lost by each choice."""
        for a, w in partial.ways.items():
            way = self.problem.openings[a].ways[w]
            for r in range(len(way.rooms)):
                for side in Side:
                    counts = [
                        each
                        for each in countable(self.problem, a, way, r, side)
                        if each[0] not in partial.refused
                    ]
                    most = max((saved for _, saved in counts), default=0)
                    if most:
                        choices: list[tuple[int, Saving | None]] = [
                            (most - saved, Saving(a, r, side, p))
                            for p, saved in counts
                            if p in partial.ways
                        ]
                        yield sorted([*choices, (most, None)], key=lambda each: each[0])

    def decide_savings(
        self,
        partial: _Partial,
        orders: Orders,
        options: list[list[tuple[int, Saving | None]]],
        access: int,
        changeovers: int,
    ) -> None:
        """Try every choice of savings, most saved first.

        `access` counts those undecided as saved in full; `changeovers` are the least of
        the selection when no saving counts.
        """
        self.count(UNITS_PER_PARTIAL + UNITS_PER_OPENING * len(partial.ways) // 4)
        rest = access + self.blocks + sum(each[0][0] for each in options)
        if rest + changeovers >= self.below:
            return
        if not options:
            self.order(partial, orders, rest)
            return
        for lost, saving in options[0]:
            narrower = orders if saving is None else orders.with_saving(saving)
            if narrower is not None:
                self.decide_savings(partial, narrower, options[1:], access + lost, changeovers)

    def order(self, partial: _Partial, orders: Orders, rest: int) -> None:
        """Order a whole selection, and keep it if its total is the lowest so far."""
        self.count(UNITS_PER_OPENING * len(orders.steps))
        ordering = self.known.get(orders.task)
        if ordering is None:
            ordering = orders.best(self.meter, self.effort, self.below - rest)
        if ordering is None or rest + ordering.bound >= self.below:
            return
        if not ordering.proven:
            bound = rest + ordering.bound
            self.unproven = bound if self.unproven is None else min(self.unproven, bound)
        if rest + ordering.cost < self.below:
            choices = Choices(partial.ways, partial.supporters, orders.choices.savings)
            self.below = rest + ordering.cost
            self.best = Candidate(choices, ordering, self.below)

    def count(self, units: int) -> None:
        """Count work, and give up when there is too much."""
        self.meter.spend(units)
        if self.meter.used > self.limit:
            raise TooMany
