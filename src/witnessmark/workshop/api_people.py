"""Devices, and what is private."""

from __future__ import annotations

from typing import Annotated

from ninja import Field, Router, Schema
from ninja.errors import HttpError

from witnessmark.ledger.canonical import NotCanonicalError
from witnessmark.ledger.commitments import keeps_word
from witnessmark.workshop import models, people, private
from witnessmark.workshop.api_auth import MAY_SEE, Asked, Digest, Id, job_for, owner_only
from witnessmark.workshop.api_ledger import HexDigest, Taken

Name = Annotated[str, Field(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f]+$")]
OwnId = Annotated[str, Field(pattern="^[a-z0-9-]{1,64}$")]

router = Router()


class DeviceOut(Schema):
    """A device in a list."""

    id: str
    name: str
    member: str
    revoked: int | None


class NewPrivate(Schema):
    """A private text, its salt and the commitment that the events hold."""

    commitment: HexDigest
    kind: Annotated[str, Field(pattern="^[a-z -]{1,40}$")]
    salt: Annotated[str, Field(pattern="^([0-9a-f]{2}){16,64}$")]
    says: Annotated[str, Field(max_length=4_000)]


class PrivateOut(Schema):
    """A private text; null where it was deleted."""

    commitment: str
    kind: str
    says: str | None


class Gone(Schema):
    """How many things were deleted."""

    deleted: int


@router.get("/devices", auth=MAY_SEE, response=list[DeviceOut])
def devices(request: Asked) -> list[DeviceOut]:
    """List the devices that were ever paired."""
    owner_only(request)
    return [
        DeviceOut(id=each.id, name=each.name, member=each.member.id, revoked=each.revoked)
        for each in people.paired_devices().select_related("member").order_by("id")
    ]


@router.post("/devices/{device}/revoke", auth=MAY_SEE, response=Taken)
def revoke(request: Asked, device: Id) -> Taken:
    """Revoke a device that was lost or lent; what it still sends is kept apart."""
    owner_only(request)
    if not people.revoke(device):
        raise HttpError(404, "there is no such device")
    return Taken(id=device, new=False)


@router.post("/jobs/{job}/private", auth=MAY_SEE, response=Taken)
def keep_private(request: Asked, job: Id, text: NewPrivate) -> Taken:
    """Keep a private text of a job, if it is the one committed to."""
    job_for(request, job)
    salt = bytes.fromhex(text.salt)
    try:
        right = keeps_word(text.commitment, salt, text.says)
    except NotCanonicalError as error:
        raise HttpError(422, str(error)) from None
    if not right:
        raise HttpError(422, "the text is not the one that this commitment was made from")
    fresh = not models.Private.objects.filter(commitment=text.commitment).exists()
    private.keep(text.kind, job, salt, text.says)
    return Taken(id=text.commitment, new=fresh)


@router.get("/jobs/{job}/private", auth=MAY_SEE, response=list[PrivateOut])
def private_of(request: Asked, job: Id) -> list[PrivateOut]:
    """Give the private texts of a job."""
    job_for(request, job)
    return [
        PrivateOut(
            commitment=each.commitment,
            kind=each.kind,
            says=None if each.says is None else bytes(each.says).decode(),
        )
        for each in models.Private.objects.filter(job=job).order_by("commitment")
    ]


@router.delete("/jobs/{job}/private/{commitment}", auth=MAY_SEE, response=Gone)
def delete_private(request: Asked, job: Id, commitment: Digest) -> Gone:
    """Delete a private text of a job; the events stay whole."""
    owner_only(request)
    job_for(request, job)
    if not models.Private.objects.filter(job=job, commitment=commitment).exists():
        raise HttpError(404, "there is no such text on this job")
    return Gone(deleted=private.delete([commitment]))


@router.delete("/customers/{customer}", auth=MAY_SEE, response=Gone)
def delete_customer(request: Asked, customer: Id) -> Gone:
    """Delete all that is known of a customer, photos of their jobs included."""
    owner_only(request)
    try:
        return Gone(deleted=private.delete_customer(customer))
    except LookupError as error:
        raise HttpError(404, str(error)) from None
