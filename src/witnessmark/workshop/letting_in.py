"""Late entries of a revoked device: kept apart until a person of the job lets one in."""

from __future__ import annotations

from witnessmark.workshop import models
from witnessmark.workshop.moved import note_moved
from witnessmark.workshop.writing import write_transaction


def let_in(job: str, event: str, member: str) -> bool:
    """Let in an entry that was kept apart; tell whether it was still apart.

    Raises
    ------
    LookupError
        If this job has no such entry.
    """
    with write_transaction():
        rows = models.Event.objects.filter(id=event, job_id=job)
        if not rows.exists():
            raise LookupError("there is no such entry")
        changed = rows.filter(held=True).update(held=False, let_in_by=member)
        note_moved([job])
    return changed == 1
