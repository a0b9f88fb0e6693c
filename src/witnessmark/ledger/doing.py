"""Work done: actions of the rule book, and the steps of a work's own, as they were written."""

from __future__ import annotations

from typing import Any

from witnessmark.ledger.beside import said_beside
from witnessmark.ledger.evidence import lacking
from witnessmark.ledger.interruption import worked_on
from witnessmark.ledger.putting_down import put_down
from witnessmark.ledger.repeating import done_again, keep_plan
from witnessmark.ledger.state import JobState
from witnessmark.procedure.book import Data, rest_of
from witnessmark.procedure.interpreter import act_to
from witnessmark.procedure.standing import LOST, moved, piece_state


def done(state: JobState, id_: str, event: Data) -> None:
    """Take one action of the rule book as done."""
    worked_on(state, id_, event)
    object_, values, action = event["object"], event["values"], event["action"] or ""
    answer = state.remembered.act(state.signs, state.standing, action, object_, values)
    if answer.broken:
        _flag(state, id_, object_, answer.broken)
    if answer.action is None or answer.row is None:
        _strange(state, id_, object_, action)
        return
    lacks = lacking(answer.asked, event) if answer.asked else []
    if not (answer.plan is not None and done_again(state, id_, event, answer, lacks)):
        put_down(state, id_, event, answer.moves, lacks, answer.asked)
        keep_plan(state, id_, answer)
    said_beside(state, id_, event, answer.action, answer.row)


def _flag(state: JobState, id_: str, object_: str | None, every: list[Data]) -> None:
    """Flag the rules broken; where somebody wrote on it unknown, they say so and not the state."""
    beside = object_ is not None and not state.knows_all and _has_beside(state, id_, object_)
    for broken in every:
        if broken["rule"] != "state" or not beside:
            state.flag(id_, broken["rule"], broken["object"], broken["says"])


def _has_beside(state: JobState, id_: str, object_: str) -> bool:
    """Tell whether somebody wrote on an object without either knowing of the other."""
    return any(not state.history.reaches(each, id_) for each in state.writers(object_))


def _strange(state: JobState, id_: str, object_: str | None, action_id: str) -> None:
    """Keep the state of an object that is in no pack: of an older pack, or a slip of the hand."""
    action = state.book["actions"].get(action_id)
    if action is None or object_ is None or object_ in state.book["objects"]:
        return
    if action["kind"] == "machine":
        return
    rest = rest_of(state.book, action["kind"])
    state.strange[object_] = {
        "event": id_,
        "kind": action["kind"],
        "state": action["target"],
        "at_rest": action["target"] == rest,
    }


def block(state: JobState, id_: str, event: Data) -> None:
    """Take a work's own step as done: its acts one after the other, left as it found things."""
    worked_on(state, id_, event)
    row = state.pack["blocks"].get(event["object"])
    state.add("blocks", id_, object=event["object"])
    if row is None:
        state.flag(id_, "block", event["object"], "no work has such a step")
        return
    standing, moves = state.standing, []
    for each in row["acts"]:
        outcome = act_to(state.book, standing, each)
        for broken in outcome["broken"]:
            state.flag(id_, broken["rule"], broken["object"], broken["says"])
        moves += outcome["moves"]
        standing = moved(state.book, standing, outcome["moves"])
    put_down(state, id_, event, _lasting(state, moves))
    if row["measure"] is not None:
        said = {word: event["values"].get(word) for word in ("reading", "within")}
        what = row["measure"]["what"]
        state.add("measured", id_, object=event["object"], what=what, **said)


def _lasting(state: JobState, moves: list[Any]) -> list[Any]:
    """Keep what a step leaves otherwise than it found it, and every proof it undid."""
    last = {(move[0], move[1]): move for move in moves}
    return [
        [object_, piece, target]
        for object_, piece, target in last.values()
        if target == LOST or target != _stands(state, object_, piece)
    ]


def _stands(state: JobState, object_: str, piece: str | None) -> str:
    if piece is None:
        return state.state(object_)
    return piece_state(state.book, state.standing, object_, piece)
