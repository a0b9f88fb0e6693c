"""Complaints about a file: where, which code, what is wrong, what to do.

Every message stands in one catalogue by its code. A message is built from named facts and
cannot be built when one of them is missing, so no complaint is ever half a sentence.
"""

from __future__ import annotations

import difflib
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from witnessmark.machine.catalogue import CATALOGUE, WARNINGS
from witnessmark.machine.model import Place

MOST_COMPLAINTS = 1000
"""More than this in one run help nobody."""

MOST_SHOWN = 24
"""As many known names are listed when none is near; more would not be read."""

_LONGEST_NAME = 60
_NEIGHBOURS = 15


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
    known = {name: fact() if callable(fact) else fact for name, fact in facts.items()}
    severity = Severity.WARNING if code in WARNINGS else Severity.COMPLAINT
    return Complaint(place, code, what.format_map(known), to_do.format_map(known), severity)


class Complaints:
    """Collects complaints and goes on; says each once, and at most so many."""

    def __init__(self) -> None:
        self._found: dict[Complaint, None] = {}
        self._cut_at: Place | None = None

    @property
    def full(self) -> bool:
        """Whether so many were collected that more would help nobody."""
        return len(self._found) >= MOST_COMPLAINTS

    def add(self, code: str, place: Place, **facts: object) -> None:
        """Collect a complaint, unless the same was said before.

        A fact may be a function that gives it, so that nothing is looked up in vain.
        """
        if self.full:
            self._cut_at = self._cut_at or place
            return
        self._found.setdefault(complaint(code, place, **facts))

    def extend(self, complaints: Iterable[Complaint]) -> None:
        """Collect complaints that are already built; asks for no more than can be said."""
        for found in complaints:
            if self.full and found not in self._found:
                self._cut_at = self._cut_at or found.place
                return
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
        if self._cut_at is not None:
            found.append(complaint("more-complaints", self._cut_at, number=MOST_COMPLAINTS))
        return found


class Names:
    """Known names, kept so that the one most like a word is found quickly among many.

    Names that begin or end like the word are its neighbours in the order of the alphabet,
    read forwards or backwards; only some neighbours are compared letter by letter.
    """

    def __init__(self, names: Iterable[str]) -> None:
        self.all = tuple(dict.fromkeys(names))
        self._sorted: tuple[list[str], list[str]] | None = None

    def nearest(self, word: str, noun: str = "names") -> str:
        """Say which known name is nearest, or which are known at all."""
        near = self._alike(word)
        if near is not None:
            return f"did you mean '{near}'?"
        if not self.all:
            return f"there are no {noun} here yet; describe it first"
        if len(self.all) > MOST_SHOWN:
            return f"none of the {len(self.all)} {noun} here has a name like it; describe it first"
        return f"known {noun}: {', '.join(self.all)}"

    def _alike(self, word: str) -> str | None:
        if not 0 < len(word) <= _LONGEST_NAME:
            return None
        near = difflib.get_close_matches(word, self._neighbours(word), 1, 0.6)
        return near[0] if near else None

    def _neighbours(self, word: str) -> Sequence[str]:
        if len(self.all) <= 4 * _NEIGHBOURS:
            return self.all
        if self._sorted is None:
            self._sorted = sorted(self.all), sorted(name[::-1] for name in self.all)
        forwards = _around(self._sorted[0], word)
        backwards = [name[::-1] for name in _around(self._sorted[1], word[::-1])]
        return list(dict.fromkeys([*forwards, *backwards]))


def _around(ordered: list[str], word: str) -> list[str]:
    at = bisect_left(ordered, word)
    return ordered[max(at - _NEIGHBOURS, 0) : at + _NEIGHBOURS]


def nearest(word: str, known: Iterable[str], noun: str = "names") -> str:
    """Say which known name is nearest, or which are known at all."""
    return Names(known).nearest(word, noun)


def in_a_row(names: Sequence[str], link: str) -> str:
    """Join names in a message; of very many only the first are said."""
    if len(names) <= MOST_SHOWN:
        return link.join(names)
    return link.join(names[:MOST_SHOWN]) + f"{link}... ({len(names)} in all)"


def clip(text: str) -> str:
    """Keep a text short enough, and on one line, for a message."""
    one_line = " ".join(text[: 2 * _LONGEST_NAME].split())
    return one_line if len(one_line) <= _LONGEST_NAME else one_line[: _LONGEST_NAME - 1] + "…"
