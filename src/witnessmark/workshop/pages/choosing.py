"""Reading what was chosen for a job, and what the page says of it: works, ways, plans."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.http import QueryDict

from witnessmark.machine.model import Machine
from witnessmark.quantities.duration import minutes_text
from witnessmark.workshop.api_me import blank
from witnessmark.workshop.booking import Chosen
from witnessmark.workshop.job_choices import MOST_PLANS, Wanted, marginal, plan_key, plans_for
from witnessmark.workshop.job_planning import CannotPlanError, PlannedJob
from witnessmark.workshop.library import Library, LibraryError, stem
from witnessmark.workshop.pages.shown_plans import shown_plans
from witnessmark.workshop.starting import here

BETWEEN = "|"
"""Stands between an opening and its way in the value of a tick; ids have none."""

NO, NOT_ASKED = "no", ""


@dataclass(frozen=True, slots=True)
class WorkChoice:
    """A work that can be ticked; `offer` when a ticked one is a good moment for it."""

    id: str
    name: str
    ticked: bool
    offer: bool
    answer: str


@dataclass(frozen=True, slots=True)
class WayChoice:
    """A way that can be struck out, or is."""

    value: str
    words: str
    struck: bool


def wanted_in(given: QueryDict) -> Wanted:
    """Read what was chosen; what is not there in the machine is left out."""
    works = tuple(dict.fromkeys(given.getlist("work")))[:40]
    struck = [tuple(each.split(BETWEEN, 1)) for each in given.getlist("struck") if BETWEEN in each]
    plans = given.get("plans", "")
    return Wanted(
        machine=given.get("machine", "")[:200],
        works=works,
        struck=tuple(sorted((each[0], each[1]) for each in struck[:200])),
        plans=int(plans) if plans in {"1", "2", "3"} else MOST_PLANS,
    )


def chosen(wanted: Wanted, given: QueryDict) -> Chosen:
    """Give what a job begins on: the pack of the plan that was taken, or the blank one.

    Raises
    ------
    LibraryError
        If the library has no such machine.
    CannotPlanError
        If there is no plan, or none was taken.
    """
    if not wanted.machine:
        return Chosen("", (), blank())
    planned = plans_for(here().folder, wanted, _today())
    taken = next((p for p in planned if plan_key(p) == given.get("plan")), None)
    if taken is None:
        raise CannotPlanError("take one of the plans: look at them again, they may have changed")
    works = _works(Library(here().folder).read(wanted.machine).machine, wanted, given)
    offers = tuple((e.id, "yes" if e.ticked else e.answer) for e in works if e.offer)
    return Chosen(stem(wanted.machine), wanted.works, taken.pack, tuple(o for o in offers if o[1]))


def told(machine: str, given: QueryDict) -> dict[str, Any]:
    """Say all there is to say of a choice: what can be ticked, the plans, or why there is none."""
    shelf = Library(here().folder).shelf()
    wanted = replace(wanted_in(given), machine=machine)
    said: dict[str, Any] = {
        "machines": [stem(each.name) for each in shelf if each.is_fit],
        "unfit": [stem(each.name) for each in shelf if each.errors],
        "wanted": wanted,
        "works": [],
        "ways": [],
        "plans": [],
        "blocked": None,
        "taken": given.get("plan", ""),
    }
    if machine:
        said |= _of_machine(wanted, given)
    return said


def _of_machine(wanted: Wanted, given: QueryDict) -> dict[str, Any]:
    try:
        read = Library(here().folder).read(wanted.machine)
    except LibraryError as error:
        return {"blocked": CannotPlanError(str(error))}
    works = _works(read.machine, wanted, given)
    if not wanted.works:
        return {"works": works}
    try:
        planned = plans_for(here().folder, wanted, _today())
    except CannotPlanError as error:
        return {"works": works, "blocked": error, "ways": _struck_only(wanted)}
    return {"works": works, "plans": shown_plans(planned), "ways": list(_ways(planned[0], wanted))}


def _works(machine: Machine | None, wanted: Wanted, given: QueryDict) -> list[WorkChoice]:
    if machine is None:
        return []
    offered = {
        ref.id for id_ in wanted.works if id_ in machine.works for ref in machine.works[id_].offers
    }
    return [
        WorkChoice(
            work.id,
            work.name,
            work.id in wanted.works,
            work.id in offered,
            NO if given.get(f"offer-{work.id}") == NO else NOT_ASKED,
        )
        for work in machine.works.values()
    ]


def _ways(planned: PlannedJob, wanted: Wanted) -> Iterator[WayChoice]:
    """Give the ways of the first plan, and those struck out already; choices first."""
    plan, compiled = planned.result.plan, planned.compiled
    assert plan is not None, "a planned job has a plan"
    rows = []
    for index, info in enumerate(compiled.openings):
        opening = compiled.problem.openings[index].id
        for number, way in enumerate(info.ways):
            struck = (opening, way.id) in wanted.struck
            if struck or plan.ways.get(index) == number:
                by = f", by {way.id.replace('-', ' ')}" if len(info.ways) > 1 else ""
                words = f"{info.name} {info.state}{by}"
                rows.append((not struck, len(info.ways) == 1, opening, way.id, words, struck))
    for _, _, opening, way_id, words, struck in sorted(rows):
        yield WayChoice(f"{opening}{BETWEEN}{way_id}", words, struck)


def _struck_only(wanted: Wanted) -> list[WayChoice]:
    return [
        WayChoice(f"{opening}{BETWEEN}{way}", f"{opening}, by {way.replace('-', ' ')}", struck=True)
        for opening, way in wanted.struck
    ]


def extras(wanted: Wanted) -> list[tuple[str, str]]:
    """Say of each work what it adds to those ticked, or saves when left out."""
    folder = here().folder
    try:
        machine = Library(folder).read(wanted.machine).machine
        works = machine.works if machine is not None and wanted.works else {}
        return [(id_, _extra(marginal(folder, wanted, id_))) for id_ in works]
    except (LibraryError, CannotPlanError):
        return []


def _extra(tenths: int | None) -> str:
    if tenths is None:
        return "not together with these"
    sign = "+" if tenths >= 0 else "−"
    return f"{sign} {minutes_text(abs(tenths))}"


def _today() -> date:
    return datetime.now().astimezone().date()
