"""The machine library and the workshop file: what is there, what is wrong with it, in and out."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from witnessmark.machine.complaints import Complaint
from witnessmark.workshop.library import MOST_BYTES, WORKSHOP_FILE, Library, LibraryError, stem
from witnessmark.workshop.library_taking import give, take, take_workshop, unpack
from witnessmark.workshop.pages.asking import go, may_settle, said_again, typed
from witnessmark.workshop.starting import here

TEMPLATE = "pages/library/list.html"
MOST_UPLOADED = 3 * MOST_BYTES
ONLY_LEADS = "only the owner or a lead may replace what is in the library: ask one of them"


@require_http_methods(["GET", "POST"])
def library(request: HttpRequest) -> HttpResponse:
    """List the machine files and what is wrong with each; take new ones in."""
    if request.method != "POST":
        return render(request, TEMPLATE, _told(request))
    form = typed(request, "name", "replace")
    try:
        first = _taken(request, form)
    except LibraryError as error:
        return said_again(request, TEMPLATE, {**_told(request), "form": form}, error)
    return go(reverse("machine", args=[stem(first)]))


def _taken(request: HttpRequest, form: dict[str, str]) -> str:
    files, uploaded = Library(here().folder), _uploaded(request, "file")
    taking = unpack(files, uploaded.name or "", uploaded.read(), form["name"])
    if taking.replaces and not may_settle(request):
        raise LibraryError(ONLY_LEADS)
    if taking.replaces and not form["replace"]:
        names = ", ".join(taking.replaces)
        raise LibraryError(f"{names}: there is another file by this name. Tick “replace”.")
    take(files, taking)
    return next(iter(taking.files))


@require_POST
def take_workshop_file(request: HttpRequest) -> HttpResponse:
    """Put another workshop file in the place of the one that is here."""
    if not may_settle(request):
        return said_again(request, TEMPLATE, _told(request), ONLY_LEADS)
    try:
        take_workshop(Library(here().folder), _uploaded(request, "file").read())
    except LibraryError as error:
        return said_again(request, TEMPLATE, _told(request), error)
    return go(reverse("library"))


@require_safe
def machine(request: HttpRequest, machine: str) -> HttpResponse:
    """Show one machine file: its works, its complaints, what it includes."""
    try:
        read = Library(here().folder).read(machine)
    except LibraryError:
        raise Http404 from None
    told = {
        "read": read,
        "called": stem(read.name),
        "errors": _lines(read.errors),
        "warnings": _lines(read.warnings),
        "here": "library",
    }
    return render(request, "pages/library/machine.html", told)


@require_safe
def machine_file(request: HttpRequest, machine: str) -> HttpResponse:
    """Give a machine file out, with what it includes."""
    del request
    try:
        name, data = give(Library(here().folder), machine)
    except LibraryError:
        raise Http404 from None
    return _download(name, data)


@require_safe
def workshop_file(request: HttpRequest) -> HttpResponse:
    """Give the workshop file out."""
    del request
    path_ = here().folder / WORKSHOP_FILE
    if not path_.is_file():
        raise Http404
    return _download(WORKSHOP_FILE, path_.read_bytes())


def _download(name: str, data: bytes) -> HttpResponse:
    kind = "application/zip" if name.endswith(".zip") else "text/yaml; charset=utf-8"
    answer = HttpResponse(data, content_type=kind)
    answer["Content-Disposition"] = f"attachment; filename*=UTF-8''{quote(name)}"
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


def _uploaded(request: HttpRequest, field: str) -> UploadedFile[bytes]:
    found = request.FILES.get(field)
    if not isinstance(found, UploadedFile):
        raise LibraryError("choose a file first")
    if (found.size or 0) > MOST_UPLOADED:
        raise LibraryError(f"{found.name}: at most {MOST_UPLOADED:,} bytes are taken at once")
    return found


def _told(request: HttpRequest) -> dict[str, Any]:
    files = Library(here().folder)
    shelf = files.shelf()
    workshop, complaints = files.workshop()
    return {
        "shelf": [
            {"called": stem(each.name), "read": each}
            for each in shelf
            if each.complaints or each.machine
        ],
        "pieces": [each.name for each in shelf if not each.complaints and not each.machine],
        "workshop": workshop,
        "workshop_complaints": _lines(complaints),
        "may_settle": may_settle(request),
        "form": {"name": "", "replace": ""},
        "here": "library",
    }


def _lines(complaints: tuple[Complaint, ...]) -> list[str]:
    return [str(each) for each in complaints]


urlpatterns = [
    path("library/", library, name="library"),
    path("library/workshop/", take_workshop_file, name="take-workshop-file"),
    path("library/workshop.yaml", workshop_file, name="workshop-file"),
    path("library/file/<path:machine>", machine_file, name="machine-file"),
    path("library/machine/<path:machine>/", machine, name="machine"),
]
