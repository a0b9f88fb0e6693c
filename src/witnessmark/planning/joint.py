"""Choose and order at once: the least total of access, blocks and change-overs (P5).

The cheapest selection need not have the least total: its ways may lie at a place that
nothing else goes to. So a second selection is made with first uses of places priced, both
are ordered, and single choices are changed while that helps; where few selections are
left that may still win, all of them are looked at. A bound holds for every plan: the least
access with first uses priced, the blocks, and the least change-overs of what every plan
holds.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace

from witnessmark.planning.choosing import Choices
from witnessmark.planning.impossibility import Cause
from witnessmark.planning.joint_complete import Candidate, CompleteSearch, TooMany
from witnessmark.planning.joint_core import Core, core_of, task_of_core
from witnessmark.planning.joint_moves import neighbours
from witnessmark.planning.joint_setups import with_setups
from witnessmark.planning.ordering import (
    SKETCH,
    THOROUGH,
    USUAL,
    Effort,
    Ordering,
    Orders,
    least_changeovers,
    orders_of,
)
from witnessmark.planning.ordering_bounds import fares_of
from witnessmark.planning.ordering_task import Task
from witnessmark.planning.selection import Outcome, Selection, prepare, select, select_prepared
from witnessmark.planning.work import Meter, OutOfWorkUnits
from witnessmark.procedure.plan import Cost, Plan, StepKind, cost_of
from witnessmark.procedure.problem import Problem

CORE_EFFORT = Effort(width=1, proof=1_500, small_proof=6_000)

FEW_OPENINGS = 10
"""Problems of so few openings are searched completely, if the budget allows."""

SOME_UNITS = 120_000
"""Work units spent in all before a larger problem is searched no further."""

MORE_UNITS = 240_000
"""The same, where a proof that the plan found is the best is within reach."""

UNITS_PER_CHANGE = 50
"""Work units for each opening of a selection whose steps are written out anew."""


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
        self.fares = fares_of(problem.changeovers)
        self.best: Candidate | None = None
        self.bound = 0
        self.known: dict[Task, Ordering] = {}
        self.written_out: dict[object, Orders | None] = {}

    def joint(self) -> Joint:
        """Make a plan with rising effort, until its total is proven or the effort spent."""
        selection = select_prepared(prepare(self.problem), bans=self.bans, budget=self.left())
        self.meter.used += selection.work
        self.bound = selection.bound + self.blocks
        if selection.cost is None:
            return self.without_plan(selection)
        self.consider(Choices(selection.ways, selection.supporters, selection.savings))
        least = self.blocks
        if not self.is_proven():
            core = core_of(self.problem, self.bans)
            least += self.use_core(core, selection)
            self.change_choices(core, least)
        if not self.is_proven():
            self.search_completely(least)
        return self.report(selection)

    def left(self) -> int:
        """Give the work units left."""
        return max(0, self.meter.budget - self.meter.used)

    def some_left(self, allowed: int = SOME_UNITS) -> int:
        """Give the work units left for a problem that is not small."""
        return max(0, min(self.left(), allowed - self.meter.used))

    def is_proven(self) -> bool:
        """Tell whether no plan can have a lower total than the best one found."""
        return self.best is not None and self.best.total <= self.bound

    # Plans

    def consider(self, choices: Choices) -> None:
        """Order a selection, and keep it if it is the best so far."""
        orders = self.orders(choices)
        assert orders is not None, "what is considered has no circles"
        ordering = self.known.get(orders.task) or orders.best(self.meter, USUAL)
        assert ordering is not None, "what is considered can be put in order"
        self.known[orders.task] = ordering
        total = self.access(choices) + self.blocks + ordering.cost
        candidate = Candidate(choices, ordering, total)
        if self.best is None or _merit(candidate) < _merit(self.best):
            self.best = candidate

    def orders(self, choices: Choices) -> Orders | None:
        """Give all orders of a selection."""
        ways = dict(sorted(choices.ways.items()))
        key = (tuple(ways.items()), tuple(sorted(choices.supporters.items())), choices.savings)
        if key not in self.written_out:
            self.meter.used += UNITS_PER_CHANGE * len(ways)
            self.written_out[key] = orders_of(
                self.problem, ways, choices.supporters, choices.savings
            )
        return self.written_out[key]

    def access(self, choices: Choices) -> int:
        """Give the access cost of a selection."""
        plan = Plan(choices.ways, choices.supporters, choices.savings)
        return cost_of(self.problem, plan).access

    def at_a_glance(self, choices: Choices) -> int | None:
        """Give the total of a selection with an order found quickly."""
        orders = self.orders(choices)
        changeovers = orders.glance(self.meter) if orders is not None else None
        if changeovers is None:
            return None
        return self.access(choices) + self.blocks + changeovers

    # Bounds

    def use_core(self, core: Core, selection: Selection) -> int:
        """Raise the bound by what every plan holds; choose again with first uses priced.

        Gives the least change-overs of any plan.
        """
        task, kinds = task_of_core(core)
        if self.fares.direct and task in self.known:
            # Where little is to choose the core is the selection, and its bound is known.
            least = self.known[task].bound
        else:
            # A plan may go by way of a place the core does not: only closed fares bound it.
            closed = replace(self.problem.changeovers, matrix=self.fares.between)
            refits = [kind is StepKind.REFIT for kind in kinds]
            least = least_changeovers(task, refits, closed, self.meter, CORE_EFFORT)
        self.bound = max(self.bound, selection.bound + self.blocks + least)
        priced = with_setups(core, task) if not self.is_proven() else None
        if priced is not None:
            again = select(priced.problem, bans=self.bans, budget=self.left())
            self.meter.used += again.work
            self.bound = max(self.bound, again.bound + self.blocks + least)
            if again.cost is not None:
                self.consider(priced.without(again))
        return least

    # Other selections

    def change_choices(self, core: Core, least: int) -> None:
        """Make one choice otherwise at a time, as long as that helps at a glance.

        `least` is what blocks and change-overs of any plan cost at least.
        """
        while not self.is_proven() and self.some_left():
            best = self.best
            assert best is not None, "a selection can be put in order"
            now = self.at_a_glance(best.choices)
            for _, choices in neighbours(core, best.choices, best.total - least):
                if not self.some_left():
                    return
                then = self.at_a_glance(choices)
                if then is not None and now is not None and then < now:
                    self.consider(choices)
                    if self.best is not best:
                        break
            else:
                return

    def search_completely(self, least: int) -> None:
        """Look at every selection that may be better, if there are not too many."""
        best = self.best
        assert best is not None, "a selection can be put in order"
        few = len(self.problem.openings) <= FEW_OPENINGS
        # While the best plan's own order is in doubt no more can be proven of all plans
        # than of it; then a glance at the others has to do.
        in_doubt = best.total - best.ordering.cost + best.ordering.bound <= self.bound
        most = self.some_left(SOME_UNITS if in_doubt else MORE_UNITS)
        search = CompleteSearch(
            self.problem,
            self.bans,
            least=least,
            detours_pay=not self.fares.direct,
            effort=THOROUGH if few else SKETCH if in_doubt else USUAL,
            known={} if few else self.known,
            meter=self.meter,
            most=self.left() if few else most,
        )
        with suppress(TooMany, OutOfWorkUnits):
            self.bound = max(self.bound, search.run(best.total))
        if search.best is not None:
            self.best = search.best
            self.consider(search.best.choices)

    # Reports

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
        chosen = best.choices
        plan = Plan(chosen.ways, chosen.supporters, chosen.savings, best.ordering.steps)
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


def _merit(candidate: Candidate) -> tuple[int, int]:
    """Rank candidates: the lower the better; of equals the one with more proven."""
    return candidate.total, -candidate.ordering.bound
