"""Who this device is, who else works here, and pairing; checking a PIN."""

from __future__ import annotations

from functools import cache
from typing import Annotated, Any

from django.http import HttpRequest
from ninja import Field, Router, Schema
from ninja.errors import HttpError

from witnessmark.workshop import models
from witnessmark.workshop.api_auth import MAY_SEE, Asked
from witnessmark.workshop.api_people import Name, OwnId
from witnessmark.workshop.arriving import epoch
from witnessmark.workshop.edition import edition
from witnessmark.workshop.pairing import Paired, pair_by_code
from witnessmark.workshop.people import Sender
from witnessmark.workshop.pins import check_pin, verifier_for
from witnessmark.workshop.roles import may_do_of
from witnessmark.workshop.sessions import remember_pairing

DESK = "desk"
"""What the machine's own browser is called."""


@cache
def blank() -> dict[str, Any]:
    """Give the pack that a job begins on when its machine has no file."""
    # Made when it is first asked for: a server that is back soon needs no rules for it.
    from witnessmark.ledger.pack import empty_pack

    return empty_pack("nobody-described", "a machine nobody has described")


router = Router()


class DeviceHere(Schema):
    """The device that asks."""

    id: str
    name: str


class MemberOut(Schema):
    """The member that a device was paired with, or who sits at the desk."""

    id: str
    name: str
    role: str


class VerifierOut(Schema):
    """What this phone checks a PIN by while the workshop is out of reach."""

    salt: str
    rounds: int
    device_salt: str
    verifier: str


class PersonOut(MemberOut):
    """Somebody who can be chosen on this device by one tap."""

    may_do: list[str] | None
    pin: VerifierOut | None


class Me(Schema):
    """What a device must know to work alone."""

    device: DeviceHere
    member: MemberOut
    people: list[PersonOut]
    epoch: str
    edition: str
    blank: dict[str, Any]


class Code(Schema):
    """A pairing code, and what the device is to be called."""

    code: Annotated[str, Field(min_length=1, max_length=40)]
    name: Name


class Secret(Schema):
    """The new device and its secret, given once."""

    device: str
    secret: str


class TypedPin(Schema):
    """A PIN that a person typed."""

    member: OwnId
    pin: Annotated[str, Field(max_length=40)]


class Checked(Schema):
    """Whether it was right; until when the next try must wait, by the server's clock."""

    right: bool
    locked_until: int | None


@router.get("/me", auth=MAY_SEE, response=Me)
def me(request: Asked) -> Me:
    """Say who this device is, who works here, and which edition of the pages is served."""
    sender = request.auth
    device = sender.device
    return Me(
        device=DeviceHere(id=device.id, name=device.name)
        if device
        else DeviceHere(id=DESK, name="Desk"),
        member=MemberOut(id=sender.member.id, name=sender.member.name, role=sender.member.role),
        people=[
            _person(each, sender)
            for each in models.Member.objects.filter(is_active=True).order_by("name", "id")
        ],
        epoch=epoch(),
        edition=edition(),
        blank=blank(),
    )


def _person(member: models.Member, sender: Sender) -> PersonOut:
    pin = verifier_for(member, sender.device)
    return PersonOut(
        id=member.id,
        name=member.name,
        role=member.role,
        may_do=may_do_of(member),
        pin=None
        if pin is None
        else VerifierOut(
            salt=pin.salt, rounds=pin.rounds, device_salt=pin.device_salt, verifier=pin.verifier
        ),
    )


@router.post("/pair", response=Secret)
def pair(request: HttpRequest, given: Code) -> Secret:
    """Pair this device by a code that somebody here was shown."""
    made = pair_by_code(given.code, given.name, request.META.get("REMOTE_ADDR", ""))
    if isinstance(made, Paired):
        remember_pairing(request, made.device, made.secret, made.member)
        return Secret(device=made.device, secret=made.secret)
    if made.locked_until is not None:
        raise HttpError(429, "too many wrong codes from here: wait, then ask for a new code")
    raise HttpError(422, "this code is not right, was used, or is too old: ask for a new one")


@router.post("/pin", auth=MAY_SEE, response=Checked)
def pin(request: Asked, typed: TypedPin) -> Checked:
    """Check the PIN of a member who stands at this device."""
    device = request.auth.device
    made = check_pin(typed.member, typed.pin, device.id if device else DESK)
    return Checked(right=made.right, locked_until=made.locked_until)
