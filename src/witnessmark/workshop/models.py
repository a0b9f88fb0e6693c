"""The tables. Events, packs and the arrival book are only ever added to.

Times are whole milliseconds of the server's clock. Text that came from outside and may hold
anything at all lies in binary columns, as one database takes characters that another refuses.
"""

from __future__ import annotations

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models

from witnessmark.workshop.roles import OWNER

_ID = 64
_DIGEST = 64


class Workshop(models.Model):
    """The workshop itself: one row.

    A new epoch begins with every restore; a phone that sees one sends again all it holds.
    """

    id: models.IntegerField[int, int] = models.IntegerField(primary_key=True, default=1)
    epoch: models.CharField[str, str] = models.CharField(max_length=32)


class Member(AbstractBaseUser):
    """A person of the workshop.

    `may_do`: actions or kinds with spaces between, for an apprentice. `pin` is the hash that the
    workshop checks by; `pin_salt`, `pin_rounds` and `pin_stretched` make the verifiers by
    which a phone checks without the workshop. Without a PIN all are empty.
    """

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_ID)
    name: models.CharField[str, str] = models.CharField(max_length=200)
    role: models.CharField[str, str] = models.CharField(max_length=20, default="technician")
    is_active: models.BooleanField[bool, bool] = models.BooleanField(default=True)
    may_do: models.TextField[str, str] = models.TextField(default="")
    pin: models.CharField[str, str] = models.CharField(max_length=200, default="")
    pin_salt: models.CharField[str, str] = models.CharField(max_length=_DIGEST, default="")
    pin_rounds: models.IntegerField[int, int] = models.IntegerField(default=0)
    pin_stretched: models.CharField[str, str] = models.CharField(max_length=_DIGEST, default="")

    USERNAME_FIELD = "id"
    objects: ClassVar[BaseUserManager[Member]] = BaseUserManager()

    @property
    def is_owner(self) -> bool:
        """Whether this person may do what only the owner of the workshop may."""
        return self.role == OWNER


class Device(models.Model):
    """A phone or a desk that was paired with a person; its secret is kept hashed."""

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_ID)
    name: models.CharField[str, str] = models.CharField(max_length=200)
    member: models.ForeignKey[Member, Member] = models.ForeignKey(Member, models.PROTECT)
    secret: models.CharField[str, str] = models.CharField(max_length=_DIGEST, unique=True)
    paired: models.BigIntegerField[int, int] = models.BigIntegerField()
    revoked: models.BigIntegerField[int | None, int | None] = models.BigIntegerField(null=True)


class PairingCode(models.Model):
    """A code by which one new device is paired, once and soon; kept hashed."""

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_DIGEST)
    member: models.ForeignKey[Member, Member] = models.ForeignKey(Member, models.CASCADE)
    until: models.BigIntegerField[int, int] = models.BigIntegerField()


class Attempt(models.Model):
    """Wrong guesses at one thing, by what is guessed at or who guesses; `until`: locked so long."""

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=200)
    wrong: models.IntegerField[int, int] = models.IntegerField(default=0)
    last: models.BigIntegerField[int, int] = models.BigIntegerField(default=0)
    until: models.BigIntegerField[int, int] = models.BigIntegerField(default=0)


class Private(models.Model):
    """What concerns a customer: deletable, for events hold only a salted commitment to it."""

    commitment: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_DIGEST)
    kind: models.CharField[str, str] = models.CharField(max_length=40)
    job: models.CharField[str | None, str | None] = models.CharField(
        max_length=_ID, null=True, db_index=True
    )
    salt: models.BinaryField[bytes | None, bytes | None] = models.BinaryField(null=True)
    says: models.BinaryField[bytes | None, bytes | None] = models.BinaryField(null=True)
    deleted: models.BigIntegerField[int | None, int | None] = models.BigIntegerField(null=True)


class Customer(models.Model):
    """A customer by an id of ours; name and address are private."""

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_ID)
    details: models.CharField[str, str] = models.CharField(max_length=_DIGEST)


class Vehicle(models.Model):
    """What is worked on: which machine of the library; plate and chassis number are private.

    `called` says what it is where no machine file describes it; `mileage` was read last, as
    it was read, with its unit.
    """

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_ID)
    machine: models.CharField[str, str] = models.CharField(max_length=200)
    customer: models.ForeignKey[Customer | None, Customer | None] = models.ForeignKey(
        Customer, models.PROTECT, null=True
    )
    plate: models.CharField[str | None, str | None] = models.CharField(
        max_length=_DIGEST, null=True
    )
    chassis: models.CharField[str | None, str | None] = models.CharField(
        max_length=_DIGEST, null=True
    )
    called: models.CharField[str, str] = models.CharField(max_length=200, default="")
    engine: models.CharField[str, str] = models.CharField(max_length=100, default="")
    mileage: models.CharField[str, str] = models.CharField(max_length=40, default="")

    LONGEST: ClassVar = {"engine": 100, "mileage": 40}
    """Characters of a text at the most, where it is not 200."""


class Job(models.Model):
    """A job: a name, what was booked, and who is on it. Where it stands is in its events alone.

    What the customer said and who approves are private. `machine` and `works` are what it was
    planned from, works with spaces between; a machine nobody has described is empty. `moved`
    counts whatever a view of the job is made from.
    """

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_ID)
    title: models.CharField[str, str] = models.CharField(max_length=200)
    vehicle: models.ForeignKey[Vehicle | None, Vehicle | None] = models.ForeignKey(
        Vehicle, models.PROTECT, null=True
    )
    opened: models.BigIntegerField[int, int] = models.BigIntegerField()
    machine: models.CharField[str, str] = models.CharField(max_length=200, default="")
    works: models.TextField[str, str] = models.TextField(default="")
    mileage: models.CharField[str, str] = models.CharField(max_length=40, default="")
    promised: models.CharField[str, str] = models.CharField(max_length=40, default="")
    complaint: models.CharField[str | None, str | None] = models.CharField(
        max_length=_DIGEST, null=True
    )
    contact: models.CharField[str | None, str | None] = models.CharField(
        max_length=_DIGEST, null=True
    )
    moved: models.BigIntegerField[int, int] = models.BigIntegerField(default=0)


class OnJob(models.Model):
    """Who is on a job."""

    job: models.ForeignKey[Job, Job] = models.ForeignKey(Job, models.CASCADE)
    member: models.ForeignKey[Member, Member] = models.ForeignKey(Member, models.CASCADE)

    class Meta:
        """Each once."""

        constraints: ClassVar = [
            models.UniqueConstraint(fields=["job", "member"], name="once_on_a_job")
        ]


class Event(models.Model):
    """An event, its bytes as they came. `held` keeps a revoked device's late entries apart."""

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_DIGEST)
    job: models.ForeignKey[Job, Job] = models.ForeignKey(Job, models.PROTECT)
    data: models.BinaryField[bytes, bytes] = models.BinaryField()
    held: models.BooleanField[bool, bool] = models.BooleanField(default=False)
    let_in_by: models.CharField[str | None, str | None] = models.CharField(
        max_length=_ID, null=True
    )


class Arrival(models.Model):
    """A line of a job's arrival book; its digest covers the line before."""

    job: models.ForeignKey[Job, Job] = models.ForeignKey(Job, models.PROTECT, db_index=False)
    number: models.IntegerField[int, int] = models.IntegerField()
    event: models.OneToOneField[Event, Event] = models.OneToOneField(Event, models.PROTECT)
    brought_by: models.CharField[str, str] = models.CharField(max_length=_ID)
    at: models.BigIntegerField[int, int] = models.BigIntegerField()
    digest: models.CharField[str, str] = models.CharField(max_length=_DIGEST)

    class Meta:
        """Numbered without repeats within a job."""

        constraints: ClassVar = [
            models.UniqueConstraint(fields=["job", "number"], name="one_line_a_number")
        ]


class Pack(models.Model):
    """A job pack, its bytes as they came."""

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_DIGEST)
    data: models.BinaryField[bytes, bytes] = models.BinaryField()


class PackOfJob(models.Model):
    """Which packs a job has been on."""

    job: models.ForeignKey[Job, Job] = models.ForeignKey(Job, models.PROTECT)
    pack: models.ForeignKey[Pack, Pack] = models.ForeignKey(Pack, models.PROTECT)

    class Meta:
        """Each once."""

        constraints: ClassVar = [
            models.UniqueConstraint(fields=["job", "pack"], name="once_a_pack")
        ]


class Photo(models.Model):
    """A photo by the hash the phone gave it; the bytes are a file. `withheld`: deleted since."""

    id: models.CharField[str, str] = models.CharField(primary_key=True, max_length=_DIGEST)
    kind: models.CharField[str, str] = models.CharField(max_length=10)
    width: models.IntegerField[int, int] = models.IntegerField()
    height: models.IntegerField[int, int] = models.IntegerField()
    withheld: models.BigIntegerField[int | None, int | None] = models.BigIntegerField(null=True)


class PhotoOfJob(models.Model):
    """Which jobs a photo belongs to."""

    job: models.ForeignKey[Job, Job] = models.ForeignKey(Job, models.PROTECT)
    photo: models.ForeignKey[Photo, Photo] = models.ForeignKey(Photo, models.PROTECT)

    class Meta:
        """Each once."""

        constraints: ClassVar = [
            models.UniqueConstraint(fields=["job", "photo"], name="once_a_photo")
        ]


class View(models.Model):
    """What a job's events come to, kept so that it need not be folded again. Disposable.

    It holds while the job's `moved` is the one it was made at. What lists show stands in
    columns; `outstanding` is how many things are.
    """

    job: models.OneToOneField[Job, Job] = models.OneToOneField(
        Job, models.CASCADE, primary_key=True
    )
    moved: models.BigIntegerField[int, int] = models.BigIntegerField()
    outstanding: models.IntegerField[int, int] = models.IntegerField()
    closed: models.BooleanField[bool, bool] = models.BooleanField()
    events: models.IntegerField[int, int] = models.IntegerField()
    pack: models.CharField[str | None, str | None] = models.CharField(max_length=_DIGEST, null=True)
    data: models.BinaryField[bytes, bytes] = models.BinaryField()


KEPT: tuple[type[models.Model], ...] = (
    Workshop,
    Member,
    Device,
    Private,
    Customer,
    Vehicle,
    Job,
    OnJob,
    Event,
    Arrival,
    Pack,
    PackOfJob,
    Photo,
    PhotoOfJob,
)
"""What a backup holds, each after what it points at.

Views can be made again. Pairing codes, wrong guesses and sessions belong to the running server
and are left behind.
"""
