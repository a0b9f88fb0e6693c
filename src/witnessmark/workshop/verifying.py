"""Is everything that was kept still what it was? Intact, withheld or broken.

Withheld is what a person deleted: its commitment or hash stands, the rest is whole. Broken is
what nobody can have meant: bytes that changed, lines missing, photos gone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark.ledger.canonical import digest
from witnessmark.ledger.chains import read_chains
from witnessmark.ledger.commitments import keeps_word
from witnessmark.workshop import models
from witnessmark.workshop.arriving import BEGINNING, line_digest
from witnessmark.workshop.photos import path_of


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that is not as it was: where, what, and whether a person meant it."""

    where: str
    says: str
    withheld: bool = False


@dataclass(frozen=True, slots=True)
class Verified:
    """What was looked at and what was found."""

    jobs: int
    events: int
    photos: int
    findings: tuple[Finding, ...]

    @property
    def word(self) -> str:
        """`intact`, `withheld` or `broken`."""
        if any(not each.withheld for each in self.findings):
            return "broken"
        return "withheld" if self.findings else "intact"


def verify() -> Verified:
    """Look at every event, line, pack, photo and private text."""
    findings: list[Finding] = []
    jobs = list(models.Job.objects.order_by("id").values_list("id", flat=True))
    for job in jobs:
        findings.extend(_events(job))
        findings.extend(_book(job))
    findings.extend(_strays())
    findings.extend(_packs())
    findings.extend(_photos())
    findings.extend(_private())
    return Verified(
        len(jobs), models.Event.objects.count(), models.Photo.objects.count(), tuple(findings)
    )


def _events(job: str) -> Iterator[Finding]:
    rows = models.Event.objects.filter(job_id=job).order_by("id").values_list("id", "data")
    events, faults = read_chains((id_, bytes(data)) for id_, data in rows)
    for fault in faults:
        yield Finding(f"job {job}, event {fault.event}", fault.says)
    for id_, event in events.items():
        if event["job"] != job:
            yield Finding(f"job {job}, event {id_}", f"belongs to job {event['job']}")


def _book(job: str) -> Iterator[Finding]:
    before, expected = BEGINNING, 1
    for line in (
        models.Arrival.objects.filter(job_id=job).select_related("event").order_by("number")
    ):
        where = f"job {job}, arrival {line.number}"
        if line.number != expected:
            yield Finding(where, f"line {expected} should be here")
        right = line_digest(job, line.number, line.event.id, line.brought_by, line.at, before)
        if line.digest != right:
            yield Finding(where, "the line does not follow from the one before")
        before, expected = line.digest, line.number + 1


def _strays() -> Iterator[Finding]:
    entered = models.Arrival.objects.values("event_id")
    for id_ in models.Event.objects.exclude(id__in=entered).values_list("id", flat=True):
        yield Finding(f"event {id_}", "is in no arrival book")
    here = models.Event.objects.values("id")
    for id_ in models.Arrival.objects.exclude(event_id__in=here).values_list("event_id", flat=True):
        yield Finding(f"event {id_}", "is in an arrival book and not here")


def _packs() -> Iterator[Finding]:
    for id_, data in models.Pack.objects.order_by("id").values_list("id", "data"):
        if digest(bytes(data)) != id_:
            yield Finding(f"pack {id_}", "its bytes are not those of its digest")


def _photos() -> Iterator[Finding]:
    for photo in models.Photo.objects.order_by("id"):
        where, path = f"photo {photo.id}", path_of(photo.id)
        if photo.withheld is not None:
            yield Finding(where, "was deleted by a person", withheld=True)
        elif not path.is_file():
            yield Finding(where, "its file is gone")
        elif digest(path.read_bytes()) != photo.id:
            yield Finding(where, "its file is not what came in")


def _private() -> Iterator[Finding]:
    for row in models.Private.objects.order_by("commitment"):
        where = f"{row.kind} {row.commitment}"
        if row.deleted is not None:
            yield Finding(where, "was deleted by a person", withheld=True)
        elif not _stands(row):
            yield Finding(where, "the text is not the one committed to")


def _stands(row: models.Private) -> bool:
    if row.salt is None or row.says is None:
        return False
    said = bytes(row.says).decode("utf-8", "replace")
    return keeps_word(row.commitment, bytes(row.salt), said)
