"""Make a plan: what comes off, by which ways, in which order, and how good that is."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from witnessmark.planning.alternatives import Route, different_plans, replanned, route_of
from witnessmark.planning.impossibility import Cause
from witnessmark.planning.joint import Joint, plan_jointly
from witnessmark.planning.selection import Outcome
from witnessmark.planning.work import DEFAULT_BUDGET, Meter
from witnessmark.procedure.plan import Plan
from witnessmark.procedure.problem import Problem

__all__ = ["PlanResult", "Route", "make_plan", "make_plans", "plan_again", "route_of"]


@dataclass(frozen=True, slots=True)
class PlanResult:
    """A plan, and what is proven about it (P6). Costs in tenths of a minute.

    `access` is ways less savings, `total` everything: access, blocks and change-overs. No
    plan costs less than a bound, whatever it opens; `changeover_bound` alone is about the
    openings chosen here and no others.
    """

    outcome: Outcome
    plan: Plan | None
    access_cost: int | None
    access_bound: int
    access_proven: bool
    total_cost: int | None
    total_bound: int
    changeover_cost: int | None
    changeover_bound: int
    causes: tuple[Cause, ...]
    work: int

    @property
    def gap(self) -> Fraction | None:
        """How much of the total may still be saved at most: (total - bound) / total."""
        if self.total_cost is None:
            return None
        if self.total_cost == 0:
            return Fraction(0)
        return Fraction(self.total_cost - self.total_bound, self.total_cost)


def make_plan(
    problem: Problem,
    *,
    budget: int = DEFAULT_BUDGET,
    bans: frozenset[tuple[int, int]] = frozenset(),
) -> PlanResult:
    """Make the shortest plan that can be found, and say how good it is.

    Parameters
    ----------
    problem : Problem
        What is wanted, of which machine, from which state.
    budget : int
        How much thinking may be spent. [work units]
    bans : frozenset[tuple[int, int]]
        (opening, way) that may not be used: "cannot get at it from here".
    """
    return _result(plan_jointly(problem, bans, Meter(budget)))


def make_plans(
    problem: Problem,
    *,
    count: int = 3,
    margin: int,
    budget: int = DEFAULT_BUDGET,
    bans: frozenset[tuple[int, int]] = frozenset(),
) -> tuple[PlanResult, ...]:
    """Make up to `count` different plans, cheapest first.

    Each opens something else or in another way, and costs at most `margin` tenths of a
    minute more than the cheapest. When there is no plan at all, the answer is the one
    result that says why.
    """
    meter = Meter(budget)
    first = plan_jointly(problem, bans, meter)
    if first.plan is None:
        return (_result(first),)
    plans = different_plans(problem, first, bans=bans, count=count, margin=margin, meter=meter)
    return tuple(map(_result, plans))


def plan_again(
    problem: Problem,
    route: Route,
    *,
    least_gain: int,
    budget: int = DEFAULT_BUDGET,
    bans: frozenset[tuple[int, int]] = frozenset(),
) -> PlanResult:
    """Plan the rest of a job from where it stands (P8).

    What is stripped already is `started` in the problem and stays so. The way an earlier
    plan went (`route_of` that plan) is not left for a gain under `least_gain` tenths of a
    minute.
    """
    return _result(replanned(problem, route, bans=bans, least_gain=least_gain, budget=budget))


def _result(joint: Joint) -> PlanResult:
    return PlanResult(
        outcome=joint.outcome,
        plan=joint.plan,
        access_cost=joint.cost.access if joint.cost else None,
        access_bound=joint.access_bound,
        access_proven=joint.access_proven,
        total_cost=joint.cost.total if joint.cost else None,
        total_bound=joint.bound,
        changeover_cost=joint.cost.changeover if joint.cost else None,
        changeover_bound=joint.changeover_bound,
        causes=joint.causes,
        work=joint.work,
    )
