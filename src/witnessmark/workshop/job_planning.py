"""A job from a machine of the library and works: planned, put into words, packed.

No framework here: the command, the desk and a new plan at the bench all come through this.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import Any

from witnessmark.engineering.fastening.witness_marks import WitnessMark
from witnessmark.ledger.pack import job_pack
from witnessmark.machine.complaints import Complaint
from witnessmark.machine.model import JobState, Machine
from witnessmark.machine.workshop import Workshop
from witnessmark.papers.bench_texts import bench_texts
from witnessmark.planning.explaining import cause_lines
from witnessmark.planning.job import Job, job_from
from witnessmark.planning.planner import PlanResult, make_plan, make_plans
from witnessmark.procedure.compile import compile_problem
from witnessmark.procedure.compiled import Compiled, CompileError
from witnessmark.workshop.library import Library, LibraryError, stem

MARGIN = 100
"""How much longer another plan may be. [tenths of a minute]"""

Struck = tuple[str, str]
"""An opening by its id, like `alternator off`, and the way that cannot be gone here."""


class CannotPlanError(ValueError):
    """Why there is no plan: one line a reason, with what to do."""

    def __init__(self, says: str, lines: Iterable[str] = ()) -> None:
        super().__init__(says)
        self.lines = tuple(lines)


class UnfitFileError(CannotPlanError):
    """A file has complaints that must be put right first."""

    def __init__(self, file: str, complaints: Sequence[Complaint]) -> None:
        super().__init__(
            f"{file} has {len(complaints)} complaints: put them right first",
            map(str, complaints),
        )
        self.complaints = tuple(complaints)


@dataclass(frozen=True)
class PlannedJob:
    """One plan for a job: as the planner found it, in words, and as the bench takes it."""

    compiled: Compiled
    result: PlanResult
    job: Job

    @cached_property
    def pack(self) -> dict[str, Any]:
        """The job pack."""
        plan = self.result.plan
        assert plan is not None, "a planned job has a plan"
        return job_pack(self.compiled, plan, bench_texts(self.job))


def plan_job(
    folder: Path,
    machine: str,
    works: Sequence[str],
    plans: int = 1,
    *,
    state: JobState | None = None,
    struck: Iterable[Struck] = (),
    margin: int = MARGIN,
    day: date | None = None,
    mark: WitnessMark | None = None,
) -> list[PlannedJob]:
    """Plan works on a machine of a workshop's library.

    Parameters
    ----------
    folder : Path
        The workshop's folder, or another laid out like it.
    machine : str
        What the machine is called in the library, like `gull-20`.
    works : Sequence[str]
        Ids of the works.
    plans : int
        How many different plans to look for; fewer may be found.
    state : JobState, optional
        What is open already.
    struck : Iterable[Struck]
        Ways that cannot be gone on this very machine.
    margin : int
        How much longer than the shortest another plan may be. [tenths of a minute]
    day : date, optional
        The day of the work: a wrench overdue for its check on it does not serve.
    mark : WitnessMark, optional
        The witness mark chosen for the job.

    Raises
    ------
    LibraryError
        If the library has no such machine.
    CannotPlanError
        If a file is unfit, a work is not there, or nothing reaches the works.
    """
    compiled = compile_job(folder, machine, works, state)
    bans = bans_for(compiled, struck)
    if plans > 1:
        results = make_plans(compiled.problem, count=plans, margin=margin, bans=bans)
    else:
        results = (make_plan(compiled.problem, bans=bans),)
    if results[0].plan is None:
        raise CannotPlanError(
            f"No plan: {results[0].outcome.value}.", cause_lines(compiled, results[0].causes)
        )
    return [
        PlannedJob(compiled, each, job_from(compiled, each, compiled.workshop, day=day, mark=mark))
        for each in results
    ]


def compile_job(
    folder: Path, machine: str, works: Sequence[str], state: JobState | None = None
) -> Compiled:
    """Compile works on a machine of the library with the workshop's figures.

    Raises
    ------
    LibraryError
        If the library has no such machine.
    CannotPlanError
        If a file is unfit or a work is not there.
    """
    library = Library(folder)
    read = library.read(machine)
    if read.machine is None or read.errors:
        raise UnfitFileError(read.name, read.errors or read.complaints)
    _check_works(read.machine, works)
    try:
        return compile_problem(read.machine, works, figures_of(library), state)
    except CompileError as error:
        raise UnfitFileError(read.name, error.complaints) from None


def figures_of(library: Library) -> Workshop:
    """Give the workshop's figures: those of its file, or the built-in ones where it has none.

    Raises
    ------
    UnfitFileError
        If the workshop file has complaints.
    """
    workshop, complaints = library.workshop()
    errors = [each for each in complaints if not each.is_warning]
    if errors:
        raise UnfitFileError("workshop.yaml", errors)
    return workshop or Workshop(name="built-in workshop", file="")


def bans_for(compiled: Compiled, struck: Iterable[Struck]) -> frozenset[tuple[int, int]]:
    """Turn ways struck out into the planner's numbers; those of other works are passed over."""
    numbers = {
        (compiled.problem.openings[number].id, way.id): (number, choice)
        for number, info in enumerate(compiled.openings)
        for choice, way in enumerate(info.ways)
    }
    return frozenset(numbers[each] for each in struck if each in numbers)


def _check_works(machine: Machine, works: Sequence[str]) -> None:
    file = stem(machine.place.file)
    if not works:
        raise CannotPlanError(f"choose at least one work of {file}")
    for work in works:
        if work not in machine.works:
            near = get_close_matches(work, list(machine.works), 1)
            hint = f"did you mean '{near[0]}'?" if near else f"it has: {', '.join(machine.works)}"
            raise CannotPlanError(f"{file}: there is no work '{work}': {hint}")


__all__ = [
    "CannotPlanError",
    "LibraryError",
    "PlannedJob",
    "UnfitFileError",
    "compile_job",
    "plan_job",
]
