"""Where a job stands when planning begins: what is open, what follows from that, what is struck.

Whatever is open needs what its way needed to get there, so that is open too, said or not:
a cover that is off has its bolts out. Only where several things may have made the way is
the state file asked to say which.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from witnessmark.machine.complaints import Complaint, nearest
from witnessmark.machine.model import FactRef, IdRef, JobState, Place, Way
from witnessmark.procedure.levels import Level, Levels
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.shapes import Event, Wanted
from witnessmark.procedure.tables import Demand, MachineTables, Opened
from witnessmark.procedure.written import Written


@dataclass(slots=True)
class Start:
    """What is open when planning begins, by the level that ends in it.

    `ways` gives the way it was opened by, where that is known; `implied` what nobody
    said, with the reason; `struck` the ways that cannot be got at; `been` what was open
    and is shut again; `done` the works' own steps that are done, as (work, step).
    """

    open: dict[Opened, Place] = field(default_factory=dict)
    ways: dict[Opened, str] = field(default_factory=dict)
    implied: dict[Opened, tuple[str, Place]] = field(default_factory=dict)
    struck: dict[tuple[Opened, str], Place] = field(default_factory=dict)
    been: set[Opened] = field(default_factory=set)
    done: set[tuple[str, str]] = field(default_factory=set)
    complaints: list[Complaint] = field(default_factory=list)

    def is_reached(self, goal: Demand) -> bool:
        """Tell whether a goal was open on this job and is shut again."""
        return not self.been.isdisjoint(goal.openings)

    def met(self, asks: Iterable[tuple[Opened, Opened]]) -> set[tuple[Opened, Opened]]:
        """Give the asks of what is open that are met: what they ask for was open already."""
        return {(a, b) for a, b in asks if a in self.open and b in self.been}


def start_of(
    state: JobState | None, levels: Levels, tables: MachineTables, written: Written
) -> Start:
    """Work out where a job stands; complaints are collected, not raised."""
    start = Start()
    if state is not None:
        _Reader(start, levels, tables, written).read(state)
    return start


class _Reader:
    def __init__(
        self, start: Start, levels: Levels, tables: MachineTables, written: Written
    ) -> None:
        self.start = start
        self.levels = levels
        self.tables = tables
        self.written = written

    def read(self, state: JobState) -> None:
        for ref in state.open:
            level = self._level(ref)
            if level is not None:
                self.start.open.setdefault(level.key, ref.place)
        for ref, way in state.by:
            level = self._level(ref)
            if level is not None:
                self._by(level, ref, way)
        for ref, way in state.struck:
            level = self._level(ref)
            if level is not None and self._has_way(level, way):
                self.start.struck[(level.key, way.id)] = way.place
        self._past(state)
        self._imply()
        for key, id_ in self.start.ways.items():
            struck = self.start.struck.get((key, id_))
            if struck is not None:
                self._complain(
                    "state-struck-way-used", struck,
                    f"'{' '.join(key)}' was opened by '{id_}', which is struck out",
                    "take it from one of the two lists",
                )  # fmt: skip

    def _past(self, state: JobState) -> None:
        """Read what is behind the job: what was open once, and the steps that are done."""
        for ref in state.been:
            levels = list(self.levels.each(self.written.openings(ref)))
            if not levels:
                self._nothing(ref)
            self.start.been.update((each.object, s) for each in levels for s in each.states)
        self.start.been -= self.start.open.keys()
        for named in state.done:
            work, _, step = named.id.partition("/")
            self.start.done.add((work, step))

    def _complain(self, code: str, place: Place, what: str, to_do: str) -> None:
        self.start.complaints.append(Complaint(place, code, what, to_do))

    def _level(self, ref: FactRef) -> Level | None:
        openings = self.written.openings(ref)
        own = [opened for opened in openings if opened[0] == ref.object] or list(openings)
        if len(own) == 1:
            return self.levels.holding(own[0])
        if not own:
            self._nothing(ref)
        else:
            choices = " or ".join(f"'{' '.join(opened)}'" for opened in own)
            self._complain(
                "state-needs-a-choice", ref.place,
                f"'{ref}' may be open in several ways", f"write {choices}",
            )  # fmt: skip
        return None

    def _nothing(self, ref: FactRef) -> None:
        self.written.unresolved.pop(ref, None)  # said here, in the state file's words
        self._complain(
            "state-names-nothing", ref.place,
            f"'{ref}' is nothing this machine can have open",
            nearest(ref.object, self.tables.names),
        )  # fmt: skip

    def _has_way(self, level: Level, way: IdRef) -> bool:
        if any(each.id == way.id for each in level.ways):
            return True
        self._complain(
            "state-unknown-way", way.place,
            f"'{' '.join(level.key)}' has no way '{way.id}'",
            nearest(way.id, (each.id for each in level.ways), "ways"),
        )  # fmt: skip
        return False

    def _by(self, level: Level, ref: FactRef, way: IdRef) -> None:
        if level.key not in self.start.open:
            self._complain(
                "state-way-of-shut", ref.place,
                f"'{ref}' is given a way but is not open", f"add '{ref}' to `open`",
            )  # fmt: skip
        elif self._has_way(level, way):
            self.start.ways[level.key] = way.id

    # What follows

    def _imply(self) -> None:
        """Take as open whatever the open things cannot be open without."""
        todo = list(self.start.open)
        unsettled: dict[tuple[Opened, Demand], None] = {}
        while todo:
            key = todo.pop()
            level = self.levels.holding(key)
            assert level is not None
            if level.below is not None:
                self._take(level.below, key, "comes before it", self.start.open[key], todo)
            for row in self._invariants(level):
                if len(row.openings) == 1:
                    self._take(row.openings[0], key, self._reason(row), row.place, todo)
                elif row.openings:
                    unsettled.setdefault((key, row))
        for key, row in unsettled:
            if not any(self._is_open(opened) for opened in row.openings):
                choices = " or ".join(f"'{' '.join(opened)}'" for opened in row.openings)
                self._complain(
                    "state-needs-a-choice", self.start.open[key],
                    f"'{' '.join(key)}' needs '{row.of}', which may be open in several ways",
                    f"add {choices} to `open`",
                )  # fmt: skip

    def _take(self, opened: Opened, by: Opened, why: str, place: Place, todo: list[Opened]) -> None:
        level = self.levels.holding(opened)
        if level is not None and level.key not in self.start.open:
            self.start.open[level.key] = self.start.open[by]
            self.start.implied[level.key] = (f"'{' '.join(by)}' is open: {why}", place)
            todo.append(level.key)

    def _is_open(self, opened: Opened) -> bool:
        level = self.levels.holding(opened)
        return level is not None and level.key in self.start.open

    def _reason(self, row: Demand) -> str:
        by = self.tables.names.get(row.by, row.by)
        return RULE_BOOK.checks[row.check].because.format(other=row.of, by=by)

    def _invariants(self, level: Level) -> Iterator[Demand]:
        """Give what holds as long as a level is open, whichever way it was opened by."""
        for state in level.states:
            for row in self.tables.of((level.object, state)):
                if row.wanted is Wanted.OPEN:
                    yield row
        for row in self.written.of_every_way(self._ways(level), Event.REFIT):
            if row.check == "way needs":
                yield row

    def _ways(self, level: Level) -> tuple[Way, ...]:
        known = self.start.ways.get(level.key)
        chosen = tuple(way for way in level.ways if way.id == known)
        return chosen or level.ways
