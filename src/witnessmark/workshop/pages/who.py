"""Who sits at this browser: one tap on a name."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from witnessmark.workshop import models
from witnessmark.workshop.roles import ROLES
from witnessmark.workshop.sessions import sit_down


@require_http_methods(["GET", "POST"])
def who(request: HttpRequest) -> HttpResponse:
    """Show the names; a tap on one goes on to where one was going."""
    here = models.Member.objects.filter(is_active=True)
    after = request.POST.get("next") or request.GET.get("next") or "/"
    if not url_has_allowed_host_and_scheme(after, allowed_hosts=None):
        after = "/"
    if request.method == "POST":
        sit_down(request, get_object_or_404(here, id=request.POST.get("member", "")))
        return redirect(after)
    if not here.exists():
        return redirect("first-day")
    told = {"people": here.order_by("name", "id"), "after": after, "roles": ROLES}
    return render(request, "pages/people/who.html", told)


urlpatterns = [path("who/", who, name="who")]
