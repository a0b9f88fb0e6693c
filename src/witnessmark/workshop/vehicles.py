"""Vehicles: which machine, whose, and what a booking asks for."""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from django.db.models import QuerySet

from witnessmark.workshop import models, private
from witnessmark.workshop.writing import write_transaction

UNDESCRIBED = "a machine nobody has described"


class VehicleRefusedError(ValueError):
    """What was typed for a vehicle cannot be kept; the text says why."""


@dataclass(frozen=True, slots=True)
class VehicleForm:
    """What is typed for a vehicle; all but one of plate and `called` may be empty."""

    machine: str = ""
    called: str = ""
    plate: str = ""
    chassis: str = ""
    engine: str = ""
    mileage: str = ""
    customer: models.Customer | None = None


def keep_vehicle(form: VehicleForm, vehicle: models.Vehicle | None = None) -> models.Vehicle:
    """Keep a vehicle as typed: a new one, or changes to one that is here.

    Raises
    ------
    VehicleRefusedError
        If neither a plate nor a name was given.
    """
    if not form.plate.strip() and not form.called.strip():
        raise VehicleRefusedError("give a plate, or say what it is called")
    with write_transaction():
        row = vehicle or models.Vehicle(id=f"v-{secrets.token_hex(6)}")
        row.machine = form.machine
        row.called = form.called.strip()
        row.engine = form.engine.strip()
        row.mileage = form.mileage.strip()
        row.customer = form.customer
        row.plate = private.keep_anew("plate", None, tidy_plate(form.plate), row.plate)
        row.chassis = private.keep_anew("chassis number", None, form.chassis.upper(), row.chassis)
        row.save()
    return row


def tidy_plate(plate: str) -> str:
    """Write a plate in capitals with single spaces."""
    return " ".join(plate.upper().split())


def with_plate(plate: str) -> models.Vehicle | None:
    """Give the vehicle with this plate, spaces aside; plates are sealed, so all are read."""
    wanted = _bare(plate)
    if not wanted:
        return None
    plates = dict(models.Vehicle.objects.exclude(plate=None).values_list("plate", "id"))
    for commitment, text in _plate_texts().items():
        if commitment in plates and _bare(text) == wanted:
            return models.Vehicle.objects.get(id=plates[commitment])
    return None


def matching(words: str) -> QuerySet[models.Vehicle]:
    """Give the vehicles that words are found in: plate, chassis number, name, machine, owner."""
    wanted = words.casefold().strip()
    known = models.Vehicle.objects.all()
    if not wanted:
        return known
    sealed = models.Private.objects.filter(
        kind__in=("plate", "chassis number", "customer"), deleted=None
    )
    hits = [
        commitment
        for commitment, says in sealed.values_list("commitment", "says")
        if says is not None and _found(wanted, bytes(says).decode())
    ]
    return (
        known.filter(plate__in=hits)
        | known.filter(chassis__in=hits)
        | known.filter(customer__details__in=hits)
        | known.filter(called__icontains=wanted)
        | known.filter(machine__icontains=wanted)
    )


def _found(wanted: str, text: str) -> bool:
    return wanted in text.casefold() or (bool(_bare(wanted)) and _bare(wanted) in _bare(text))


def _plate_texts() -> dict[str, str]:
    rows = models.Private.objects.filter(kind="plate", deleted=None)
    return {id_: bytes(says or b"").decode() for id_, says in rows.values_list("pk", "says")}


def _bare(plate: str) -> str:
    return "".join(plate.casefold().split())
