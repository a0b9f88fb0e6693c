"""The page that gives a phone the workshop's authority to trust, open to everybody."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from witnessmark.workshop.starting import here
from witnessmark.workshop.trust import authority_bytes, fingerprint


@require_safe
def trust(request: HttpRequest) -> HttpResponse:
    """Say how a phone is taught to trust this machine, and by what to know the right file."""
    authority = authority_bytes(here().folder / "trust")
    told = {"fingerprint": fingerprint(authority) if authority else None}
    return render(request, "pages/pairing/trust.html", told)


@require_safe
def authority_file(_request: HttpRequest) -> HttpResponse:
    """Give the authority's certificate in the form that phones install."""
    authority = authority_bytes(here().folder / "trust")
    if authority is None:
        raise Http404
    headers = {"Content-Disposition": 'attachment; filename="workshop.crt"'}
    return HttpResponse(authority, content_type="application/x-x509-ca-cert", headers=headers)


urlpatterns = [
    path("pair/trust/", trust, name="trust"),
    path("pair/trust/workshop.crt", authority_file, name="authority"),
]
