"""The least access cost, by an integer programme solved with HiGHS.

Binary variables say which openings are chosen, by which way, which supporter each clear
fact rests on, which savings are counted, and on which side of an opening's stay a block
avoids it. Which step must precede which follows from them: every arc carries the
variables that make it. Orders are kept out of the programme: it is solved without, its
answer is searched for circles of arcs, and every circle found becomes a cut ("not all of
these together"), until an answer has an order.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from time import perf_counter

import highspy
import numpy as np

from witnessmark.procedure.plan import Plan, Saving, Step, StepKind
from witnessmark.procedure.problem import Problem, Side, Way


@dataclass(frozen=True)
class AccessAnswer:
    """The optimum and a plan that has it; None when no plan exists."""

    cost: int | None
    plan: Plan | None
    rounds: int
    cuts: int
    proven: bool = True


@dataclass
class _Programme:
    """Columns and rows, kept as lists until they go to the solver in one piece."""

    costs: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    rows: list[tuple[float, float, list[int], list[float]]] = field(default_factory=list)

    def binary(self, cost: int = 0, *, fixed: bool = False) -> int:
        self.costs.append(float(cost))
        self.lower.append(1.0 if fixed else 0.0)
        self.upper.append(1.0)
        return len(self.costs) - 1

    def row(self, low: float, high: float, terms: Iterable[tuple[int, float]]) -> None:
        added: dict[int, float] = {}
        for column, factor in terms:
            added[column] = added.get(column, 0.0) + factor
        self.rows.append((low, high, list(added), list(added.values())))

    def implies(self, column: int, *others: int) -> None:
        """If one is chosen, so is one of the others."""
        self.row(0.0, highspy.kHighsInf, [(column, -1.0), *((other, 1.0) for other in others)])


def least_access(problem: Problem, time_limit: float = highspy.kHighsInf) -> AccessAnswer:
    """Find the least access cost of a problem, and a plan that has it.

    With a time limit [s] the answer may be unproven: then no cost is given.
    """
    return _Model(problem).solve(time_limit)


class _Model:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.count = len(problem.openings)
        self.programme = _Programme()
        self.arcs: dict[tuple[Step, Step], list[frozenset[int]]] = {}
        self.negated: dict[int, int] = {}
        add = self.programme.binary
        self.x = [add(fixed=opening.started) for opening in problem.openings]
        self.y: list[list[int]] = []
        self.way_of: dict[int, tuple[int, int]] = {}
        self.used = [add() for _ in problem.clears]
        self.z = [{q: add() for q in sorted(set(clear.supporters))} for clear in problem.clears]
        self.s: dict[int, Saving] = {}
        self.d: dict[tuple[int, int], int] = {}
        for c, columns in enumerate(self.z):
            self.exactly_when(self.used[c], columns.values())
            for q, column in columns.items():
                self.programme.implies(column, self.x[q])
        for a in range(self.count):
            self.add_opening(a)
        for a in range(self.count):
            for w, way in enumerate(problem.openings[a].ways):
                self.add_way(a, way, self.y[a][w])
        for goal in problem.goals:
            self.must(self.chosen(goal))
        for a, b in problem.asks:
            self.programme.implies(self.x[a], self.x[b])
        for k in range(len(problem.blocks)):
            self.add_block(k)

    # Building

    def exactly_when(self, column: int, others: Iterable[int]) -> None:
        self.programme.row(0.0, 0.0, [(column, -1.0), *((other, 1.0) for other in others)])

    def must(self, column: int) -> None:
        self.programme.row(1.0, 1.0, [(column, 1.0)])

    def chosen(self, fact: int) -> int:
        return self.x[fact] if fact < self.count else self.used[fact - self.count]

    def add_opening(self, a: int) -> None:
        opening = self.problem.openings[a]
        columns = []
        for w, way in enumerate(opening.ways):
            known = opening.started and opening.started_way is not None
            column = self.programme.binary(way.refit if opening.started else way.cost)
            if known and w != opening.started_way:
                self.programme.upper[column] = 0.0
            self.way_of[column] = (a, w)
            columns.append(column)
        self.y.append(columns)
        self.exactly_when(self.x[a], columns)
        self.arc(Step(StepKind.STRIP, a), Step(StepKind.REFIT, a), self.x[a])

    def add_way(self, a: int, way: Way, y: int) -> None:
        started = self.problem.openings[a].started
        strip, refit = Step(StepKind.STRIP, a), Step(StepKind.REFIT, a)
        for fact in way.needs:
            if not started or self.has_started_supporter(fact):
                self.programme.implies(y, self.chosen(fact))
            for n, makers in self.openers(fact):
                # What a started way needs may be left out: then there is no arc.
                made_by = (y, self.x[n]) if started and n == fact else (y, *makers)
                if not started:
                    self.arc(Step(StepKind.STRIP, n), strip, *made_by)
                self.arc(refit, Step(StepKind.REFIT, n), *made_by)
        for fact in () if started else way.strip_needs:
            self.programme.implies(y, self.chosen(fact))
            for n, makers in self.openers(fact):
                self.arc(Step(StepKind.STRIP, n), strip, y, *makers)
                self.arc(strip, Step(StepKind.REFIT, n), y, *makers)
        for fact in way.refit_needs:
            self.programme.implies(y, self.chosen(fact))
            for n, makers in self.openers(fact):
                self.arc(Step(StepKind.STRIP, n), refit, y, *makers)
                self.arc(refit, Step(StepKind.REFIT, n), y, *makers)
        for b in way.while_fitted:
            self.arc(strip, Step(StepKind.STRIP, b), y, self.x[b])
            self.arc(Step(StepKind.REFIT, b), refit, y, self.x[b])
        for r, room in enumerate(way.rooms):
            for side in Side:
                self.add_savings(a, r, side, room.side(side), y)

    def has_started_supporter(self, fact: int) -> bool:
        return fact >= self.count and any(
            self.problem.openings[q].started
            for q in self.problem.clears[fact - self.count].supporters
        )

    def openers(self, fact: int) -> Iterator[tuple[int, tuple[int, ...]]]:
        """Give each opening that may stand behind a fact, and what must hold if it does."""
        if fact < self.count:
            yield fact, ()
        else:
            for q, column in self.z[fact - self.count].items():
                yield q, (column,)

    def add_savings(
        self, a: int, r: int, side: Side, savings: tuple[tuple[int, int], ...], y: int
    ) -> None:
        started = self.problem.openings[a].started
        if started and side is Side.STRIP:
            return
        columns = []
        for p, saved in savings:
            column = self.programme.binary(-saved)
            self.s[column] = Saving(a, r, side, p)
            columns.append(column)
            self.programme.implies(column, self.x[p])
            self.arc(Step(StepKind.STRIP, p), Step(StepKind.STRIP, a), column)
            self.arc(Step(StepKind.REFIT, a), Step(StepKind.REFIT, p), column)
        if columns:
            self.programme.row(
                -highspy.kHighsInf, 0.0, [(y, -1.0), *((column, 1.0) for column in columns)]
            )

    def add_block(self, k: int) -> None:
        block = self.problem.blocks[k]
        step = Step(StepKind.BLOCK, k)
        for fact in block.needs:
            self.must(self.chosen(fact))
            for n, makers in self.openers(fact):
                self.arc(Step(StepKind.STRIP, n), step, *makers)
                self.arc(step, Step(StepKind.REFIT, n), *makers)
        for other in block.after:
            self.arc(Step(StepKind.BLOCK, other), step)
        for b in block.before:
            if self.problem.openings[b].started:
                self.arc(Step(StepKind.REFIT, b), step)
                continue
            earlier, later = self.programme.binary(), self.programme.binary()
            self.exactly_when(self.x[b], (earlier, later))
            self.arc(step, Step(StepKind.STRIP, b), earlier)
            self.arc(Step(StepKind.REFIT, b), step, later)

    def arc(self, first: Step, then: Step, *makers: int) -> None:
        """Say that one step comes before another whenever all its makers are chosen.

        What happens at time zero is before everything else and in no order within itself.
        """
        if self.at_time_zero(first):
            return
        if self.at_time_zero(then):
            self.forbid(frozenset(makers))
        else:
            self.arcs.setdefault((first, then), []).append(frozenset(makers))

    def at_time_zero(self, step: Step) -> bool:
        return step.kind is StepKind.STRIP and self.problem.openings[step.index].started

    def forbid(self, together: frozenset[int]) -> None:
        self.programme.row(
            -highspy.kHighsInf, len(together) - 1.0, [(column, 1.0) for column in together]
        )

    # Solving

    def solve(self, time_limit: float) -> AccessAnswer:
        solver = self.to_solver()
        ends = perf_counter() + time_limit
        rounds = cuts = 0
        while True:
            rounds += 1
            if time_limit < highspy.kHighsInf:
                left = ends - perf_counter()
                if left <= 0:
                    return AccessAnswer(None, None, rounds, cuts, proven=False)
                solver.setOptionValue("time_limit", solver.getRunTime() + left)
            solver.run()
            status = solver.getModelStatus()
            if status == highspy.HighsModelStatus.kInfeasible:
                return AccessAnswer(None, None, rounds, cuts)
            if status == highspy.HighsModelStatus.kTimeLimit:
                return AccessAnswer(None, None, rounds, cuts, proven=False)
            if status != highspy.HighsModelStatus.kOptimal:
                raise AssertionError(f"HiGHS stopped with {status}")
            if solver.getInfo().max_primal_infeasibility > 1e-6:
                raise AssertionError("HiGHS calls an answer optimal that breaks the programme")
            values = solver.getSolution().col_value
            chosen = {column for column, value in enumerate(values) if value > 0.5}
            after = self.active(chosen)
            circles = list(circles_in(after))
            if not circles:
                cost = round(sum(self.programme.costs[column] for column in chosen))
                return AccessAnswer(cost, self.plan(chosen, after), rounds, cuts)
            for cut in {self.cut_of(circle, chosen) for circle in circles}:
                cuts += 1
                members = sorted({column for group in cut for column in group})
                solver.addRow(
                    -highspy.kHighsInf,
                    len(cut) - 1.0,
                    len(members),
                    members,
                    [1.0] * len(members),
                )

    def to_solver(self) -> highspy.Highs:
        programme = self.programme
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
        solver.silent()
        for option, value in (
            ("threads", 1),
            ("mip_rel_gap", 0.0),
            ("mip_abs_gap", 0.5),
            ("random_seed", 1),
        ):
            solver.setOptionValue(option, value)
        size = len(programme.costs)
        solver.addVars(size, programme.lower, programme.upper)
        solver.changeColsCost(size, list(range(size)), programme.costs)
        solver.changeColsIntegrality(
            size,
            list(range(size)),
            np.full(size, highspy.HighsVarType.kInteger.value, dtype=np.uint8),
        )
        starts: list[int] = []
        columns: list[int] = []
        factors: list[float] = []
        for _, _, row_columns, row_factors in programme.rows:
            starts.append(len(columns))
            columns.extend(row_columns)
            factors.extend(row_factors)
        solver.addRows(
            len(programme.rows),
            [low for low, _, _, _ in programme.rows],
            [high for _, high, _, _ in programme.rows],
            len(columns),
            starts,
            columns,
            factors,
        )
        return solver

    def active(self, chosen: set[int]) -> dict[Step, list[Step]]:
        after: dict[Step, list[Step]] = {}
        for (first, then), makers in self.arcs.items():
            if any(maker <= chosen for maker in makers):
                after.setdefault(first, []).append(then)
        return after

    def cut_of(self, circle: list[Step], chosen: set[int]) -> frozenset[frozenset[int]]:
        """Say that a circle of steps may not come about: not all of its makers together.

        A maker that is the way of an opening stands for all ways of that opening that
        would make the same arcs with the same other makers.
        """
        arcs = list(zip(circle, [*circle[1:], circle[0]], strict=True))
        # That a closing follows its opening needs no maker: every other arc of either
        # step is made only if the opening is chosen.
        made_by = [
            frozenset()
            if (first.kind, then.kind) == (StepKind.STRIP, StepKind.REFIT)
            and first.index == then.index
            else next(m for m in self.arcs[first, then] if m <= chosen)
            for first, then in arcs
        ]
        makers = frozenset().union(*made_by)
        cut = set()
        for maker in makers:
            group = {maker}
            if maker in self.way_of:
                a, _ = self.way_of[maker]
                for other in self.y[a]:
                    if all(
                        (made - {maker}) | {other} in self.arcs[arc]
                        for arc, made in zip(arcs, made_by, strict=True)
                        if maker in made
                    ):
                        group.add(other)
            cut.add(frozenset(group))
        return frozenset(cut)

    # Reading the answer

    def plan(self, chosen: set[int], after: dict[Step, list[Step]]) -> Plan:
        ways = {a: w for column, (a, w) in self.way_of.items() if column in chosen}
        supporters = {
            self.count + c: q
            for c, columns in enumerate(self.z)
            for q, column in columns.items()
            if column in chosen
        }
        steps = [Step(StepKind.BLOCK, k) for k in range(len(self.problem.blocks))]
        for a in sorted(ways):
            if not self.problem.openings[a].started:
                steps.append(Step(StepKind.STRIP, a))
            steps.append(Step(StepKind.REFIT, a))
        return Plan(
            ways=ways,
            supporters=supporters,
            savings=tuple(saving for column, saving in self.s.items() if column in chosen),
            steps=in_order(steps, after),
        )


def circles_in(after: dict[Step, list[Step]]) -> Iterator[list[Step]]:
    """Give short circles of steps: for each step on one, a shortest through it."""
    left = on_circles(after)
    within = {step: [then for then in after[step] if then in left] for step in left}
    seen: set[frozenset[Step]] = set()
    for start in sorted(left, key=lambda step: (step.kind, step.index)):
        circle = shortest_circle(start, within)
        if circle and frozenset(circle) not in seen:
            seen.add(frozenset(circle))
            yield circle


def on_circles(after: dict[Step, list[Step]]) -> set[Step]:
    """Peel off steps that nothing comes before, then those nothing comes after."""
    left = {*after, *(then for thens in after.values() for then in thens)}
    back: dict[Step, list[Step]] = {}
    for first, thens in after.items():
        for then in thens:
            back.setdefault(then, []).append(first)
    for forwards, backwards in ((after, back), (back, after)):
        counts = {step: sum(f in left for f in backwards.get(step, ())) for step in left}
        waiting = [step for step in left if not counts[step]]
        while waiting:
            step = waiting.pop()
            left.discard(step)
            for then in forwards.get(step, ()):
                if then in left:
                    counts[then] -= 1
                    if not counts[then]:
                        waiting.append(then)
    return left


def shortest_circle(start: Step, after: dict[Step, list[Step]]) -> list[Step] | None:
    came: dict[Step, Step | None] = {start: None}
    waiting = deque([start])
    while waiting:
        step = waiting.popleft()
        for then in after.get(step, ()):
            if then == start:
                circle: list[Step] = []
                at: Step | None = step
                while at is not None:
                    circle.append(at)
                    at = came[at]
                return circle[::-1]
            if then not in came:
                came[then] = step
                waiting.append(then)
    return None


def in_order(steps: list[Step], after: dict[Step, list[Step]]) -> tuple[Step, ...]:
    """Put steps in an order that keeps every arc."""
    counts = dict.fromkeys(steps, 0)
    for thens in after.values():
        for then in thens:
            counts[then] += 1
    waiting = [step for step in steps if not counts[step]]
    ordered = []
    while waiting:
        step = waiting.pop()
        ordered.append(step)
        for then in after.get(step, ()):
            counts[then] -= 1
            if not counts[then]:
                waiting.append(then)
    assert len(ordered) == len(steps)
    return tuple(ordered)
