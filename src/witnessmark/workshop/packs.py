"""Job packs: kept by their digest, and which jobs have been on them."""

from __future__ import annotations

from typing import Any

from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.workshop import models
from witnessmark.workshop.moved import note_moved
from witnessmark.workshop.writing import write_transaction


def keep_pack(job: str, pack: dict[str, Any]) -> str:
    """Keep a pack made here, and that this job may go by it; give its digest."""
    data = canonical_bytes(pack)
    id_ = digest(data)
    keep_pack_bytes(job, id_, data)
    return id_


def keep_pack_bytes(job: str, id_: str, data: bytes) -> bool:
    """Keep the bytes of a pack, which have this digest; tell whether they were new here."""
    with write_transaction():
        row, fresh = models.Pack.objects.get_or_create(id=id_, defaults={"data": data})
        _, added = models.PackOfJob.objects.get_or_create(job_id=job, pack=row)
        if added:
            note_moved([job])
    return fresh
