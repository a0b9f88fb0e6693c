"""The people of the workshop, what each may do, and their PINs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.workshop import models, taking_in
from witnessmark.workshop.pages.settings import of_the_owner, right_pin, why_not
from witnessmark.workshop.people import paired_devices
from witnessmark.workshop.pins import PinRefusedError, set_pin
from witnessmark.workshop.roles import ROLES, TECHNICIAN
from witnessmark.workshop.sessions import is_unlocked, member_of
from witnessmark.workshop.taking_in import PersonRefusedError


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List who works here; the owner goes on from here to change it."""
    told = {
        "people": models.Member.objects.order_by("-is_active", "name", "id"),
        "me": member_of(request),
        "roles": ROLES,
    }
    return render(request, "pages/people/list.html", told)


@of_the_owner
@require_http_methods(["GET", "POST"])
def new_person(request: HttpRequest) -> HttpResponse:
    """Take somebody in."""
    if request.method == "POST":
        try:
            member = taking_in.take_in(*_form(request))
        except PersonRefusedError as error:
            return _person_page(request, None, str(error))
        return redirect("person", member.id)
    return _person_page(request, None)


@of_the_owner
@require_http_methods(["GET", "POST"])
def person(request: HttpRequest, member: str) -> HttpResponse:
    """Show a person, their devices and what they may do; change it."""
    found = get_object_or_404(models.Member, id=member)
    if request.method == "POST":
        try:
            taking_in.change(member, *_form(request))
        except PersonRefusedError as error:
            return _person_page(request, found, str(error))
        return redirect("person", member)
    return _person_page(request, found)


@of_the_owner
@require_POST
def leave(request: HttpRequest, member: str) -> HttpResponse:
    """Let a person go, or take them back."""
    found = get_object_or_404(models.Member, id=member)
    try:
        if found.is_active:
            taking_in.let_go(member)
        else:
            taking_in.take_back(member)
    except PersonRefusedError as error:
        return _person_page(request, found, str(error))
    return redirect("person", member)


@require_http_methods(["GET", "POST"])
def pin(request: HttpRequest, member: str) -> HttpResponse:
    """Set a PIN: one's own by the old one, anybody's by the owner with the settings open."""
    found, me = get_object_or_404(models.Member, id=member), member_of(request)
    owner = me is not None and me.is_owner and is_unlocked(request)
    if not owner and (me is None or me.id != found.id or not found.pin):
        return render(request, "pages/people/owner_only.html", status=403)
    says = None
    if request.method == "POST":
        says = _refused_pin(request, found, needs_old=not owner)
        if says is None:
            return redirect("people")
    told = {"person": found, "says": says, "needs_old": not owner}
    return render(request, "pages/people/pin.html", told, status=422 if says else 200)


def _refused_pin(request: HttpRequest, member: models.Member, *, needs_old: bool) -> str | None:
    if request.POST.get("pin") != request.POST.get("again"):
        return "the two PINs differ: type the same one twice"
    if needs_old:
        guess = right_pin(request, member, request.POST.get("old", ""))
        if not guess.right:
            return why_not(guess)
    try:
        set_pin(member.id, request.POST.get("pin", ""))
    except PinRefusedError as error:
        return str(error)
    return None


def _form(request: HttpRequest) -> tuple[str, str, list[str]]:
    known = {*RULE_BOOK.actions, *RULE_BOOK.kinds}
    may_do = [each for each in request.POST.getlist("may_do") if each in known]
    return request.POST.get("name", ""), request.POST.get("role", ""), may_do


def _person_page(
    request: HttpRequest, member: models.Member | None, says: str | None = None
) -> HttpResponse:
    devices = paired_devices().filter(member=member)
    name, role, ticked = _form(request) if says else _of(member)
    told = {
        "person": member,
        "name": name,
        "role": role,
        "roles": ROLES,
        "devices": devices.order_by("revoked", "name", "id"),
        "kinds": _may_do_choices(ticked),
        "says": says,
    }
    return render(request, "pages/people/person.html", told, status=422 if says else 200)


def _of(member: models.Member | None) -> tuple[str, str, list[str]]:
    if member is None:
        return "", TECHNICIAN, []
    return member.name, member.role, member.may_do.split()


def _may_do_choices(ticked: list[str]) -> list[dict[str, object]]:
    """Give the kinds of things and the acts on each, as an apprentice may be allowed them."""
    return [
        {
            "id": kind.id,
            "name": kind.name,
            "ticked": kind.id in ticked,
            "acts": [
                {
                    "id": action.id,
                    "says": action.says.format(f"a {kind.name}"),
                    "ticked": action.id in ticked,
                }
                for action in RULE_BOOK.actions.values()
                if action.kind == kind.id
            ],
        }
        for kind in RULE_BOOK.kinds.values()
    ]


urlpatterns = [
    path("people/", people, name="people"),
    path("people/new/", new_person, name="new-person"),
    path("people/<slug:member>/", person, name="person"),
    path("people/<slug:member>/leave/", leave, name="leave"),
    path("people/<slug:member>/pin/", pin, name="pin"),
]
