"""An entry answered from a file: every mistake is collected, and reading goes on."""

# Every question is described once, in `Entry`.
# ruff: noqa: D102

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache, partial
from typing import TypeVar

from witnessmark.machine.complaints import Complaints, clip, nearest
from witnessmark.machine.entry import Entry
from witnessmark.machine.model import FactRef, IdRef, Place, Sourced, SourcedTightness
from witnessmark.machine.yaml_nodes import Items, Node, Pairs, Scalar, shape_word
from witnessmark.quantities.duration import read_tenths
from witnessmark.quantities.reading import (
    Quantity,
    QuantityError,
    read_number,
    read_quantity,
    split_quantity,
)
from witnessmark.quantities.threads import Thread, read_thread
from witnessmark.quantities.tightness import Tightness, read_tightness
from witnessmark.quantities.units import UNITS, Dimension, unit_named

T = TypeVar("T")

ID = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,58}[a-z0-9])?")
_WHOLE = re.compile(r"\d{1,6}")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
# Control characters and those that turn the direction of writing: no paper can show them.
_ODD = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


@dataclass(frozen=True, slots=True)
class Mention:
    """An id or a fact as written in a file, and the kinds of thing it may refer to.

    For a fact `fact` is set and `of` empty: any thing that has states will do.
    """

    id: str
    place: Place
    of: tuple[str, ...] = ()
    fact: FactRef | None = None


@dataclass(slots=True)
class Reading:
    """What is kept while one file is read."""

    file: str
    complaints: Complaints
    mentions: list[Mention] = field(default_factory=list)
    source: str | None = None
    """Where the figures of this file come from, unless one says otherwise."""

    def at(self, node: Node) -> Place:
        """Give the place of a node."""
        return Place(self.file, node.line, node.column)


@lru_cache(maxsize=4096)
def _tenths(text: str) -> int:
    return read_tenths(text)


@lru_cache(maxsize=4096)
def _quantity(text: str, dimension: Dimension | None) -> Quantity:
    if dimension is not None:
        return read_quantity(text, dimension)
    value, unit = split_quantity(text)
    return Quantity(value * unit.factor + unit.offset, unit)


_thread = lru_cache(maxsize=1024)(read_thread)
_tightness = lru_cache(maxsize=1024)(read_tightness)


class NodeEntry:
    """One mapping of a file; see `Entry` for what each question means."""

    __slots__ = ("_asked", "_id", "_node", "_place", "_reading")

    def __init__(self, reading: Reading, node: Pairs, id_: str, place: Place) -> None:
        self._reading = reading
        self._node = node
        self._id = id_
        self._place = place
        self._asked: set[str] = set()

    @property
    def id(self) -> str:
        return self._id

    @property
    def place(self) -> Place:
        return self._place

    # Finding what stands under a key

    def _complain(self, code: str, place: Place, **facts: object) -> None:
        self._reading.complaints.add(code, place, **facts)

    def _get(self, key: str) -> Node | None:
        self._asked.add(key)
        found = self._node.entries.get(key)
        return None if found is None else found[1]

    def _scalar(self, key: str) -> Scalar | None:
        node = self._get(key)
        return None if node is None else self._as_scalar(key, node)

    def _as_scalar(self, key: str, node: Node) -> Scalar | None:
        at = self._reading.at
        if not isinstance(node, Scalar):
            found = shape_word(node)
            self._complain("wrong-shape", at(node), key=key, wanted="a single value", found=found)
            return None
        if node.is_nothing or not node.text.strip():
            self._complain("empty-value", at(node), key=key)
            return None
        odd = _ODD.search(node.text)
        if odd is not None:
            found = f"U+{ord(odd.group()):04X}"
            self._complain("odd-character", at(node), key=key, found=found)
            return None
        return node

    def _items(self, key: str) -> list[Node]:
        node = self._get(key)
        if node is None:
            return []
        if isinstance(node, Items):
            return node.items
        found = shape_word(node)
        place = self._reading.at(node)
        self._complain("wrong-shape", place, key=key, wanted="a list", found=found)
        return []

    def _scalars(self, key: str) -> list[Scalar]:
        found = (self._as_scalar(key, node) for node in self._items(key))
        return [scalar for scalar in found if scalar is not None]

    def _pairs(self, key: str) -> Pairs | None:
        node = self._get(key)
        return None if node is None else self._as_pairs(key, node)

    def _as_pairs(self, key: str, node: Node) -> Pairs | None:
        if isinstance(node, Pairs):
            return node
        if not (isinstance(node, Scalar) and node.is_nothing):
            found = shape_word(node)
            place = self._reading.at(node)
            self._complain("wrong-shape", place, key=key, wanted="a mapping", found=found)
        return None

    def _each_pair(self, key: str) -> Iterable[tuple[Scalar, Node]]:
        pairs = self._pairs(key)
        return () if pairs is None else pairs.entries.values()

    def _missing(self, key: str, code: str = "missing-key") -> None:
        if key not in self._node.entries:
            self._complain(code, self._place, key=key)

    def _key_place(self, key: str) -> Place:
        return self._reading.at(self._node.entries[key][0])

    # Texts and words

    def name(self) -> str:
        return self.text("name") or self._id.replace("-", " ")

    def text(self, key: str) -> str | None:
        scalar = self._scalar(key)
        return None if scalar is None else scalar.text.strip()

    def needed_text(self, key: str) -> str:
        self._missing(key)
        return self.text(key) or ""

    def texts(self, key: str) -> tuple[str, ...]:
        return tuple(scalar.text.strip() for scalar in self._scalars(key))

    def placed_text(self, key: str) -> tuple[str, Place]:
        self._missing(key)
        scalar = self._scalar(key)
        return ("", self._place) if scalar is None else self._placed(scalar)

    def placed_texts(self, key: str) -> tuple[tuple[str, Place], ...]:
        return tuple(self._placed(scalar) for scalar in self._scalars(key))

    def _placed(self, scalar: Scalar) -> tuple[str, Place]:
        return " ".join(scalar.text.split()), self._reading.at(scalar)

    def word(self, key: str, words: Sequence[str]) -> str | None:
        scalar = self._scalar(key)
        return None if scalar is None else self._word(key, scalar, words)

    def _word(self, key: str, scalar: Scalar, words: Sequence[str]) -> str | None:
        word = " ".join(scalar.text.split())
        if word in words:
            return str(word)
        self._complain(
            "unknown-word",
            self._reading.at(scalar),
            key=key,
            word=clip(word),
            nearest=nearest(word, [str(w) for w in words], "words"),
        )
        return None

    def needed_word(self, key: str, words: Sequence[str]) -> str:
        self._missing(key)
        return self.word(key, words) or str(words[0])

    def date(self, key: str) -> str | None:
        scalar = self._scalar(key)
        if scalar is None:
            return None
        if _DATE.fullmatch(scalar.text) and _is_date(scalar.text):
            return scalar.text
        self._complain("unreadable-date", self._reading.at(scalar), key=key, text=clip(scalar.text))
        return None

    def torque_unit(self, key: str) -> str | None:
        scalar = self._scalar(key)
        if scalar is None:
            return None
        unit = unit_named(scalar.text)
        if unit is not None and unit.dimension is Dimension.TORQUE:
            return unit.symbol
        known = [u.symbol for u in UNITS if u.dimension is Dimension.TORQUE]
        word = clip(scalar.text)
        place = self._reading.at(scalar)
        self._complain("unknown-word", place, key=key, word=word, nearest=nearest(word, known))
        return None

    def flag(self, key: str, *, otherwise: bool = False) -> bool:
        scalar = self._scalar(key)
        if scalar is None:
            return otherwise
        if scalar.text not in {"true", "false"}:
            place = self._reading.at(scalar)
            self._complain("not-true-or-false", place, key=key, text=clip(scalar.text))
            return scalar.text.lower() in {"true", "yes", "on", "1"}  # what was meant
        return scalar.text == "true"

    # Numbers and quantities

    def whole(self, key: str, *, least: int, otherwise: int) -> int:
        found = self.maybe_whole(key, least=least)
        return otherwise if found is None else found

    def maybe_whole(self, key: str, *, least: int) -> int | None:
        scalar = self._scalar(key)
        return None if scalar is None else self._whole(key, scalar, least)

    def _whole(self, key: str, scalar: Scalar, least: int) -> int | None:
        if _WHOLE.fullmatch(scalar.text) and int(scalar.text) >= least:
            return int(scalar.text)
        place = self._reading.at(scalar)
        self._complain("not-a-whole-number", place, key=key, text=clip(scalar.text), least=least)
        return None

    def number(self, key: str, *, above_zero: bool = False) -> Fraction | None:
        scalar = self._scalar(key)
        if scalar is None:
            return None
        place = self._reading.at(scalar)
        try:
            number = read_number(scalar.text)
        except QuantityError as error:
            self._unreadable(key, place, error)
            return None
        if number < 0 or (above_zero and number == 0):
            self._complain("below-zero", place, key=key, text=clip(scalar.text))
            return None
        return number

    def _unreadable(self, key: str, place: Place, error: QuantityError) -> None:
        code = "wrong-unit" if error.kind == "wrong-unit" else "unreadable-quantity"
        self._complain(code, place, key=key, what=error.what, hint=error.hint)

    def _figure(self, key: str, node: Node) -> tuple[Scalar | None, str | None]:
        """Give the figure itself and its source, from `22 N·m` or `{is: ..., source: ...}`."""
        if not isinstance(node, Pairs):
            return self._as_scalar(key, node), self._reading.source
        entry = NodeEntry(self._reading, node, key, self._reading.at(node))
        entry._missing("is", "missing-quantity")
        scalar = entry._scalar("is")
        source = entry.text("source")
        entry.finish()
        return scalar, source or self._reading.source

    def _read(
        self, key: str, node: Node, read: Callable[[str], T]
    ) -> tuple[T, str | None, Place] | None:
        scalar, source = self._figure(key, node)
        if scalar is None:
            return None
        place = self._reading.at(scalar)
        try:
            return read(scalar.text), source, place
        except QuantityError as error:
            self._unreadable(key, place, error)
            return None

    def _read_key(self, key: str, read: Callable[[str], T]) -> tuple[T, str | None, Place] | None:
        node = self._get(key)
        return None if node is None else self._read(key, node, read)

    def minutes(self, key: str, *, otherwise: int = 0) -> int:
        found = self._read_key(key, _tenths)
        return otherwise if found is None else found[0]

    def needed_minutes(self, key: str) -> int:
        self._missing(key, "missing-quantity")
        return self.minutes(key)

    def quantity(self, key: str, dimension: Dimension) -> Fraction | None:
        found = self._read_key(key, lambda text: _quantity(text, dimension))
        return None if found is None else found[0].si

    def needed_quantity(self, key: str, dimension: Dimension) -> Fraction:
        self._missing(key, "missing-quantity")
        return self.quantity(key, dimension) or Fraction(0)

    def point(self, key: str) -> tuple[Fraction, Fraction] | None:
        node = self._get(key)
        if node is None:
            return None
        if not isinstance(node, Items) or len(node.items) != 2:
            self._complain("not-a-position", self._reading.at(node), key=key)
            return None
        both = [
            self._read(key, item, lambda text: _quantity(text, Dimension.LENGTH))
            for item in node.items
        ]
        if both[0] is None or both[1] is None:
            return None
        return both[0][0].si, both[1][0].si

    def sourced(self, key: str, dimension: Dimension | None) -> Sourced | None:
        found = self._read_key(key, lambda text: _quantity(text, dimension))
        return None if found is None else Sourced(*found)

    def tightness(self, key: str) -> SourcedTightness | None:
        found: tuple[Tightness, str | None, Place] | None = self._read_key(key, _tightness)
        return None if found is None else SourcedTightness(*found)

    def tightnesses(self, key: str) -> tuple[SourcedTightness, ...]:
        found = (self._read(key, node, _tightness) for node in self._items(key))
        return tuple(SourcedTightness(*each) for each in found if each is not None)

    def thread(self, key: str) -> Thread | None:
        found: tuple[Thread, str | None, Place] | None = self._read_key(key, _thread)
        return None if found is None else found[0]

    # References

    def _ref(self, scalar: Scalar, of: Iterable[str]) -> IdRef:
        ref = IdRef(scalar.text.strip(), self._reading.at(scalar))
        self._reading.mentions.append(Mention(ref.id, ref.place, tuple(of)))
        return ref

    def ref(self, key: str, of: Iterable[str]) -> IdRef | None:
        scalar = self._scalar(key)
        return None if scalar is None else self._ref(scalar, of)

    def refs(self, key: str, of: Iterable[str], *, needed: bool = False) -> tuple[IdRef, ...]:
        if needed:
            self._missing(key)
        return tuple(self._ref(scalar, of) for scalar in self._scalars(key))

    def _fact(self, scalar: Scalar) -> FactRef:
        name, _, state = " ".join(scalar.text.split()).partition(" ")
        fact = FactRef(name, state or None, self._reading.at(scalar))
        self._reading.mentions.append(Mention(name, fact.place, fact=fact))
        return fact

    def fact(self, key: str) -> FactRef:
        self._missing(key)
        scalar = self._scalar(key)
        return FactRef("", None, self._place) if scalar is None else self._fact(scalar)

    def facts(self, key: str, *, needed: bool = False) -> tuple[FactRef, ...]:
        if needed:
            self._missing(key)
        return tuple(self._fact(scalar) for scalar in self._scalars(key))

    def words_by_ref(self, key: str, words: Sequence[str], of: Iterable[str]) -> Mapping[str, str]:
        found: dict[str, str] = {}
        for name, node in self._each_pair(key):
            ref = self._ref(name, of)
            scalar = self._as_scalar(ref.id, node)
            word = None if scalar is None else self._word(ref.id, scalar, words)
            if word is not None:
                found[ref.id] = word
        return found

    def sourced_by_ref(
        self, key: str, dimension: Dimension, of: Iterable[str]
    ) -> Mapping[str, Sourced]:
        found: dict[str, Sourced] = {}
        for name, node in self._each_pair(key):
            ref = self._ref(name, of)
            figure = self._read(ref.id, node, lambda text: _quantity(text, dimension))
            if figure is not None:
                found[ref.id] = Sourced(*figure)
        return found

    def refs_by_fact(self, key: str) -> tuple[tuple[FactRef, IdRef], ...]:
        found = []
        for name, node in self._each_pair(key):
            fact = self._fact(name)
            scalar = self._as_scalar(name.text, node)
            if scalar is not None:
                found.append((fact, IdRef(scalar.text.strip(), self._reading.at(scalar))))
        return tuple(found)

    def ways_of_facts(self, key: str) -> tuple[tuple[FactRef, IdRef], ...]:
        found = []
        for scalar in self._scalars(key):
            written, slash, way = scalar.text.rpartition("/")
            place = self._reading.at(scalar)
            if not slash or not written.strip() or not way.strip():
                self._complain("not-a-way", place, key=key, text=clip(scalar.text))
                continue
            fact = self._fact(Scalar(written, scalar.line, scalar.column))
            found.append((fact, IdRef(way.strip(), place)))
        return tuple(found)

    def order(self, key: str, words: Sequence[str]) -> tuple[str, ...] | str | None:
        node = self._get(key)
        if node is None:
            return None
        return self.word(key, words) if isinstance(node, Scalar) else self.texts(key)

    # Mappings filed under free words or ids

    def _id_of(self, key: Scalar) -> str:
        if not ID.fullmatch(key.text):
            self._complain("bad-id", self._reading.at(key), id=clip(key.text))
        return key.text

    def texts_by_id(self, key: str) -> Mapping[str, str]:
        found: dict[str, str] = {}
        for name, node in self._each_pair(key):
            scalar = self._as_scalar(name.text, node)
            found[self._id_of(name)] = "" if scalar is None else scalar.text.strip()
        return found

    def minutes_by_text(self, key: str) -> Mapping[str, int]:
        return {name: time for name, (time, _) in self._timed(self._each_pair(key)).items()}

    def _timed(self, pairs: Iterable[tuple[Scalar, Node]]) -> dict[str, tuple[int, Place]]:
        found: dict[str, tuple[int, Place]] = {}
        for name, node in pairs:
            time = self._read(name.text, node, _tenths)
            if time is not None:
                found[name.text] = time[0], self._reading.at(name)
        return found

    def moves(self, key: str) -> Mapping[str, Mapping[str, tuple[int, Place]]]:
        found: dict[str, Mapping[str, tuple[int, Place]]] = {}
        for name, node in self._each_pair(key):
            pairs = self._as_pairs(name.text, node)
            found[name.text] = {} if pairs is None else self._timed(pairs.entries.values())
        return found

    def wholes_by_text(self, key: str) -> Mapping[str, int]:
        found: dict[str, int] = {}
        for name, node in self._each_pair(key):
            scalar = self._as_scalar(name.text, node)
            number = None if scalar is None else self._whole(name.text, scalar, 0)
            if number is not None:
                found[name.text] = number
        return found

    # Entries inside this one

    def has(self, key: str) -> bool:
        return key in self._node.entries

    def _build(self, node: Pairs, id_: str, place: Place, build: Callable[[Entry], T]) -> T:
        entry = NodeEntry(self._reading, node, id_, place)
        built = build(entry)
        entry.finish()
        return built

    def one(self, key: str, build: Callable[[Entry], T]) -> T | None:
        pairs = self._needed_pairs(key)
        return None if pairs is None else self._build(pairs, key, self._key_place(key), build)

    def _needed_pairs(self, key: str) -> Pairs | None:
        node = self._get(key)
        if isinstance(node, Scalar) and node.is_nothing:
            self._complain("empty-value", self._reading.at(node), key=key)
            return None
        return None if node is None else self._as_pairs(key, node)

    def fork(
        self, key: str, marker: str, marked: Callable[[Entry], T], plain: Callable[[Entry], T]
    ) -> T | None:
        if key not in self._node.entries:
            return None
        pairs = self._needed_pairs(key)
        if pairs is None:
            return None
        build = marked if marker in pairs.entries else plain
        return self._build(pairs, key, self._key_place(key), build)

    def each(self, key: str, build: Callable[[Entry], T]) -> tuple[T, ...]:
        found = ((node, self._as_pairs(key, node)) for node in self._items(key))
        return tuple(
            self._build(pairs, "", self._reading.at(node), build)
            for node, pairs in found
            if pairs is not None
        )

    def by_id(self, key: str, build: Callable[[Entry], T]) -> Mapping[str, T]:
        found: dict[str, T] = {}
        for name, node in self._each_pair(key):
            pairs = self._as_pairs(name.text, node) or Pairs(node.line, node.column)
            found[self._id_of(name)] = self._build(pairs, name.text, self._reading.at(name), build)
        return found

    def by_text(self, key: str, build: Callable[[Entry], T]) -> Mapping[str, T]:
        found: dict[str, T] = {}
        for name, node in self._each_pair(key):
            pairs = self._as_pairs(name.text, node) or Pairs(node.line, node.column)
            found[name.text] = self._build(pairs, name.text, self._reading.at(name), build)
        return found

    def by_fact(self, key: str, build: Callable[[Entry, FactRef], T]) -> tuple[T, ...]:
        self._missing(key)
        found = []
        for name, node in self._each_pair(key):
            fact = self._fact(name)
            pairs = self._as_pairs(name.text, node)
            if pairs is not None:
                place = self._reading.at(name)
                built = self._build(pairs, name.text, place, partial(_with_fact, build, fact))
                found.append(built)
        return tuple(found)

    def place_within(self, key: str, id_: str) -> Place:
        """Give where an id stands in the mapping under a key."""
        found = self._node.entries.get(key)
        inner = found[1].entries.get(id_) if found and isinstance(found[1], Pairs) else None
        return self._place if inner is None else self._reading.at(inner[0])

    def sources_figures(self, key: str) -> str | None:
        self._reading.source = self.text(key)
        return self._reading.source

    def finish(self) -> None:
        """Complain about every key that was never asked for."""
        unknown = self._node.entries.keys() - self._asked
        for key in sorted(unknown):
            value = self._node.entries[key][1]
            if self._node.flow and isinstance(value, Scalar) and value.is_nothing:
                self._complain("comma-in-text", self._key_place(key), text=clip(key))
                continue
            self._complain(
                "unknown-key",
                self._key_place(key),
                key=clip(key),
                nearest=nearest(key, sorted(self._asked), "keys"),
            )


def _with_fact(build: Callable[[Entry, FactRef], T], fact: FactRef, entry: Entry) -> T:
    return build(entry, fact)


def _is_date(text: str) -> bool:
    from datetime import date

    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
