"""Noting that a job moved: what was made from its events, packs and photos no longer holds."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import F

from witnessmark.workshop import models


def note_moved(jobs: Iterable[str]) -> None:
    """Note that jobs moved, within the transaction that writes what moved them."""
    models.Job.objects.filter(id__in=list(jobs)).update(moved=F("moved") + 1)
