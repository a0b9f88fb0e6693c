"""Taking a job in: machine and works, what each costs, the plans side by side, the booking."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST

from witnessmark.workshop import customers, models, private
from witnessmark.workshop.booking import Booking, BookingRefusedError, new_id, open_job
from witnessmark.workshop.customers import CustomerRefusedError
from witnessmark.workshop.job_planning import CannotPlanError
from witnessmark.workshop.library import LibraryError
from witnessmark.workshop.pages import choosing
from witnessmark.workshop.pages.asking import go, said_again, sender_of, typed
from witnessmark.workshop.pages.vehicles import FIELDS, read_form, shown
from witnessmark.workshop.vehicles import VehicleRefusedError, keep_vehicle, with_plate
from witnessmark.workshop.writing import write_transaction

TEMPLATE = "pages/jobs/new.html"
BOOKED = ("title", "complaint", "contact", "promised")

REFUSED = (
    BookingRefusedError,
    CustomerRefusedError,
    VehicleRefusedError,
    LibraryError,
    CannotPlanError,
)


@require_http_methods(["GET", "POST"])
def new_job(request: HttpRequest) -> HttpResponse:
    """Show the form, look at plans, or take the job in. What was typed always stays."""
    if request.method != "POST":
        return render(request, TEMPLATE, _told(request, _asked_for(request)))
    form = _form(request)
    if "look" in request.POST:
        return render(request, TEMPLATE, _told(request, form))
    try:
        return go(reverse("job", args=[_open(request, form).id]))
    except REFUSED as error:
        return said_again(request, TEMPLATE, _told(request, form), error)


@require_POST
def extras(request: HttpRequest) -> HttpResponse:
    """Give the minutes that each work adds to those that are ticked."""
    told = {"extras": choosing.extras(choosing.wanted_in(request.POST))}
    return render(request, "pages/jobs/extras.html", told)


def _open(request: HttpRequest, form: dict[str, str]) -> models.Job:
    sender = sender_of(request)
    there = sender.jobs().filter(id=form["id"]).first()  # a second tap on the same button
    if there is not None:
        return there
    chosen = choosing.chosen(choosing.wanted_in(request.POST), request.POST)
    booking = Booking(mileage=form["mileage"], **{name: form[name] for name in BOOKED})
    with write_transaction():  # a vehicle or customer of a job that is refused is not kept
        return open_job(
            form["id"],
            booking,
            sender.member,
            chosen=chosen,
            vehicle=_vehicle(form),
            people=request.POST.getlist("member"),
        )


def _vehicle(form: dict[str, str]) -> models.Vehicle | None:
    """Give the vehicle the job is on: one that is here, by its plate too, or a new one."""
    if form["vehicle"]:
        found = models.Vehicle.objects.filter(id=form["vehicle"]).first()
        if found is None:
            raise VehicleRefusedError("this vehicle is not here any more: type its plate")
        return found
    if not form["plate"].strip() and not form["called"].strip():
        return None
    known = with_plate(form["plate"])
    return known if known is not None else keep_vehicle(read_form(form))


def _form(request: HttpRequest) -> dict[str, str]:
    return typed(request, "id", "vehicle", *FIELDS, *BOOKED)


def _asked_for(request: HttpRequest) -> dict[str, str]:
    form = dict.fromkeys(("id", "vehicle", *FIELDS, *BOOKED), "")
    form |= {"id": new_id(), "machine": request.GET.get("machine", "")}
    vehicle = models.Vehicle.objects.filter(id=request.GET.get("vehicle", "")).first()
    if vehicle is not None:
        form |= {"vehicle": vehicle.id, "machine": vehicle.machine, "mileage": vehicle.mileage}
    elif "vehicle" in request.GET:
        raise Http404
    return form


def _told(request: HttpRequest, form: dict[str, str]) -> dict[str, Any]:
    given = request.POST if request.method == "POST" else request.GET
    row = models.Vehicle.objects.select_related("customer").filter(id=form["vehicle"]).first()
    people = models.Member.objects.filter(is_active=True).order_by("name", "id")
    return {
        "form": form,
        "on": shown([row])[0] if row else None,
        "contact": _contact(row),
        "people": [(each, each.id in given.getlist("member")) for each in people],
        "me": sender_of(request).member,
        "customers": customers.all_customers()[:300],
        "here": "new",
        **choosing.told(form["machine"], given),
    }


def _contact(row: models.Vehicle | None) -> str:
    if row is None or row.customer is None:
        return ""
    details = row.customer.details
    return private.texts_of([details]).get(details) or ""


urlpatterns = [
    path("jobs/new/", new_job, name="new-job"),
    path("jobs/new/extras/", extras, name="job-extras"),
]
