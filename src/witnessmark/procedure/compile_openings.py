"""Openings, ways and rooms of the planning problem: those the goals can reach, numbered.

Everything here turns rows and written facts into indices. An opening is reached from a
goal through needs, asks and rooms; what only stands in somebody's while_fitted is not,
for nobody would open it for that.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from witnessmark.machine.complaints import Complaint
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Machine, RoomSpec
from witnessmark.machine.model import Way as MachineWay
from witnessmark.procedure.compile_start import Start
from witnessmark.procedure.compiled import ClearInfo, DerivedRule, OpeningInfo
from witnessmark.procedure.costing import Places, Spoiling
from witnessmark.procedure.levels import Level, Levels
from witnessmark.procedure.problem import Clear, Opening, Room, Side, Way
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.shapes import Event, Wanted
from witnessmark.procedure.tables import Demand, MachineTables, Opened
from witnessmark.procedure.written import Written


class Reach:
    """The levels that goals, steps and what is open already can reach."""

    def __init__(
        self,
        machine: Machine,
        derived: Derived,
        tables: MachineTables,
        levels: Levels,
        written: Written,
    ) -> None:
        self.machine = machine
        self.derived = derived
        self.tables = tables
        self.levels = levels
        self.written = written
        self.rooms: dict[Opened, list[RoomSpec]] = defaultdict(list)
        for room in machine.rooms.values():
            target = self._target(room)
            if target is not None:
                self.rooms[target].append(room)
        self.asks: dict[Opened, list[Opened]] = defaultdict(list)
        for first, then in tables.asks:
            self.asks[first].append(then)

    def _target(self, room: RoomSpec) -> Opened | None:
        """Give the level a room is for; of a part that is to be clear, its being off."""
        found = self.levels.each(self.written.openings(room.opening))
        return next((level.key for level in found), None)

    def removals(self, room: RoomSpec) -> Iterator[tuple[Opened, int, int]]:
        """Give each removal that makes a room, with what it saves on either side."""
        for saving in room.made_by:
            for level in self.levels.each(self.written.openings(saving.fact)):
                yield level.key, saving.strip, saving.refit

    def demands_of(self, level: Level) -> Iterator[Demand]:
        """Give the rule book's rows on a level: of every state it passes."""
        for state in level.states:
            for row in self.tables.of((level.object, state)):
                if any(opened[0] != level.object for opened in row.openings) or not row.openings:
                    yield row

    def from_(self, wanted: Iterable[Demand], open_already: Iterable[Opened]) -> list[Level]:
        """Give every level reached, in the order of the file."""
        found: dict[Opened, Level] = {}
        todo = [*open_already, *(o for row in wanted for o in row.openings)]
        while todo:
            level = self.levels.holding(todo.pop())
            if level is None or level.key in found:
                continue
            found[level.key] = level
            todo += self._leads_to(level)
        order = {id_: number for number, id_ in enumerate(self.derived.things)}
        depths = {id_: self.levels.of(id_) for id_ in {o for o, _ in found}}
        return sorted(
            found.values(), key=lambda each: (order[each.object], depths[each.object].index(each))
        )

    def _leads_to(self, level: Level) -> Iterator[Opened]:
        if level.below is not None:
            yield level.below
        for row in self.demands_of(level):
            if row.wanted is Wanted.OPEN:
                yield from row.openings
        for way in level.ways:
            for ref in (*way.needs, *way.strip_needs, *way.refit_needs):
                yield from self.written.openings(ref)
        for state in level.states:
            yield from self.asks.get((level.object, state), ())
        for room in self.rooms.get(level.key, ()):
            yield from (removal for removal, _, _ in self.removals(room))


class Numbering:
    """The reached levels by number, and the clear facts that name several of them."""

    def __init__(self, reach: Reach, levels: list[Level], start: Start) -> None:
        self.reach = reach
        self.levels = levels
        self.start = start
        self.index: dict[Opened, int] = {
            (level.object, state): number
            for number, level in enumerate(levels)
            for state in level.states
        }
        self._clears: dict[tuple[str, tuple[int, ...]], int] = {}
        self.clear_infos: list[ClearInfo] = []

    def fact(self, row: Demand) -> int:
        """Give the fact a demand wants open: an opening, or a clear fact with its choices.

        What nothing can open becomes a clear fact without supporters, so that a planner
        can name it as the cause.
        """
        found = tuple(dict.fromkeys(self.index[o] for o in row.openings if o in self.index))
        if len(found) == 1:
            return found[0]
        return self._clear(row.of, found, row.openings)

    def impossible(self, name: str) -> int:
        """Give a fact that can never hold."""
        return self._clear(name, (), ())

    def _clear(self, name: str, found: tuple[int, ...], openings: tuple[Opened, ...]) -> int:
        key = (name, found)
        if key not in self._clears:
            self._clears[key] = len(self._clears)
            self.clear_infos.append(ClearInfo(name, openings))
        return len(self.levels) + self._clears[key]

    def clears(self) -> tuple[Clear, ...]:
        """Give the clear facts in the order of their numbers; a name is used once."""
        used: dict[str, int] = defaultdict(int)
        made = []
        for name, found in self._clears:
            used[name] += 1
            again = f" ({used[name]})" if used[name] > 1 else ""
            made.append(Clear(f"{name}{again}", found))
        return tuple(made)

    def shut(self, row: Demand) -> tuple[int, ...]:
        """Give the openings that must be shut; those nobody can open here are shut anyway."""
        return tuple(dict.fromkeys(self.index[o] for o in row.openings if o in self.index))


class OpeningMaker:
    """Makes the problem's openings from levels."""

    def __init__(self, numbering: Numbering, places: Places, spoiling: Spoiling) -> None:
        self.numbering = numbering
        self.reach = numbering.reach
        self.start = numbering.start
        self.places = places
        self.spoiling = spoiling
        self.complaints: list[Complaint] = []

    def make(self, number: int, level: Level) -> tuple[Opening, OpeningInfo]:
        """Make one opening, and what leads back from it."""
        needs, while_fitted, rules = self._derived_rows(number, level)
        if level.below is not None:
            needs = (self.numbering.index[level.below], *needs)
        started = level.key in self.start.open
        kept = self._ways_left(level)
        ways = tuple(self._way(number, level, way, needs, while_fitted, started) for way in kept)
        if not any(self._struck(level, way) is None for way in kept):
            dead = self.numbering.impossible(f"any way to {' '.join(level.key)} not struck out")
            ways = tuple(_with_need(way, dead) for way in ways)
        known = self.start.ways.get(level.key)
        opening = Opening(
            id=" ".join(level.key),
            ways=ways,
            below=None if level.below is None else self.numbering.index[level.below],
            started=started,
            started_way=next((i for i, w in enumerate(kept) if started and w.id == known), None),
        )
        info = OpeningInfo(
            object_id=level.object,
            kind=level.kind,
            name=self.reach.tables.names[level.object],
            state=level.states[-1],
            spec=level.specs[-1],
            ways=kept,
            specs=level.specs,
            below=level.below,
            derived=rules,
        )
        return opening, info

    def _struck(self, level: Level, way: MachineWay) -> object:
        return self.start.struck.get((level.key, way.id))

    def _ways_left(self, level: Level) -> tuple[MachineWay, ...]:
        """Leave out struck ways, unless none would be left: then all stay, and are dead.

        What is open already by an unknown way keeps every way it may have been.
        """
        left = tuple(way for way in level.ways if self._struck(level, way) is None)
        return left or level.ways

    def _derived_rows(
        self, number: int, level: Level
    ) -> tuple[tuple[int, ...], tuple[int, ...], tuple[DerivedRule, ...]]:
        needs: dict[int, None] = {}
        while_fitted: dict[int, None] = {}
        rules: list[DerivedRule] = []
        for row in self.reach.demands_of(level):
            if row.wanted is Wanted.OPEN:
                facts: tuple[int, ...] = (self.numbering.fact(row),)
                needs.update(dict.fromkeys(facts))
            else:
                facts = tuple(
                    f
                    for f in self.numbering.shut(row)
                    if f != number and not self._inside(f, level)
                )
                while_fitted.update(dict.fromkeys(facts))
            if facts:
                rules.append(self._rule(row, facts))
        return tuple(needs), tuple(while_fitted), tuple(rules)

    def _inside(self, other: int, level: Level) -> bool:
        """Tell whether an opening needs this level open anyway, which says the same."""
        rows = self.reach.demands_of(self.numbering.levels[other])
        return any(row.wanted is Wanted.OPEN and row.openings == (level.key,) for row in rows)

    def _rule(self, row: Demand, facts: tuple[int, ...]) -> DerivedRule:
        return derived_rule(row, facts, self.reach.tables)

    def _way(
        self,
        number: int,
        level: Level,
        way: MachineWay,
        needs: tuple[int, ...],
        while_fitted: tuple[int, ...],
        started: bool,
    ) -> Way:
        own = self._facts(way, Event.STRIP, "way needs")
        needs = tuple(dict.fromkeys((*needs, *own)))
        refit_needs = self._facts(way, Event.REFIT, "way needs to refit")
        if started:
            # Whatever a started way needs must be open again for its closing, even if it
            # was shut in the meantime.
            refit_needs = tuple(dict.fromkeys((*refit_needs, *needs)))
        shut = (*while_fitted, *self._shut(way))
        strip, refit = way.strip * way.people, way.refit * way.people
        return Way(
            id=way.id,
            strip=strip,
            refit=refit,
            needs=needs,
            while_fitted=tuple(dict.fromkeys(each for each in shut if each != number)),
            strip_needs=self._facts(way, Event.STRIP, "way needs to strip"),
            refit_needs=refit_needs,
            rooms=self._rooms(number, level, way, strip, refit),
            spoils=self.spoiling.tenths(way),
            position=self.places.position(way.position),
            tool=self.places.tool(way.tool),
        )

    def _facts(self, way: MachineWay, event: Event, check: str) -> tuple[int, ...]:
        rows = self.reach.written.of_way(way, event)
        return tuple(dict.fromkeys(self.numbering.fact(row) for row in rows if row.check == check))

    def _shut(self, way: MachineWay) -> Iterator[int]:
        for row in self.reach.written.of_way(way, Event.REFIT):
            if row.wanted is Wanted.SHUT:
                yield from self.numbering.shut(row)

    # Rooms

    def _rooms(
        self, number: int, level: Level, way: MachineWay, strip: int, refit: int
    ) -> tuple[Room, ...]:
        made = []
        for room in self.reach.rooms.get(level.key, ()):
            if room.way is not None and room.way not in (way.id, *way.id.split("+")):
                continue
            found: dict[int, tuple[int, int]] = {}
            for removal, saves_strip, saves_refit in self.reach.removals(room):
                if self.numbering.index[removal] != number:
                    saved = (saves_strip * way.people, saves_refit * way.people)
                    found.setdefault(self.numbering.index[removal], saved)
            made.append(
                Room(
                    room.id,
                    tuple((p, s) for p, (s, _) in found.items() if s),
                    tuple((p, s) for p, (_, s) in found.items() if s),
                )
            )
        rooms = tuple(room for room in made if room.strip or room.refit)
        for side, cost in ((Side.STRIP, strip), (Side.REFIT, refit)):
            if sum(max((s for _, s in room.side(side)), default=0) for room in rooms) > cost:
                self._complain_of_saving(level, way, side)
        return rooms

    def _complain_of_saving(self, level: Level, way: MachineWay, side: Side) -> None:
        room = self.reach.rooms[level.key][0]
        self.complaints.append(
            Complaint(
                room.place,
                "plan-saving-too-large",
                f"the rooms made for '{' '.join(level.key)}' save more than its {side} takes "
                f"by '{way.id}'",
                "no removal saves more time than the job takes",
            )
        )


def derived_rule(row: Demand, facts: tuple[int, ...], tables: MachineTables) -> DerivedRule:
    """Put a row's reason into words."""
    check = RULE_BOOK.checks[row.check]
    says = check.because.format(other=row.of, by=tables.names.get(row.by, row.by))
    says = f"{says}: {row.why}" if row.why else says
    return DerivedRule(row.check, row.wanted, facts, says, row.by, row.place)


def _with_need(way: Way, need: int) -> Way:
    return Way(
        id=way.id,
        strip=way.strip,
        refit=way.refit,
        needs=(*way.needs, need),
        while_fitted=way.while_fitted,
        strip_needs=way.strip_needs,
        refit_needs=way.refit_needs,
        rooms=way.rooms,
        spoils=way.spoils,
        position=way.position,
        tool=way.tool,
    )


def asks_between(
    asks: Iterable[tuple[Opened, Opened]], index: Mapping[Opened, int]
) -> tuple[tuple[int, int], ...]:
    """Give the asks between numbered openings; two states taken in one go ask nothing."""
    pairs = (
        (index[a], index[b]) for a, b in asks if a in index and b in index and index[a] != index[b]
    )
    return tuple(dict.fromkeys(pairs))
