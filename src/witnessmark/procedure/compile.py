"""Compile a machine, the works wanted and where the job stands into a planning problem.

Only what the goals can reach is compiled: a machine of six hundred openings asked for its
thermostat becomes a problem of thirty. Everything derived is kept with its reason and
its place in the file. What the rule book's rows and the ways say becomes needs,
while_fitted and before: planner and checker have no rules of their own (S10).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from witnessmark.machine.complaints import Complaint, nearest
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import FactRef, JobState, Machine, Place, Work, WorkStep
from witnessmark.machine.workshop import Workshop
from witnessmark.procedure.compile_openings import (
    Numbering,
    OpeningMaker,
    Reach,
    asks_between,
    derived_rule,
)
from witnessmark.procedure.compile_start import Start, start_of
from witnessmark.procedure.compile_steps import order_of_step
from witnessmark.procedure.compiled import (
    BlockInfo,
    ClearInfo,
    Compiled,
    CompileError,
    DerivedRule,
    GoalInfo,
    Implied,
    OpeningInfo,
)
from witnessmark.procedure.costing import Places, Spoiling
from witnessmark.procedure.levels import Levels
from witnessmark.procedure.problem import Block, Problem
from witnessmark.procedure.rules.shapes import Wanted
from witnessmark.procedure.tables import Demand, MachineTables, Opened, tables_for
from witnessmark.procedure.written import Written

__all__ = [
    "BlockInfo",
    "ClearInfo",
    "CompileError",
    "Compiled",
    "DerivedRule",
    "GoalInfo",
    "Implied",
    "OpeningInfo",
    "compile_problem",
]


def compile_problem(
    machine: Machine,
    work_ids: Sequence[str],
    workshop: Workshop,
    state: JobState | None = None,
    known: tuple[Derived, MachineTables] | None = None,
) -> Compiled:
    """Compile works of a machine, from where the job stands, into a planning problem.

    Parameters
    ----------
    machine : Machine
        The machine.
    work_ids : Sequence[str]
        Ids of the works wanted.
    workshop : Workshop
        Rates, change-overs and risks.
    state : JobState, optional
        Where the job stands; nothing is open when it is not given.
    known : tuple[Derived, MachineTables], optional
        What follows from this machine, when it was worked out before.

    Raises
    ------
    CompileError
        If a work or a fact names nothing, a step's acts cannot be done, a saving exceeds
        what it saves, or the state contradicts itself. All complaints at once.
    """
    return _Compiler(machine, workshop, state, known).compile(work_ids)


class _Compiler:
    """One compilation; complaints are collected and raised together."""

    def __init__(
        self,
        machine: Machine,
        workshop: Workshop,
        state: JobState | None,
        known: tuple[Derived, MachineTables] | None,
    ) -> None:
        self.machine = machine
        self.workshop = workshop
        self.state = state
        self.derived = Derived(machine) if known is None else known[0]
        self.tables = tables_for(machine, self.derived) if known is None else known[1]
        self.levels = Levels(machine, self.derived, self.tables, state)
        self.written = Written(self.derived)
        self.complaints: list[Complaint] = []

    def _complain(self, code: str, place: Place, what: str, to_do: str) -> None:
        self.complaints.append(Complaint(place, code, what, to_do))

    def compile(self, work_ids: Sequence[str]) -> Compiled:
        """Compile, or raise everything that is wrong."""
        works = self._works(work_ids)
        start = start_of(self.state, self.levels, self.tables, self.written)
        self.complaints += start.complaints
        steps = [
            (work, step)
            for work in works
            for step in work.steps
            if (work.id, step.id) not in start.done
        ]
        orders = [self._order_of(step) for _, step in steps]
        goals = [
            (work, row)
            for work in works
            for row in self._goals_of(work)
            if not start.is_reached(row)
        ]
        wanted = [row for _, row in goals]
        wanted += [row for order in orders for row in order if row.wanted is Wanted.OPEN]
        reach = Reach(self.machine, self.derived, self.tables, self.levels, self.written)
        numbering = Numbering(reach, reach.from_(wanted, start.open), start)
        return self._compiled(works, numbering, goals, list(zip(steps, orders, strict=True)))

    def _compiled(
        self,
        works: tuple[Work, ...],
        numbering: Numbering,
        goals: list[tuple[Work, Demand]],
        steps: list[tuple[tuple[Work, WorkStep], tuple[Demand, ...]]],
    ) -> Compiled:
        places = Places(self.machine, self.workshop)
        spoiling = Spoiling(self.machine, self.workshop)
        maker = OpeningMaker(numbering, places, spoiling)
        made = [maker.make(number, level) for number, level in enumerate(numbering.levels)]
        goal_infos = tuple(
            GoalInfo(numbering.fact(row), work.id, row.check, row.place) for work, row in goals
        )
        numbers = {(work.id, step.id): number for number, ((work, step), _) in enumerate(steps)}
        blocks = [
            self._block(work, step, order, numbering, places, numbers)
            for (work, step), order in steps
        ]
        self.complaints += maker.complaints
        self._complain_of_unresolved()
        if self.complaints:
            raise CompileError(tuple(dict.fromkeys(self.complaints)))
        problem = Problem(
            openings=tuple(opening for opening, _ in made),
            clears=numbering.clears(),
            goals=tuple(dict.fromkeys(goal.fact for goal in goal_infos)),
            asks=asks_between(self._asks_left(numbering.start), numbering.index),
            blocks=tuple(block for block, _ in blocks),
            changeovers=places.changeovers(),
        )
        start = numbering.start
        return Compiled(
            machine=self.machine,
            works=works,
            workshop=self.workshop,
            problem=problem,
            openings=tuple(info for _, info in made),
            blocks=tuple(info for _, info in blocks),
            clears=tuple(numbering.clear_infos),
            goals=goal_infos,
            index=numbering.index,
            tables=self.tables,
            derived=self.derived,
            implied=tuple(
                Implied(numbering.index[key], says, place)
                for key, (says, place) in start.implied.items()
            ),
            struck=self._struck(),
            been=frozenset(start.been),
            unpriced=tuple(spoiling.unpriced),
        )

    def _struck(self) -> tuple[tuple[FactRef, str], ...]:
        struck = () if self.state is None else self.state.struck
        return tuple((ref, way.id) for ref, way in struck)

    def _complain_of_unresolved(self) -> None:
        for ref, why in self.written.unresolved.items():
            self._complain(
                "plan-fact-names-nothing", ref.place,
                f"'{ref}' cannot be opened: {why}",
                nearest(ref.object, self.derived.things, "names")
                if why == "unknown object"
                else f"describe that state of '{ref.object}' with a way, or write another",
            )  # fmt: skip

    # Works

    def _works(self, work_ids: Sequence[str]) -> tuple[Work, ...]:
        """Give the works asked for and all they call, each once, the asked for first."""
        found: dict[str, Work] = {}
        todo: list[tuple[str, Place]] = [(id_, self.machine.place) for id_ in work_ids]
        while todo:
            id_, place = todo.pop(0)
            work = self.machine.works.get(id_)
            if work is None:
                self._complain(
                    "plan-unknown-work", place,
                    f"there is no work '{id_}'", nearest(id_, self.machine.works, "works"),
                )  # fmt: skip
            elif id_ not in found:
                found[id_] = work
                todo += [(ref.id, ref.place) for ref in work.calls]
        return tuple(found.values())

    def _goals_of(self, work: Work) -> Iterator[Demand]:
        """Give what a work wants open: its goals, and whatever it renews out of the way."""
        yield from self.written.demands("goal", Wanted.OPEN, work.goals)
        for ref in work.renews:
            if ref.id not in self.machine.parts:
                continue
            trapping = (trap.id for trap in self.machine.parts[ref.id].trapped_by)
            for part in (ref.id, *trapping):
                fact = self.derived.find(FactRef(part, None, ref.place))
                if fact is not None:
                    found = self.written.openings(FactRef(part, None, ref.place))
                    yield Demand("renewed", Wanted.OPEN, part, found, ref.id, ref.place)
                    break

    def _asks_left(self, start: Start) -> Iterator[tuple[Opened, Opened]]:
        met = start.met(self.tables.asks)
        return (each for each in self.tables.asks if each not in met)

    # Steps of works

    def _order_of(self, step: WorkStep) -> tuple[Demand, ...]:
        rows, complaints = order_of_step(step, self.derived, self.tables, self.levels, self.written)
        self.complaints += complaints
        return rows

    def _block(
        self,
        work: Work,
        step: WorkStep,
        order: tuple[Demand, ...],
        numbering: Numbering,
        places: Places,
        blocks: Mapping[tuple[str, str], int],
    ) -> tuple[Block, BlockInfo]:
        needs: dict[int, None] = {}
        before: dict[int, None] = {}
        rules: list[DerivedRule] = []
        for row in order:
            if row.wanted is Wanted.OPEN:
                facts: tuple[int, ...] = (numbering.fact(row),)
                needs.update(dict.fromkeys(facts))
            else:
                facts = numbering.shut(row)
                before.update(dict.fromkeys(facts))
            if facts and row.check not in {"step needs", "step before"}:
                rules.append(derived_rule(row, facts, self.tables))
        block = Block(
            id=f"{work.id}/{step.id}",
            cost=step.time * step.people,
            needs=tuple(needs),
            before=tuple(before),
            after=tuple(self._earlier(work, step, blocks, numbering.start)),
            position=places.position(step.position),
            tool=places.tool(step.tool),
        )
        return block, BlockInfo(work, step, tuple(rules))

    def _earlier(
        self, work: Work, step: WorkStep, blocks: Mapping[tuple[str, str], int], start: Start
    ) -> Iterator[int]:
        """Give the blocks that come before a step, by its own work's step ids."""
        for ref in step.after:
            if (work.id, ref.id) in start.done:
                continue
            number = blocks.get((work.id, ref.id))
            if number is None:
                own = [s.id for s in work.steps if s.id != step.id]
                self._complain(
                    "plan-unknown-step", ref.place,
                    f"'{step.id}' comes after '{ref.id}', which is no step of '{work.id}'",
                    nearest(ref.id, own, "steps"),
                )  # fmt: skip
            else:
                yield number
