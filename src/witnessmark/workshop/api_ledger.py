"""Sending and fetching: events, packs, photos, and where a job stands."""

from __future__ import annotations

from typing import Annotated, Any

from django.http import HttpResponse
from ninja import Field, Query, Router, Schema
from ninja.errors import HttpError

from witnessmark.ledger.canonical import NotCanonicalError, digest, read_canonical
from witnessmark.workshop import letting_in, models
from witnessmark.workshop.api_auth import MAY_SEE, MAY_SEND, Asked, Digest, Id, job_for
from witnessmark.workshop.arriving import Sent, epoch, last_line, take
from witnessmark.workshop.packs import keep_pack_bytes
from witnessmark.workshop.photos import (
    KINDS,
    PhotoRefusedError,
    path_of,
    take_photo,
    thumbnail,
)
from witnessmark.workshop.standing import history, view_of

MOST_EVENTS = 1_000
"""Events of one batch, or of one answer, at the most."""

HexDigest = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]

router = Router()


class SentEvent(Schema):
    """One event: its id and its canonical bytes as text."""

    id: HexDigest
    event: str


class Batch(Schema):
    """Events in the order the device wrote them."""

    events: Annotated[list[SentEvent], Field(max_length=MOST_EVENTS)]


class AnswerOut(Schema):
    """What became of one event."""

    id: str
    answer: str
    says: str | None = None


class Answers(Schema):
    """An answer for each event sent, in the same order, and the epoch they hold for."""

    epoch: str
    answers: list[AnswerOut]


class Fetched(Schema):
    """Events that the device does not have, and how far it is now."""

    epoch: str
    events: list[SentEvent]
    number: int
    more: bool


class Known(Schema):
    """What a device has: heads of the graph, or lines of the arrival book of an epoch."""

    have: Annotated[list[HexDigest], Field(max_length=256, default_factory=list)]
    after: Annotated[int, Field(ge=0, le=2**31 - 1)] = 0
    epoch: str | None = None


class Taken(Schema):
    """A pack or photo that is here now."""

    id: str
    new: bool


class Odd(Schema):
    """What a person should see: forks, gaps, entries kept apart and entries brought by others."""

    forks: list[dict[str, Any]]
    gaps: list[dict[str, Any]]
    unknown: list[str]
    held: list[SentEvent]
    brought: list[dict[str, str]]


@router.post("/events", auth=MAY_SEND, response=Answers)
def send(request: Asked, batch: Batch) -> Answers:
    """Take events; sending them again gives the same answer and changes nothing."""
    sent = [Sent(each.id, each.event.encode()) for each in batch.events]
    answers = take(request.auth, sent)
    return Answers(
        epoch=epoch(),
        answers=[AnswerOut(id=each.id, answer=each.answer, says=each.says) for each in answers],
    )


@router.get("/jobs/{job}/events", auth=MAY_SEE, response=Fetched)
def fetch(request: Asked, job: Id, known: Query[Known]) -> Fetched:
    """Give the events of a job that lie beyond what the device has.

    A device with gaps of its own asks by the arrival book: heads say that all before is there.
    """
    job_for(request, job)
    now = epoch()
    if known.have:
        return _beyond(job, known.have, now)
    after = known.after if known.epoch in {None, now} else 0
    rows = list(
        models.Arrival.objects.filter(job_id=job, number__gt=after, event__held=False)
        .order_by("number")
        .values_list("number", "event_id", "event__data")[: MOST_EVENTS + 1]
    )
    more = len(rows) > MOST_EVENTS
    rows = rows[:MOST_EVENTS]
    return Fetched(
        epoch=now,
        events=[SentEvent(id=id_, event=bytes(data).decode()) for _, id_, data in rows],
        number=rows[-1][0] if rows else after,
        more=more,
    )


def _beyond(job: str, have: list[str], now: str) -> Fetched:
    wanted = history(job).since(have)
    rows = models.Event.objects.filter(id__in=wanted[:MOST_EVENTS]).values_list("id", "data")
    data = {id_: bytes(each) for id_, each in rows}
    return Fetched(
        epoch=now,
        events=[SentEvent(id=id_, event=data[id_].decode()) for id_ in wanted[:MOST_EVENTS]],
        number=0,
        more=len(wanted) > MOST_EVENTS,
    )


@router.get("/jobs/{job}/standing", auth=MAY_SEE, response=dict[str, Any])
def standing(request: Asked, job: Id) -> dict[str, Any]:
    """Say where a job stands: what is outstanding, and the head of its arrival book."""
    job_for(request, job)
    number, line = last_line(job)
    return view_of(job) | {"book": {"number": number, "digest": line}}


@router.get("/jobs/{job}/odd", auth=MAY_SEE, response=Odd)
def odd(request: Asked, job: Id) -> Odd:
    """Show what is odd in a job's events. Nothing odd is dropped."""
    job_for(request, job)
    graph = history(job)
    held = models.Event.objects.filter(job_id=job, held=True).order_by("arrival__number")
    lines = models.Arrival.objects.filter(job_id=job, event__held=False).order_by("number")
    return Odd(
        forks=graph.forks,
        gaps=graph.gaps,
        unknown=graph.unknown,
        held=[SentEvent(id=each.id, event=bytes(each.data).decode()) for each in held],
        brought=[
            {"event": id_, "brought_by": by}
            for id_, by in lines.values_list("event_id", "brought_by")
            if graph.events[id_]["device"] != by
        ],
    )


@router.post("/jobs/{job}/held/{event}/let-in", auth=MAY_SEE, response=Taken)
def let_in(request: Asked, job: Id, event: Digest) -> Taken:
    """Let in an entry that was kept apart: a person of the job says that it counts."""
    job_for(request, job)
    try:
        return Taken(id=event, new=letting_in.let_in(job, event, request.auth.member.id))
    except LookupError as error:
        raise HttpError(404, str(error)) from None


# Packs


@router.put("/jobs/{job}/packs/{pack}", auth=MAY_SEE, response=Taken)
def put_pack(request: Asked, job: Id, pack: Digest) -> Taken:
    """Take a pack: the body is its canonical bytes, the address ends in their digest."""
    found = job_for(request, job)
    if digest(request.body) != pack:
        raise HttpError(422, "the bytes are not those of this digest: send it again")
    try:
        value = read_canonical(request.body)
    except NotCanonicalError as error:
        raise HttpError(422, f"this is no pack: {error}") from None
    if not isinstance(value, dict) or not isinstance(value.get("format"), int):
        raise HttpError(422, "this is no pack: it says no format")
    return Taken(id=pack, new=keep_pack_bytes(found.id, pack, request.body))


@router.get("/jobs/{job}/packs/{pack}", auth=MAY_SEE)
def get_pack(request: Asked, job: Id, pack: Digest) -> HttpResponse:
    """Give a pack of this job, its bytes as they came."""
    job_for(request, job)
    row = models.Pack.objects.filter(id=pack, packofjob__job_id=job).first()
    if row is None:
        raise HttpError(404, "there is no such pack on this job")
    return HttpResponse(bytes(row.data), content_type="application/json")


# Photos


@router.put("/jobs/{job}/photos/{photo}", auth=MAY_SEE, response=Taken)
def put_photo(request: Asked, job: Id, photo: Digest) -> Taken:
    """Take a photo: the body is the file, the address ends in its hash."""
    job_for(request, job)
    try:
        return Taken(id=photo, new=take_photo(job, photo, request.body))
    except PhotoRefusedError as error:
        raise HttpError(422, str(error)) from None


@router.get("/jobs/{job}/photos/{photo}", auth=MAY_SEE)
def get_photo(request: Asked, job: Id, photo: Digest) -> HttpResponse:
    """Give a photo of this job, its bytes as they came."""
    row = _photo(request, job, photo)
    response = HttpResponse(path_of(photo).read_bytes(), content_type=KINDS[row.kind])
    response["X-Content-Type-Options"] = "nosniff"
    return response


@router.get("/jobs/{job}/photos/{photo}/thumbnail", auth=MAY_SEE)
def get_thumbnail(request: Asked, job: Id, photo: Digest) -> HttpResponse:
    """Give a small picture of a photo of this job."""
    _photo(request, job, photo)
    return HttpResponse(thumbnail(photo), content_type="image/jpeg")


def _photo(request: Asked, job: str, photo: str) -> models.Photo:
    job_for(request, job)
    row = models.Photo.objects.filter(id=photo, photoofjob__job_id=job).first()
    if row is None:
        raise HttpError(404, "there is no such photo on this job")
    if row.withheld is not None:
        raise HttpError(410, "this photo was deleted by a person")
    if not path_of(photo).is_file():
        raise HttpError(410, "the bytes of this photo are missing: run witnessmark verify")
    return row
