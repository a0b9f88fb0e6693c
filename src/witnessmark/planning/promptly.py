"""A plan at once, and its proof afterwards: the planner with little to spend at first.

Somebody stands at the machine and waits. With few work units the planner still finds a sound
plan, close to the best, and says how far from a proof it is; with more it goes on from there.
"""

from __future__ import annotations

from witnessmark.planning.planner import PlanResult, Route, plan_again
from witnessmark.planning.selection import Outcome
from witnessmark.procedure.problem import Problem

AT_ONCE = 20_000
"""Work units for an answer that somebody waits for: measured in `benchmarks/replanning.py`."""

MORE_EACH_TIME = 5
"""So many times as much is spent when that found nothing at all."""

AFTERWARDS = 1_000_000
"""Work units for the proof, while the work goes on: about a second."""


def plan_at_once(
    problem: Problem,
    route: Route,
    *,
    least_gain: int,
    bans: frozenset[tuple[int, int]] = frozenset(),
) -> PlanResult:
    """Plan the rest of a job while somebody waits.

    More is spent only when nothing was found and nothing was proven impossible.

    Parameters
    ----------
    problem : Problem
        What is left of the job.
    route : Route
        The way the plan went so far.
    least_gain : int
        It is not left for a gain under this. [tenths of a minute]
    bans : frozenset[tuple[int, int]]
        Ways that may not be used.
    """
    budget = AT_ONCE
    result = plan_again(problem, route, least_gain=least_gain, budget=budget, bans=bans)
    while result.outcome is Outcome.OUT_OF_WORK and budget < AFTERWARDS:
        budget *= MORE_EACH_TIME
        result = plan_again(problem, route, least_gain=least_gain, budget=budget, bans=bans)
    return result


def is_proven(result: PlanResult) -> bool:
    """Tell whether it is certain that no plan is shorter, or that there is none."""
    return result.outcome is Outcome.IMPOSSIBLE or result.gap == 0
