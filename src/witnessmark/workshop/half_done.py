"""Where a half-done job stands, from the ledger's words into those a plan is made from.

The ledger keeps the state of every fastener; a plan knows openings. A joint of which one bolt
is still out is open; one that is run in by hand is open by its shallowest opening. Nothing here
knows a framework.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from witnessmark.ledger.state import JobState as Folded
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import FactRef, IdRef, JobState, ObjectKind, OpeningSpec, Place
from witnessmark.machine.states import depth_of as depth_named
from witnessmark.procedure.standing import deepest

HERE = Place("this job", 1, 1)
"""What the ledger knows stands on no line of a file."""

Struck = tuple[str, str]
"""An opening, like `alternator off`, and the way that cannot be gone here."""


@dataclass(frozen=True, slots=True)
class HalfDone:
    """Where a job stands, for a plan; `beside` is what stands open and no plan can close."""

    state: JobState
    beside: tuple[str, ...]

    def asking_anew(self, derived: Derived, works: Sequence[str]) -> HalfDone:
        """Ask again for what new works want, though it was open before."""
        wanted = {
            opened
            for work in works
            for fact in derived.each_supporter(derived.machine.works[work].goals)
            for opened in [(fact.object, fact.state)]
        }
        been = tuple(each for each in self.state.been if (each.object, each.state) not in wanted)
        return replace(self, state=replace(self.state, been=been))


@dataclass(slots=True)
class _Found:
    open: list[FactRef] = field(default_factory=list)
    by: list[tuple[FactRef, IdRef]] = field(default_factory=list)
    been: list[FactRef] = field(default_factory=list)
    beside: list[str] = field(default_factory=list)


def half_done(
    folded: Folded, derived: Derived, struck: Iterable[Struck] = (), *, ways_known: bool = True
) -> HalfDone:
    """Give where a job stands.

    Parameters
    ----------
    folded : Folded
        The job by its events.
    derived : Derived
        What follows from the machine it is on.
    struck : Iterable[Struck]
        Ways that cannot be gone on this very machine.
    ways_known : bool
        False leaves unsaid by which way a thing was opened.
    """
    found, barred = _Found(), set(struck)
    for object_ in folded.touched():
        if object_ not in derived.things:
            if not folded.at_rest(object_):
                found.beside.append(object_)
        else:
            _stands(found, folded, derived, object_, barred if ways_known else None)
    done = dict.fromkeys(row["object"] for row in folded.rows["blocks"])
    known = {
        f"{work.id}/{step.id}" for work in derived.machine.works.values() for step in work.steps
    }
    state = JobState(
        machine=IdRef(derived.machine.id, HERE),
        place=HERE,
        open=tuple(found.open),
        by=tuple(found.by),
        been=tuple(found.been),
        done=tuple(IdRef(step, HERE) for step in done if step in known),
    )
    return HalfDone(state, tuple(found.beside))


def _stands(
    found: _Found, folded: Folded, derived: Derived, object_: str, struck: set[Struck] | None
) -> None:
    """Say of one object what is open and what has been."""
    kind = derived.things[object_][0]
    specs = [spec for spec in derived.openings(object_) if spec.ways]
    depth = deepest(folded.book, folded.standing, object_)
    opened = _opened_at(specs, kind, depth) if depth else None
    if depth and opened is None:
        found.beside.append(object_)
    if opened is not None:
        fact = FactRef(object_, opened.state, HERE)
        found.open.append(fact)
        way = None if struck is None else _way_gone(folded, object_, opened, struck)
        if way is not None:
            found.by.append((fact, IdRef(way, HERE)))
    if not folded.standing["old"].get(object_):
        found.been += _been(folded, object_, specs, kind, opened)


def _opened_at(specs: Sequence[OpeningSpec], kind: ObjectKind, depth: int) -> OpeningSpec | None:
    """Give the shallowest opening as deep as something stands; else the deepest there is."""
    deep = [spec for spec in specs if depth_named(kind, spec.state) >= depth]
    return deep[0] if deep else (specs[-1] if specs else None)


def _been(
    folded: Folded,
    object_: str,
    specs: Sequence[OpeningSpec],
    kind: ObjectKind,
    opened: OpeningSpec | None,
) -> Iterator[FactRef]:
    """Give the openings of an object that were open on this job and are shut again."""
    here = 0 if opened is None else depth_named(kind, opened.state)
    words = {word for word in folded.opened if word.startswith(f"{object_} ")}
    most = max(
        (depth_named(kind, s.state) for s in specs if f"{object_} {s.state}" in words), default=0
    )
    for spec in specs:
        if here < depth_named(kind, spec.state) <= most:
            yield FactRef(object_, spec.state, HERE)


def _way_gone(folded: Folded, object_: str, opened: OpeningSpec, struck: set[Struck]) -> str | None:
    """Give the way something was opened by: the one named, else the plan's; None if unclear."""
    ids = [way.id for way in opened.ways]
    if len(ids) < 2:
        return None
    named = [
        event["values"].get("way")
        for event in folded.taken.values()
        if event["type"] == "done" and event["object"] == object_
    ]
    words = [word for word in named if isinstance(word, str)][-1:]
    words += [planned_way(folded.pack, object_, opened.state, ids) or ""]
    way = next((each for each in (part_of(word, ids) for word in words) if each), None)
    return None if (f"{object_} {opened.state}", way) in struck else way


def planned_way(pack: dict[str, Any], object_: str, state: str, ids: Sequence[str]) -> str | None:
    """Give the way of an opening that a pack's plan takes, of these; None if it takes none."""
    ways = pack["tables"]["ways"]
    own = ways.get(f"{object_} {state}", {})
    others = [rows for opening, rows in ways.items() if opening.startswith(f"{object_} ")]
    for rows in (own, *others):
        for word, row in rows.items():
            way = part_of(word, ids) if row["planned"] else None
            if way is not None:
                return way
    return None


def part_of(word: str, ids: Sequence[str]) -> str | None:
    """Give the way that a word means: states taken in one go join their ways with a plus."""
    if word in ids:
        return word
    return next((part for part in word.split("+") if part in ids), None)
