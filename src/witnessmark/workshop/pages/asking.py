"""What every desk page asks first: who it is for, which job, which part of a long list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from witnessmark.workshop import models
from witnessmark.workshop.people import Sender
from witnessmark.workshop.roles import SEES_EVERY_JOB
from witnessmark.workshop.sessions import member_of

Row = TypeVar("Row")

PAGE = 50
"""Rows of one part of a long list."""

LONGEST_SEARCH = 100


def sender_of(request: HttpRequest) -> Sender:
    """Give who sits here. Strangers and nobody were turned away before."""
    member = member_of(request)
    if member is None:
        raise Http404
    return Sender(member)


def job_here(request: HttpRequest, job: str) -> models.Job:
    """Give a job that whoever sits here may see; no such page for all others, there or not."""
    rows = sender_of(request).jobs().select_related("vehicle", "vehicle__customer")
    found = rows.filter(id=job).first()
    if found is None:
        raise Http404
    return found


def may_settle(request: HttpRequest) -> bool:
    """Tell whether whoever sits here may change what holds for everybody."""
    return sender_of(request).member.role in SEES_EVERY_JOB


@dataclass(frozen=True, slots=True)
class Part(Generic[Row]):
    """A part of a long list: its rows, which part it is, and the address of the others."""

    rows: list[Row]
    number: int
    count: int
    address: str

    @property
    def before(self) -> str:
        """The address of the part before, or nothing."""
        return self._at(self.number - 1) if self.number > 1 else ""

    @property
    def after(self) -> str:
        """The address of the part after, or nothing."""
        return self._at(self.number + 1) if self.number < self.parts else ""

    @property
    def parts(self) -> int:
        """How many parts there are."""
        return max(1, -(-self.count // PAGE))

    def _at(self, number: int) -> str:
        joint = "&" if "?" in self.address else "?"
        return f"{self.address}{joint}part={number}"


def part_of(
    request: HttpRequest,
    rows: QuerySet[Any] | Sequence[Any],
    shown: Callable[[list[Any]], list[Row]],
) -> Part[Row]:
    """Cut the part that was asked for out of a long list, and read what is shown of it."""
    count = rows.count() if isinstance(rows, QuerySet) else len(rows)
    last = max(1, -(-count // PAGE))
    number = min(max(1, whole(request.GET.get("part"))), last)
    cut = list(rows[(number - 1) * PAGE : number * PAGE])
    words = search_words(request)
    address = request.path + (f"?{urlencode({'q': words})}" if words else "")
    return Part(shown(cut), number, count, address)


def whole(text: str | None) -> int:
    """Read a whole number from an address; 1 for what is none."""
    return int(text) if text and text.isascii() and text.isdecimal() and len(text) < 7 else 1


def search_words(request: HttpRequest) -> str:
    """Give what is searched for."""
    return request.GET.get("q", "").replace("\x00", "").strip()[:LONGEST_SEARCH]


def typed(request: HttpRequest, *names: str) -> dict[str, str]:
    """Give what was typed in the fields of a form."""
    return {name: request.POST.get(name, "").replace("\r\n", "\n") for name in names}


def said_again(
    request: HttpRequest, template: str, told: dict[str, Any], says: object
) -> HttpResponse:
    """Show a form again with what was typed in it, and what is wrong."""
    return render(request, template, {**told, "says": str(says)}, status=422)


def go(address: str) -> HttpResponse:
    """Go on to a page after something was kept, so that going back keeps nothing twice."""
    answer = redirect(address)
    answer.status_code = 303
    return answer
