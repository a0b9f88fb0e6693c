"""All that was ever written of each object and piece, and what of it somebody knew.

What stands in a cell is what nothing came after. Whoever wrote an event without having heard
the latest knew the cell as it stood earlier, for them: that is found again from here.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from typing import Protocol

from witnessmark.procedure.book import Data


class Knowing(Protocol):
    """Who knew of what, by chains: who knew an event of a chain knew all before it."""

    def reaches(self, earlier: str, later: str) -> bool:
        """Tell whether the first event was known when the second was written."""

    def place(self, id_: str) -> tuple[int, int]:
        """Give the chain of an event and its number; numbers grow along a chain."""

    def last_known(self, id_: str, chain: int) -> int:
        """Give the number up to which an event knew a chain; -1 where it knew none of it."""


class _Written:
    """What one chain wrote in one cell: numbers of events, and the entries with their turn."""

    __slots__ = ("entries", "numbers")

    def __init__(self) -> None:
        self.numbers: list[int] = []
        self.entries: list[tuple[int, Data]] = []


class Past:
    """Every entry of every cell of a job, in the order in which they were taken."""

    def __init__(self, reach: Knowing) -> None:
        self._reach = reach
        self._rows: dict[str, list[tuple[Iterable[str], Data]]] = {}
        self._sorted: dict[str, int] = {}
        self._by_cell: dict[tuple[str, str], dict[int, _Written]] = {}

    def add(self, object_: str, keys: Iterable[str], entry: Data) -> None:
        """Keep an entry that was written in some cells of an object."""
        rows = self._rows.get(object_)
        if rows is None:
            rows = self._rows[object_] = []
        rows.append((keys, entry))

    def known_to(self, id_: str, object_: str, key: str) -> list[Data]:
        """Give the entries of a cell as whoever wrote an event knew it, oldest first.

        Of what was known, that stands which nothing known came after: of each chain at most
        the last that was known.
        """
        self._sort(object_)
        last_of_each = []
        last_known = self._reach.last_known
        for chain, written in self._by_cell.get((object_, key), {}).items():
            known = bisect_right(written.numbers, last_known(id_, chain))
            if known:
                last_of_each.append(written.entries[known - 1])
        return self._standing(last_of_each)

    def _standing(self, entries: list[tuple[int, Data]]) -> list[Data]:
        """Give those entries that no later one of them knew of, oldest first."""
        entries.sort(key=lambda each: each[0], reverse=True)
        standing: list[Data] = []
        reaches = self._reach.reaches
        for _, entry in entries:
            for later in standing:
                if reaches(entry["event"], later["event"]):
                    break
            else:
                standing.append(entry)
        standing.reverse()
        return standing

    def _sort(self, object_: str) -> None:
        """Sort by cell and chain what was added since: only looked for where people parted."""
        rows = self._rows.get(object_, [])
        for turn in range(self._sorted.get(object_, 0), len(rows)):
            keys, entry = rows[turn]
            chain, number = self._reach.place(entry["event"])
            for key in keys:
                cell = self._by_cell.setdefault((object_, key), {})
                written = cell.setdefault(chain, _Written())
                written.numbers.append(number)
                written.entries.append((turn, entry))
        self._sorted[object_] = len(rows)
