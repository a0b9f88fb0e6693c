"""Choose and order at once: the least total of access, blocks and change-overs (P5)."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.planning.impossibility import Cause
from witnessmark.planning.ordering import USUAL, orders_of
from witnessmark.planning.selection import Outcome, prepare, select_prepared
from witnessmark.planning.work import Meter
from witnessmark.procedure.plan import Cost, Plan, cost_of
from witnessmark.procedure.problem import Problem


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
    prepared = prepare(problem)
    selection = select_prepared(prepared, bans=bans, budget=meter.budget - meter.used)
    meter.used += selection.work
    blocks = sum(block.cost for block in problem.blocks)
    if selection.cost is None:
        return Joint(
            outcome=selection.outcome,
            plan=None,
            cost=None,
            access_bound=selection.bound,
            access_proven=selection.proven,
            bound=selection.bound + blocks,
            changeover_bound=0,
            causes=selection.causes,
            work=meter.used,
        )
    orders = orders_of(problem, selection.ways, selection.supporters, selection.savings)
    ordering = orders.best(meter, USUAL) if orders else None
    assert ordering is not None, "a selection can be put in order"
    plan = Plan(selection.ways, selection.supporters, selection.savings, ordering.steps)
    cost = cost_of(problem, plan)
    bound = selection.bound + blocks
    return Joint(
        outcome=Outcome.BEST if cost.total == bound else Outcome.FOUND,
        plan=plan,
        cost=cost,
        access_bound=selection.bound,
        access_proven=selection.proven,
        bound=bound,
        changeover_bound=ordering.bound,
        causes=(),
        work=meter.used,
    )
