"""Facts: what a written `crank-bolt slack` or `upper-cover` refers to in a machine."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache

from witnessmark.machine.model import (
    Assembly,
    Circuit,
    FactRef,
    Joint,
    Lock,
    Machine,
    MakeSafe,
    ObjectKind,
    OpeningSpec,
    Part,
    Shaft,
    Temporary,
)
from witnessmark.machine.states import OPENINGS, REST, depth_of, state_named

Thing = Part | Assembly | Joint | Circuit | Shaft | Lock | Temporary | MakeSafe
"""Anything that has states."""


@dataclass(frozen=True, slots=True)
class Fact:
    """An opening, or with `clear` the fact that a part is out of the way.

    A clear fact holds when the part is off or any assembly carries it off; its `state`
    is `off`. Everything else is the opening of `object` to `state`, by the rule book's
    word, at `depth`.
    """

    kind: ObjectKind
    object: str
    state: str
    depth: int
    clear: bool = False

    def __hash__(self) -> int:
        # Facts are looked up far more often than made; texts keep their hash, enums do not.
        return hash((self.object, self.state, self.clear))

    def __str__(self) -> str:
        """Print as people write it."""
        return self.object if self.clear else f"{self.object} {self.state}"


class Fault(StrEnum):
    """Why a written fact refers to nothing that can be opened."""

    UNKNOWN_OBJECT = "unknown object"
    UNKNOWN_STATE = "unknown state"
    REST = "state of rest"
    NOT_DESCRIBED = "not described"


class Unresolved(Exception):  # noqa: N818 - a finding about a file, not a failure
    """A written fact that refers to nothing; `kind` is known unless the object is not."""

    def __init__(self, fault: Fault, kind: ObjectKind | None = None) -> None:
        super().__init__(fault.value)
        self.fault = fault
        self.kind = kind


@lru_cache(maxsize=8192)
def fact_for(kind: ObjectKind, id_: str, state: str) -> Fact:
    """Make the fact of an opening by the rule book's word for its state."""
    return Fact(kind, id_, state, depth_of(kind, state))


@lru_cache(maxsize=8192)
def clear_of(part: str) -> Fact:
    """Make the fact that a part is out of the way."""
    return Fact(ObjectKind.PART, part, "off", depth_of(ObjectKind.PART, "off"), clear=True)


class Facts:
    """The things of one machine that have states, and the facts that can be said of them."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._supporters: dict[str, tuple[Fact, ...]] = {}
        self._carriers: dict[str, list[str]] = defaultdict(list)
        for assembly in machine.assemblies.values():
            for part in dict.fromkeys(ref.id for ref in assembly.parts):
                self._carriers[part].append(assembly.id)

    @cached_property
    def things(self) -> Mapping[str, tuple[ObjectKind, Thing]]:
        """Every object that has states, by id; the first of a name given twice."""
        machine = self.machine
        found: dict[str, tuple[ObjectKind, Thing]] = {}
        sections: tuple[tuple[ObjectKind, Mapping[str, Thing]], ...] = (
            (ObjectKind.PART, machine.parts),
            (ObjectKind.ASSEMBLY, machine.assemblies),
            (ObjectKind.JOINT, machine.joints),
            (ObjectKind.CIRCUIT, machine.circuits),
            (ObjectKind.SHAFT, machine.shafts),
            (ObjectKind.LOCK, machine.locks),
            (ObjectKind.TEMPORARY, machine.temporaries),
            (ObjectKind.MAKE_SAFE, machine.make_safes),
        )
        for kind, section in sections:
            for id_, thing in section.items():
                found.setdefault(id_, (kind, thing))
        return found

    def kind_of(self, id_: str) -> ObjectKind | None:
        """Tell what kind of object an id names; None when it names none with states."""
        known = self.things.get(id_)
        return None if known is None else known[0]

    def openings(self, id_: str) -> tuple[OpeningSpec, ...]:
        """Give the openings an object describes, shallowest first; empty when unknown."""
        return self._openings.get(id_, ())

    @cached_property
    def _openings(self) -> Mapping[str, tuple[OpeningSpec, ...]]:
        return {
            id_: tuple(
                spec for state in OPENINGS[kind] for spec in thing.openings if spec.state == state
            )
            for id_, (kind, thing) in self.things.items()
        }

    def opening(self, fact: Fact) -> OpeningSpec | None:
        """Give the description of an opening, if there is one (a clear fact has none)."""
        if fact.clear:
            return None
        return next((s for s in self.openings(fact.object) if s.state == fact.state), None)

    def resolve(self, ref: FactRef) -> Fact:
        """Give the fact behind a written one.

        A part without a state means "out of the way", a shaft `unproven`, anything else
        without a state its deepest described opening.

        Raises
        ------
        Unresolved
            If the object is unknown, the state is not one of its kind or is its rest, or
            nothing describes how to get there.
        """
        kind = self.kind_of(ref.object)
        if kind is None:
            raise Unresolved(Fault.UNKNOWN_OBJECT)
        if ref.state is None:
            return self._without_state(kind, ref.object)
        state = state_named(kind, ref.state)
        if state is None:
            raise Unresolved(Fault.UNKNOWN_STATE, kind)
        if state == REST[kind]:
            raise Unresolved(Fault.REST, kind)
        fact = Fact(kind, ref.object, state, depth_of(kind, state))
        if self.opening(fact) is None:
            raise Unresolved(Fault.NOT_DESCRIBED, kind)
        return fact

    def _without_state(self, kind: ObjectKind, id_: str) -> Fact:
        if kind is ObjectKind.PART:
            clear = clear_of(id_)
            if not self.supporters(clear):
                raise Unresolved(Fault.NOT_DESCRIBED, kind)
            return clear
        described = self.openings(id_)
        if not described:
            raise Unresolved(Fault.NOT_DESCRIBED, kind)
        # A shaft is named for its proof, not for lying free.
        meant = described[0] if kind is ObjectKind.SHAFT else described[-1]
        return fact_for(kind, id_, meant.state)

    def find(self, ref: FactRef) -> Fact | None:
        """Give the fact behind a written one, or None where `resolve` would raise."""
        try:
            return self.resolve(ref)
        except Unresolved:
            return None

    def supporters(self, fact: Fact) -> tuple[Fact, ...]:
        """Give the openings of which any one makes the fact true.

        A clear fact has the part off, and each assembly that carries it off; any other
        fact only itself.
        """
        if not fact.clear:
            return (fact,)
        known = self._supporters.get(fact.object)
        if known is None:
            off = fact_for(ObjectKind.PART, fact.object, "off")
            carried = [
                fact_for(ObjectKind.ASSEMBLY, assembly, "off")
                for assembly in self._carriers.get(fact.object, ())
            ]
            known = tuple(found for found in (off, *carried) if self.opening(found) is not None)
            self._supporters[fact.object] = known
        return known

    def carriers(self, part: str) -> tuple[str, ...]:
        """Give the assemblies a part belongs to."""
        return tuple(self._carriers.get(part, ()))

    def all_openings(self) -> Iterator[Fact]:
        """Give every opening described, in the order of the file, shallowest first."""
        for id_, (kind, _) in self.things.items():
            for spec in self.openings(id_):
                yield fact_for(kind, id_, spec.state)

    def first_opening(self, id_: str) -> Fact | None:
        """Give the shallowest opening an object describes."""
        described = self.openings(id_)
        kind = self.kind_of(id_)
        if kind is None or not described:
            return None
        return fact_for(kind, id_, described[0].state)

    def unproven(self, shaft: str) -> Fact | None:
        """Give the opening whose closing is the proof of a shaft, if it is described."""
        fact = fact_for(ObjectKind.SHAFT, shaft, "unproven")
        return fact if self.opening(fact) is not None else None

    def each_found(self, refs: Iterable[FactRef]) -> Iterator[Fact]:
        """Give the facts behind those references that resolve."""
        for ref in refs:
            fact = self.find(ref)
            if fact is not None:
                yield fact

    def each_supporter(self, refs: Iterable[FactRef]) -> Iterator[Fact]:
        """Give the openings behind those references that resolve, each once."""
        found = (s for fact in self.each_found(refs) for s in self.supporters(fact))
        yield from dict.fromkeys(found)
