"""What a phone needs to start on a job: its pack, how far its entries go, which photos are here."""

from __future__ import annotations

from ninja import Router, Schema

from witnessmark.workshop import models
from witnessmark.workshop.api_auth import MAY_SEE, Asked, Id, job_for
from witnessmark.workshop.arriving import epoch, last_line
from witnessmark.workshop.standing import pack_now, photos_here

router = Router()


class Bench(Schema):
    """A job as a phone takes it along; `pack` is null where nobody has planned it.

    It is the pack that the entries say, or before any the one that was planned last: a new
    plan waits until a phone moves the job to it.

    `number` is the last line of the arrival book of this epoch. A photo that is named by an
    entry and not listed here has not come in.
    """

    id: str
    title: str
    pack: str | None
    number: int
    epoch: str
    photos: list[str]


@router.get("/jobs/{job}/bench", auth=MAY_SEE, response=Bench)
def bench(request: Asked, job: Id) -> Bench:
    """Give what a phone needs to start on a job; pack and entries have addresses of their own."""
    found = job_for(request, job)
    packs = models.PackOfJob.objects.filter(job=found).order_by("-id")
    return Bench(
        id=found.id,
        title=found.title,
        pack=pack_now(job) or packs.values_list("pack_id", flat=True).first(),
        number=last_line(job)[0],
        epoch=epoch(),
        photos=photos_here(job),
    )
