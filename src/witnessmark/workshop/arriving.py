"""Events as they arrive: each answered, each written in the job's arrival book.

Nothing is refused for what it says. Refused are bytes that have not the form of an event, or
not the digest they were sent under, and events of a job or device that is not known here.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.ledger.events import Event as Written
from witnessmark.ledger.events import EventRefusedError, read_event
from witnessmark.workshop import models
from witnessmark.workshop.book_rows import (
    EventRow,
    LineRow,
    enter,
    epoch_now,
    events_here,
    last_row,
    revoked_when,
)
from witnessmark.workshop.moved import note_moved
from witnessmark.workshop.people import Sender
from witnessmark.workshop.writing import now, write_transaction

BEGINNING = "0" * 64
"""What stands before the first line of an arrival book."""


@dataclass(frozen=True, slots=True)
class Sent:
    """One event as it was sent: the id the device gave it and its canonical bytes."""

    id: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one event: `new`, `again` or `refused`, and why."""

    id: str
    answer: str
    says: str | None = None


def line_digest(job: str, number: int, event: str, brought_by: str, at: int, before: str) -> str:
    """Give the digest of a line of the arrival book."""
    line = {
        "at": at,
        "before": before,
        "brought_by": brought_by,
        "event": event,
        "job": job,
        "number": number,
    }
    return digest(canonical_bytes(line))


def take(sender: Sender, batch: Sequence[Sent]) -> list[Answer]:
    """Take a batch of events in one transaction, and answer for each.

    When this returns, what was answered `new` or `again` is on the disk.
    """
    read = [_read(sent) for sent in batch]
    jobs = {each["job"] for each in read if not isinstance(each, Answer)}
    devices = {each["device"] for each in read if not isinstance(each, Answer)}
    if not jobs:
        return [each for each in read if isinstance(each, Answer)]
    with write_transaction():
        # On PostgreSQL other processes may write to the same book; SQLite has one writer.
        mine = sender.jobs().select_for_update(no_key=True).filter(id__in=jobs).order_by("id")
        known = set(mine.values_list("id", flat=True))
        revoked = revoked_when(devices)
        here = events_here({sent.id for sent in batch})
        answers: list[Answer] = []
        taken: list[tuple[Sent, Written]] = []
        for sent, event in zip(batch, read, strict=True):
            if isinstance(event, Answer):
                answers.append(event)
            elif event["job"] not in known:
                answers.append(Answer(sent.id, "refused", f"there is no job {event['job']}"))
            elif event["device"] not in revoked:
                says = f"no device {event['device']} was paired with this workshop"
                answers.append(Answer(sent.id, "refused", says))
            elif sent.id in here:
                answers.append(Answer(sent.id, "again"))
            else:
                here.add(sent.id)
                taken.append((sent, event))
                answers.append(Answer(sent.id, "new", _about(sender, revoked[event["device"]])))
        late = {id_ for id_, when in revoked.items() if when is not None}
        _enter(sender, taken, late)
    return answers


def _about(sender: Sender, revoked: int | None) -> str | None:
    if sender.is_revoked or revoked is not None:
        return "the device was revoked: kept apart until a person lets it in"
    return None


def _read(sent: Sent) -> Written | Answer:
    try:
        return read_event(sent.data, sent.id)
    except EventRefusedError as error:
        return Answer(sent.id, "refused", str(error))


def _enter(sender: Sender, taken: Iterable[tuple[Sent, Written]], late: set[str]) -> None:
    events: list[EventRow] = []
    lines: list[LineRow] = []
    last: dict[str, tuple[int, str]] = {}
    at = now()
    for sent, event in taken:
        job = event["job"]
        number, before = last.get(job) or last_line(job)
        held = sender.is_revoked or event["device"] in late
        events.append((sent.id, job, sent.data, held))
        line = line_digest(job, number + 1, sent.id, sender.id, at, before)
        lines.append((job, number + 1, sent.id, sender.id, at, line))
        last[job] = (number + 1, line)
    if events:
        enter(events, lines)
    if last:
        note_moved(last)


def last_line(job: str) -> tuple[int, str]:
    """Give number and digest of the last line of a job's arrival book."""
    return last_row(job) or (0, BEGINNING)


def epoch() -> str:
    """Give the epoch of this workshop, begun now when there is none."""
    found = epoch_now()
    if found is not None:
        return found
    with write_transaction():
        row, _ = models.Workshop.objects.get_or_create(
            id=1, defaults={"epoch": secrets.token_hex(16)}
        )
    return row.epoch


def stored_events(job: str, *, held: bool = False) -> dict[str, bytes]:
    """Give the bytes of a job's events by id, in the order they arrived."""
    rows = (
        models.Event.objects.filter(job_id=job, held=held)
        .order_by("arrival__number")
        .values_list("id", "data")
    )
    return {id_: bytes(data) for id_, data in rows}
