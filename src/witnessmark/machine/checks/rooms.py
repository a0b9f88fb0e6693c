"""Rules on rooms: nothing saves more than it costs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.derived import Fact
from witnessmark.machine.model import RoomSpec, Way
from witnessmark.quantities.duration import minutes_text


def savings_within_cost(context: Context) -> Iterator[Complaint]:
    """The greatest savings of all rooms of a way, together, stay within what it costs."""
    rooms: dict[Fact, list[RoomSpec]] = defaultdict(list)
    for room in context.machine.rooms.values():
        fact = context.derived.find(room.opening)
        for opening in () if fact is None else context.derived.supporters(fact):
            rooms[opening].append(room)
    for opening, helping in rooms.items():
        spec = context.derived.opening(opening)
        for way in () if spec is None else spec.ways:
            yield from _too_much(opening, way, [r for r in helping if r.way in (None, way.id)])


def _too_much(opening: Fact, way: Way, rooms: list[RoomSpec]) -> Iterator[Complaint]:
    for side, cost in (("strip", way.strip), ("refit", way.refit)):
        best = [max((getattr(s, side) for s in room.made_by), default=0) for room in rooms]
        if sum(best) > cost:
            # Points at the room that saves most: the likeliest slip.
            room = rooms[best.index(max(best))]
            yield complaint(
                "saving-above-cost",
                room.place,
                saved=minutes_text(sum(best)),
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
