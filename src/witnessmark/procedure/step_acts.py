"""What a work's own step does to the machine while it is done, and what that demands (S7).

A step may put a pin in to probe and take it out again, or put a bolt in to turn by. It
leaves everything as it found it. From its acts follows how it must find things: whoever
takes a pin out first must find it in. The compiler asks before there is an order, with
what the step does not touch left open; the replay asks with every object's state known.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from witnessmark.machine.acts import Act, ActError, Verb, read_act
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import ObjectKind, Place, WorkStep
from witnessmark.machine.states import REST, state_named
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.shapes import Event, Wanted
from witnessmark.procedure.tables import (
    CRANK,
    LOWER,
    NO_BOLT,
    START,
    Demand,
    MachineTables,
    Opened,
    pressurising,
    turning,
)
from witnessmark.procedure.written import Written

IN_TO_TURN = "in to turn"

_KIND_OF = {
    Verb.TURN: ObjectKind.SHAFT,
    Verb.PRESSURISE: ObjectKind.CIRCUIT,
    Verb.IN_TO_TURN: ObjectKind.JOINT,
}

_WHOLE = {Verb.CRANK: CRANK, Verb.START: START, Verb.LOWER: LOWER}


@dataclass(frozen=True, slots=True)
class StepAct:
    """One act of a step, read: what is done, to which state, and where it is written."""

    act: Act
    text: str
    place: Place
    state: str | None = None
    """For an object put in or taken out: the state it is taken to, by the book's word."""


@dataclass(frozen=True, slots=True)
class ActTrouble:
    """Why a step's acts cannot be done as written."""

    code: str
    what: str
    to_do: str
    place: Place


def read_acts(step: WorkStep, derived: Derived) -> tuple[list[StepAct], list[ActTrouble]]:
    """Read the acts of a step; what cannot be read is trouble and left out."""
    found: list[StepAct] = []
    troubles: list[ActTrouble] = []
    for number, text in enumerate(step.acts):
        place = step.act_places[number] if number < len(step.act_places) else step.place
        try:
            found.append(_read_act(text, place, derived))
        except ActError as error:
            troubles.append(ActTrouble("plan-act-unreadable", error.what, error.hint, place))
    return found, troubles


def _read_act(text: str, place: Place, derived: Derived) -> StepAct:
    act = read_act(text)
    kind = derived.kind_of(act.object) if act.object is not None else None
    if act.object is not None and kind is None:
        raise ActError(f"'{act.object}' in '{text}' names nothing", "describe it, or write its id")
    wanted = _KIND_OF.get(act.verb)
    if wanted is not None and kind is not wanted:
        raise ActError(f"'{text}' does not name a {wanted}", f"write the id of a {wanted}")
    if act.verb is Verb.IN_TO_TURN:
        return StepAct(act, text, place, IN_TO_TURN)
    if act.verb is not Verb.SET or kind is None or act.object is None:
        return StepAct(act, text, place)
    described = derived.openings(act.object)
    if act.state is None:
        state = described[-1].state if described else None
    else:
        state = state_named(kind, act.state)
    if state is None or (state != REST[kind] and all(s.state != state for s in described)):
        raise ActError(f"'{text}' names no state of '{act.object}'", "write a described state")
    return StepAct(act, text, place, state)


def as_found(acts: Iterable[StepAct], step: WorkStep) -> tuple[dict[str, str], list[ActTrouble]]:
    """Give the state each object must be found in, so that the step leaves it as found.

    That is the state the last act on it leaves. A step that does nothing but leave an
    object in another state is trouble: opening and closing are not a step's own.
    """
    found: dict[str, str] = {}
    first: dict[str, StepAct] = {}
    for each in acts:
        if each.state is not None and each.act.object is not None:
            first.setdefault(each.act.object, each)
            found[each.act.object] = each.state
    troubles = []
    for object_, start in first.items():
        if found[object_] in (IN_TO_TURN, start.state):
            left = found[object_]
            troubles.append(
                ActTrouble(
                    "plan-step-not-as-found",
                    f"step '{step.id}' leaves '{object_}' {left} and not as it found it",
                    "undo it within the step; what stays open belongs in the goals or needs",
                    start.place,
                )
            )
            found[object_] = start.state or left
    return found, troubles


class Acting:
    """Does acts one after the other on known states, and gives what each demands.

    `at` maps the objects whose state is known; it is changed as acts are done.
    """

    def __init__(
        self,
        derived: Derived,
        tables: MachineTables,
        written: Written,
        at: dict[str, str],
        belt_off: frozenset[str],
    ) -> None:
        self.derived = derived
        self.tables = tables
        self.written = written
        self.at = at
        self.belt_off = belt_off

    def do(self, each: StepAct) -> Iterator[tuple[Event, Demand]]:
        """Give what an act demands as things stand, then take it as done."""
        act = each.act
        if act.verb in _WHOLE:
            yield from self._plain(_WHOLE[act.verb])
            return
        object_ = act.object or ""
        if act.verb is Verb.PRESSURISE:
            yield from self._plain(pressurising(object_))
        elif act.verb is Verb.TURN:
            yield from self._turn(object_, each.place)
        else:
            state = each.state or ""
            yield from self._take(object_, state)
            self.at[object_] = state

    def _plain(self, bound: Opened) -> Iterator[tuple[Event, Demand]]:
        yield from ((Event.ACT, row) for row in self.tables.of(bound))

    def turned(self, shaft: str) -> tuple[str, ...]:
        """Give the shafts that turn when one is turned: the run's, while its belt is on."""
        return turned_with(self.tables, shaft, self.belt_off)

    def _turn(self, shaft: str, place: Place) -> Iterator[tuple[Event, Demand]]:
        yield from turn_demands(self.tables, shaft, self.turned(shaft))
        for other in self.turned(shaft):
            if other in self.tables.proved:
                yield Event.ACT, unproven_to_turn(other, place)

    def _take(self, object_: str, target: str) -> Iterator[tuple[Event, Demand]]:
        kind = self.tables.kinds[object_]
        here = self.at.get(object_, RULE_BOOK.rest(kind))
        low, high = sorted((RULE_BOOK.depth(kind, here), RULE_BOOK.depth(kind, target)))
        event = Event.STRIP if RULE_BOOK.depth(kind, target) == high else Event.REFIT
        by_hand = IN_TO_TURN in (here, target)
        for spec in self.derived.openings(object_):
            if not low < RULE_BOOK.depth(kind, spec.state) <= high:
                continue
            for row in self.tables.of((object_, spec.state)):
                yield event, row
            if not by_hand:
                for row in self.written.of_every_way(spec.ways, event):
                    yield event, row


def turned_with(
    tables: MachineTables, shaft: str, belt_off: frozenset[str] = frozenset()
) -> tuple[str, ...]:
    """Give the shafts that turn with one, itself first; alone once a belt of its is off."""
    if any(belt in belt_off for belt in tables.belts.get(shaft, ())):
        return (shaft,)
    others = tables.turns_with.get(shaft, (shaft,))
    return (shaft, *(other for other in others if other != shaft))


def turn_demands(
    tables: MachineTables, shaft: str, turned: Iterable[str]
) -> Iterator[tuple[Event, Demand]]:
    """Give what must be so while shafts turn, `shaft` being the one turned by."""
    for other in turned:
        for row in tables.of(turning(other)):
            if other == shaft or row.check != NO_BOLT:
                yield Event.ACT, row


def unproven_to_turn(shaft: str, place: Place) -> Demand:
    """Say that a shaft that is turned loses its proof, so must still have it to come."""
    return Demand("turned", Wanted.OPEN, f"{shaft} unproven", ((shaft, "unproven"),), shaft, place)


def depth_at(tables: MachineTables, at: Mapping[str, str], object_: str) -> int:
    """Tell how deep an object stands; at rest when nothing is known of it."""
    kind = tables.kinds[object_]
    return RULE_BOOK.depth(kind, at.get(object_, RULE_BOOK.rest(kind)))


def is_open(tables: MachineTables, at: Mapping[str, str], opened: Opened) -> bool:
    """Tell whether an object stands at least as deep as a state."""
    object_, state = opened
    return depth_at(tables, at, object_) >= RULE_BOOK.depth(tables.kinds[object_], state)
