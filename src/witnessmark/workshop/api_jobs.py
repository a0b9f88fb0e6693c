"""Jobs for phones: the list with where each stands, and opening one."""

from __future__ import annotations

from typing import Annotated

from ninja import Field, Router, Schema
from ninja.errors import HttpError

from witnessmark.workshop import job_lists, models
from witnessmark.workshop.api_auth import MAY_SEE, Asked
from witnessmark.workshop.api_people import Name, OwnId
from witnessmark.workshop.writing import now, write_transaction

MOST_JOBS = 1_000

router = Router()


class NewJob(Schema):
    """A job to open, the vehicle if it is known here, and who is on it besides the sender."""

    id: OwnId
    title: Name
    vehicle: OwnId | None = None
    members: Annotated[list[OwnId], Field(max_length=100, default_factory=list)]


class JobOut(Schema):
    """A job that is open now."""

    id: str
    title: str


class ListedOut(JobOut):
    """A job in a list; `outstanding` and `events` as last counted, null before that.

    `moved` goes up with whatever may change where the job stands.
    """

    machine: str
    vehicle: str | None
    plate: str | None
    opened: int
    moved: int
    closed: bool
    outstanding: int | None
    events: int | None


@router.get("/jobs", auth=MAY_SEE, response=list[ListedOut])
def jobs(request: Asked) -> list[ListedOut]:
    """List the jobs that the sender is on: those not handed back first, the newest first."""
    mine = request.auth.jobs()
    job_lists.freshen(mine, job_lists.MOST_FOR_A_PHONE)
    rows = job_lists.with_views(mine, named=False).order_by(*job_lists.OPEN_FIRST)[:MOST_JOBS]
    return [
        ListedOut(
            id=each.id,
            title=each.title,
            machine=each.machine,
            vehicle=each.vehicle,
            plate=each.plate,
            opened=each.opened,
            moved=each.moved,
            closed=each.closed,
            outstanding=each.outstanding,
            events=each.events,
        )
        for each in job_lists.listed(list(rows), named=False, as_last_counted=True)
    ]


@router.post("/jobs", auth=MAY_SEE, response=JobOut)
def open_job(request: Asked, job: NewJob) -> JobOut:
    """Open a job; who opens it is on it. A phone that was not answered sends it again."""
    wanted = {*job.members, request.auth.member.id}
    with write_transaction():
        if request.auth.jobs().filter(id=job.id, title=job.title).exists():
            return JobOut(id=job.id, title=job.title)
        if models.Job.objects.filter(id=job.id).exists():
            raise HttpError(409, "this id is taken: choose another")
        found = list(models.Member.objects.filter(id__in=wanted))
        if len(found) < len(wanted):
            unknown = sorted(wanted - {each.id for each in found})
            raise HttpError(422, f"there is no member {unknown[0]}")
        vehicle = models.Vehicle.objects.filter(id=job.vehicle).first() if job.vehicle else None
        if job.vehicle and vehicle is None:
            raise HttpError(422, f"there is no vehicle {job.vehicle}")
        row = models.Job.objects.create(id=job.id, title=job.title, vehicle=vehicle, opened=now())
        models.OnJob.objects.bulk_create(models.OnJob(job=row, member=each) for each in found)
    return JobOut(id=row.id, title=row.title)
