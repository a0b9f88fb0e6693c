"""Complaints about a file: where, which code, what is wrong, what to do.

Every message stands in one catalogue by its code. A message is built from named facts and
cannot be built when one of them is missing, so no complaint is ever half a sentence.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from posixpath import commonprefix

from witnessmark.machine.catalogue import CATALOGUE, WARNINGS
from witnessmark.machine.model import Place

MOST_COMPLAINTS = 1000
"""More than this in one run help nobody; the rest are counted."""

MOST_SHOWN = 24
"""As many known names are listed when none is near; more would not be read."""

_LONGEST_NAME = 60
_MOST_MISSED = 4
_MOST_COMPARED = 40


class Severity(StrEnum):
    """A complaint must be put right; a warning should be looked at."""

    COMPLAINT = "complaint"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing that is wrong, where, and what to do about it."""

    place: Place
    code: str
    what: str
    to_do: str
    severity: Severity = Severity.COMPLAINT

    @property
    def is_warning(self) -> bool:
        """Tell whether the file may be used as it is."""
        return self.severity is Severity.WARNING

    def __str__(self) -> str:
        """Print as `file:line:column: code: what is wrong: what to do`."""
        mark = "warning: " if self.is_warning else ""
        return f"{self.place}: {self.code}: {mark}{self.what}: {self.to_do}"


def complaint(code: str, place: Place, **facts: object) -> Complaint:
    """Build the complaint of a code from its facts.

    Raises
    ------
    KeyError
        If the code is not in the catalogue or a fact that its sentence names is missing.
    """
    what, to_do = CATALOGUE[code]
    severity = Severity.WARNING if code in WARNINGS else Severity.COMPLAINT
    return Complaint(place, code, what.format_map(facts), to_do.format_map(facts), severity)


class Complaints:
    """Collects complaints and goes on; says each once, and stops counting out loud."""

    def __init__(self) -> None:
        self._found: dict[Complaint, None] = {}
        self._unsaid = 0
        self._last: Place | None = None

    @property
    def full(self) -> bool:
        """Whether so many were collected that more would help nobody."""
        return len(self._found) >= MOST_COMPLAINTS

    def add(self, code: str, place: Place, **facts: object) -> None:
        """Collect a complaint, unless the same was said before."""
        if self.full:
            self._unsaid += 1
            self._last = place
            return
        self._found.setdefault(complaint(code, place, **facts))

    def extend(self, complaints: Iterable[Complaint]) -> None:
        """Collect complaints that are already built."""
        for found in complaints:
            if self.full and found not in self._found:
                self._unsaid += 1
                self._last = found.place
            else:
                self._found.setdefault(found)

    def __iter__(self) -> Iterator[Complaint]:
        """Give the complaints in the order they were found."""
        return iter(self._found)

    def in_order(self, files: Iterable[str] = ()) -> list[Complaint]:
        """Give all complaints by file (in the order given), line and column."""
        rank = {file: number for number, file in enumerate(files)}
        last = len(rank)
        found = sorted(
            self._found,
            key=lambda c: (rank.get(c.place.file, last), c.place, c.code, c.what),
        )
        if self._unsaid and self._last is not None:
            found.append(complaint("more-complaints", self._last, number=self._unsaid))
        return found


def nearest(word: str, known: Iterable[str], noun: str = "names") -> str:
    """Say which known name is nearest, or which are known at all."""
    pool = list(dict.fromkeys(known))
    near = _alike(word, pool)
    if near is not None:
        return f"did you mean '{near}'?"
    if not pool:
        return f"there are no {noun} here yet; describe it first"
    if len(pool) > MOST_SHOWN:
        return f"none of the {len(pool)} {noun} here has a name like it; describe it first"
    return f"known {noun}: {', '.join(pool)}"


def _alike(word: str, pool: list[str]) -> str | None:
    """Give the name most like a word, if any is like it.

    Only names that begin or end alike and are about as long are compared letter by
    letter, those that begin most alike first, so that a thousand look-ups stay quick.
    """
    if not 0 < len(word) <= _LONGEST_NAME:
        return None
    likely = [
        name
        for name in pool
        if abs(len(name) - len(word)) <= _MOST_MISSED
        and (name[:1] == word[0] or name[-1:] == word[-1])
    ]
    if len(likely) > _MOST_COMPARED:
        likely.sort(key=lambda name: -len(commonprefix((name, word))))
    near = difflib.get_close_matches(word, likely[:_MOST_COMPARED], 1, 0.6)
    return near[0] if near else None


def clip(text: str) -> str:
    """Keep a text short enough, and on one line, for a message."""
    one_line = " ".join(text[: 2 * _LONGEST_NAME].split())
    return one_line if len(one_line) <= _LONGEST_NAME else one_line[: _LONGEST_NAME - 1] + "…"
