"""Taking a job in: what was booked, who is on it, and the pack it begins on."""

from __future__ import annotations

import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from witnessmark.workshop import models, private
from witnessmark.workshop.own_chain import write_own
from witnessmark.workshop.packs import keep_pack
from witnessmark.workshop.writing import now, write_transaction

_ID = re.compile(r"[a-z0-9-]{1,64}")
_LONGEST_SAID = 4_000


class BookingRefusedError(ValueError):
    """What was typed for a job cannot be kept; the text says why."""


@dataclass(frozen=True, slots=True)
class Booking:
    """What is typed when a job is taken in.

    `complaint` is in the customer's words; `contact` says how whoever approves is reached.
    """

    title: str
    complaint: str = ""
    contact: str = ""
    promised: str = ""
    mileage: str = ""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What a job is planned from, its pack, and how each offer was answered."""

    machine: str
    works: tuple[str, ...]
    pack: dict[str, Any]
    offers: tuple[tuple[str, str], ...] = ()


def new_id() -> str:
    """Give an id for a job that is about to be taken in: the day, and a few letters."""
    day = datetime.now().astimezone().date()
    return f"{day:%Y-%m-%d}-{secrets.token_hex(3)}"


def open_job(
    id_: str,
    booking: Booking,
    member: models.Member,
    *,
    chosen: Chosen,
    vehicle: models.Vehicle | None = None,
    people: Sequence[str] = (),
) -> models.Job:
    """Take a job in: keep what was booked and the pack, and write that it begins.

    Opened again by the same id, as by a second tap, it is the job that is there.

    Raises
    ------
    BookingRefusedError
        If something cannot be kept.
    """
    if not _ID.fullmatch(id_):
        raise BookingRefusedError("open the page for a new job again")
    _check(booking)
    with write_transaction():
        found = models.Job.objects.filter(id=id_).first()
        if found is not None:
            return found
        row = models.Job(id=id_, opened=now(), vehicle=vehicle, machine=chosen.machine)
        row.works = " ".join(chosen.works)
        _put(row, booking)
        row.save(force_insert=True)
        set_people(row, [member.id, *people])
        _read_mileage(vehicle, booking.mileage)
        digest = keep_pack(row.id, chosen.pack)
        offers = [{"work": work, "answer": answer} for work, answer in chosen.offers]
        said = {"works": chosen.pack["works"], **({"offers": offers} if offers else {})}
        write_own(row.id, member, "begin", pack=digest, values=said)
    return row


def change_booking(
    row: models.Job, booking: Booking, vehicle: models.Vehicle | None = None
) -> None:
    """Keep what was typed anew for a job; what was said before is deleted.

    Raises
    ------
    BookingRefusedError
        If something cannot be kept.
    """
    _check(booking)
    with write_transaction():
        row.vehicle = vehicle or row.vehicle
        _put(row, booking)
        row.save(update_fields=_BOOKED)
        _read_mileage(row.vehicle, booking.mileage)


_BOOKED = ["vehicle", "title", "promised", "mileage", "complaint", "contact"]


def set_people(row: models.Job, people: Sequence[str]) -> None:
    """Say who is on a job; those who left the workshop cannot be put on it."""
    with write_transaction():
        wanted = list(models.Member.objects.filter(id__in=set(people), is_active=True))
        models.OnJob.objects.filter(job=row).exclude(member__in=wanted).delete()
        there = set(models.OnJob.objects.filter(job=row).values_list("member_id", flat=True))
        models.OnJob.objects.bulk_create(
            models.OnJob(job=row, member=each) for each in wanted if each.id not in there
        )


def _put(row: models.Job, booking: Booking) -> None:
    row.title = " ".join(booking.title.split())
    row.promised = booking.promised.strip()
    row.mileage = booking.mileage.strip()
    row.complaint = private.keep_anew("complaint", row.id, booking.complaint, row.complaint)
    row.contact = private.keep_anew("approval contact", row.id, booking.contact, row.contact)


def _read_mileage(vehicle: models.Vehicle | None, mileage: str) -> None:
    if vehicle is not None and mileage.strip():
        models.Vehicle.objects.filter(id=vehicle.id).update(mileage=mileage.strip())


def _check(booking: Booking) -> None:
    if not booking.title.strip():
        raise BookingRefusedError("say in a few words what the job is")
    for what, text, most in (
        ("what the job is", booking.title, 200),
        ("when it is promised", booking.promised, 40),
        ("the mileage", booking.mileage, 40),
        ("what the customer says", booking.complaint, _LONGEST_SAID),
        ("who approves", booking.contact, _LONGEST_SAID),
    ):
        if len(text.strip()) > most:
            raise BookingRefusedError(f"{what}: at most {most} characters")
        if "\x00" in text:
            raise BookingRefusedError(f"{what}: there is a character in it that is no text")
