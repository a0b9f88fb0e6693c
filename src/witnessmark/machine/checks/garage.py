"""Rules on the workshop file."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Place
from witnessmark.machine.workshop import Workshop
from witnessmark.quantities.duration import minutes_text

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


RULES = (moves_keep_the_triangle, wrenches_have_a_range)
