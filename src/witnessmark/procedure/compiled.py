"""What compiling gives: the planning problem, and the way back from every index."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.machine.complaints import Complaint
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import (
    FactRef,
    Machine,
    ObjectKind,
    OpeningSpec,
    Place,
    Way,
    Work,
    WorkStep,
)
from witnessmark.machine.workshop import Workshop
from witnessmark.procedure.problem import Problem
from witnessmark.procedure.rules.shapes import Wanted
from witnessmark.procedure.tables import MachineTables, Opened


class CompileError(Exception):
    """A machine, its works and a state could not be compiled; says everything wrong."""

    def __init__(self, complaints: tuple[Complaint, ...]) -> None:
        super().__init__("\n".join(str(each) for each in complaints))
        self.complaints = complaints


@dataclass(frozen=True, slots=True)
class DerivedRule:
    """Something that nobody typed into a way or step: a need, or an order.

    `facts` are fact indices of the problem: one for a need, any number of openings for an
    order. `says` is the reason in words; `by` what brings it and `place` where that
    stands.
    """

    check: str
    wanted: Wanted
    facts: tuple[int, ...]
    says: str
    by: str
    place: Place


@dataclass(frozen=True, slots=True)
class OpeningInfo:
    """The machine behind one opening of the problem; `ways` in the problem's order.

    `specs` are the states taken in one go, the last being `spec`. Ways of several states
    are joined into one, and a joint's way has the tool its heads ask for.
    """

    object_id: str
    kind: ObjectKind
    name: str
    state: str
    spec: OpeningSpec
    ways: tuple[Way, ...]
    specs: tuple[OpeningSpec, ...]
    below: Opened | None = None
    derived: tuple[DerivedRule, ...] = ()

    @property
    def states(self) -> tuple[str, ...]:
        """The states it passes, the one it ends in last."""
        return tuple(spec.state for spec in self.specs)

    @property
    def is_final(self) -> bool:
        """Whether its closing brings the object to rest."""
        return self.below is None


@dataclass(frozen=True, slots=True)
class BlockInfo:
    """The work and step behind one block, and what its acts and the bars bring with it."""

    work: Work
    step: WorkStep
    derived: tuple[DerivedRule, ...] = ()


@dataclass(frozen=True, slots=True)
class ClearInfo:
    """A clear fact: what is out of the way, and by which openings it may be."""

    object_id: str
    openings: tuple[Opened, ...]


@dataclass(frozen=True, slots=True)
class GoalInfo:
    """Which work asks for a goal, and where that is written."""

    fact: int
    work: str
    why: str
    place: Place


@dataclass(frozen=True, slots=True)
class Implied:
    """Something taken as open at the start because something given as open needs it."""

    opening: int
    says: str
    place: Place


@dataclass(frozen=True, slots=True)
class Compiled:
    """A machine's works as a planning problem, with everything needed to read it back.

    `openings`, `blocks` and `clears` run along with the problem's. `index` gives the
    opening of an object's state, states taken in one go included. `implied` is what a
    start state leaves unsaid; `been` what was open before and is shut again; `unpriced` the
    parts some way destroys without a price, counted as nothing.
    """

    machine: Machine
    works: tuple[Work, ...]
    workshop: Workshop
    problem: Problem
    openings: tuple[OpeningInfo, ...]
    blocks: tuple[BlockInfo, ...]
    clears: tuple[ClearInfo, ...]
    goals: tuple[GoalInfo, ...]
    index: Mapping[Opened, int]
    tables: MachineTables
    derived: Derived
    implied: tuple[Implied, ...] = ()
    struck: tuple[tuple[FactRef, str], ...] = ()
    been: frozenset[Opened] = frozenset()
    unpriced: tuple[str, ...] = ()

    def fact_name(self, fact: int) -> str:
        """Name a fact in words, not ids."""
        if self.problem.is_clear(fact):
            object_id = self.clears[fact - len(self.openings)].object_id
            return f"{self.tables.names.get(object_id, object_id)} out of the way"
        info = self.openings[fact]
        return f"{info.name} {info.state}"
