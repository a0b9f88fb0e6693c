"""People and devices: who sends, what they may see, pairing and revoking."""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from django.db.models import QuerySet

from witnessmark.ledger.canonical import digest
from witnessmark.workshop import models
from witnessmark.workshop.roles import SEES_EVERY_JOB
from witnessmark.workshop.writing import now, write_transaction

OWN = "workshop"
"""The device under which the workshop itself writes; nothing is ever paired as it."""


@dataclass(frozen=True, slots=True)
class Sender:
    """Who asks: a member, by one of their devices or at a desk."""

    member: models.Member
    device: models.Device | None = None

    @property
    def id(self) -> str:
        """The device's id, or the member's at a desk."""
        return self.device.id if self.device else self.member.id

    @property
    def is_revoked(self) -> bool:
        """Whether the device was revoked: what it sends is kept apart, and it sees nothing."""
        return self.device is not None and self.device.revoked is not None

    def jobs(self) -> QuerySet[models.Job]:
        """Give the jobs this sender may know of."""
        if self.member.role in SEES_EVERY_JOB:
            return models.Job.objects.all()
        on = models.OnJob.objects.filter(member=self.member).values("job_id")
        return models.Job.objects.filter(id__in=on)


def pair(device: str, name: str, member: str) -> str:
    """Pair a device with a member and give its secret, which is shown this once.

    Raises
    ------
    LookupError
        If there is no such member.
    ValueError
        If a device of this id was paired before.
    """
    secret = secrets.token_urlsafe(32)
    with write_transaction():
        if not models.Member.objects.filter(id=member, is_active=True).exists():
            raise LookupError(f"there is no member {member}")
        if device == OWN or models.Device.objects.filter(id=device).exists():
            raise ValueError(f"a device {device} was paired before; give this one another id")
        models.Device.objects.create(
            id=device, name=name, member_id=member, secret=hashed(secret), paired=now()
        )
    return secret


def paired_devices() -> QuerySet[models.Device]:
    """Give the devices that were ever paired: all but the workshop's own."""
    return models.Device.objects.exclude(id=OWN)


def hashed(secret: str) -> str:
    """Hash a device's secret: 32 random bytes need no slow hash."""
    return digest(secret.encode())


def revoke(device: str) -> bool:
    """Revoke a device from now on; tell whether there is such a device."""
    with write_transaction():
        models.Device.objects.filter(id=device, revoked=None).update(revoked=now())
        return models.Device.objects.filter(id=device).exists()


def sender_by(secret: str) -> Sender | None:
    """Give the sender that a device's secret belongs to."""
    found = (
        models.Device.objects.select_related("member")
        .filter(secret=hashed(secret), member__is_active=True)
        .first()
    )
    return Sender(found.member, found) if found else None
