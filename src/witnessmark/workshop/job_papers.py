"""The papers of a job as the workshop knows it: folded, named, and handed to the press."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from witnessmark.ledger.fold import fold
from witnessmark.ledger.state import JobState
from witnessmark.machine.workshop import Workshop
from witnessmark.machine.wrenching import check_due
from witnessmark.papers.handover_sheet import handover_sheet
from witnessmark.papers.job_printing import Printing
from witnessmark.papers.job_record import job_record
from witnessmark.papers.record_evidence import picture_name
from witnessmark.papers.state_card import state_card
from witnessmark.workshop import models
from witnessmark.workshop.arriving import last_line
from witnessmark.workshop.library import Library
from witnessmark.workshop.one_paper import NoPaperError
from witnessmark.workshop.paper_names import (
    BOTH,
    HANDOVER,
    JOB_CARD,
    NAMED_AS_USUAL,
    RECORD,
    STATE_CARD,
)
from witnessmark.workshop.photos import PhotoRefusedError, path_of, thumbnail
from witnessmark.workshop.press import PRESS, Press
from witnessmark.workshop.private import texts_of
from witnessmark.workshop.standing import history, pack_of, photos_here
from witnessmark.workshop.starting import here
from witnessmark.workshop.writing import now


def print_paper(
    job: models.Job, name: str, *, named: bool | None = None, press: Press = PRESS
) -> bytes:
    """Print a paper of a job: as it stands, or one of its plan.

    Parameters
    ----------
    job : Job
        The job.
    name : str
        `handover`, `state-card`, both as `handover-with-card`, `record`, `job-card`, or a paper
        of the plan.
    named : bool, optional
        Whether customer, plate and title are on it; as usual for the paper when not said.

    Raises
    ------
    NoPaperError
        If it cannot be printed; the text says why.
    """
    graph = history(job.id)
    pack = pack_of(graph)
    if name == JOB_CARD:
        return _job_card(pack, press)
    if name not in NAMED_AS_USUAL:
        return _paper_of_plan(job, pack, name, press)
    state = fold(pack, graph, photos_here(job.id))
    printing = printing_of(job, named=NAMED_AS_USUAL[name] if named is None else named)
    return _STANDING[name](state, printing, press)


def _handover(state: JobState, printing: Printing, press: Press) -> bytes:
    return press.template("handover-sheet", handover_sheet(state, printing))


def _state_card(state: JobState, printing: Printing, press: Press) -> bytes:
    return press.template("state-card", state_card(state, printing))


def _both(state: JobState, printing: Printing, press: Press) -> bytes:
    content = {"sheet": handover_sheet(state, printing), "card": state_card(state, printing)}
    return press.template(BOTH, content)


def _record(state: JobState, printing: Printing, press: Press) -> bytes:
    pictures = _pictures(list(state.photos))
    content = job_record(state, printing, pictures)
    shown = {row["file"] for row in content["photos"]}
    named = {picture_name(photo): data for photo, data in pictures.items()}
    return press.template(
        "job-record", content, {name: data for name, data in named.items() if name in shown}
    )


_STANDING: dict[str, Callable[[JobState, Printing, Press], bytes]] = {
    HANDOVER: _handover,
    STATE_CARD: _state_card,
    BOTH: _both,
    RECORD: _record,
}


def _job_card(pack: dict[str, Any], press: Press) -> bytes:
    """Print the card that the job's own pack holds: the very plan the bench works from."""
    card = pack["texts"].get("job_card")
    if card is None:
        raise NoPaperError("this job has no plan, and so no job card")
    return press.template("job-card", card)


def _paper_of_plan(job: models.Job, pack: dict[str, Any], name: str, press: Press) -> bytes:
    machine = job.vehicle.machine if job.vehicle is not None else ""
    if not machine or not pack["works"]:
        raise NoPaperError(f"this job has no plan from a machine file, and so no paper '{name}'")
    return press.plan(
        folder=str(here().folder),
        machine=machine,
        works=[work["id"] for work in pack["works"]],
        objects=pack["objects"],
        name=name,
    )


def printing_of(job: models.Job, *, named: bool) -> Printing:
    """Gather what a paper needs beside the events; customer and plate only when asked for."""
    number, digest = last_line(job.id)
    printing = Printing(
        job=job.id,
        title=job.title,
        now=now(),
        book_number=number,
        book_digest=digest,
        people=dict(models.Member.objects.values_list("id", "name")),
        wrenches=wrench_words(),
        zone=datetime.now().astimezone().tzinfo or UTC,
    )
    if not named or job.vehicle is None:
        return printing
    customer, plate = job.vehicle.customer, job.vehicle.plate
    details = customer.details if customer is not None else None
    said = texts_of([details, plate])
    name = (said.get(details or "") or "").partition("\n")[0]
    return replace(printing, customer=name, plate=said.get(plate or "") or "")


def wrench_words() -> dict[str, str]:
    """Say of each wrench of the workshop's list, by id and by name, when it was checked."""
    workshop, _ = Library(here().folder).workshop()
    words: dict[str, str] = {}
    for wrench in (workshop or Workshop(name="", file="")).wrenches:
        due = check_due(wrench)
        says = f"checked {wrench.checked}" if wrench.checked else "no check date in the list"
        says += f"; check due {due.isoformat()}" if due is not None else ""
        words |= {wrench.id: f"{wrench.name}, {says}", wrench.name: says}
    return words


def _pictures(photos: list[str]) -> dict[str, bytes]:
    """Give small pictures of the photos that are here; a person may have deleted some."""
    withheld = models.Photo.objects.exclude(withheld=None).filter(id__in=photos)
    gone = set(withheld.values_list("id", flat=True))
    found = {}
    for photo in photos:
        if photo not in gone and path_of(photo).is_file():
            try:
                found[photo] = thumbnail(photo)
            except (PhotoRefusedError, OSError):
                continue  # the record says that it is not here
    return found
