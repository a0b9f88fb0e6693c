"""The first draft of a machine file, out of what a job has recorded."""

from __future__ import annotations

from typing import Annotated

from ninja import Field, Router, Schema

from witnessmark.workshop.api_auth import MAY_SEE, Asked, Id, job_for
from witnessmark.workshop.standing import history, pack_of, photos_here
from witnessmark.workshop.starting import here

router = Router()


class ComplaintOut(Schema):
    """One complaint of `check`: where, what, and what to do; a warning may be left."""

    line: int
    code: str
    says: str
    warning: bool


class DraftOut(Schema):
    """A draft: what it is called in the library, its text, and what is still missing.

    `none` says why there is none yet; `why_no_plan` is empty when the draft gives a plan.
    """

    file: str | None = None
    none: str | None = None
    text: str = ""
    complaints: Annotated[list[ComplaintOut], Field(default_factory=list)]
    works: Annotated[list[str], Field(default_factory=list)]
    why_no_plan: str = ""


@router.post("/jobs/{job}/draft", auth=MAY_SEE, response=DraftOut)
def draft(request: Asked, job: Id) -> DraftOut:
    """Draft a machine file from a job's record and keep it in the library."""
    row = job_for(request, job)
    # Folding and checking are read when they are first needed, so that a server is back soon.
    from witnessmark.ledger.fold import fold
    from witnessmark.workshop.drafting import NothingSeenError, keep_draft

    graph = history(row.id)
    if graph.unknown:
        return _none("this job holds entries of a newer edition: update this one first")
    state = fold(pack_of(graph), graph, photos_here(row.id))
    try:
        kept = keep_draft(here().folder, row.id, row.title, state)
    except NothingSeenError as error:
        return _none(str(error))
    return DraftOut(
        file=kept.name,
        text=kept.text,
        complaints=[
            ComplaintOut(
                line=each.place.line,
                code=each.code,
                says=f"{each.what}: {each.to_do}",
                warning=each.is_warning,
            )
            for each in kept.complaints
        ],
        works=list(kept.works),
        why_no_plan=kept.why_not,
    )


def _none(why: str) -> DraftOut:
    return DraftOut(none=why, complaints=[], works=[])
