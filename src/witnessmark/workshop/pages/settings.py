"""What lies behind a PIN: settings are opened by the owner, for a few minutes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Concatenate, ParamSpec, cast
from urllib.parse import quote

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from witnessmark.workshop import models
from witnessmark.workshop.api_me import DESK
from witnessmark.workshop.guesses import Guess
from witnessmark.workshop.pins import check_pin
from witnessmark.workshop.sessions import Known, is_unlocked, member_of, unlock

Told = ParamSpec("Told")
Page = Callable[Concatenate[HttpRequest, Told], HttpResponse]


def of_the_owner(page: Page[Told]) -> Page[Told]:
    """Show a page of settings only to an owner who gave the PIN a short while ago."""

    @wraps(page)
    def guarded(request: HttpRequest, *args: Told.args, **kwargs: Told.kwargs) -> HttpResponse:
        member = member_of(request)
        if member is None or not member.is_owner:
            return render(request, "pages/people/owner_only.html", status=403)
        if not is_unlocked(request):
            after = request.get_full_path() if request.method == "GET" else "/people/"
            return redirect(f"/settings/open/?next={quote(after)}")
        return page(request, *args, **kwargs)

    return cast("Page[Told]", guarded)


def right_pin(request: HttpRequest, member: models.Member, pin: str) -> Guess:
    """Check a PIN that was typed at this browser."""
    paired = cast("Known", request).paired
    return check_pin(member.id, pin, paired.id if paired else DESK)


def why_not(guess: Guess) -> str:
    """Say what is wrong with a guess that was not right."""
    if guess.locked_until is None:
        return "That PIN is not right."
    until = datetime.fromtimestamp(guess.locked_until / 1000).astimezone()
    return f"Not right, or too many wrong tries: the next is looked at after {until:%H:%M:%S}."


@require_http_methods(["GET", "POST"])
def open_settings(request: HttpRequest) -> HttpResponse:
    """Ask for the PIN of who sits here, then go on to the settings."""
    member = member_of(request)
    if member is None:
        return redirect("who")
    after = request.POST.get("next") or request.GET.get("next") or "/people/"
    if not url_has_allowed_host_and_scheme(after, allowed_hosts=None):
        after = "/people/"
    says = None
    if request.method == "POST":
        guess = right_pin(request, member, request.POST.get("pin", ""))
        if guess.right:
            unlock(request, member)
            return redirect(after)
        says = why_not(guess)
    told = {"says": says, "after": after, "member": member}
    return render(request, "pages/people/open.html", told, status=403 if says else 200)


urlpatterns = [path("settings/open/", open_settings, name="open-settings")]
