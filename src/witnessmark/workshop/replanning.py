"""A new plan from where a job stands: what cannot be got at struck out, what came up added.

The plan made at first is left only where it must be, or where that saves minutes worth the
trouble of thinking anew. No framework here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from witnessmark.engineering.fastening.witness_marks import witness_mark
from witnessmark.ledger.pack import job_pack
from witnessmark.ledger.rebase import changes
from witnessmark.ledger.state import JobState as Folded
from witnessmark.machine.workshop import Workshop
from witnessmark.papers.bench_texts import bench_texts
from witnessmark.planning.alternatives import openings_off, ways_off
from witnessmark.planning.explaining import cause_lines
from witnessmark.planning.job import job_from
from witnessmark.planning.planner import PlanResult, Route, make_plan, plan_again
from witnessmark.planning.promptly import AFTERWARDS, AT_ONCE, is_proven, plan_at_once
from witnessmark.procedure.compile import compile_problem
from witnessmark.procedure.compiled import Compiled, CompileError
from witnessmark.procedure.plan_rows import plan_for
from witnessmark.workshop.carried import carried_over
from witnessmark.workshop.half_done import HalfDone, half_done, part_of, planned_way
from witnessmark.workshop.job_planning import CannotPlanError, UnfitFileError, figures_of
from witnessmark.workshop.library import Library
from witnessmark.workshop.ready_machines import ReadyMachine, ready
from witnessmark.workshop.trouble import more_by_trouble

LEAST_GAIN = 50
"""The plan's route is not left for a gain under this (our own). [tenths of a minute]"""

MOST_CHANGES = 400
"""Rows of what changed at the most: about 30 of the 64 kB that an event may have."""

Strike = tuple[str, str | None]
"""An object, or an opening like `alternator off`, and its way; None for the way of the plan."""

Bans = frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What changes: ways struck out, works added; `proof` takes the time a proof takes."""

    struck: tuple[Strike, ...] = ()
    added: tuple[str, ...] = ()
    proof: bool = False
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Replanned:
    """A new plan as the bench takes it. Minutes are labour still to come, in tenths.

    `before` is what was left by the plan as it stood, None where that leads nowhere;
    `new` and `gone` are steps to come in words; `assumed` is taken as open though nobody
    recorded it; `beside` stands open and is in no plan; `more` is what troubles bring.
    """

    pack: dict[str, Any]
    compiled: Compiled
    result: PlanResult
    changed: list[dict[str, Any]]
    before: int | None
    after: int
    proven: bool
    gap: int
    new: tuple[str, ...]
    gone: tuple[str, ...]
    assumed: tuple[str, ...]
    beside: tuple[str, ...]
    more: tuple[dict[str, Any], ...]


def replan(folder: Path, machine: str, folded: Folded, wanted: Wanted) -> Replanned:
    """Plan the rest of a job anew.

    Parameters
    ----------
    folder : Path
        The workshop's folder with its library.
    machine : str
        What the machine is called in the library.
    folded : Folded
        The job by its events.
    wanted : Wanted
        What changes.

    Raises
    ------
    LibraryError
        If the library has no such machine.
    CannotPlanError
        If there is nothing to plan from, or nothing reaches the works: with the causes.
    """
    if not folded.pack["works"]:
        raise CannotPlanError("nobody has described this machine: there is nothing to plan from")
    library = Library(folder)
    read = library.read(machine)
    if read.machine is None or read.errors:
        raise UnfitFileError(read.name, read.errors or read.complaints)
    return _Replanning(ready(read.machine), figures_of(library), folded, wanted).done()


@dataclass(slots=True)
class _Replanning:
    ready: ReadyMachine
    workshop: Workshop
    folded: Folded
    wanted: Wanted
    strikes: list[list[str | None]] = field(default_factory=list)

    def done(self) -> Replanned:
        works = self._works()
        earlier = [(str(each[0]), each[1], each[2]) for each in self._struck_before()]
        now = [self._strike(object_, way) for object_, way in self.wanted.struck]
        self.strikes = [list(each) for each in dict.fromkeys((*earlier, *now))]
        standing, as_was = self._compiled(works, ())
        before = self._as_planned(as_was, earlier)
        compiled = as_was
        if self.wanted.added:
            standing, compiled = self._compiled(works, self.wanted.added)
        result = self._planned(compiled)
        if result.plan is None:
            lines = cause_lines(compiled, result.causes)
            raise CannotPlanError(f"no plan: {result.outcome.value}", lines)
        return self._told(compiled, result, before, as_was, standing)

    # What is wanted

    def _works(self) -> list[str]:
        known = self.ready.machine.works
        works = [row["id"] for row in self.folded.pack["works"] if row["id"] in known]
        for work in self.wanted.added:
            if work not in known:
                raise CannotPlanError(
                    f"{self.ready.machine.name} has no work '{work}': it has {', '.join(known)}"
                )
        return works

    def _struck_before(self) -> list[list[str | None]]:
        struck: list[list[str | None]] = self.folded.pack["plan"].get("struck", [])
        return struck

    def _strike(self, written: str, way: str | None) -> tuple[str, str | None, str]:
        """Read what is struck out, as object, state and way."""
        object_, _, state = written.partition(" ")
        specs = [s for s in self.ready.derived.openings(object_) if s.state == (state or s.state)]
        ids = [each.id for spec in specs for each in spec.ways]
        if way is None and specs:
            way = planned_way(self.folded.pack, object_, specs[-1].state, ids)
        known = None if way is None else part_of(way, ids)
        if known is None:
            raise CannotPlanError(f"there is no way '{way or ''}' to '{written}': strike another")
        return object_, state or None, known

    def _pairs(self) -> list[tuple[str, str]]:
        return [
            (f"{object_} {spec.state}", str(way))
            for object_, state, way in self.strikes
            for spec in self.ready.derived.openings(str(object_))
            if state in (None, spec.state)
        ]

    # Compiling and planning

    def _compiled(self, works: Sequence[str], added: Sequence[str]) -> tuple[HalfDone, Compiled]:
        """Compile what is left; without the ways things were opened by where they mislead."""
        made: list[tuple[HalfDone, Compiled]] = []
        lines: tuple[str, ...] = ()
        for ways_known in (True, False):
            found = half_done(self.folded, self.ready.derived, self._pairs(), ways_known=ways_known)
            found = found.asking_anew(self.ready.derived, [w for w in added if w not in works])
            try:
                made.append((found, self._compile(found, [*works, *added])))
            except CompileError as error:
                lines = tuple(map(str, error.complaints))
                continue
            if not self._shut(made[-1][1]):
                return made[-1]
        if not made:
            raise CannotPlanError("from where this job stands no plan can begin", lines)
        return min(made, key=lambda each: len(self._shut(each[1])))

    def _compile(self, found: HalfDone, works: Sequence[str]) -> Compiled:
        known = (self.ready.derived, self.ready.tables)
        return compile_problem(self.ready.machine, works, self.workshop, found.state, known)

    def _shut(self, compiled: Compiled) -> list[str]:
        """Say what is taken as open though the ledger has it at rest."""
        return [
            each.says
            for each in compiled.implied
            if self.folded.at_rest(compiled.openings[each.opening].object_id)
        ]

    def _bans(self, compiled: Compiled, strikes: Sequence[Sequence[str | None]]) -> Bans:
        return frozenset(
            (number, place)
            for object_, state, struck in strikes
            for number, info in enumerate(compiled.openings)
            if info.object_id == object_ and state in (None, *info.states)
            for place, way in enumerate(info.ways)
            if struck in (way.id, *way.id.split("+"))
        )

    def _route(self, compiled: Compiled) -> Route:
        found = {}
        for opening, info in zip(compiled.problem.openings, compiled.openings, strict=True):
            ids = [way.id for way in info.ways]
            way = planned_way(self.folded.pack, info.object_id, info.state, ids)
            if way is not None:
                found[opening.id] = way
        return found

    def _as_planned(
        self, compiled: Compiled, strikes: Sequence[Sequence[str | None]]
    ) -> PlanResult:
        """Give what was left to do by the plan as it stood."""
        problem, route = compiled.problem, self._route(compiled)
        bans = self._bans(compiled, strikes)
        off = ways_off(problem, route) | openings_off(problem, route)
        return make_plan(problem, budget=AT_ONCE, bans=bans | off)

    def _planned(self, compiled: Compiled) -> PlanResult:
        """Plan what is left; what was open before goes by the way it went then, if it can."""
        route = self._route(compiled)
        bans = self._bans(compiled, self.strikes)
        gone = self._other_ways_than_gone(compiled, route, bans)
        result = self._solved(compiled, route, bans | gone)
        if result.plan is None and gone:
            return self._solved(compiled, route, bans)
        return result

    def _solved(self, compiled: Compiled, route: Route, bans: Bans) -> PlanResult:
        problem = compiled.problem
        if self.wanted.proof:
            return plan_again(problem, route, least_gain=LEAST_GAIN, budget=AFTERWARDS, bans=bans)
        return plan_at_once(problem, route, least_gain=LEAST_GAIN, bans=bans)

    def _other_ways_than_gone(self, compiled: Compiled, route: Route, bans: Bans) -> Bans:
        """Give the ways that what was open before did not go: it is known to go by its own."""
        been = {
            number
            for number, info in enumerate(compiled.openings)
            if any((info.object_id, state) in compiled.been for state in info.states)
        }
        others = {each for each in ways_off(compiled.problem, route) if each[0] in been}
        own_struck = {number for number, _ in bans}
        return frozenset(each for each in others if each[0] not in own_struck)

    # Telling

    def _told(
        self,
        compiled: Compiled,
        result: PlanResult,
        before: PlanResult,
        as_was: Compiled,
        standing: HalfDone,
    ) -> Replanned:
        assert result.plan is not None
        assert result.total_cost is not None
        new, gone = _steps(compiled, result), _steps(as_was, before)
        pack = self._pack(compiled, result)
        return Replanned(
            pack=pack,
            compiled=compiled,
            result=result,
            changed=_shortened(changes(self.folded.pack, pack)),
            before=before.total_cost,
            after=result.total_cost,
            proven=is_proven(result),
            gap=result.total_cost - result.total_bound,
            new=tuple(says for key, says in new.items() if key not in gone),
            gone=tuple(says for key, says in gone.items() if key not in new),
            assumed=tuple(self._shut(compiled)),
            beside=standing.beside,
            more=tuple(more_by_trouble(self.folded, self.ready.machine, self.workshop)),
        )

    def _pack(self, compiled: Compiled, result: PlanResult) -> dict[str, Any]:
        assert result.plan is not None
        mark = (self.folded.pack["texts"].get("job_card") or {}).get("mark")
        job = job_from(
            compiled,
            result,
            self.workshop,
            day=self.wanted.day,
            mark=witness_mark(mark["colour"]) if mark else None,
        )
        pack = job_pack(compiled, result.plan, bench_texts(job), self.ready.rows)
        pack["plan"] = {**pack["plan"], "struck": sorted(self.strikes, key=str)}
        return carried_over(self.folded.pack, pack)


def _shortened(changed: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Name whole parts where so much changed that the rows would fill an event."""
    if len(changed) <= MOST_CHANGES:
        return changed
    parts = dict.fromkeys(str(row["part"]) for row in changed)
    return [{"part": part, "id": None, "how": "changed"} for part in parts]


def _steps(compiled: Compiled, result: PlanResult) -> Mapping[tuple[object, ...], str]:
    """Give the steps to come in words, by what they are."""
    if result.plan is None:
        return {}
    rows: Any = plan_for(compiled, result.plan)["steps"]
    return {(row["kind"], row["action"], row["object"]): row["says"] for row in rows}
