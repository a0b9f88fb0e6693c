"""The quantities of one mapping: read exactly, with their units and sources."""

# Every question is described once, in `Entry`.
# ruff: noqa: D102

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from typing import TypeVar

from witnessmark.machine.model import Place, Sourced, SourcedTightness
from witnessmark.machine.node_texts import NodeTexts
from witnessmark.machine.size_table import source_words
from witnessmark.machine.yaml_nodes import Items, Node, Pairs, Scalar
from witnessmark.quantities.duration import read_tenths
from witnessmark.quantities.reading import Quantity, QuantityError, read_quantity, split_quantity
from witnessmark.quantities.threads import Thread, read_thread
from witnessmark.quantities.tightness import Tightness, read_tightness
from witnessmark.quantities.units import Dimension

T = TypeVar("T")


@lru_cache(maxsize=4096)
def tenths(text: str) -> int:
    """Read a job time, remembering what was read before."""
    return read_tenths(text)


@lru_cache(maxsize=4096)
def quantity(text: str, dimension: Dimension | None) -> Quantity:
    """Read a quantity, of any dimension when none is named."""
    if dimension is not None:
        return read_quantity(text, dimension)
    value, unit = split_quantity(text)
    return Quantity(value * unit.factor + unit.offset, unit)


_thread = lru_cache(maxsize=1024)(read_thread)
_tightness = lru_cache(maxsize=1024)(read_tightness)


class NodeFigures(NodeTexts):
    """The quantities of one mapping of a file."""

    __slots__ = ()

    def _figure(self, key: str, node: Node) -> tuple[Scalar | None, str | None]:
        """Give the figure itself and its source, from `22 N·m` or `{is: ..., source: ...}`."""
        if not isinstance(node, Pairs):
            return self._as_scalar(key, node), source_words(self._reading.source, None)
        entry = NodeFigures(self._reading, node, key, self._reading.at(node))
        entry._missing("is", "missing-quantity")
        scalar = entry._scalar("is")
        source, by = entry.text("source"), entry.text("by")
        entry.finish()
        return scalar, source_words(source or self._reading.source, by)

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
        found = self._read_key(key, tenths)
        return otherwise if found is None else found[0]

    def needed_minutes(self, key: str) -> int:
        self._missing(key, "missing-quantity")
        return self.minutes(key)

    def quantity(self, key: str, dimension: Dimension) -> Fraction | None:
        found = self._read_key(key, lambda text: quantity(text, dimension))
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
            self._read(key, item, lambda text: quantity(text, Dimension.LENGTH))
            for item in node.items
        ]
        if both[0] is None or both[1] is None:
            return None
        return both[0][0].si, both[1][0].si

    def sourced(self, key: str, dimension: Dimension | None) -> Sourced | None:
        found = self._read_key(key, lambda text: quantity(text, dimension))
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
