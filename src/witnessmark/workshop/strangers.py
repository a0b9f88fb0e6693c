"""What strangers get: one answer for every address.

A stranger sees the pairing pages, the bench's shell (which holds no data) and static files.
Every other address, there or not, by any method, is answered alike.
"""

from __future__ import annotations

from urllib.parse import quote

from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.urls import Resolver404, resolve

from witnessmark.workshop import models
from witnessmark.workshop.headers import Answering
from witnessmark.workshop.sessions import Known, is_trusted, look_who, member_of

OPEN_PAGES = ("/pair/", "/bench/")
"""Pages below these are open to strangers, if there is such a page."""

PAIRING = "/api/pair"
LATE_ENTRIES = "/api/events"
"""Where a revoked device may still send what it holds; it is kept apart."""

WHO, FIRST_DAY = "/who/", "/first-day/"

ALIKE = {"WWW-Authenticate": "Bearer", "Vary": "Cookie"}
"""The latter whether or not a cookie was looked at: that would show."""

NO_PAGE = b"""<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><title>Not paired</title></head>
<body><h1>This workshop answers only devices paired with it</h1>
<p><a href="/pair/">Pair this device</a> by a code that somebody of the workshop shows you.</p>
</body></html>
"""


def known_devices(answer: Answering) -> Answering:
    """Let through what comes from a device of the workshop; answer strangers alike."""

    def answered(request: HttpRequest) -> HttpResponseBase:
        request.get_host()  # names that are not ours are refused here, whatever the address
        known = look_who(request)
        if _comes_from_elsewhere(request):
            return stranger_s_answer()
        if _is_open(request):
            return answer(request)
        if not is_trusted(known) and not _brings_late_entries(known):
            return stranger_s_answer()
        if _needs_somebody(known):
            return _ask_who(request)
        return answer(request)

    return answered


def stranger_s_answer() -> HttpResponse:
    """Give what a stranger gets at every address that is not open to them."""
    return HttpResponse(NO_PAGE, status=401, headers=ALIKE)


def _comes_from_elsewhere(request: HttpRequest) -> bool:
    """Tell whether another site's page made the browser ask, other than by a link followed.

    Browsers say so themselves. Pages of other programs on this machine count as other sites.
    """
    origin = request.headers.get("Origin")
    if origin is not None and origin != f"{request.scheme}://{request.get_host()}":
        return True
    followed = request.method == "GET" and request.headers.get("Sec-Fetch-Mode") == "navigate"
    return request.headers.get("Sec-Fetch-Site") in {"cross-site", "same-site"} and not followed


def _is_open(request: HttpRequest) -> bool:
    if request.path_info == PAIRING:
        return True
    return request.path_info.startswith(OPEN_PAGES) and _is_there(request.path_info)


def _is_there(path: str) -> bool:
    try:
        resolve(path)
    except Resolver404:
        return False
    return True


def _brings_late_entries(request: Known) -> bool:
    is_sending = request.path_info == LATE_ENTRIES and request.method == "POST"
    return is_sending and request.bearing is not None


def _needs_somebody(request: Known) -> bool:
    """Tell whether a page is asked for and nobody has tapped their name. The API says it itself."""
    path = request.path_info
    if request.bearing is not None or path.startswith("/api/") or path in {WHO, FIRST_DAY}:
        return False
    return member_of(request) is None


def _ask_who(request: HttpRequest) -> HttpResponse:
    if not models.Member.objects.filter(is_active=True).exists():
        return HttpResponseRedirect(FIRST_DAY)
    after = request.get_full_path() if request.method == "GET" else "/"
    return HttpResponseRedirect(f"{WHO}?next={quote(after)}")
