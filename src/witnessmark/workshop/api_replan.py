"""Planning the rest of a job anew, from where it stands by its events."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from threading import Lock
from typing import TYPE_CHECKING, Annotated, Any

from ninja import Field, Router, Schema

from witnessmark.workshop import models
from witnessmark.workshop.api_auth import MAY_SEE, Asked, Id, job_for
from witnessmark.workshop.packs import keep_pack
from witnessmark.workshop.standing import history, pack_of, photos_here
from witnessmark.workshop.starting import here

if TYPE_CHECKING:
    from witnessmark.workshop.replanning import Replanned, Wanted

router = Router()

MOST = 100
"""Ways struck out, or works added, at once."""

Word = Annotated[str, Field(max_length=200)]
Lines = Annotated[list[str], Field(default_factory=list)]
Rows = Annotated[list[dict[str, Any]], Field(default_factory=list)]
Own = Annotated[str, Field(pattern="^[a-z0-9-]{1,64}$")]


class NewPlan(Schema):
    """What changed: ways that cannot be got at, works that came up; whether to take the time."""

    struck: Annotated[list[tuple[Word, Word | None]], Field(max_length=MOST, default_factory=list)]
    added: Annotated[list[Own], Field(max_length=MOST, default_factory=list)]
    proof: bool = False


class StepsTold(Schema):
    """Steps to come that the new plan brings, and those it does without."""

    new: list[str]
    gone: list[str]


class PlanOut(Schema):
    """A new plan, stored as a pack that waits for the phone's `rebase`; or why there is none."""

    pack: str | None = None
    none: str | None = None
    causes: Lines
    changed: Rows
    steps: StepsTold | None = None
    minutes_before: float | None = None
    minutes_after: float | None = None
    proven: bool = False
    may_be_shorter_by: float | None = None
    assumed: Lines
    beside: Lines
    more: Rows


_turn = Lock()
"""A proof may take a second: one at a time. Who comes meanwhile gets the answer at once, so
that never all of the server's few hands are at proofs."""


@router.post("/jobs/{job}/replan", auth=MAY_SEE, response=PlanOut)
def replan(request: Asked, job: Id, new: NewPlan) -> PlanOut:
    """Plan what is left of a job anew; the pack is stored, and the job stays on its own.

    The phone moves the job by writing `rebase`. The first answer comes at once and says
    whether it is proven; asked again with `proof` it takes the time a proof takes.
    """
    row = job_for(request, job)
    # The planner is read when it is first needed, so that a server is back soon.
    from witnessmark.workshop.replanning import Wanted

    proof = new.proof and _turn.acquire(blocking=False)
    today = datetime.now(UTC).astimezone().date()
    try:
        return _answer(row, Wanted(tuple(new.struck), tuple(new.added), proof, today))
    finally:
        if proof:
            _turn.release()


def _answer(row: models.Job, wanted: Wanted) -> PlanOut:
    from witnessmark.ledger.fold import fold
    from witnessmark.workshop.job_planning import CannotPlanError
    from witnessmark.workshop.library import LibraryError
    from witnessmark.workshop.replanning import replan

    graph = history(row.id)
    if graph.unknown:
        return _no_plan("this job holds entries of a newer edition: update this one first")
    folded = fold(pack_of(graph), graph, photos_here(row.id))
    try:
        found = replan(here().folder, _machine_of(row, folded.pack), folded, wanted)
    except CannotPlanError as error:
        return _no_plan(str(error), error.lines)
    except LibraryError as error:
        return _no_plan(str(error))
    return _told(keep_pack(row.id, found.pack), found)


def _no_plan(why: str, causes: Sequence[str] = ()) -> PlanOut:
    return PlanOut(none=why, causes=list(causes), changed=[], assumed=[], beside=[], more=[])


def _machine_of(row: models.Job, pack: dict[str, Any]) -> str:
    """Name a job's machine as the library does."""
    vehicle = row.vehicle.machine if row.vehicle is not None else ""
    name: str = row.machine or vehicle or pack["machine"]["id"]
    return name


def _told(pack: str, found: Replanned) -> PlanOut:
    return PlanOut(
        pack=pack,
        causes=[],
        changed=found.changed,
        steps=StepsTold(new=list(found.new), gone=list(found.gone)),
        minutes_before=None if found.before is None else found.before / 10,
        minutes_after=found.after / 10,
        proven=found.proven,
        may_be_shorter_by=found.gap / 10,
        assumed=list(found.assumed),
        beside=list(found.beside),
        more=list(found.more),
    )
