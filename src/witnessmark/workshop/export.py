"""One job as one archive that a stranger can read without us."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

from witnessmark.workshop import models
from witnessmark.workshop.photos import path_of
from witnessmark.workshop.standing import view_of

README = """Job {job}: {title}
Everything the workshop's ledger holds of this job.

events.jsonl     One event a line, in the order they arrived: {{"id", "held", "event"}}. `event` is
                 text; its SHA-256 in UTF-8 is its id. Each names the one its device wrote before
                 (`prev`) and the last it knew of other devices (`seen`), so that nothing can
                 be changed, added between or left out without showing.
                 `held` are late entries of a device that was revoked, not let in by a person.
arrivals.jsonl   The arrival book. The digest of a line is the SHA-256 of
                 {{"at":..,"before":..,"brought_by":..,"event":..,"job":..,"number":..}} without
                 spaces; `before` is the digest of the line before, 64 zeros at first.
packs/           What the plan and the rules were: JSON, named by its SHA-256.
photos/          Photos as they were taken, named by their SHA-256.
private.jsonl    Texts about the customer: {{"commitment", "kind", "salt", "says"}}. The commitment
                 is the SHA-256 of {{"salt":..,"says":..}}; both are null where a person deleted
                 the text.
standing.json    Where the job stood by these events when this was written.

Times are milliseconds since 1970-01-01 UTC. All hashes are in lower-case hexadecimal.
"""


def export(job: str, file: Path) -> int:
    """Write a job's archive; give the number of events in it.

    Raises
    ------
    LookupError
        If there is no such job.
    OSError
        If the file cannot be written.
    """
    found = models.Job.objects.filter(id=job).first()
    if found is None:
        raise LookupError(f"there is no job {job}")
    standing = view_of(job)
    book = list(models.Arrival.objects.filter(job=found).select_related("event").order_by("number"))
    with ZipFile(file, "w", ZIP_DEFLATED) as archive:
        archive.writestr("README.txt", README.format(job=found.id, title=found.title))
        archive.writestr("events.jsonl", _lines(_event(line.event) for line in book))
        archive.writestr("arrivals.jsonl", _lines(_arrival(line) for line in book))
        archive.writestr("private.jsonl", _lines(_private(row) for row in _private_of(found)))
        archive.writestr("standing.json", json.dumps(standing, ensure_ascii=False, indent=1))
        for pack in models.Pack.objects.filter(packofjob__job=found):
            archive.writestr(f"packs/{pack.id}.json", bytes(pack.data))
        for photo in models.Photo.objects.filter(photoofjob__job=found, withheld=None):
            name = f"photos/{photo.id}.{photo.kind.lower()}"
            if path_of(photo.id).is_file():
                archive.write(path_of(photo.id), name, compress_type=ZIP_STORED)
    return len(book)


def _lines(rows: Iterable[dict[str, Any]]) -> str:
    return "".join(json.dumps(each, ensure_ascii=False) + "\n" for each in rows)


def _event(event: models.Event) -> dict[str, Any]:
    return {"id": event.id, "held": event.held, "event": bytes(event.data).decode()}


def _arrival(line: models.Arrival) -> dict[str, Any]:
    return {
        "number": line.number,
        "event": line.event.id,
        "brought_by": line.brought_by,
        "at": line.at,
        "digest": line.digest,
    }


def _private_of(job: models.Job) -> Iterable[models.Private]:
    theirs = [job.vehicle.plate, job.vehicle.chassis] if job.vehicle else []
    if job.vehicle and job.vehicle.customer:
        theirs.append(job.vehicle.customer.details)
    said = models.Private.objects.filter(job=job.id)
    return (
        said | models.Private.objects.filter(commitment__in=[each for each in theirs if each])
    ).order_by("commitment")


def _private(row: models.Private) -> dict[str, Any]:
    return {
        "commitment": row.commitment,
        "kind": row.kind,
        "salt": None if row.salt is None else bytes(row.salt).hex(),
        "says": None if row.says is None else bytes(row.says).decode(),
    }
