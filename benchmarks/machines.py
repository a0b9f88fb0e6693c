"""Large synthetic machines: parts in zones, held by joints, covered by other parts.

A machine grows from the outside in. Each part is held by joints and hidden by parts before
it; some parts sit in assemblies that come off whole; some joints are cracked first and
taken out later, some parts move aside before they come off. On top of that come several
ways, bolts to crack while something still holds them, room worth making, and openings
that ask for others. The first way of everything leads outwards, so that nearly every
machine can be stripped; other ways may lead anywhere near.

Families say how much there is to choose: R as on a real machine (three in ten openings
with two or three ways, one in ten with room to make), H hard, P pathological. D has what R
has, but every zone lies behind one of the last six, so that larger machines are deeper too.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from enum import StrEnum

from witnessmark.procedure.problem import (
    Block,
    Changeovers,
    Clear,
    Opening,
    Problem,
    Room,
    Way,
    faults_in,
)


class Family(StrEnum):
    """How much there is to choose."""

    REALISTIC = "R"
    DEEPER = "D"
    HARD = "H"
    PATHOLOGICAL = "P"


@dataclass(frozen=True)
class Habits:
    """Shares, in percent, of what openings have."""

    other_ways: int
    room: int
    while_fitted: int
    leads_inwards: int
    asks: int
    nested: int | None
    """How many zones lie behind one another at most: not a share. A larger machine has
    more zones, not deeper ones; but None sets no limit, and it is deeper with its size."""


HABITS = {
    Family.REALISTIC: Habits(30, 10, 5, leads_inwards=10, asks=3, nested=4),
    Family.DEEPER: Habits(30, 10, 5, leads_inwards=10, asks=3, nested=None),
    Family.HARD: Habits(50, 20, 10, leads_inwards=25, asks=5, nested=7),
    Family.PATHOLOGICAL: Habits(70, 40, 20, leads_inwards=40, asks=8, nested=12),
}

ZONE = 14
"""Parts in a zone: an engine bay, a wheel, a gearbox."""

POSITIONS = ("on the ground", "bench height", "raised", "inside", "opposite side")
TOOLS = ("bare hands", "ratchet", "impact", "pry bar", "hose pliers", "holder", "puller")


@dataclass
class Part:
    """A part while the machine grows: how it comes off, and what says it is out of the way."""

    moved: int | None
    off: int
    clear: int


@dataclass
class _WayDraft:
    """A way before the facts have their final numbers: clear facts count from -1 down."""

    strip: int
    refit: int
    needs: list[int]
    position: int
    tool: int
    while_fitted: tuple[int, ...] = ()
    rooms: tuple[Room, ...] = ()


@dataclass
class _Draft:
    """An opening whose ways are drafts."""

    id: str
    ways: list[_WayDraft]
    below: int | None = None


def machine(size: int, family: Family, seed: int, targets: int = 4) -> Problem:
    """Make the one machine of a size (openings), family and seed, with so many goals.

    Raises
    ------
    ValueError
        If the size is too small to hold the targets.
    """
    if size < 10 * targets:
        raise ValueError("give at least ten openings for each target")
    seeded_as = Family.REALISTIC if family is Family.DEEPER else family
    chance = random.Random(f"{seeded_as} {size} {seed}")
    return _Growth(size, HABITS[family], chance).problem(targets)


class _Growth:
    def __init__(self, size: int, habits: Habits, chance: random.Random) -> None:
        self.size = size
        self.habits = habits
        self.chance = chance
        self.drafts: list[_Draft] = []
        self.supporters: list[list[int]] = []
        self.zones: list[list[Part]] = []
        self.depths: list[int] = []
        self.asks: list[tuple[int, int]] = []

    def problem(self, targets: int) -> Problem:
        while len(self.drafts) < self.size:
            self.grow_zone()
        del self.drafts[self.size :]
        self.drop_what_is_beyond()
        for a in range(self.size):
            self.add_choices(a)
        openings = tuple(self.finished(draft) for draft in self.drafts)
        clears = tuple(Clear(f"clear {c}", tuple(found)) for c, found in enumerate(self.supporters))
        parts = [part for zone in self.zones for part in zone]
        deep = parts[len(parts) // 2 :]
        goals = tuple(sorted(part.off for part in self.chance.sample(deep, targets)))
        made = Problem(
            openings=openings,
            clears=clears,
            goals=goals,
            asks=tuple(sorted(set(self.asks))),
            blocks=self.blocks(goals),
            changeovers=self.changeovers(),
        )
        assert not faults_in(made)
        return made

    def happens(self, percent: int) -> bool:
        return self.chance.randrange(100) < percent

    # Growing from the outside in

    def grow_zone(self) -> None:
        """Add a zone behind an earlier one: what covers its first parts lies there."""
        if self.habits.nested is None:
            before = self.chance.choice(self.zones[-6:]) if self.zones else []
        else:
            before = self.zone_in_front(self.habits.nested)
        zone: list[Part] = []
        self.zones.append(zone)
        for number in range(ZONE):
            covers = zone[-4:] or before[-5:]
            if self.happens(25) and before:
                covers = [*covers, *before[-3:]]
            zone.append(self.grow_part(covers))
            if number % 5 == 4:
                self.grow_assembly(zone[-self.chance.choice((2, 3, 4)) :], covers)

    def zone_in_front(self, nested: int) -> list[Part]:
        """Choose the zone a new one lies behind; none for the first."""
        behind = [z for z, depth in enumerate(self.depths) if depth < nested]
        parent = self.chance.choice(behind) if behind else None
        self.depths.append(1 if parent is None else self.depths[parent] + 1)
        return [] if parent is None else self.zones[parent]

    def grow_part(self, covers: list[Part]) -> Part:
        joints = [self.grow_joint(covers) for _ in range(self.chance.choice((1, 1, 2, 2, 3, 4)))]
        hidden_by = self.some_clear(covers, 1)
        moved = None
        if self.happens(15):
            moved = self.add("moved", [*joints[:1], *hidden_by])
        needs = [*joints, *hidden_by, *([] if moved is None else [moved])]
        off = self.add("off", needs, below=moved)
        self.supporters.append([off])
        if moved is not None and self.happens(60):
            self.supporters[-1].append(moved)
        return Part(moved, off, -len(self.supporters))

    def grow_joint(self, covers: list[Part]) -> int:
        hidden_by = self.some_clear(covers, 2 if self.happens(20) else 1)
        if not self.happens(20):
            joint = self.add("out", hidden_by)
        else:
            cracked = self.add("cracked", hidden_by)
            joint = self.add("out", [cracked, *hidden_by], below=cracked)
        return joint

    def grow_assembly(self, parts: list[Part], covers: list[Part]) -> None:
        """Let parts come off together once the joints around them are out."""
        joints = [self.grow_joint(covers) for _ in range(self.chance.choice((2, 3, 4)))]
        off = self.add("assembly off", joints)
        for part in parts:
            self.supporters[-part.clear - 1].append(off)

    def some_clear(self, covers: list[Part], most: int) -> list[int]:
        count = min(len(covers), self.chance.randint(0, most))
        return [
            part.clear if self.happens(80) else part.off
            for part in self.chance.sample(covers, count)
        ]

    def add(self, what: str, needs: list[int], below: int | None = None) -> int:
        number = len(self.drafts)
        self.drafts.append(_Draft(f"{what} {number}", [self.way(needs, 1.0)], below))
        return number

    def way(self, needs: list[int], dearer: float) -> _WayDraft:
        minutes = self.chance.choice((5, 10, 10, 20, 20, 30, 50, 80))
        strip = max(1, round(minutes * dearer * self.chance.uniform(0.6, 1.4)))
        return _WayDraft(
            strip=strip,
            refit=round(strip * self.chance.uniform(1.0, 1.6)),
            needs=sorted(set(needs)),
            position=self.chance.randrange(len(POSITIONS)),
            tool=self.chance.randrange(len(TOOLS)),
        )

    def drop_what_is_beyond(self) -> None:
        """Forget parts of the last zone that the size leaves out, and what would clear them."""
        for zone in self.zones:
            zone[:] = [part for part in zone if part.off < self.size]
        for c, found in enumerate(self.supporters):
            self.supporters[c] = [p for p in found if p < self.size]
        # Parts come in order, so those whose clear facts are empty are the last.
        while self.supporters and not self.supporters[-1]:
            self.supporters.pop()

    # What there is to choose

    def near(self, a: int, *, inwards: bool) -> int | None:
        """Give the taking off of a part near an opening, further out or further in."""
        low, high = (a + 1, min(self.size, a + 40)) if inwards else (max(0, a - 40), a)
        offs = [b for b in range(low, high) if self.drafts[b].id.startswith("off")]
        return self.chance.choice(offs) if offs else None

    def add_choices(self, a: int) -> None:
        draft = self.drafts[a]
        if self.happens(self.habits.other_ways):
            for _ in range(self.chance.choice((1, 1, 2))):
                draft.ways.append(self.other_way(a, draft))
        for way in draft.ways:
            if self.happens(self.habits.room):
                self.add_room(a, way)
            if draft.id.startswith(("cracked", "out")) and self.happens(self.habits.while_fitted):
                holds = self.near(a, inwards=True)
                if holds is not None:
                    way.while_fitted = (holds,)
        if self.happens(self.habits.asks):
            b = self.near(a, inwards=self.happens(50))
            if b is not None:
                self.asks.append((a, b))

    def other_way(self, a: int, draft: _Draft) -> _WayDraft:
        """Give a way round: less or other things out of the way, but longer."""
        kept = [n for n in draft.ways[0].needs if n >= 0 or self.happens(40)]
        if self.happens(50):
            instead = self.near(a, inwards=self.happens(self.habits.leads_inwards))
            kept += [] if instead is None else [instead]
        return self.way(kept, self.chance.uniform(1.2, 4.0))

    def add_room(self, a: int, way: _WayDraft) -> None:
        """Let one removal save up to two thirds of a side, perhaps another up to half."""
        removal = self.near(a, inwards=self.happens(self.habits.leads_inwards))
        other = self.near(a, inwards=False)
        if removal is None:
            return
        strip = [(removal, self.chance.randint(0, way.strip) * 2 // 3)]
        if other not in (None, removal):
            strip.append((other, self.chance.randint(0, way.strip) // 2))
        refit = [(removal, self.chance.randint(0, way.refit) * 2 // 3)]
        way.rooms = (Room("elbow room", strip=tuple(strip), refit=tuple(refit)),)

    # The rest

    def finished(self, draft: _Draft) -> Opening:
        ways = tuple(
            Way(
                id=f"way {w}",
                strip=way.strip,
                refit=way.refit,
                needs=tuple(sorted(n if n >= 0 else self.size - 1 - n for n in way.needs)),
                while_fitted=way.while_fitted,
                rooms=way.rooms,
                position=way.position,
                tool=way.tool,
            )
            for w, way in enumerate(draft.ways)
        )
        return Opening(draft.id, ways, below=draft.below)

    def blocks(self, goals: tuple[int, ...]) -> tuple[Block, ...]:
        return tuple(
            Block(f"renew {goal}", cost=self.chance.randint(20, 200), needs=(goal,))
            for goal in goals
        )

    def changeovers(self) -> Changeovers:
        size = range(len(POSITIONS))
        return Changeovers(
            positions=POSITIONS,
            matrix=tuple(tuple(0 if i == j else 5 for j in size) for i in size),
            tools=TOOLS,
            tool_change=2,
        )
