"""Rules on the workshop file."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from witnessmark.engineering.fastening.wrench import effective_lever
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Place
from witnessmark.machine.workshop import Adapter, Workshop, Wrench
from witnessmark.machine.wrenching import goes_on
from witnessmark.quantities.duration import minutes_text
from witnessmark.quantities.reading import format_number

MOST_POSITIONS = 60
"""Every two are compared by way of every third."""

_ELSEWHERE = "anywhere else"
"""Stands for every position that the file does not name."""


def moves_keep_the_triangle(workshop: Workshop) -> Iterator[Complaint]:
    """No way round by a third position is shorter than the straight one.

    Said once for each pair, with the shortest way round.
    """
    places = dict.fromkeys((workshop.first_position, *workshop.moves, _ELSEWHERE))
    for row in workshop.moves.values():
        places.update(dict.fromkeys(row))
    if len(places) > MOST_POSITIONS:
        number = len(places)
        yield complaint("too-many-positions", _top(workshop), number=number, limit=MOST_POSITIONS)
        return
    said: set[frozenset[str]] = set()
    for here, there in permutations(places, 2):
        straight = workshop.move(here, there)
        by = min(
            (p for p in places if p not in {here, there}),
            key=lambda p: workshop.move(here, p) + workshop.move(p, there),
            default=None,
        )
        if by is None or frozenset({here, there}) in said:
            continue
        round_ = workshop.move(here, by) + workshop.move(by, there)
        if round_ < straight:
            said.add(frozenset({here, there}))
            yield complaint(
                "triangle",
                _place(workshop, here, there),
                here=here,
                there=there,
                straight=minutes_text(straight),
                by=by,
                round=minutes_text(round_),
            )


def _place(workshop: Workshop, here: str, there: str) -> Place:
    written = workshop.move_places
    return written.get((here, there)) or written.get((there, here)) or _top(workshop)


def _top(workshop: Workshop) -> Place:
    return workshop.place or Place(workshop.file, 1, 1)


def wrenches_have_a_range(workshop: Workshop) -> Iterator[Complaint]:
    """A wrench reads from a low figure to a higher one."""
    for wrench in workshop.wrenches:
        if wrench.low >= wrench.high:
            yield complaint("wrench-range", wrench.place, wrench=wrench.id)


def lengths_are_lengths(workshop: Workshop) -> Iterator[Complaint]:
    """Wrenches and adapters that are given a length have one."""
    tools: list[Wrench | Adapter] = [*workshop.wrenches, *workshop.adapters]
    for tool in tools:
        if tool.length is not None and tool.length <= 0:
            length = f"{format_number(tool.length * 1000)} mm"
            yield complaint("no-length", tool.place, tool=tool.id, length=length)


def adapters_stay_before_the_grip(workshop: Workshop) -> Iterator[Complaint]:
    """With any adapter on any wrench it goes on, there is a lever left."""
    for adapter in workshop.adapters:
        for wrench in workshop.wrenches:
            if wrench.length is None or min(wrench.length, adapter.length) <= 0:
                continue  # not measured, or a complaint of its own
            if not goes_on(adapter, wrench):
                continue
            try:
                effective_lever(float(wrench.length), float(adapter.length), float(adapter.at))
            except RefusalError:
                yield complaint(
                    "adapter-reaches-back",
                    adapter.place,
                    adapter=adapter.id,
                    angle=format_number(adapter.at),
                    wrench=wrench.id,
                )


RULES = (
    moves_keep_the_triangle,
    wrenches_have_a_range,
    lengths_are_lengths,
    adapters_stay_before_the_grip,
)
