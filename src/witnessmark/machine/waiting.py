"""What waits for what: which openings can be reached at all, and what each brings along.

An opening waits for the needs of one of its ways, for what holds it, and for the depth
below it. From this follow, without any planning: the openings that no way can reach, with
the circle of things that wait for each other, and the **landmarks** of an opening, which
are open whenever it is, whatever ways are chosen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from witnessmark.machine.derived import Derived, Fact, fact_for
from witnessmark.machine.model import Way
from witnessmark.machine.states import OPENINGS

Landmarks = Mapping[Fact, frozenset[Fact]]


@dataclass(frozen=True, slots=True)
class WayNeeds:
    """What one way waits for, resolved: `throughout` until it is closed again."""

    way: Way
    throughout: tuple[Fact, ...]
    strip: tuple[Fact, ...]
    refit: tuple[Fact, ...]
    while_fitted: tuple[Fact, ...]
    """Openings that must come after this one, because its way or a bar says so."""

    @property
    def before_strip(self) -> tuple[Fact, ...]:
        """Everything that must be open before the strip half."""
        return self.throughout + self.strip


@dataclass(frozen=True, slots=True)
class Circle:
    """Openings that wait for each other; the last waits for the first.

    `only_after` marks a circle that closes by order: the last may only come after the
    first, which waits for it.
    """

    openings: tuple[Fact, ...]
    only_after: bool = False

    def __str__(self) -> str:
        """Print as `'a' waits for 'b', 'b' waits for 'a'`."""
        links = [f"'{a}' waits for '{b}'" for a, b in pairwise(self.openings)]
        last, first = self.openings[-1], self.openings[0]
        verb = "may only come after" if self.only_after else "waits for"
        return ", ".join([*links, f"'{last}' {verb} '{first}'"])


@dataclass(frozen=True, slots=True)
class DeadEnd:
    """An opening that waits for something nothing describes."""

    opening: Fact
    missing: Fact


class Waiting:
    """The waiting of all openings of one machine."""

    def __init__(self, derived: Derived) -> None:
        self.derived = derived
        self._clashes: dict[tuple[Fact, str], Fact] = {}
        self._supporters: dict[Fact, tuple[Fact, ...]] = {}
        self.ways: dict[Fact, tuple[WayNeeds, ...]] = {
            opening: self._ways_of(opening) for opening in derived.all_openings()
        }

    def _ways_of(self, opening: Fact) -> tuple[WayNeeds, ...]:
        derived = self.derived
        spec = derived.opening(opening)
        assert spec is not None
        own = [reasoned.fact for reasoned in derived.needs(opening)]
        after = [reasoned.fact for reasoned in derived.while_fitted(opening)]
        below = self._below(opening)
        return tuple(
            WayNeeds(
                way=way,
                throughout=_once((*below, *own, *derived.each_found(way.needs))),
                strip=_once(derived.each_found(way.strip_needs)),
                refit=_once(derived.each_found(way.refit_needs)),
                while_fitted=_once((*after, *derived.each_supporter(way.while_fitted))),
            )
            for way in spec.ways
        )

    def _below(self, opening: Fact) -> tuple[Fact, ...]:
        """Give the described depth below an opening."""
        states = OPENINGS[opening.kind][: opening.depth - 1]
        lower = [fact_for(opening.kind, opening.object, state) for state in states]
        described = [fact for fact in lower if self.derived.opening(fact) is not None]
        return tuple(described[-1:])

    # What can be reached

    @cached_property
    def usable(self) -> Mapping[Fact, tuple[WayNeeds, ...]]:
        """The ways of every opening that some plan might use; empty for a dead opening."""
        ways = dict(self.ways)
        while True:
            reached = self._reached(ways)
            landmarks = self._landmarks(ways, whole=False)
            kept = {
                opening: tuple(
                    way
                    for way in choices
                    if self._all_in(reached, (*way.before_strip, *way.refit))
                    and not self._contradicts(opening, way, landmarks)
                )
                for opening, choices in ways.items()
            }
            if kept == ways:
                return kept
            ways = kept

    def _contradicts(self, opening: Fact, way: WayNeeds, landmarks: Landmarks) -> bool:
        """Tell whether what a way needs first may only come after it; remember what."""
        first = {mark for need in way.before_strip for mark in _shared(need, landmarks, self)}
        clash = next((fact for fact in way.while_fitted if fact in first), None)
        if clash is not None:
            self._clashes[opening, way.way.id] = clash
        return clash is not None

    def _reached(self, ways: Mapping[Fact, tuple[WayNeeds, ...]]) -> set[Fact]:
        reached: set[Fact] = set()
        waiting = list(ways)
        while True:
            still = []
            for opening in waiting:
                if any(self._all_in(reached, way.before_strip) for way in ways[opening]):
                    reached.add(opening)
                else:
                    still.append(opening)
            if len(still) == len(waiting):
                return reached
            waiting = still

    def _all_in(self, reached: set[Fact], needs: Iterable[Fact]) -> bool:
        return all(any(s in reached for s in self.supporters(need)) for need in needs)

    def supporters(self, fact: Fact) -> tuple[Fact, ...]:
        """Give the described openings of which any one makes a fact true."""
        known = self._supporters.get(fact)
        if known is None:
            known = tuple(s for s in self.derived.supporters(fact) if s in self.ways)
            self._supporters[fact] = known
        return known

    def reachable(self, fact: Fact) -> bool:
        """Tell whether some choice of ways can make a fact true."""
        return any(self.usable[opening] for opening in self.supporters(fact))

    # Why not

    def troubles(self) -> tuple[Circle | DeadEnd, ...]:
        """Give each circle and each dead end that makes openings impossible, once."""
        found: dict[frozenset[Fact] | DeadEnd, Circle | DeadEnd] = {}
        for opening, ways in self.usable.items():
            trouble = None if ways else self._trouble(opening)
            if isinstance(trouble, Circle):
                found.setdefault(frozenset(trouble.openings), trouble)
            elif trouble is not None:
                found.setdefault(trouble, trouble)
        return tuple(found.values())

    def _trouble(self, opening: Fact) -> Circle | DeadEnd | None:
        """Follow the first thing each opening waits for in vain until it comes round."""
        path = [opening]
        while self.ways[path[-1]]:
            here = path[-1]
            way = self.ways[here][0]
            clash = self._clashes.get((here, way.way.id))
            if clash is not None:
                return Circle((here, clash), only_after=True)
            blocked = next(
                (need for need in (*way.before_strip, *way.refit) if not self.reachable(need)), None
            )
            if blocked is None:
                return None
            described = self.supporters(blocked)
            if not described:
                return DeadEnd(here, blocked)
            if described[0] in path:
                return Circle(tuple(path[path.index(described[0]) :]))
            path.append(described[0])
        return None

    # What comes along

    @cached_property
    def landmarks(self) -> Landmarks:
        """What is open whenever a fact is, and until it is closed again."""
        return self._landmarks(self.usable, whole=True)

    def _landmarks(
        self, ways: Mapping[Fact, tuple[WayNeeds, ...]], *, whole: bool
    ) -> dict[Fact, frozenset[Fact]]:
        """Find landmarks from above: begin with everything, and keep what all ways keep.

        `whole`: only what stays open until the closing; else what is open at the strip.
        An opening that cannot be reached has none.
        """
        number = {opening: 1 << position for position, opening in enumerate(ways)}
        everything = (1 << len(number)) - 1
        marks = dict.fromkeys(ways, everything)
        needs = {
            opening: [
                [self.supporters(need) for need in (way.throughout if whole else way.before_strip)]
                for way in choices
            ]
            for opening, choices in ways.items()
        }
        changed = True
        while changed:
            changed = False
            for opening, choices in needs.items():
                mark = number[opening] | _common(
                    (_together(_common((marks[s] for s in n), 0) for n in way) for way in choices),
                    0,
                )
                if mark != marks[opening]:
                    marks[opening] = mark
                    changed = True
        # An opening no plan can reach would be left with everything.
        reached = self._reached(ways)
        listed = list(number)
        return {o: _facts(m, listed) if o in reached else frozenset() for o, m in marks.items()}

    @cached_property
    def strip_landmarks(self) -> Landmarks:
        """What is open at the time of the strip whenever a fact is reached."""
        return self._landmarks(self.usable, whole=False)

    def kept_open(self, fact: Fact) -> frozenset[Fact]:
        """Give what is open throughout whenever a fact is."""
        return _shared(fact, self.landmarks, self)

    def brings(self, facts: Iterable[Fact]) -> frozenset[Fact]:
        """Give what is open at some time whenever all these facts are to be reached."""
        marks = (_shared(fact, self.strip_landmarks, self) for fact in facts)
        return frozenset().union(*marks)


def _shared(fact: Fact, landmarks: Landmarks, waiting: Waiting) -> frozenset[Fact]:
    """Give the landmarks that all supporters of a fact share."""
    shared = [landmarks[s] for s in waiting.supporters(fact) if landmarks[s]]
    return frozenset.intersection(*shared) if shared else frozenset()


def _once(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    return tuple(dict.fromkeys(facts))


def _common(marks: Iterable[int], otherwise: int) -> int:
    common: int | None = None
    for mark in marks:
        common = mark if common is None else common & mark
    return otherwise if common is None else common


def _together(marks: Iterable[int]) -> int:
    together = 0
    for mark in marks:
        together |= mark
    return together


def _facts(mark: int, listed: list[Fact]) -> frozenset[Fact]:
    return frozenset(fact for position, fact in enumerate(listed) if mark >> position & 1)
