"""An entry answered from a file: every mistake is collected, and reading goes on."""

# Every question is described once, in `Entry`.
# ruff: noqa: D102

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import TypeVar

from witnessmark.machine.complaints import clip
from witnessmark.machine.entry import Entry
from witnessmark.machine.model import FactRef, IdRef, Place, Sourced
from witnessmark.machine.node_figures import NodeFigures, quantity, tenths
from witnessmark.machine.node_texts import Mention
from witnessmark.machine.yaml_nodes import Node, Pairs, Scalar
from witnessmark.quantities.units import Dimension

T = TypeVar("T")

ID = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,58}[a-z0-9])?")


class NodeEntry(NodeFigures):
    """One mapping of a file; see `Entry` for what each question means."""

    __slots__ = ()

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

    def facts(self, key: str) -> tuple[FactRef, ...]:
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
            figure = self._read(ref.id, node, lambda text: quantity(text, dimension))
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
            time = self._read(name.text, node, tenths)
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


def _with_fact(build: Callable[[Entry, FactRef], T], fact: FactRef, entry: Entry) -> T:
    return build(entry, fact)
