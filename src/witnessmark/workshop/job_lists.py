"""Lists of jobs: where each stands, without folding what has not moved.

However many jobs there are, a list takes the same number of queries.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import msgspec
from django.db.models import F, Q, QuerySet

from witnessmark.workshop import models, private, vehicles
from witnessmark.workshop.standing import refresh_views

MOST_FOLDED = 40
"""Jobs folded anew for one list at the most; the others say that they are being counted."""

MOST_FOR_A_PHONE = 2
"""The same for the list of a phone, which asks often, and for many jobs at work."""

OPEN_FIRST = (F("view__closed").asc(nulls_first=True), "-opened", "id")
"""An order: those not handed back first, and the newest first."""

MOST_NAMED = 3
"""Outstanding things named in a list."""


@dataclass(frozen=True, slots=True)
class ListedJob:
    """A job in a list. `outstanding` and `events` are None while it is not yet counted.

    `moved` goes up with whatever may change where the job stands.
    """

    id: str
    title: str
    machine: str
    vehicle: str | None
    called: str
    plate: str | None
    opened: int
    moved: int
    promised: str
    closed: bool
    outstanding: int | None
    events: int | None
    first: tuple[str, ...]
    stopped: bool
    people: tuple[str, ...]

    @property
    def shape(self) -> str:
        """`done`, `open` or `unknown`: which shape says where it stands."""
        if self.outstanding is None:
            return "unknown"
        return "done" if self.closed and not self.outstanding else "open"

    @property
    def words(self) -> str:
        """Say where it stands."""
        if self.outstanding is None:
            return "not counted yet: look again"
        if self.closed and not self.outstanding:
            return "handed back"
        if self.closed:
            return f"handed back with {self.outstanding} outstanding"
        if self.outstanding:
            return f"{self.outstanding} outstanding" + (", broken off" if self.stopped else "")
        return "nothing outstanding, not handed back" if (self.events or 0) > 1 else "not begun"


def freshen(jobs: QuerySet[models.Job], at_most: int = MOST_FOLDED) -> None:
    """Fold anew those that moved furthest since they were last looked at."""
    behind = (F("moved") - F("view__moved")).desc(nulls_first=True)
    moved = jobs.exclude(view__moved=F("moved")).order_by(behind, "-opened", "id")
    refresh_views(list(moved.values_list("id", flat=True)[:at_most]))


def open_jobs(jobs: QuerySet[models.Job]) -> QuerySet[models.Job]:
    """Give those not handed back, or handed back with something outstanding; newest first."""
    done = Q(view__closed=True, view__outstanding=0)
    return jobs.filter(~done | Q(view=None)).order_by("-opened", "id")


def done_jobs(jobs: QuerySet[models.Job]) -> QuerySet[models.Job]:
    """Give those handed back with nothing outstanding; newest first."""
    return jobs.filter(view__closed=True, view__outstanding=0).order_by("-opened", "id")


def matching(jobs: QuerySet[models.Job], words: str) -> QuerySet[models.Job]:
    """Give the jobs that words are found in: title, id, work, and all that vehicles go by."""
    wanted = words.strip()
    if not wanted:
        return jobs
    own = Q(title__icontains=wanted) | Q(id__icontains=wanted) | Q(works__icontains=wanted)
    theirs = vehicles.matching(wanted).values("id")
    return jobs.filter(own | Q(vehicle__in=theirs) | Q(machine__icontains=wanted))


def listed(
    jobs: Sequence[models.Job], *, named: bool = True, as_last_counted: bool = False
) -> list[ListedJob]:
    """Read what a list shows of jobs, got with `with_views`; `named` with what is outstanding.

    `as_last_counted` gives the counts of a job that moved since, too.
    """
    texts = private.texts_of(each.vehicle.plate for each in jobs if each.vehicle)
    people: dict[str, list[str]] = defaultdict(list)
    on = models.OnJob.objects.filter(job__in=[each.id for each in jobs]).order_by("member__name")
    for job, name in on.values_list("job_id", "member__name"):
        people[job].append(name)
    return [
        _row(each, texts, tuple(people[each.id]), named=named, as_last_counted=as_last_counted)
        for each in jobs
    ]


def with_views(jobs: QuerySet[models.Job], *, named: bool = True) -> QuerySet[models.Job]:
    """Fetch vehicle and view along with each job; what is outstanding only when `named`."""
    found = jobs.select_related("vehicle", "view")
    return found if named else found.defer("view__data")


def _row(
    job: models.Job,
    texts: dict[str, str | None],
    people: tuple[str, ...],
    *,
    named: bool,
    as_last_counted: bool,
) -> ListedJob:
    view: models.View | None = getattr(job, "view", None)
    counts = view is not None and (as_last_counted or view.moved == job.moved)
    items = _items(view) if view is not None and counts and named and view.outstanding else []
    vehicle = job.vehicle
    return ListedJob(
        id=job.id,
        title=job.title,
        machine=job.machine or (vehicle.machine if vehicle else ""),
        vehicle=vehicle.id if vehicle else None,
        called=vehicle.called if vehicle else "",
        plate=texts.get(vehicle.plate or "") if vehicle else None,
        opened=job.opened,
        moved=job.moved,
        promised=job.promised,
        closed=bool(view and view.closed),
        outstanding=view.outstanding if view is not None and counts else None,
        events=view.events if view is not None and counts else None,
        first=tuple(str(each["says"]) for each in items[:MOST_NAMED]),
        stopped=any(each["kind"] == "interruption" for each in items),
        people=people,
    )


def _items(view: models.View) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = msgspec.json.decode(bytes(view.data))["outstanding"]
    return found
