"""Guesses at secrets short enough to be guessed: slowed, locked, and counted in the tables.

A guess is counted as wrong before it is looked at, so that neither many at once nor a server
that is killed between gets one for nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.db.models import F

from witnessmark.workshop import models
from witnessmark.workshop.waits import FORGOTTEN_AFTER, Waits
from witnessmark.workshop.writing import now, write_transaction


@dataclass(frozen=True, slots=True)
class Guess:
    """What came of a guess; until when the next must wait, in milliseconds, if it must."""

    right: bool
    locked_until: int | None = None


def guess(counters: Mapping[str, Waits], check: Callable[[], bool], forgets: str = "") -> Guess:
    """Try a guess that is counted on every counter named; a right one clears only `forgets`.

    What was guessed at is cleared by a right guess. Who guesses is not: with one secret of
    their own they could clear the way to guess at another's.
    """
    locked = _count(counters)
    if locked is not None:
        return Guess(right=False, locked_until=locked)
    if check():
        with write_transaction():
            others = [key for key in counters if key != forgets]
            models.Attempt.objects.filter(id=forgets).delete()
            models.Attempt.objects.filter(id__in=others).update(wrong=F("wrong") - 1, until=0)
        return Guess(right=True)
    at = now()
    rows = models.Attempt.objects.filter(id__in=counters, until__gt=at)
    return Guess(right=False, locked_until=max((row.until for row in rows), default=None))


def _count(counters: Mapping[str, Waits]) -> int | None:
    """Count one more wrong guess, unless one must still wait: then say until when."""
    at = now()
    with write_transaction():
        models.Attempt.objects.filter(last__lt=at - FORGOTTEN_AFTER).delete()
        rows = {row.id: row for row in models.Attempt.objects.filter(id__in=counters)}
        waiting = [row.until for row in rows.values() if row.until > at]
        if waiting:
            return max(waiting)
        for key, waits in counters.items():
            row = rows.get(key) or models.Attempt(id=key)
            row.wrong, row.last = row.wrong + 1, at
            row.until = at + waits.after(row.wrong) if waits.after(row.wrong) else 0
            row.save()
    return None
