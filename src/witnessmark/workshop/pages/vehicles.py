"""Vehicles: every one that was ever here, and what a booking asks of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_safe

from witnessmark.workshop import customers, job_lists, models, private, vehicles
from witnessmark.workshop.customers import CustomerRefusedError, KnownCustomer
from witnessmark.workshop.library import Library, stem
from witnessmark.workshop.pages.asking import (
    go,
    part_of,
    said_again,
    search_words,
    sender_of,
    typed,
)
from witnessmark.workshop.starting import here
from witnessmark.workshop.vehicles import VehicleForm, VehicleRefusedError, keep_vehicle
from witnessmark.workshop.writing import write_transaction

FIELDS = ("plate", "called", "machine", "chassis", "engine", "mileage", "customer")


@dataclass(frozen=True, slots=True)
class ShownVehicle:
    """A vehicle as lists show it."""

    id: str
    plate: str | None
    called: str
    machine: str
    mileage: str
    customer: str | None

    @property
    def name(self) -> str:
        """What it is called: by plate, by name, by machine."""
        words = [each for each in (self.plate, self.called or self.machine) if each]
        return ", ".join(words) or vehicles.UNDESCRIBED


def shown(rows: list[models.Vehicle]) -> list[ShownVehicle]:
    """Read what lists show of vehicles, in one query."""
    owners = {row.id: row.customer.details for row in rows if row.customer}
    texts = private.texts_of([*(row.plate for row in rows), *owners.values()])
    return [
        ShownVehicle(
            row.id,
            texts.get(row.plate or ""),
            row.called,
            row.machine,
            row.mileage,
            (texts.get(owners.get(row.id, "")) or "").partition("\n")[0] or None,
        )
        for row in rows
    ]


@require_safe
def all_vehicles(request: HttpRequest) -> HttpResponse:
    """List the vehicles, the newest first."""
    words = search_words(request)
    found = vehicles.matching(words).select_related("customer").order_by("-pk").distinct()
    told = {"part": part_of(request, found, shown), "words": words, "here": "vehicles"}
    return render(request, "pages/vehicles/list.html", told)


@require_http_methods(["GET", "POST"])
def vehicle(request: HttpRequest, vehicle: str | None = None) -> HttpResponse:
    """Show a vehicle with its jobs, or take a new one in."""
    row = models.Vehicle.objects.select_related("customer").filter(id=vehicle).first()
    if vehicle is not None and row is None:
        raise Http404
    if request.method != "POST":
        return render(request, "pages/vehicles/vehicle.html", _told(request, row, _now(row)))
    form = typed(request, *FIELDS)
    try:
        with write_transaction():  # a new customer of a vehicle that is refused is not kept
            kept = keep_vehicle(read_form(form), row)
    except (VehicleRefusedError, CustomerRefusedError) as error:
        return said_again(request, "pages/vehicles/vehicle.html", _told(request, row, form), error)
    return go(reverse("vehicle", args=[kept.id]))


def read_form(form: dict[str, str]) -> VehicleForm:
    """Read what was typed for a vehicle.

    Raises
    ------
    VehicleRefusedError
        If it is too long, or no text.
    CustomerRefusedError
        If the customer that was chosen is not here any more.
    """
    for name in FIELDS:
        most = models.Vehicle.LONGEST.get(name, 200)
        if len(form[name]) > most or "\x00" in form[name]:
            raise VehicleRefusedError(f"{name}: at most {most} characters")
    customer = customers.customer_typed(form["customer"])
    return VehicleForm(**{**{n: form[n] for n in FIELDS if n != "customer"}, "customer": customer})  # type: ignore[arg-type]


def choices() -> dict[str, Any]:
    """Give what can be chosen for a vehicle: machines of the library, and customers."""
    return {
        "machines": [stem(e.name) for e in Library(here().folder).shelf() if e.machine],
        "customers": customers.all_customers()[:300],
    }


def _now(row: models.Vehicle | None) -> dict[str, str]:
    if row is None:
        return dict.fromkeys(FIELDS, "")
    texts = private.texts_of([row.plate, row.chassis])
    return {
        "plate": texts.get(row.plate or "") or "",
        "chassis": texts.get(row.chassis or "") or "",
        "called": row.called,
        "machine": row.machine,
        "engine": row.engine,
        "mileage": row.mileage,
        "customer": _owner(row).chosen if row.customer and _owner(row).name else "",
    }


def _owner(row: models.Vehicle) -> KnownCustomer:
    assert row.customer is not None, "asked only of a vehicle that has one"
    return customers.known_customers([row.customer])[0]


def _told(request: HttpRequest, row: models.Vehicle | None, form: dict[str, str]) -> dict[str, Any]:
    told: dict[str, Any] = {"row": row, "form": form, "here": "vehicles", **choices()}
    if row is not None:
        mine = sender_of(request).jobs().filter(vehicle=row)
        job_lists.freshen(mine)
        rows = job_lists.with_views(mine).order_by("-opened", "id")
        told["jobs"] = part_of(request, rows, job_lists.listed)
        told["name"] = shown([row])[0].name
    return told


urlpatterns = [
    path("vehicles/", all_vehicles, name="vehicles"),
    path("vehicles/new/", vehicle, name="new-vehicle"),
    path("vehicles/<slug:vehicle>/", vehicle, name="vehicle"),
]
