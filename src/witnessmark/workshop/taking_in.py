"""People of the workshop: taken in, given a role, let go; at least one owner stays."""

from __future__ import annotations

import secrets

from django.db.models import QuerySet
from django.utils.text import slugify

from witnessmark.workshop import models
from witnessmark.workshop.people import paired_devices
from witnessmark.workshop.pins import refuse_weak, set_pin
from witnessmark.workshop.roles import APPRENTICE, OWNER, ROLES
from witnessmark.workshop.writing import now, write_transaction

LONGEST_NAME = 200


class PersonRefusedError(ValueError):
    """Something about a person that cannot be; the text says why."""


def first_owner(name: str, pin: str) -> models.Member:
    """Take in the first person of an empty workshop: its owner.

    Raises
    ------
    PersonRefusedError
        If somebody is here already, or the name is none.
    PinRefusedError
        If the PIN cannot be taken.
    """
    refuse_weak(pin)
    with write_transaction():
        if models.Member.objects.exists():
            raise PersonRefusedError("somebody has begun already: ask them to take you in")
        member = _new_member(name, OWNER)
    set_pin(member.id, pin)
    return member


def take_in(name: str, role: str, may_do: list[str]) -> models.Member:
    """Take a person in.

    Raises
    ------
    PersonRefusedError
        If the name or the role is none.
    """
    with write_transaction():
        member = _new_member(name, role)
        change(member.id, member.name, role, may_do)
    return member


def _new_member(name: str, role: str) -> models.Member:
    called = _checked_name(name)
    id_ = f"{slugify(called)[:20].strip('-_').replace('_', '-') or 'person'}-{secrets.token_hex(3)}"
    member = models.Member(id=id_, name=called, role=_checked_role(role))
    member.set_unusable_password()
    member.save(force_insert=True)
    return member


def change(member: str, name: str, role: str, may_do: list[str]) -> None:
    """Change a person's name, role, and what an apprentice may do alone.

    Raises
    ------
    PersonRefusedError
        If the name or the role is none, or the workshop would be left without an owner.
    """
    called, kept = _checked_name(name), " ".join(may_do) if role == APPRENTICE else ""
    with write_transaction():
        if _checked_role(role) != OWNER:
            _refuse_last_owner(member)
        models.Member.objects.filter(id=member).update(name=called, role=role, may_do=kept)


def let_go(member: str) -> None:
    """Let a person go: their devices are revoked and their sessions end, at once.

    What they did stays under their name.

    Raises
    ------
    PersonRefusedError
        If the workshop would be left without an owner.
    """
    with write_transaction():
        _refuse_last_owner(member)
        models.Member.objects.filter(id=member).update(is_active=False)
        models.PairingCode.objects.filter(member=member).delete()
        paired_devices().filter(member=member, revoked=None).update(revoked=now())


def take_back(member: str) -> None:
    """Take a person back; phones must be paired anew."""
    with write_transaction():
        models.Member.objects.filter(id=member).update(is_active=True)


def owners() -> QuerySet[models.Member]:
    """Give the owners of the workshop."""
    return models.Member.objects.filter(is_active=True, role=OWNER).order_by("id")


def _refuse_last_owner(member: str) -> None:
    if [each.id for each in owners()] == [member]:
        raise PersonRefusedError("a workshop needs an owner: make somebody else one first")


def _checked_name(name: str) -> str:
    called = " ".join(name.split())
    if not called or len(called) > LONGEST_NAME or not called.isprintable():
        raise PersonRefusedError(f"a name has 1 to {LONGEST_NAME} letters that can be read")
    return called


def _checked_role(role: str) -> str:
    if role not in ROLES:
        raise PersonRefusedError(f"there is no role {role!r}: choose one of {', '.join(ROLES)}")
    return role
