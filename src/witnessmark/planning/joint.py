"""Choose and order at once: the least total of access, blocks and change-overs (P5).

The cheapest selection need not have the least total: its ways may lie at a place that
nothing else goes to. So a second selection is made with first uses of places priced, both
are ordered, and ways are switched while that helps. Small problems are searched
completely. A bound holds for every plan: the least access with first uses priced, the
blocks, and the least change-overs of what every plan holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from witnessmark.planning.impossibility import Cause
from witnessmark.planning.joint_complete import Candidate, CompleteSearch, TooMany
from witnessmark.planning.joint_core import Core, core_of, task_of_core
from witnessmark.planning.joint_setups import with_setups
from witnessmark.planning.ordering import (
    SKETCH,
    THOROUGH,
    USUAL,
    Effort,
    Ordering,
    least_changeovers,
    orders_of,
)
from witnessmark.planning.ordering_bounds import fares_of
from witnessmark.planning.ordering_task import Task
from witnessmark.planning.selection import Outcome, Selection, prepare, select, select_prepared
from witnessmark.planning.work import Meter, OutOfWorkUnits
from witnessmark.procedure.plan import Cost, Plan, Saving, StepKind, cost_of
from witnessmark.procedure.problem import Problem

CORE_EFFORT = Effort(width=1, proof=1_500, small_proof=6_000)

FEW_OPENINGS = 10
"""Problems of so few openings are searched completely, if the budget allows."""

SOME_UNITS = 200_000
"""Work units spent in all before a complete search of a larger problem is given up."""


@dataclass(frozen=True, slots=True)
class Joint:
    """The best plan found, and what no plan can beat."""

    outcome: Outcome
    plan: Plan | None
    cost: Cost | None
    access_bound: int
    access_proven: bool
    bound: int
    changeover_bound: int
    causes: tuple[Cause, ...]
    work: int


def plan_jointly(problem: Problem, bans: frozenset[tuple[int, int]], meter: Meter) -> Joint:
    """Find a plan whose total is as low as the budget allows."""
    return _Planning(problem, bans, meter).joint()


class _Planning:
    def __init__(self, problem: Problem, bans: frozenset[tuple[int, int]], meter: Meter) -> None:
        self.problem = problem
        self.bans = bans
        self.meter = meter
        self.blocks = sum(block.cost for block in problem.blocks)
        self.best: Candidate | None = None
        self.bound = 0
        self.known: dict[Task, Ordering] = {}
        self.fares = fares_of(problem.changeovers)

    def joint(self) -> Joint:
        """Make a plan in the order of rising effort, until its total is proven or good enough."""
        selection = select_prepared(prepare(self.problem), bans=self.bans, budget=self.left())
        self.meter.used += selection.work
        self.bound = selection.bound + self.blocks
        if selection.cost is None:
            return self.without_plan(selection)
        self.try_selection(selection.ways, selection.supporters, selection.savings)
        core = core_of(self.problem, self.bans)
        least = self.blocks
        if core is not None and not self.is_proven():
            least += self.use_core(core, selection)
        if not self.is_proven():
            self.search_completely(least)
        return self.report(selection)

    def left(self) -> int:
        """Give the work units left."""
        return max(0, self.meter.budget - self.meter.used)

    def is_proven(self) -> bool:
        """Tell whether no plan can have a lower total than the best one found."""
        return self.best is not None and self.best.total <= self.bound

    def try_selection(
        self, ways: Mapping[int, int], supporters: Mapping[int, int], savings: tuple[Saving, ...]
    ) -> None:
        """Order a selection, and keep it if it is the best so far."""
        orders = orders_of(self.problem, dict(sorted(ways.items())), supporters, savings)
        ordering = orders.best(self.meter, USUAL) if orders is not None else None
        if orders is None or ordering is None:
            return
        self.known[orders.task] = ordering
        access = cost_of(self.problem, Plan(ways, supporters, savings)).access
        total = access + self.blocks + ordering.cost
        if self.best is None or total < self.best.total:
            self.best = Candidate(ways, supporters, savings, ordering, total)

    def use_core(self, core: Core, selection: Selection) -> int:
        """Raise the bound by what every plan holds; choose again with first uses priced.

        Gives the least change-overs of any plan.
        """
        made = task_of_core(core)
        if made is None:
            return 0
        task, kinds = made
        refits = [kind is StepKind.REFIT for kind in kinds]
        if self.fares.direct and task in self.known:
            # Where little is to choose the core is the selection, and its bound is known.
            least = self.known[task].bound
        else:
            # A plan may go by way of a place the core does not: only closed fares bound it.
            closed = replace(self.problem.changeovers, matrix=self.fares.between)
            least = least_changeovers(task, refits, closed, self.meter, CORE_EFFORT)
        self.bound = max(self.bound, selection.bound + self.blocks + least)
        if not self.is_proven():
            self.price_first_uses(core, task, least)
        return least

    def price_first_uses(self, core: Core, task: Task, least: int) -> None:
        """Choose with first uses of positions and tools priced (P5)."""
        priced = with_setups(core, task)
        if priced is None:
            return
        again = select(priced.problem, bans=self.bans, budget=self.left())
        self.meter.used += again.work
        self.bound = max(self.bound, again.bound + self.blocks + least)
        if again.cost is not None:
            choices = priced.without(again)
            if self.best is None or choices[0] != self.best.ways:
                self.try_selection(*choices)

    def search_completely(self, least: int) -> None:
        """Look at every selection that may be better, if there are not too many."""
        best = self.best
        assert best is not None, "a selection can be put in order"
        few = len(self.problem.openings) <= FEW_OPENINGS
        # While the best plan's own order is in doubt no more can be proven of all plans
        # than of it; then a glance at the others has to do.
        in_doubt = best.total - best.ordering.cost + best.ordering.bound <= self.bound
        search = CompleteSearch(
            self.problem,
            self.bans,
            least=least,
            detours_pay=not self.fares.direct,
            effort=THOROUGH if few else SKETCH if in_doubt else USUAL,
            known=self.known,
            meter=self.meter,
            most=self.left() if few else max(0, SOME_UNITS - self.meter.used),
        )
        with suppress(TooMany, OutOfWorkUnits):
            self.bound = max(self.bound, search.run(best.total))
        better = search.best
        if better is not None:
            self.best = better
            if in_doubt:
                self.try_selection(better.ways, better.supporters, better.savings)

    def without_plan(self, selection: Selection) -> Joint:
        """Report that there is no plan, or none found."""
        return Joint(
            outcome=selection.outcome,
            plan=None,
            cost=None,
            access_bound=selection.bound,
            access_proven=selection.proven,
            bound=self.bound,
            changeover_bound=0,
            causes=selection.causes,
            work=self.meter.used,
        )

    def report(self, selection: Selection) -> Joint:
        """Report the best plan found."""
        best = self.best
        assert best is not None, "a selection can be put in order"
        plan = Plan(best.ways, best.supporters, best.savings, best.ordering.steps)
        cost = cost_of(self.problem, plan)
        return Joint(
            outcome=Outcome.BEST if self.is_proven() else Outcome.FOUND,
            plan=plan,
            cost=cost,
            access_bound=selection.bound,
            access_proven=selection.proven,
            bound=min(self.bound, cost.total),
            changeover_bound=best.ordering.bound,
            causes=(),
            work=self.meter.used,
        )
