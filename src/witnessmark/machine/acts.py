"""Acts as people write them: `turn crankshaft 2`, `crank-bolt in to turn`, `crank-pin out`.

The same words stand in the `acts` of a work's step and in what a bar says may never be
done.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from witnessmark.machine.model import FactRef, Place
from witnessmark.quantities.reading import QuantityError, read_number


class Verb(StrEnum):
    """What is done."""

    TURN = "turn"
    CRANK = "crank"
    START = "start"
    LOWER = "lower"
    PRESSURISE = "pressurise"
    IN_TO_TURN = "in to turn"
    SET = "set"


ALONE = (Verb.CRANK, Verb.START, Verb.LOWER)
"""Acts on the whole machine: they name no object."""


@dataclass(frozen=True, slots=True)
class Act:
    """One act. `object` is None for acts on the whole machine.

    `turns` is how far a shaft is turned, when said; `state` is the state an object is
    taken to (`SET` only; None: its deepest opening).
    """

    verb: Verb
    object: str | None = None
    turns: Fraction | None = None
    state: str | None = None


class ActError(ValueError):
    """An act could not be read: `what` is wrong, `hint` says what to do."""

    def __init__(self, what: str, hint: str) -> None:
        super().__init__(f"{what}: {hint}")
        self.what = what
        self.hint = hint


def read_act(text: str) -> Act:
    """Read one act; anything that begins with no verb is a fact to be reached.

    Raises
    ------
    ActError
        If a verb lacks its object, has one too many, or turns are not a number.
    """
    words = text.split()
    if not words:
        raise ActError("an act is empty", "write it like 'turn crankshaft 2' or 'crank-pin out'")
    first, rest = words[0], words[1:]
    if first == Verb.TURN:
        return _turn(text, rest)
    if first == Verb.PRESSURISE:
        if len(rest) != 1:
            raise ActError(f"'{text}' does not say which circuit", "write 'pressurise CIRCUIT'")
        return Act(Verb.PRESSURISE, rest[0])
    if first in ALONE:
        if rest:
            raise ActError(f"'{text}' says too much", f"write '{first}' alone")
        return Act(Verb(first))
    if rest == ["in", "to", "turn"]:
        return Act(Verb.IN_TO_TURN, first)
    return Act(Verb.SET, first, state=" ".join(rest) or None)


def _turn(text: str, rest: list[str]) -> Act:
    if not 1 <= len(rest) <= 3 or (len(rest) == 3 and rest[2] not in {"turn", "turns"}):
        raise ActError(
            f"'{text}' does not say which shaft", "write 'turn SHAFT' or 'turn SHAFT TURNS'"
        )
    if len(rest) == 1:
        return Act(Verb.TURN, rest[0])
    try:
        return Act(Verb.TURN, rest[0], turns=read_number(rest[1]))
    except QuantityError as error:
        raise ActError(error.what, "write how many turns, like 'turn crankshaft 2'") from error


def fact_of(act: Act, place: Place) -> FactRef | None:
    """Give the fact an act of setting reaches; None for every other act."""
    if act.verb is not Verb.SET or act.object is None:
        return None
    return FactRef(act.object, act.state, place)
