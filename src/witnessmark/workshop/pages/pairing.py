"""Pairing phones: a code with its QR picture, the page a phone opens, and giving phones up."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import path, re_path
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_POST, require_safe

from witnessmark.workshop import models, people
from witnessmark.workshop import pairing as codes
from witnessmark.workshop.pages.settings import of_the_owner
from witnessmark.workshop.sessions import is_of_the_machine


@of_the_owner
@require_POST
def new_phone(request: HttpRequest, member: str) -> HttpResponse:
    """Show a code for one new phone of a person, to scan or to type."""
    found = get_object_or_404(models.Member, id=member, is_active=True)
    code = codes.new_code(found.id)
    address = request.build_absolute_uri(f"/pair/{code}/")
    told = {
        "person": found,
        "code": f"{code[:4]} {code[4:]}",
        "address": address,
        "pair_page": request.build_absolute_uri("/pair/"),
        "picture": qr_picture(address),
        "minutes": codes.GOOD_FOR // 60_000,
        "only_here": is_of_the_machine(request) and not request.is_secure(),
    }
    return render(request, "pages/pairing/new_phone.html", told)


def qr_picture(text: str) -> SafeString:
    """Draw a text as a QR code: an SVG without any style or script."""
    import segno

    made = segno.make(text, error="m").svg_inline(
        scale=8, border=4, svgclass=None, lineclass=None, title="The address as a QR code"
    )
    return mark_safe(made)  # noqa: S308 - drawn here: squares and a title of ours


@require_safe
def pair_page(request: HttpRequest, code: str = "") -> HttpResponse:
    """Give the page on which a phone is paired; a code in its address is not looked at yet."""
    return render(request, "pages/pairing/pair.html", {"code": code})


@of_the_owner
@require_POST
def give_up(_request: HttpRequest, device: str) -> HttpResponse:
    """Revoke a phone at once."""
    found = get_object_or_404(people.paired_devices().select_related("member"), id=device)
    people.revoke(found.id)
    return redirect("person", found.member.id)


urlpatterns = [
    path("people/<slug:member>/pair/", new_phone, name="new-phone"),
    path("phones/<slug:device>/revoke/", give_up, name="give-up-phone"),
    path("pair/", pair_page, name="pair"),
    re_path(r"^pair/(?P<code>[0-9a-z]{8})/?$", pair_page, name="pair-by-code"),
]
