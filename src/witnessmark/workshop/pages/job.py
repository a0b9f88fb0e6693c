"""One job at the desk: where it stands, what holds it up, who is on it, its log and papers."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from witnessmark.workshop import letting_in, models, private
from witnessmark.workshop.booking import Booking, BookingRefusedError, change_booking, set_people
from witnessmark.workshop.job_sheet import job_sheet
from witnessmark.workshop.pages.asking import go, job_here, said_again, sender_of, typed
from witnessmark.workshop.pages.vehicles import shown
from witnessmark.workshop.vehicles import with_plate

BOOKED = ("title", "complaint", "contact", "promised", "mileage")


@require_safe
def job(request: HttpRequest, job: str) -> HttpResponse:
    """Show a job."""
    found = job_here(request, job)
    people = models.Member.objects.filter(is_active=True).order_by("name", "id")
    on = set(models.OnJob.objects.filter(job=found).values_list("member_id", flat=True))
    told = {
        "job": found,
        "sheet": job_sheet(found, whole_log="log" in request.GET),
        "vehicle": shown([found.vehicle])[0] if found.vehicle else None,
        "booked": _booked(found),
        "people": [(each, each.id in on) for each in people],
        "here": "jobs",
    }
    return render(request, "pages/jobs/job.html", told)


@require_http_methods(["GET", "POST"])
def booking(request: HttpRequest, job: str) -> HttpResponse:
    """Change what was booked."""
    found = job_here(request, job)
    form = typed(request, *BOOKED, "plate") if request.method == "POST" else _form(found)
    told = {"job": found, "form": form, "here": "jobs"}
    if request.method != "POST":
        return render(request, "pages/jobs/booking.html", told)
    try:
        vehicle = _other_vehicle(form["plate"])
        change_booking(found, Booking(**{name: form[name] for name in BOOKED}), vehicle)
    except BookingRefusedError as error:
        return said_again(request, "pages/jobs/booking.html", told, error)
    return go(reverse("job", args=[found.id]))


@require_POST
def people(request: HttpRequest, job: str) -> HttpResponse:
    """Say who is on a job. Whoever says it stays on it, unless they see every job anyway."""
    found, sender = job_here(request, job), sender_of(request)
    wanted = request.POST.getlist("member")
    if not models.Job.objects.filter(id=found.id, onjob__member=sender.member).exists():
        set_people(found, wanted)
    else:
        set_people(found, [*wanted, sender.member.id])
    return go(reverse("job", args=[found.id]) + "#people")


@require_POST
def let_in(request: HttpRequest, job: str) -> HttpResponse:
    """Let in a late entry of a device that was shut out."""
    found = job_here(request, job)
    try:
        letting_in.let_in(found.id, request.POST.get("event", ""), sender_of(request).member.id)
    except LookupError:
        raise Http404 from None
    return go(reverse("job", args=[found.id]) + "#odd")


def _booked(row: models.Job) -> dict[str, Any]:
    texts = private.texts_of([row.complaint, row.contact])
    return {
        "complaint": texts.get(row.complaint or ""),
        "contact": texts.get(row.contact or ""),
        "deleted": any(text is None for text in texts.values()),
    }


def _form(row: models.Job) -> dict[str, str]:
    booked = _booked(row)
    return {
        "title": row.title,
        "complaint": booked["complaint"] or "",
        "contact": booked["contact"] or "",
        "promised": row.promised,
        "mileage": row.mileage,
        "plate": "",
    }


def _other_vehicle(plate: str) -> models.Vehicle | None:
    if not plate.strip():
        return None
    found = with_plate(plate)
    if found is None:
        raise BookingRefusedError("no vehicle has this plate: take the vehicle in first")
    return found


urlpatterns = [
    path("jobs/<slug:job>/", job, name="job"),
    path("jobs/<slug:job>/booking/", booking, name="job-booking"),
    path("jobs/<slug:job>/people/", people, name="job-people"),
    path("jobs/<slug:job>/let-in/", let_in, name="job-let-in"),
]
