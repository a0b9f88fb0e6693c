"""What waits for what: which openings can be reached at all, and what each brings along.

An opening waits for the needs of one of its ways, for what holds it, and for the depth
below it. From this follow, without any planning: the openings that no way can reach, with
the circle of things that wait for each other, and the **landmarks** of an opening, which
are open whenever it is, whatever ways are chosen.

Inside, an opening is a number and a set of openings the bits of an integer.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from witnessmark.machine.complaints import in_a_row
from witnessmark.machine.derived import Because, Derived, Fact, fact_for
from witnessmark.machine.model import Way
from witnessmark.machine.states import OPENINGS

Need = tuple[int, ...]
"""The openings of which any one will do."""


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
        return in_a_row([*links, f"'{last}' {verb} '{first}'"], ", ")


@dataclass(frozen=True, slots=True)
class DeadEnd:
    """An opening that waits for something nothing describes."""

    opening: Fact
    missing: Fact


@dataclass(eq=False, slots=True)
class _Way:
    """What one way waits for."""

    facts: tuple[Fact, ...]
    """What must be open before the strip, then what before the refit."""
    throughout: tuple[Need, ...]
    before_strip: tuple[Need, ...]
    """Those and what the strip half alone needs."""
    refit: tuple[Need, ...]
    after: int
    """The openings that may only come after this one."""


class Waiting:
    """The waiting of all openings of one machine."""

    def __init__(self, derived: Derived) -> None:
        self.derived = derived
        self.openings: tuple[Fact, ...] = tuple(derived.all_openings())
        self._number: Mapping[Fact, int] = {o: n for n, o in enumerate(self.openings)}
        self._supporting: dict[Fact, Need] = {}
        self._masks: dict[Fact, int] = {}
        self._clashes: dict[_Way, int] = {}
        self._ways: list[list[_Way]] = [list(self._ways_of(o)) for o in self.openings]

    def _ways_of(self, opening: Fact) -> Iterator[_Way]:
        derived = self.derived
        spec = derived.opening(opening)
        assert spec is not None
        own = (*self._below(opening), *(r.fact for r in derived.needs(opening)))
        # A mark that cannot be read is a complaint of its own, not a circle.
        after = [r.fact for r in derived.while_fitted(opening) if r.because is not Because.MARK]
        for way in spec.ways:
            yield self._compiled(way, own, after)

    def _compiled(self, way: Way, own: Iterable[Fact], after: Iterable[Fact]) -> _Way:
        derived = self.derived
        throughout = (*own, *derived.each_found(way.needs))
        strip = (*throughout, *derived.each_found(way.strip_needs))
        refit = tuple(derived.each_found(way.refit_needs))
        comes_after = (*after, *derived.each_found(way.while_fitted))
        return _Way(
            facts=(*strip, *refit),
            throughout=tuple(map(self._need, throughout)),
            before_strip=tuple(map(self._need, strip)),
            refit=tuple(map(self._need, refit)),
            after=_together(map(self._mask, comes_after)),
        )

    def _below(self, opening: Fact) -> tuple[Fact, ...]:
        """Give the described depth below an opening."""
        states = OPENINGS[opening.kind][: opening.depth - 1]
        lower = (fact_for(opening.kind, opening.object, state) for state in states)
        return tuple(fact for fact in lower if fact in self._number)[-1:]

    def _need(self, fact: Fact) -> Need:
        known = self._supporting.get(fact)
        if known is None:
            number = self._number
            known = tuple(number[s] for s in self.derived.supporters(fact) if s in number)
            self._supporting[fact] = known
        return known

    def _mask(self, fact: Fact) -> int:
        """Give the openings of which any one makes a fact true, as bits."""
        known = self._masks.get(fact)
        if known is None:
            known = self._masks[fact] = _as_bits(self._need(fact))
        return known

    # What can be reached

    @cached_property
    def _usable(self) -> list[list[_Way]]:
        """The ways of every opening that some plan might use; none for a dead opening."""
        ways = self._ways
        while True:
            reached = _as_bits(_reached(ways))
            marks = self._landmarks(ways, whole=False)
            kept = [
                [
                    way
                    for way in choices
                    if all(_any_in(need, reached) for need in (*way.before_strip, *way.refit))
                    and not self._contradicts(way, marks)
                ]
                for choices in ways
            ]
            if kept == ways:
                return kept
            ways = kept

    def _contradicts(self, way: _Way, marks: Sequence[int]) -> bool:
        """Tell whether what a way needs first may only come after it; remember what."""
        clash = way.after and way.after & _together(_common(n, marks) for n in way.before_strip)
        if clash:
            self._clashes[way] = (clash & -clash).bit_length() - 1
        return bool(clash)

    # Why not

    def troubles(self) -> tuple[Circle | DeadEnd, ...]:
        """Give each circle and each dead end that makes openings impossible, once.

        From every dead opening the first thing it waits for in vain is followed until it
        comes round, or comes to something looked at before.
        """
        found: list[Circle | DeadEnd] = []
        seen: set[int] = set()
        for start, ways in enumerate(self._usable):
            path: dict[int, None] = {}
            here: int | None = None if ways else start
            while here is not None and here not in seen:
                seen.add(here)
                path[here] = None
                blocked = self._waits_for(here)
                if isinstance(blocked, int):
                    here = blocked
                else:
                    found += [] if blocked is None else [blocked]
                    here = None
            if here is not None and here in path:
                members = list(path)
                circle = members[members.index(here) :]
                found.append(Circle(tuple(self.openings[number] for number in circle)))
        return tuple(found)

    def _waits_for(self, opening: int) -> int | Circle | DeadEnd | None:
        """Give the first dead opening a dead one waits for; or the trouble it is itself."""
        if not self._ways[opening]:
            return None  # it has no way at all, which is a complaint of its own
        way = self._ways[opening][0]
        if way in self._clashes:
            both = (self.openings[opening], self.openings[self._clashes[way]])
            return Circle(both, only_after=True)
        blocked = next((fact for fact in way.facts if not self.reachable(fact)), None)
        if blocked is None:
            return None
        described = self._need(blocked)
        return described[0] if described else DeadEnd(self.openings[opening], blocked)

    def reachable(self, fact: Fact) -> bool:
        """Tell whether some choice of ways can make a fact true."""
        return any(self._usable[number] for number in self._need(fact))

    # What comes along

    def _landmarks(self, ways: list[list[_Way]], *, whole: bool) -> list[int]:
        """Find landmarks from above: begin with everything, and keep what all ways keep.

        `whole`: only what stays open until the closing; else what is open at the strip.
        An opening that cannot be reached has none.
        """
        marks = [(1 << len(ways)) - 1] * len(ways)
        order = _reached(ways)
        changed = True
        while changed:
            changed = False
            for number in order:
                common = -1
                for way in ways[number]:
                    needs = way.throughout if whole else way.before_strip
                    common &= _together(_common(need, marks) for need in needs)
                mark = 1 << number | common
                if mark != marks[number]:
                    marks[number] = mark
                    changed = True
        reached = _as_bits(order)
        return [mark if reached >> number & 1 else 0 for number, mark in enumerate(marks)]

    @cached_property
    def _whole_landmarks(self) -> list[int]:
        return self._landmarks(self._usable, whole=True)

    @cached_property
    def _strip_landmarks(self) -> list[int]:
        return self._landmarks(self._usable, whole=False)

    def kept_open(self, fact: Fact) -> frozenset[Fact]:
        """Give what is open throughout whenever a fact is."""
        return self._facts(self._shared(fact, self._whole_landmarks))

    def is_kept_open(self, fact: Fact, by: Fact) -> bool:
        """Tell whether a fact's opening is open throughout whenever another fact is."""
        number = self._number.get(fact)
        return number is not None and bool(self._shared(by, self._whole_landmarks) >> number & 1)

    def clash(self, needs: Iterable[Fact], before: Iterable[Fact]) -> Fact | None:
        """Give what the needs keep open although it must not be open; None if nothing."""
        kept = _together(self._shared(need, self._whole_landmarks) for need in needs)
        barred = _together(map(self._mask, before))
        both = kept & barred
        return self.openings[(both & -both).bit_length() - 1] if both else None

    def brings(self, facts: Iterable[Fact]) -> frozenset[Fact]:
        """Give what is open at some time whenever all these facts are to be reached."""
        return self._facts(self.brought(facts))

    def brought(self, facts: Iterable[Fact]) -> int:
        """Give the same as `brings`, as a set of bits: bit n for `openings[n]`."""
        return _together(self._shared(f, self._strip_landmarks) for f in facts)

    def _shared(self, fact: Fact, marks: Sequence[int]) -> int:
        """Give the landmarks that all reachable supporters of a fact share."""
        shared = [marks[number] for number in self._need(fact) if marks[number]]
        common = -1 if shared else 0
        for mark in shared:
            common &= mark
        return common

    def _facts(self, mark: int) -> frozenset[Fact]:
        return frozenset(fact for n, fact in enumerate(self.openings) if mark >> n & 1)


def _reached(ways: list[list[_Way]]) -> list[int]:
    """Give the openings that can be reached, each after what one of its ways needs.

    Counts down, for every way, the needs that are not met yet.
    """
    wanting: dict[Need, list[_Way]] = defaultdict(list)
    supporting: dict[int, list[Need]] = defaultdict(list)
    unmet: dict[_Way, int] = {}
    owner = {way: number for number, choices in enumerate(ways) for way in choices}
    ready: deque[int] = deque()
    for way, number in owner.items():
        needs = set(way.before_strip)
        unmet[way] = len(needs)
        for need in needs:
            if need not in wanting:
                for supporter in need:
                    supporting[supporter].append(need)
            wanting[need].append(way)
        if not needs:
            ready.append(number)
    order: dict[int, None] = {}
    met: set[Need] = set()
    while ready:
        number = ready.popleft()
        if number in order:
            continue
        order[number] = None
        for need in supporting[number]:
            if need in met:
                continue
            met.add(need)
            for way in wanting[need]:
                unmet[way] -= 1
                if unmet[way] == 0:
                    ready.append(owner[way])
    return list(order)


def _as_bits(numbers: Iterable[int]) -> int:
    return _together(1 << number for number in numbers)


def _any_in(need: Need, reached: int) -> bool:
    return any(reached >> number & 1 for number in need)


def _common(need: Need, marks: Sequence[int]) -> int:
    """Give what all supporters of a need have in common; nothing if it has none."""
    common = -1 if need else 0
    for number in need:
        common &= marks[number]
    return common


def _together(marks: Iterable[int]) -> int:
    together = 0
    for mark in marks:
        together |= mark
    return together
