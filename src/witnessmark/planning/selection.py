"""Choose what comes off: the cheapest openings that can be put in an order (P1 to P7).

Branch and bound over the relaxation R. Each node solves R exactly and looks at the
solution: can it be put in an order, is every ask answered? If so it is a selection, and R
says what any other in this branch costs at least. If not, the choices that clash are
known, at least one of them has to go, and each branch forbids one.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from witnessmark.planning.andor import members
from witnessmark.planning.impossibility import Cause, irreducible_causes
from witnessmark.planning.landmark_cuts import INFINITE, costs_through
from witnessmark.planning.orderability import Conflict, settle
from witnessmark.planning.precedence import Premise, PremiseKind, numbered_arcs
from witnessmark.planning.query import Query, Settled, settle_query
from witnessmark.planning.relaxation import ANY_WAY, Implied, Relaxation, relax
from witnessmark.planning.relaxed_optimum import Optimum, Progress, relaxed_optimum
from witnessmark.planning.work import DEFAULT_BUDGET, Meter, OutOfWorkUnits
from witnessmark.procedure.plan import Plan, Saving, cost_of
from witnessmark.procedure.problem import Problem

MARGINS = (2, 8)
"""How far above what any plan costs one is looked for first, and then. [%]"""


class Outcome(StrEnum):
    """What choosing came to."""

    BEST = "proven best"
    FOUND = "best found"
    IMPOSSIBLE = "proven impossible"
    OUT_OF_WORK = "out of work units"


@dataclass(frozen=True, slots=True)
class Selection:
    """What comes off, by which ways, and how good that is.

    `cost` and `bound` are access only: ways less savings, with what they spoil. Ways,
    supporters and savings are empty when none were found. `causes` is empty unless
    `outcome` is IMPOSSIBLE; where finding them would have taken too much work, it is empty,
    or `irreducible` says that some may be spared.
    """

    outcome: Outcome
    ways: Mapping[int, int]
    supporters: Mapping[int, int]
    savings: tuple[Saving, ...]
    cost: int | None
    bound: int
    proven: bool
    causes: tuple[Cause, ...]
    work: int
    irreducible: bool = True


@dataclass(frozen=True, slots=True)
class Prepared:
    """A machine made ready for many questions."""

    problem: Problem
    relaxation: Relaxation


def prepare(problem: Problem) -> Prepared:
    """Compile a problem once."""
    return Prepared(problem, relax(problem))


def select(
    problem: Problem,
    *,
    bans: frozenset[tuple[int, int]] = frozenset(),
    budget: int = DEFAULT_BUDGET,
) -> Selection:
    """Choose what comes off.

    Parameters
    ----------
    problem : Problem
        What is wanted, and of which machine.
    bans : frozenset[tuple[int, int]]
        (opening, way) that may not be used here; a way that is started already stays.
    budget : int
        How much thinking may be spent. [work units]
    """
    return select_prepared(prepare(problem), bans=bans, budget=budget)


def select_prepared(
    prepared: Prepared,
    *,
    bans: frozenset[tuple[int, int]] = frozenset(),
    budget: int = DEFAULT_BUDGET,
) -> Selection:
    """Choose what comes off a machine that was prepared before; as `select` does."""
    meter = Meter(budget)
    search = _Search(prepared, meter)
    try:
        search.run(banned_ways(prepared, bans))
    except OutOfWorkUnits:
        return search.report(complete=False)
    if search.found is None:
        return impossible(prepared.problem, bans, meter)
    return search.report(complete=True)


def impossible(problem: Problem, bans: frozenset[tuple[int, int]], meter: Meter) -> Selection:
    """Say that there is no plan, and why; finding out may take as much work again."""
    explaining = Meter(meter.budget)
    why = irreducible_causes(problem, bans, lambda part, struck: any_plan(part, struck, explaining))
    return Selection(
        outcome=Outcome.IMPOSSIBLE,
        ways={},
        supporters={},
        savings=(),
        cost=None,
        bound=0,
        proven=True,
        causes=why.causes,
        work=meter.used + explaining.used,
        irreducible=why.irreducible,
    )


def any_plan(
    problem: Problem, bans: frozenset[tuple[int, int]], meter: Meter
) -> Mapping[int, int] | None:
    """Find the ways of any plan; None proves that there is none.

    Raises
    ------
    OutOfWorkUnits
        When neither was settled.
    """
    prepared = prepare(problem)
    meter.spend(len(prepared.relaxation.owner))
    search = _Search(prepared, meter)
    search.run(banned_ways(prepared, bans))
    return None if search.found is None else search.found.ways


def banned_ways(prepared: Prepared, bans: frozenset[tuple[int, int]]) -> frozenset[int]:
    """Translate bans to ways in R."""
    openings = prepared.problem.openings
    return frozenset(
        prepared.relaxation.way_of(a, w)
        for a, w in bans
        if not (openings[a].started and openings[a].started_way == w)
    )


@dataclass(frozen=True, slots=True)
class _Found:
    ways: dict[int, int]
    supporters: dict[int, int]
    savings: tuple[Saving, ...]


class _Search:
    def __init__(self, prepared: Prepared, meter: Meter) -> None:
        self.problem = prepared.problem
        self.relaxation = prepared.relaxation
        self.meter = meter
        self.cost = INFINITE
        """The cheapest found, or the limit below which is looked."""
        self.limit = INFINITE
        self.is_narrowed = False
        self.found: _Found | None = None
        self.open: list[tuple[int, int, Query]] = []
        self.current = 0
        self.pushed = 0

    def run(self, forbidden: frozenset[int]) -> None:
        """Look at the branch with the lowest bound until none can be better."""
        forbidden |= self.relaxation.struck
        self.push(0, Query(self.relaxation, forbidden, self.relaxation.goals))
        self.explore()

    def explore(self) -> None:
        while self.open and self.open[0][0] < self.cost:
            self.current, _, query = heapq.heappop(self.open)
            self.look(query)
        self.open.clear()

    def push(self, bound: int, query: Query) -> None:
        self.pushed += 1
        heapq.heappush(self.open, (bound, -self.pushed, query))

    def look(self, query: Query) -> None:
        """Solve one branch's relaxation; keep the solution, or branch on why not."""
        self.meter.spend(1)
        settled = settle_query(query, self.meter)
        if settled is None:
            return
        progress = Progress()
        try:
            optimum = relaxed_optimum(
                settled.graph, self.meter, self.cost, settled.landmarks, progress
            )
        except OutOfWorkUnits:
            self.current = max(self.current, progress.bound)
            if progress.best is not None:
                self.keep(progress.best)
            raise
        if optimum is None:
            return
        broken = self.keep(optimum, settled)
        if broken is None:
            return
        least = optimum.cost
        if not self.is_narrowed:
            self.is_narrowed = True
            least = self.look_near(least, settled, broken)
        if self.found is None or least < self.cost:
            self.branch(least, settled, broken)

    def look_near(self, least: int, settled: Settled, broken: Implied | Conflict[int]) -> int:
        """Look below one limit after another for a plan; give what any plan costs at least.

        Ways no plan below the limit can use are out of every branch, which makes them
        small. That is settled on the whole graph, before any dominance (P4). What only
        asks and needs for one half bring may be held without any chain from the goal.
        """
        implied = [each.fact for each in self.relaxation.implied]
        through = costs_through(settled.graph, settled.landmarks, self.meter, implied)
        for percent in MARGINS:
            limit = least + 1 + least * percent // 100
            dear = [w for w, cost in through.items() if cost >= limit]
            if not dear:
                break
            self.limit = self.cost = limit
            query = replace(settled.query.forbid(dear), base=None)
            self.branch(least, replace(settled, query=query), broken)
            self.explore()
            if self.found is not None:
                return self.cost
            least = limit
            self.limit = self.cost = INFINITE
        return least

    def branch(self, bound: int, settled: Settled, broken: Implied | Conflict[int]) -> None:
        if isinstance(broken, Implied):
            self.branch_on_implied(bound, settled, broken)
        else:
            self.branch_on_conflict(bound, settled, broken)

    def keep(
        self, optimum: Optimum, settled: Settled | None = None
    ) -> Implied | Conflict[int] | None:
        """Keep a solution of R as a selection if it is one; else say what it breaks."""
        found = self.read(optimum.choice)
        missing = self.unanswered(optimum.choice)
        if missing is not None:
            return missing
        precedence = numbered_arcs(self.problem, found.ways, found.supporters, found.savings)
        order = settle(precedence, fixed_premises(settled) if settled else frozenset())
        if isinstance(order, Conflict):
            return order
        if optimum.cost < self.cost:
            self.cost = optimum.cost
            self.found = found
        return None

    def read(self, choice: Mapping[int, int]) -> _Found:
        """Turn a solution of R into ways, supporters and savings."""
        found = _Found({}, {}, ())
        savings = []
        for v in sorted(choice)[:-1]:
            meaning = self.relaxation.meanings[choice[v]]
            if meaning is None:
                continue
            if meaning.kind is PremiseKind.WAY:
                found.ways[meaning.subject] = meaning.pick
            elif meaning.kind is PremiseKind.SUPPORTER:
                found.supporters[meaning.subject] = meaning.pick
            elif meaning.saving is not None:
                savings.append(meaning.saving)
        return _Found(found.ways, found.supporters, tuple(savings))

    def unanswered(self, choice: Mapping[int, int]) -> Implied | None:
        """Give the first implied fact that a solution lacks."""
        for implied in self.relaxation.implied:
            if implied.node not in choice or implied.fact in choice:
                continue
            if implied.way in (ANY_WAY, choice[implied.node]):
                return implied
        return None

    def branch_on_implied(self, bound: int, settled: Settled, broken: Implied) -> None:
        """Either what implies goes, or what is implied comes too (P3)."""
        node, way, fact = broken
        self.push(bound, settled.query.demand([fact]))
        out = self.relaxation.ways[node] if way == ANY_WAY else [way]
        self.push(bound, settled.query.forbid(out))

    def branch_on_conflict(self, bound: int, settled: Settled, conflict: Conflict[int]) -> None:
        """Forbid one of the clashing choices in each branch (P2)."""
        fixed = fixed_premises(settled)
        for premise in conflict.premises:
            if premise not in fixed:
                self.push(bound, settled.query.forbid(self.ways_of(premise)))

    def ways_of(self, premise: Premise) -> list[int]:
        """Give the ways in R that stand for a choice."""
        relaxation = self.relaxation
        if premise.kind is PremiseKind.PRESENT:
            return relaxation.ways[premise.subject]
        if premise.kind is PremiseKind.WAY:
            return [relaxation.way_of(premise.subject, premise.pick)]
        return [w for w, meaning in enumerate(relaxation.meanings) if meaning == premise]

    def report(self, *, complete: bool) -> Selection:
        """Say what was found."""
        bound = min([self.limit, self.current, *(bound for bound, _, _ in self.open[:1])])
        if self.found is None:
            return Selection(
                Outcome.OUT_OF_WORK, {}, {}, (), None, bound, False, (), self.meter.used
            )
        plan = Plan(self.found.ways, self.found.supporters, self.found.savings)
        cost = cost_of(self.problem, plan).access
        complete = complete or bound >= cost
        return Selection(
            outcome=Outcome.BEST if complete else Outcome.FOUND,
            ways=self.found.ways,
            supporters=self.found.supporters,
            savings=self.found.savings,
            cost=cost,
            bound=cost if complete else bound,
            proven=complete,
            causes=(),
            work=self.meter.used,
        )


def fixed_premises(settled: Settled) -> frozenset[Premise]:
    """Give the choices that every plan of a branch makes, which nothing can be done about."""
    relaxation, graph = settled.query.relaxation, settled.graph
    fixed = []
    for v in members(settled.landmarks[graph.goal]):
        if v < len(relaxation.problem.openings):
            fixed.append(Premise(PremiseKind.PRESENT, v))
        meaning = None
        if len(graph.ways[v]) == 1 and v != graph.goal:
            meaning = relaxation.meanings[graph.ways[v][0]]
        if meaning is not None:
            fixed.append(meaning)
    return frozenset(fixed)
