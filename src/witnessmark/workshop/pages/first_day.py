"""The first day: nobody is here yet, and who sits at the machine itself becomes the owner."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods

from witnessmark.workshop import models
from witnessmark.workshop.pins import PinRefusedError
from witnessmark.workshop.sessions import is_of_the_machine, sit_down
from witnessmark.workshop.strangers import stranger_s_answer
from witnessmark.workshop.taking_in import PersonRefusedError, first_owner


@require_http_methods(["GET", "POST"])
def first_day(request: HttpRequest) -> HttpResponse:
    """Ask the owner's name and PIN; once somebody is here the page only leads on."""
    if not is_of_the_machine(request):
        return stranger_s_answer()
    if models.Member.objects.exists():
        return redirect("who")
    says = None
    if request.method == "POST":
        try:
            owner = _owner_from(request)
        except (PersonRefusedError, PinRefusedError) as error:
            says = str(error)
        else:
            sit_down(request, owner)
            return redirect("people")
    return render(
        request, "pages/people/first_day.html", {"says": says}, status=422 if says else 200
    )


def _owner_from(request: HttpRequest) -> models.Member:
    if request.POST.get("pin") != request.POST.get("again"):
        raise PinRefusedError("the two PINs differ: type the same one twice")
    return first_owner(request.POST.get("name", ""), request.POST.get("pin", ""))


urlpatterns = [path("first-day/", first_day, name="first-day")]
