"""Keeping a job's record as the first draft of a machine file, in the library.

A draft that somebody has written on is never overwritten: a later one goes beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from witnessmark.ledger.drafting import record_of
from witnessmark.ledger.state import JobState
from witnessmark.machine.complaints import Complaint
from witnessmark.machine.drafting import draft
from witnessmark.workshop.job_planning import CannotPlanError, plan_job
from witnessmark.workshop.library import SUFFIX, Library
from witnessmark.workshop.synced import write_synced

FOLDER = "drafts"
"""The folder of the library that drafts lie in."""

_SEAL = "# as drafted: "
_LONGEST_ID = 54
_MOST_BESIDE = 99


class NothingSeenError(ValueError):
    """The record says nothing of the machine yet; the text says what to do."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A draft in the library: its name there, its text, what `check` says, whether it plans.

    `why_not` says in one line why it gives no plan yet; empty when it does.
    """

    name: str
    text: str
    complaints: tuple[Complaint, ...]
    works: tuple[str, ...]
    why_not: str


def keep_draft(folder: Path, job: str, title: str, state: JobState) -> Kept:
    """Draft a machine file from a folded job, and keep it in the workshop's library.

    Raises
    ------
    NothingSeenError
        If nothing was noted on the job yet.
    """
    machine = f"draft-{job}"[:_LONGEST_ID].rstrip("-")
    record = record_of(state, machine, title)
    if not record.seen:
        raise NothingSeenError("nothing was noted on this job yet: take something off first")
    text = sealed(draft(record))
    library = Library(folder)
    name = _free_name(library, machine, text)
    write_synced(library.machines / name, text.encode())
    read = library.read(name)
    works = tuple(read.machine.works) if read.machine is not None else ()
    return Kept(name, text, read.complaints, works, _why_not(folder, name, works))


def sealed(text: str) -> str:
    """End a draft with a line by which it is known later that nobody has written on it."""
    return f"{text}{_SEAL}{sha256(text.encode()).hexdigest()[:16]}\n"


def is_untouched(text: str) -> bool:
    """Tell whether a file is a draft as it was drafted."""
    start, found, _ = text.rpartition(_SEAL)
    return bool(found) and sealed(start) == text


def _free_name(library: Library, machine: str, text: str) -> str:
    """Give the name of the draft of a job: beside one that somebody has written on."""
    for number in range(1, _MOST_BESIDE):
        name = f"{FOLDER}/{machine}{'' if number == 1 else f'-{number}'}{SUFFIX}"
        path = library.machines / name
        if not path.is_file():
            return name
        known = path.read_text("utf-8", errors="replace")
        if known == text or is_untouched(known):
            return name
    raise NothingSeenError("there are too many drafts of this job already: put some away")


def _why_not(folder: Path, name: str, works: tuple[str, ...]) -> str:
    """Say why a draft gives no plan yet; nothing when it gives one."""
    if not works:
        return "it has no work yet: nothing was reached"
    try:
        plan_job(folder, name, works)
    except CannotPlanError as error:
        return str(error)
    return ""
