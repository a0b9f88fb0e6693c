"""What stands under a key of one mapping: looked up, held to its shape, complained about."""

# Every question is described once, in `Entry`.
# ruff: noqa: D102

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial

from witnessmark.machine.complaints import Complaints, clip, nearest
from witnessmark.machine.model import FactRef, Place
from witnessmark.machine.yaml_nodes import Items, Node, Pairs, Scalar, shape_word
from witnessmark.quantities.reading import QuantityError, read_number
from witnessmark.quantities.units import UNITS, Dimension, unit_named

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


class NodeTexts:
    """The words and plain numbers of one mapping of a file."""

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
            nearest=lambda: nearest(word, [str(w) for w in words], "words"),
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
        self._complain(
            "unknown-word", place, key=key, word=word, nearest=lambda: nearest(word, known)
        )
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

    # Plain numbers

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
                nearest=partial(nearest, key, sorted(self._asked), "keys"),
            )


def _is_date(text: str) -> bool:
    from datetime import date

    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
