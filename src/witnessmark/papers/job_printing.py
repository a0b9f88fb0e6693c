"""What a paper about a job needs beside its events: names, the arrival book, day and hour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, tzinfo
from typing import Any

from witnessmark.ledger.state import JobState

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
SHORT_DIGEST = 16
"""Digits of a digest on a card: enough to tell two books apart by eye."""


@dataclass(frozen=True, slots=True)
class Printing:
    """What is told of a job for a paper, by whoever prints it.

    `now` is in milliseconds; `people` and `wrenches` give names and words by id. `customer`
    and `plate` stay empty on a paper that is shown to others.
    """

    job: str
    title: str
    now: int
    book_number: int
    book_digest: str
    people: Mapping[str, str] = field(default_factory=dict)
    wrenches: Mapping[str, str] = field(default_factory=dict)
    customer: str = ""
    plate: str = ""
    zone: tzinfo = UTC

    def when(self, milliseconds: int) -> str:
        """Print a moment as the wall clock shows it: `25 Nov 2026, 17:52`.

        A phone's clock may be wrong beyond any calendar; its entries are printed all the same.
        """
        try:
            at = datetime.fromtimestamp(milliseconds / 1000, self.zone)
        except (ValueError, OverflowError, OSError):
            return "by a clock that is wrong"
        return f"{at.day} {MONTHS[at.month - 1]} {at.year}, {at.hour:02}:{at.minute:02}"

    def who(self, person: object) -> str:
        """Name a person; by their id where the name is not known here."""
        return self.people.get(person, person) if isinstance(person, str) else "nobody named"

    def signed(self, event: Mapping[str, Any]) -> str:
        """Say who wrote an event and when, by the clock of the device."""
        return f"{self.who(event['person'])}, {self.when(event['wall'])}"

    def since(self, state: JobState, event: str | None) -> str:
        """Say who wrote what a line stands on, and when; nothing where no event is known."""
        found = state.history.events.get(event) if event is not None else None
        return "" if found is None else self.signed(found)

    def book(self) -> dict[str, str]:
        """Give the head of the arrival book, in full and short enough for a card."""
        short = self.book_digest[:SHORT_DIGEST]
        fours = " ".join(short[at : at + 4] for at in range(0, len(short), 4))
        return {
            "number": str(self.book_number),
            "digest": self.book_digest,
            "short": fours,
        }


def people_in(state: JobState, printing: Printing) -> list[str]:
    """Give everybody who wrote in a job as `id: name`, as lines of the ledger say ids."""
    ids = dict.fromkeys(
        event["person"] for event in (state.history.events[i] for i in state.history.order)
    )
    return [f"{id_}: {printing.who(id_)}" for id_ in sorted(i for i in ids if i)]
