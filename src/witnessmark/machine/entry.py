"""What a builder asks of one mapping in a file.

A builder (see `sections.py`) turns one entry into one thing of the model by asking for
its keys. Who answers is open: `reading.py` answers from a file, collecting complaints;
`schema.py` answers with dummies and writes down what was asked, so that the published
schema and the reader can never disagree about a key.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Protocol, TypeVar

from witnessmark.machine.model import (
    FactRef,
    IdRef,
    Place,
    Sourced,
    SourcedTightness,
)
from witnessmark.quantities.threads import Thread
from witnessmark.quantities.units import Dimension

T = TypeVar("T")


class Entry(Protocol):
    """One mapping of a file; `id` is the name it is filed under ("" when it has none).

    `required` keys that are missing are complained about, and something harmless is
    given, so that reading goes on. `of` names the kinds of thing an id may refer to.
    """

    @property
    def id(self) -> str:
        """The key this mapping stands under."""
        ...

    @property
    def place(self) -> Place:
        """Where the mapping, or the key it stands under, is written."""
        ...

    def name(self) -> str:
        """Give the `name`, or the id in plain words when none is given."""
        ...

    def text(self, key: str) -> str | None:
        """Give a text."""
        ...

    def needed_text(self, key: str) -> str:
        """Give a text that must be there."""
        ...

    def texts(self, key: str) -> tuple[str, ...]:
        """Give a list of texts."""
        ...

    def placed_text(self, key: str) -> tuple[str, Place]:
        """Give a text that must be there, with its place."""
        ...

    def placed_texts(self, key: str) -> tuple[tuple[str, Place], ...]:
        """Give a list of texts, each with its place."""
        ...

    def word(self, key: str, words: Sequence[str]) -> str | None:
        """Give one of a few words."""
        ...

    def needed_word(self, key: str, words: Sequence[str]) -> str:
        """Give one of a few words; it must be there."""
        ...

    def date(self, key: str) -> str | None:
        """Give a date written as year-month-day."""
        ...

    def torque_unit(self, key: str) -> str | None:
        """Give a unit of torque by its symbol."""
        ...

    def flag(self, key: str, *, otherwise: bool = False) -> bool:
        """Give true or false."""
        ...

    def whole(self, key: str, *, least: int, otherwise: int) -> int:
        """Give a whole number."""
        ...

    def maybe_whole(self, key: str, *, least: int) -> int | None:
        """Give a whole number, None when the key is missing."""
        ...

    def number(self, key: str, *, above_zero: bool = False) -> Fraction | None:
        """Give an exact number without a unit, zero or more."""
        ...

    def minutes(self, key: str, *, otherwise: int = 0) -> int:
        """Give a job time in tenths of a minute."""
        ...

    def needed_minutes(self, key: str) -> int:
        """Give a job time in tenths of a minute; it must be there."""
        ...

    def quantity(self, key: str, dimension: Dimension) -> Fraction | None:
        """Give a quantity in SI."""
        ...

    def needed_quantity(self, key: str, dimension: Dimension) -> Fraction:
        """Give a quantity in SI that must be there."""
        ...

    def point(self, key: str) -> tuple[Fraction, Fraction] | None:
        """Give a position of two lengths."""
        ...

    def sourced(self, key: str, dimension: Dimension | None) -> Sourced | None:
        """Give a figure with its source; any dimension will do when none is named."""
        ...

    def tightness(self, key: str) -> SourcedTightness | None:
        """Give a tightness with its source."""
        ...

    def tightnesses(self, key: str) -> tuple[SourcedTightness, ...]:
        """Give a list of tightnesses, each with its source."""
        ...

    def thread(self, key: str) -> Thread | None:
        """Give a thread."""
        ...

    def ref(self, key: str, of: Iterable[str]) -> IdRef | None:
        """Give an id that refers to one of some kinds of thing."""
        ...

    def refs(self, key: str, of: Iterable[str], *, needed: bool = False) -> tuple[IdRef, ...]:
        """Give a list of ids that refer to some kinds of thing."""
        ...

    def fact(self, key: str) -> FactRef:
        """Give a fact that must be there."""
        ...

    def facts(self, key: str) -> tuple[FactRef, ...]:
        """Give a list of facts."""
        ...

    def words_by_ref(self, key: str, words: Sequence[str], of: Iterable[str]) -> Mapping[str, str]:
        """Give a mapping from ids to one of a few words."""
        ...

    def sourced_by_ref(
        self, key: str, dimension: Dimension, of: Iterable[str]
    ) -> Mapping[str, Sourced]:
        """Give a mapping from ids to figures."""
        ...

    def refs_by_fact(self, key: str) -> tuple[tuple[FactRef, IdRef], ...]:
        """Give a mapping from facts to names of ways."""
        ...

    def ways_of_facts(self, key: str) -> tuple[tuple[FactRef, IdRef], ...]:
        """Give a list of `FACT/WAY`."""
        ...

    def order(self, key: str, words: Sequence[str]) -> tuple[str, ...] | str | None:
        """Give an order: one of a few words, or a list of hole numbers."""
        ...

    def texts_by_id(self, key: str) -> Mapping[str, str]:
        """Give a mapping from ids to texts."""
        ...

    def minutes_by_text(self, key: str) -> Mapping[str, int]:
        """Give a mapping from free words to job times in tenths."""
        ...

    def moves(self, key: str) -> Mapping[str, Mapping[str, tuple[int, Place]]]:
        """Give job times from one free word to another, each with its place."""
        ...

    def wholes_by_text(self, key: str) -> Mapping[str, int]:
        """Give a mapping from free words to whole numbers."""
        ...

    def one(self, key: str, build: Callable[[Entry], T]) -> T | None:
        """Build the mapping under a key."""
        ...

    def fork(
        self, key: str, marker: str, marked: Callable[[Entry], T], plain: Callable[[Entry], T]
    ) -> T | None:
        """Build the mapping under a key one way if it has the marker key, else another."""
        ...

    def each(self, key: str, build: Callable[[Entry], T]) -> tuple[T, ...]:
        """Build every mapping of a list."""
        ...

    def by_id(self, key: str, build: Callable[[Entry], T]) -> Mapping[str, T]:
        """Build every mapping filed under an id."""
        ...

    def by_text(self, key: str, build: Callable[[Entry], T]) -> Mapping[str, T]:
        """Build every mapping filed under free words."""
        ...

    def by_fact(self, key: str, build: Callable[[Entry, FactRef], T]) -> tuple[T, ...]:
        """Build every mapping filed under a fact."""
        ...

    def sources_figures(self, key: str) -> str | None:
        """Give the text that says where the figures of the whole file come from."""
        ...
