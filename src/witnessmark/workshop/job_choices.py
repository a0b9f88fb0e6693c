"""Choosing a job at the desk: what each further work costs, and the plans side by side.

Plans are kept a while, by the files they were made from. No framework here.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from threading import Lock
from typing import Generic, TypeVar

from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.planning.planner import make_plan
from witnessmark.workshop.job_planning import (
    PlannedJob,
    Struck,
    bans_for,
    compile_job,
    plan_job,
)
from witnessmark.workshop.library import Library

MOST_PLANS = 3

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was chosen: a machine of the library, works, ways struck out, how many plans."""

    machine: str
    works: tuple[str, ...]
    struck: tuple[Struck, ...] = ()
    plans: int = MOST_PLANS


def plans_for(folder: Path, wanted: Wanted, day: date) -> list[PlannedJob]:
    """Plan what was chosen, or give the plans of a moment ago when no file has changed.

    Raises
    ------
    LibraryError
        If the library has no such machine.
    CannotPlanError
        If it cannot be planned; the lines say why.
    """

    def plan() -> list[PlannedJob]:
        return plan_job(
            folder, wanted.machine, wanted.works, wanted.plans, struck=wanted.struck, day=day
        )

    return _plans.get(folder, wanted, plan, day)


def plan_key(planned: PlannedJob) -> str:
    """Name a plan by its steps, their ways and its minutes: enough to find it again."""
    steps = [[step.id, step.way, step.minutes] for step in planned.job.steps]
    return digest(canonical_bytes({"steps": steps, "cost": planned.job.cost.total}))[:16]


def labour(folder: Path, wanted: Wanted) -> int | None:
    """Give the least labour that the works take together; None when it cannot be done.

    In tenths of a minute; spoilt parts and risk are counted as minutes.

    Raises
    ------
    LibraryError
        If the library has no such machine.
    CannotPlanError
        If a file is unfit or a work is not there.
    """
    if not wanted.works:
        return 0

    def plan() -> int | None:
        compiled = compile_job(folder, wanted.machine, wanted.works)
        return make_plan(compiled.problem, bans=bans_for(compiled, wanted.struck)).total_cost

    one = Wanted(wanted.machine, tuple(sorted(wanted.works)), wanted.struck, 1)
    return _labour.get(folder, one, plan)


def marginal(folder: Path, wanted: Wanted, work: str) -> int | None:
    """Give what a work adds to the others that are wanted, or what leaving it out would save.

    In tenths of a minute; None when they cannot be done together.

    Raises
    ------
    LibraryError
        If the library has no such machine.
    CannotPlanError
        If a file is unfit or a work is not there.
    """
    others = tuple(each for each in wanted.works if each != work)
    without = labour(folder, Wanted(wanted.machine, others, wanted.struck))
    with_it = labour(folder, Wanted(wanted.machine, (*others, work), wanted.struck))
    return None if without is None or with_it is None else with_it - without


def only_in(planned: PlannedJob, others: list[PlannedJob]) -> list[str]:
    """Name what this plan opens, or goes about in another way, that not all others do."""
    mine = _opened(planned)
    shared = set.intersection(*(set(_opened(each).items()) for each in others)) if others else set()
    return [name for key, name in mine.items() if (key, name) not in shared]


def _opened(planned: PlannedJob) -> dict[tuple[str, str], str]:
    plan = planned.result.plan
    assert plan is not None, "a planned job has a plan"
    found = {}
    for index, choice in plan.ways.items():
        info = planned.compiled.openings[index]
        way = info.ways[choice].id
        words = f"{info.name} {info.state}"
        if len(info.ways) > 1:
            words += f", by {way.replace('-', ' ')}"
        found[planned.compiled.problem.openings[index].id, way] = words
    return found


# Plans of a moment ago


class _Kept(Generic[Value]):
    """The last few answers, each for the files as they were when it was made."""

    def __init__(self, most: int) -> None:
        self._most, self._turn = most, Lock()
        self._values: OrderedDict[object, Value] = OrderedDict()

    def get(self, folder: Path, wanted: Wanted, make: Callable[[], Value], *more: object) -> Value:
        library = Library(folder)
        stamps = library.read(wanted.machine).stamp, library.workshop_stamp()
        key = (str(folder), wanted, stamps, more)
        with self._turn:
            if key in self._values:
                self._values.move_to_end(key)
                return self._values[key]
        value = make()
        with self._turn:
            self._values[key] = value
            while len(self._values) > self._most:
                self._values.popitem(last=False)
        return value


_plans: _Kept[list[PlannedJob]] = _Kept(6)
_labour: _Kept[int | None] = _Kept(512)
