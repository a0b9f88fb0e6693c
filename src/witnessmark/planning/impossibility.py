"""Why nothing will do: an irreducible set of causes (P7).

All causes of the set together leave no plan; take any one of them away and there is one.
Sets are not claimed to be the smallest.

The set is grown before it is cut down: with no demands at all a plan is easily found;
what it breaks is demanded from then on, until nothing is left. So only what has to do with
the failure is ever looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, replace

from witnessmark.planning.demands import (
    Cause,
    CauseKind,
    demands_of_opening,
    narrowed,
    root_demands,
)
from witnessmark.planning.work import OutOfWorkUnits
from witnessmark.procedure.problem import Problem

__all__ = ["Cause", "CauseKind", "Explanation", "irreducible_causes"]

Solver = Callable[[Problem, frozenset[tuple[int, int]]], Mapping[int, int] | None]
"""Finds the ways of any plan, with some ways struck out; None proves that there is none."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why there is no plan; `irreducible` if each cause was shown to be needed."""

    causes: tuple[Cause, ...]
    irreducible: bool


def irreducible_causes(
    problem: Problem, bans: frozenset[tuple[int, int]], solve: Solver
) -> Explanation:
    """Give a set of causes that together leave no plan, none of which can be spared.

    Parameters
    ----------
    problem : Problem
        A problem without a plan.
    bans : frozenset[tuple[int, int]]
        Ways struck out by trouble marks.
    solve : Solver
        Finds a plan or proves that there is none; it may run out of work units.

    Notes
    -----
    Sparing an "open already" means that the opening makes no demands at all.
    """
    case = _Case(problem, bans, solve)
    try:
        causes = case.grow()
    except OutOfWorkUnits:
        return Explanation((), irreducible=False)
    causes, _ = case.spare(causes, _of_one_opening)
    causes, irreducible = case.spare(causes, lambda cause: cause)
    return Explanation(tuple(_named(problem, causes)), irreducible)


def _of_one_opening(cause: Cause) -> Hashable:
    """Tell which causes are first tried together: those of the ways of one opening."""
    return cause if cause.way is None else cause.opening


class _Case:
    """A problem without a plan, and who can say what is left when demands are dropped."""

    def __init__(self, problem: Problem, bans: frozenset[tuple[int, int]], solve: Solver) -> None:
        self.problem = problem
        self.bans = bans
        self.solve = solve

    def plan(self, causes: list[Cause]) -> dict[int, int] | None:
        """Find the ways of a plan that meets these demands and no others."""
        part, openings, bans = narrowed(self.problem, causes)
        ways = self.solve(part, bans)
        return None if ways is None else {openings[a]: w for a, w in ways.items()}

    def grow(self) -> list[Cause]:
        """Demand whatever the plan found so far breaks, until there is no plan."""
        made = dict.fromkeys(root_demands(self.problem))
        while (ways := self.plan(list(made))) is not None:
            known = len(made)
            for a in sorted(ways):
                made.update(dict.fromkeys(demands_of_opening(self.problem, a, self.bans)))
            assert len(made) > known, "the problem has a plan"
        return list(made)

    def spare(
        self, causes: list[Cause], group: Callable[[Cause], Hashable]
    ) -> tuple[list[Cause], bool]:
        """Leave out groups of causes, many at a time, unless that leaves a plan.

        Also tells whether each group that was kept was shown to be needed.
        """
        groups = list(dict.fromkeys(map(group, causes)))
        sure = True
        at, size = 0, max(1, len(groups) // 4)
        while at < len(groups):
            out = set(groups[at : at + size])
            rest = [cause for cause in causes if group(cause) not in out]
            try:
                spared = self.plan(rest) is None
            except OutOfWorkUnits:
                spared, sure = False, False
            if spared:
                causes = rest
                del groups[at : at + size]
                size *= 2
            elif size > 1:
                size //= 2
            else:
                at += 1
        return causes, sure


def _named(problem: Problem, causes: list[Cause]) -> Iterator[Cause]:
    """Tell needs that can never be open from members of a circle."""
    never = _never_open(problem, causes)
    for cause in causes:
        if cause.kind is CauseKind.CYCLE and cause.fact in never:
            yield replace(cause, kind=CauseKind.DEAD_WAY)
        else:
            yield cause


def _never_open(problem: Problem, causes: list[Cause]) -> set[int]:
    """Give the facts nothing could open even if order did not matter."""
    waits: dict[int, dict[int, list[int | None]]] = {}
    for cause in causes:
        if cause.kind in (CauseKind.CYCLE, CauseKind.TROUBLE):
            assert cause.opening is not None
            assert cause.way is not None
            waits.setdefault(cause.opening, {}).setdefault(cause.way, []).append(cause.fact)
    shut = {a for a, ways in waits.items() if len(ways) == len(problem.openings[a].ways)}
    clears = {cause.fact for cause in causes if cause.fact is not None}
    shut |= {fact for fact in clears if problem.is_clear(fact)}

    def opens(fact: int) -> bool:
        if problem.is_clear(fact):
            return not shut.issuperset(problem.clear(fact).supporters)
        return any(shut.isdisjoint(facts) and None not in facts for facts in waits[fact].values())

    while opened := {fact for fact in shut if opens(fact)}:
        shut -= opened
    return shut
