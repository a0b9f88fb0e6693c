"""The few statements that every write makes, as they are: each taken some hundred times a second.

Building the same question anew for each event took more of the processor than asking it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from django.db import connection

_NEW_EVENT = "INSERT INTO workshop_event (id, job_id, data, held) VALUES (%s, %s, %s, %s)"
_NEW_LINE = (
    "INSERT INTO workshop_arrival (job_id, number, event_id, brought_by, at, digest)"
    " VALUES (%s, %s, %s, %s, %s, %s)"
)
_LAST_LINE = (
    "SELECT number, digest FROM workshop_arrival WHERE job_id = %s ORDER BY number DESC LIMIT 1"
)

EventRow = tuple[str, str, bytes, bool]
"""Id, job, bytes, and whether it is kept apart."""

LineRow = tuple[str, int, str, str, int, str]
"""Job, number, event, who brought it, when, and the line's digest."""


def events_here(ids: Collection[str]) -> set[str]:
    """Give those of some events that are here."""
    return {str(row[0]) for row in _of("SELECT id FROM workshop_event WHERE id IN", ids)}


def revoked_when(devices: Collection[str]) -> dict[str, int | None]:
    """Give those of some devices that are known, with when they were revoked."""
    rows = _of("SELECT id, revoked FROM workshop_device WHERE id IN", devices)
    return {str(id_): when for id_, when in rows}


def last_row(job: str) -> tuple[int, str] | None:
    """Give number and digest of the last line of a job's arrival book, if it has one."""
    with connection.cursor() as cursor:
        cursor.execute(_LAST_LINE, [job])
        row = cursor.fetchone()
    return None if row is None else (int(row[0]), str(row[1]))


def epoch_now() -> str | None:
    """Give the epoch of this workshop, if it has begun."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT epoch FROM workshop_workshop WHERE id = 1")
        row = cursor.fetchone()
    return None if row is None else str(row[0])


def enter(events: Iterable[EventRow], lines: Iterable[LineRow]) -> None:
    """Write events and the lines they stand in."""
    with connection.cursor() as cursor:
        cursor.executemany(_NEW_EVENT, list(events))
        cursor.executemany(_NEW_LINE, list(lines))


def _of(question: str, ids: Collection[str]) -> Sequence[Sequence[int | None]]:
    places = ", ".join(["%s"] * len(ids))
    with connection.cursor() as cursor:
        cursor.execute(f"{question} ({places})", list(ids))  # only signs for values are put in
        found: Sequence[Sequence[int | None]] = cursor.fetchall()
    return found
