"""Rules on rooms: nothing saves more than it costs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.derived import Fact
from witnessmark.machine.model import Place, RoomSpec
from witnessmark.quantities.duration import minutes_text

SIDES = ("strip", "refit")


@dataclass(slots=True)
class _Saved:
    """What the rooms for one opening, or one of its ways, save on one side together."""

    tenths: int = 0
    most: int = -1
    place: Place | None = None
    """The room that saves most: the likeliest slip."""

    def add(self, room: RoomSpec, tenths: int) -> None:
        """Add the saving of one room."""
        self.tenths += tenths
        if tenths > self.most:
            self.most, self.place = tenths, room.place


def savings_within_cost(context: Context) -> Iterator[Complaint]:
    """The greatest savings of all rooms of a way, together, stay within what it costs."""
    saved: dict[tuple[Fact, str | None, str], _Saved] = defaultdict(_Saved)
    rooms: dict[Fact, list[RoomSpec]] = defaultdict(list)
    for room in context.machine.rooms.values():
        fact = context.derived.find(room.opening)
        if fact is not None:
            rooms[fact].append(room)
    for fact, helping in rooms.items():
        for opening in context.derived.supporters(fact):
            for room in helping:
                for side in SIDES:
                    best = max((getattr(s, side) for s in room.made_by), default=0)
                    saved[opening, room.way, side].add(room, best)
    for opening in dict.fromkeys(opening for opening, _, _ in saved):
        spec = context.derived.opening(opening)
        for way in () if spec is None else spec.ways:
            for side in SIDES:
                both = [saved.get((opening, which, side)) for which in (None, way.id)]
                found = [each for each in both if each is not None]
                yield from _too_much(opening, side, getattr(way, side), found)


def _too_much(opening: Fact, side: str, cost: int, saved: list[_Saved]) -> Iterator[Complaint]:
    total = sum(each.tenths for each in saved)
    if total <= cost:
        return
    place = max(saved, key=lambda each: each.most).place
    assert place is not None
    yield complaint(
        "saving-above-cost",
        place,
        saved=minutes_text(total),
        side=side,
        opening=str(opening),
        cost=minutes_text(cost),
    )


def room_not_for_itself(context: Context) -> Iterator[Complaint]:
    """What makes the room is something else than what the room is for."""
    for room in context.machine.rooms.values():
        for saving in room.made_by:
            if saving.fact.object == room.opening.object:
                yield complaint("room-for-itself", saving.place, object=saving.fact.object)


RULES = (savings_within_cost, room_not_for_itself)
