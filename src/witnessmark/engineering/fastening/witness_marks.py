"""The witness mark of a job: one colour and shape, painted as the last act at a bolt.

A new colour for each job tells its marks from old ones. About one man in twelve does not
tell all colours apart, so every colour has a shape of its own: the shape alone is enough.
Which shape goes with which colour is our own choice.
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError


@dataclass(frozen=True, slots=True)
class WitnessMark:
    """A colour of paint and the shape it is painted in."""

    colour: str
    shape: str

    def __str__(self) -> str:
        """Print as `yellow, two strokes`."""
        return f"{self.colour}, {self.shape}"


SHAPES: dict[str, str] = {
    "white": "one stroke",
    "yellow": "two strokes",
    "orange": "a cross",
    "red": "a ring",
    "green": "a triangle",
    "blue": "a dot",
    "pink": "a zigzag",
}
"""The shape of each colour. Every shape runs from the bolt head onto the clamped part, so
that a bolt that turns breaks it."""


def witness_mark(colour: str) -> WitnessMark:
    """Give the mark of a colour.

    Raises
    ------
    RefusalError
        If there is no such colour of mark.
    """
    word = colour.strip().lower()
    if word not in SHAPES:
        raise RefusalError(f"there is no mark in '{colour}'", f"choose {', '.join(SHAPES)}")
    return WitnessMark(word, SHAPES[word])
