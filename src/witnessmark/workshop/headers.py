"""The headers of every answer: foreign scripts, frames and caches are kept out."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase

Answering = Callable[[HttpRequest], HttpResponseBase]

_SOURCES = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' blob: data:",
    "media-src": "'self' blob:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "manifest-src": "'self'",
    "worker-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}

CONTENT_POLICY = "; ".join(f"{what} {where}" for what, where in _SOURCES.items())
"""Scripts and styles from files of ours alone; no script from a text."""

PAPER_POLICY = "base-uri 'none'; frame-ancestors 'none'"
"""A browser's own viewer of PDF needs styles of its own; nothing in it is ours to run."""

HEADERS = {
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(self), geolocation=(), payment=(), usb=()",
}


def security_headers(answer: Answering) -> Answering:
    """Put the headers on every answer that keep foreign scripts, frames and caches out."""

    def answered(request: HttpRequest) -> HttpResponseBase:
        response = answer(request)
        is_paper = str(response.headers.get("Content-Type", "")).startswith("application/pdf")
        policy = PAPER_POLICY if is_paper else CONTENT_POLICY
        response.headers.setdefault("Content-Security-Policy", policy)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        response.headers.setdefault("Cache-Control", "no-store")
        return response

    return answered
