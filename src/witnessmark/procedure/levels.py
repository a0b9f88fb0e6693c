"""Which states of an object are openings of their own, and which are taken in one go (S3).

A state that nothing refers to, on the way to a deeper one, is merged with it: nobody
wants a line "slacken" and another "take out" where one spanner does both. Levels stay
apart where something needs the shallow one, where the two differ in place, tool or
people, and where merging would tie the deeper one to an order only the shallow one has.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import product

from witnessmark.machine.derived import Derived, Fact
from witnessmark.machine.model import (
    FactRef,
    JobState,
    Joint,
    Machine,
    ObjectKind,
    OpeningSpec,
    Way,
)
from witnessmark.procedure.rules.shapes import Wanted
from witnessmark.procedure.tables import MachineTables, Opened
from witnessmark.procedure.tools import tool_of


@dataclass(frozen=True, slots=True)
class Level:
    """One opening of the planning problem: one state, or several taken in one go.

    `states` are crossed in order, the last is reached; `below` is the level under it.
    `ways` are the machine's, or joined from one way of each state.
    """

    kind: ObjectKind
    object: str
    specs: tuple[OpeningSpec, ...]
    ways: tuple[Way, ...]
    below: Opened | None

    @property
    def states(self) -> tuple[str, ...]:
        """The states crossed, the deepest last."""
        return tuple(spec.state for spec in self.specs)

    @property
    def key(self) -> Opened:
        """The opening this level ends in."""
        return (self.object, self.specs[-1].state)


class Levels:
    """The levels of every object of a machine, worked out when asked for."""

    def __init__(
        self, machine: Machine, derived: Derived, tables: MachineTables, state: JobState | None
    ) -> None:
        self.machine = machine
        self.derived = derived
        self.tables = tables
        self._known: dict[str, tuple[Level, ...]] = {}
        self._mentioned = set(_mentioned(machine, derived, tables))
        if state is not None:
            written = (*state.open, *(fact for fact, _ in (*state.by, *state.struck)))
            self._kept_apart = {fact.object for fact in written}
        else:
            self._kept_apart = set()

    def of(self, object_: str) -> tuple[Level, ...]:
        """Give the levels of an object, shallowest first."""
        known = self._known.get(object_)
        if known is None:
            known = self._known[object_] = tuple(self._levels(object_))
        return known

    def holding(self, opened: Opened) -> Level | None:
        """Give the level that takes an object to a state; None if nothing describes it."""
        return next((level for level in self.of(opened[0]) if opened[1] in level.states), None)

    def each(self, openings: Iterable[Opened]) -> Iterator[Level]:
        """Give the levels behind openings, passing over what no way leads to."""
        for opened in openings:
            level = self.holding(opened)
            if level is not None:
                yield level

    def _levels(self, object_: str) -> Iterator[Level]:
        specs = tuple(spec for spec in self.derived.openings(object_) if spec.ways)
        if not specs:
            return
        kind = self.derived.things[object_][0]
        below: Opened | None = None
        group: tuple[OpeningSpec, ...] = ()
        ways: tuple[Way, ...] = ()
        for spec in specs:
            tooled = tuple(self._with_tool(object_, way) for way in spec.ways)
            if group and self._may_merge(object_, group[-1], ways, spec, tooled):
                group = (*group, spec)
                ways = tuple(join_ways(a, b) for a, b in product(ways, tooled))
                continue
            if group:
                level = Level(kind, object_, group, ways, below)
                yield level
                below = level.key
            group, ways = (spec,), tooled
        yield Level(kind, object_, group, ways, below)

    def _with_tool(self, object_: str, way: Way) -> Way:
        """Give a joint's way the tool its fasteners ask for, when it names none."""
        joint = self.machine.joints.get(object_)
        if way.tool is not None or not isinstance(joint, Joint):
            return way
        tool = tool_of(joint)
        return way if tool is None else replace(way, tool=tool)

    def _may_merge(
        self,
        object_: str,
        low: OpeningSpec,
        low_ways: tuple[Way, ...],
        high: OpeningSpec,
        high_ways: tuple[Way, ...],
    ) -> bool:
        if object_ in self._kept_apart or (object_, low.state) in self._mentioned:
            return False
        if not self._shut_rows(object_, low.state) <= self._shut_rows(object_, high.state):
            return False
        return all(_joinable(a, b) for a, b in product(low_ways, high_ways))

    def _shut_rows(self, object_: str, state: str) -> set[Opened]:
        rows = self.tables.of((object_, state))
        return {o for row in rows if row.wanted is Wanted.SHUT for o in row.openings}


def _joinable(low: Way, high: Way) -> bool:
    """Tell whether two ways make one: same hands, place and tool, no order of its own."""
    same_place = (
        low.position is None or high.position is None or low.position.id == high.position.id
    )
    return (
        same_place
        and (low.tool is None or high.tool is None or low.tool == high.tool)
        and low.people == high.people
        and (low.risk is None or high.risk is None)
        and not (low.strip_needs or low.refit_needs or high.strip_needs or high.refit_needs)
        and {str(f) for f in low.while_fitted} <= {str(f) for f in high.while_fitted}
    )


def join_ways(low: Way, high: Way) -> Way:
    """Join the way to a shallow state and the way from there to a deeper one.

    Times add up, what either needs is needed, words stand one after the other: the
    shallow one's first on the way out, last on the way back.
    """
    return Way(
        id=high.id if low.id == high.id else f"{low.id}+{high.id}",
        place=high.place,
        strip=low.strip + high.strip,
        refit=low.refit + high.refit,
        needs=tuple(dict.fromkeys((*low.needs, *high.needs))),
        while_fitted=tuple(dict.fromkeys((*low.while_fitted, *high.while_fitted))),
        position=high.position or low.position,
        tool=high.tool or low.tool,
        aids=tuple(dict.fromkeys((*low.aids, *high.aids))),
        skill=high.skill or low.skill,
        people=high.people,
        wait_strip=low.wait_strip + high.wait_strip,
        wait_refit=low.wait_refit + high.wait_refit,
        spoils={**low.spoils, **high.spoils},
        risk=high.risk or low.risk,
        text=_joined(low.text, high.text),
        refit_text=_joined(high.refit_text, low.refit_text),
        why=_joined(low.why, high.why),
        caution=_joined(low.caution, high.caution),
    )


def _joined(first: str | None, then: str | None) -> str | None:
    words = tuple(dict.fromkeys(text for text in (first, then) if text))
    return "; ".join(words) or None


def _mentioned(machine: Machine, derived: Derived, tables: MachineTables) -> Iterator[Opened]:
    """Give every opening that something else than itself refers to."""
    for bound, demands in tables.demands.items():
        for demand in demands:
            for opened in demand.openings:
                if opened[0] != bound[0]:
                    yield opened
    for pair in tables.asks:
        if pair[0][0] != pair[1][0]:
            yield from pair
    found: dict[FactRef, Fact | None] = {}
    for ref in _written(machine, derived):
        if ref.state is None:
            continue
        fact = found.get(ref) or derived.find(ref)
        found[ref] = fact
        if fact is not None:
            yield (fact.object, fact.state)


def _written(machine: Machine, derived: Derived) -> Iterator[FactRef]:
    """Give every fact written where it matters for order or choice."""
    specs = (spec for _, thing in derived.things.values() for spec in thing.openings)
    for way in (way for spec in specs for way in spec.ways):
        yield from way.needs
        yield from way.while_fitted
        yield from way.strip_needs
        yield from way.refit_needs
    for room in machine.rooms.values():
        yield room.opening
        yield from (saving.fact for saving in room.made_by)
    for work in machine.works.values():
        yield from work.goals
        for step in work.steps:
            yield from step.needs
            yield from step.before
