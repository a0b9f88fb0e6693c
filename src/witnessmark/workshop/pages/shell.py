"""The bench's shell: a page without any data; what it shows is drawn on the phone.

The page, its scripts and its looks are kept by the phone's service worker, edition by edition,
so that the bench opens with the network gone. The worker is told every file with its digest:
an edition is on the phone whole or not at all.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import path

from witnessmark.ledger.canonical import digest
from witnessmark.workshop.edition import edition

STATIC = Path(__file__).parents[1] / "static"

FOLDERS = ("bench", "ledger", "look")
"""What the bench is made of; all of it is kept on the phone."""

WORKER = "bench/service_worker.js"
"""What the worker does; the server puts before it what it is to keep."""

PAGE, MANIFEST = "/bench/", "/bench/manifest.webmanifest"

KINDS = {".js", ".css", ".svg", ".png", ".webp", ".woff2"}


def bench(_request: HttpRequest) -> HttpResponse:
    """Give the page that the bench is drawn on: the same for everybody."""
    return _fresh(page(), "text/html; charset=utf-8")


def manifest(_request: HttpRequest) -> HttpResponse:
    """Say how the bench is put on a phone's first screen."""
    return _fresh(manifest_bytes(), "application/manifest+json")


def worker(_request: HttpRequest) -> HttpResponse:
    """Give the service worker of this edition."""
    return _fresh(worker_bytes(), "text/javascript; charset=utf-8")


def _fresh(data: bytes, kind: str) -> HttpResponse:
    return HttpResponse(data, content_type=kind, headers={"Cache-Control": "no-cache"})


@cache
def page() -> bytes:
    """Render the shell, without any request: nothing in it depends on who asks."""
    return render_to_string("pages/bench.html", {"edition": edition()}).encode()


@cache
def manifest_bytes() -> bytes:
    """Write the manifest."""
    said = {
        "name": "Witnessmark bench",
        "short_name": "Bench",
        "start_url": PAGE,
        "scope": PAGE,
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#ffffff",
        "icons": [
            {
                "src": static("look/bench-icon.svg"),
                "type": "image/svg+xml",
                "sizes": "any",
                "purpose": "any",
            }
        ],
    }
    return json.dumps(said, indent=1).encode()


@cache
def files() -> dict[str, str]:
    """Give the address and digest of all that a phone keeps of this edition."""
    kept = {
        static(file.relative_to(STATIC).as_posix()): digest(file.read_bytes())
        for folder in FOLDERS
        for file in sorted((STATIC / folder).rglob("*"))
        if file.suffix in KINDS and file != STATIC / WORKER
    }
    return {PAGE: digest(page()), MANIFEST: digest(manifest_bytes()), **kept}


@cache
def worker_bytes() -> bytes:
    """Write the worker: which edition, which files, and what it does with them."""
    told = {"EDITION": edition(), "PAGE": PAGE, "FILES": files()}
    lines = [f"const {name} = {json.dumps(value)};" for name, value in told.items()]
    return "\n".join([*lines, (STATIC / WORKER).read_text("utf-8")]).encode()


urlpatterns = [
    path("bench/", bench, name="bench"),
    path("bench/worker.js", worker, name="bench-worker"),
    path("bench/manifest.webmanifest", manifest, name="bench-manifest"),
]
