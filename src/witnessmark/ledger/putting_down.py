"""Moves put down: into the cells they change, and from there into how things stand.

Where an entry's writer had not heard the latest, the move goes from where they knew the thing
to stand, and what they did not know of stands beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from witnessmark.ledger.cells import (
    WHOLE,
    entry_of,
    in_conflict,
    least_finished,
    read_into,
    write,
)
from witnessmark.ledger.evidence import still_owed
from witnessmark.ledger.state import JobState
from witnessmark.procedure.book import Data, depth_of, kind_of, rest_of
from witnessmark.procedure.standing import lands_on, old_after, piece_state

Evidence = tuple[Sequence[str], Sequence[str]]
"""What an event lacks of the evidence it was asked for, and all it was asked for."""

NO_EVIDENCE: Evidence = ((), ())

TENTH_OF_A_MINUTE = 6_000
"""Milliseconds of a tenth of a minute, in which packs count waits."""


def put_down(
    state: JobState,
    id_: str,
    event: Data,
    moves: list[Any],
    lacks: Sequence[str] = (),
    asked: Sequence[str] = (),
) -> None:
    """Write moves into the cells, and read the standing again from them.

    Pieces of which the writer knew the same and that go the same way go on in one cell.
    `asked` is the evidence asked of the event's own object, `lacks` what it did not bring.
    """
    done: dict[tuple[Any, ...], Data | None] = {}
    for object_, piece, move in moves:
        key = WHOLE if piece is None else piece
        before = state.cell(object_, key)
        known = _known(state, id_, object_, key, before)
        way = (object_, move, *map(id, before), None, *map(id, known))
        if way not in done:
            done[way] = _written(state, id_, event, object_, move, before, known, (lacks, asked))
        written = done[way]
        if written is not None:
            _enter(state, object_, piece, move, written)
    for object_ in dict.fromkeys(move[0] for move in moves):
        if object_ in state.cells:
            state.look_at(object_)


def _enter(state: JobState, object_: str, piece: str | None, move: str, written: Data) -> None:
    """Put what was written into one cell, and how it reads into the standing."""
    key = WHOLE if piece is None else piece
    if written["disputes"]:
        state.disputed.setdefault(object_, {})[key] = written["disputes"]
    _wear(state, object_, piece, move)
    state.cells.setdefault(object_, {})[key] = written["cell"]
    state.past.add(object_, (key,), written["entry"])
    read_into(state.standing, object_, key, written["reads"])


def _written(
    state: JobState,
    id_: str,
    event: Data,
    object_: str,
    move: str,
    before: list[Data],
    known: list[Data],
    evidence: Evidence,
) -> Data | None:
    """Give what becomes of a cell by a move; None when it leaves the cell as it is."""
    book = state.book
    target = _landing(book, object_, known, move)
    if target is None:
        return None
    owes = owed_then(state, id_, event, object_, target, known, evidence)
    entry = entry_of(id_, event, target, owes)
    cell = [entry] if state.knows_all else write(before, entry, state.history.reaches)
    disputed = in_conflict(known) and event["type"] != "settle"
    remember(state, id_, event, object_, target)
    return {
        "cell": cell,
        "entry": entry,
        "reads": least_finished(book, object_, cell)["state"],
        "disputes": [each["event"] for each in known] if disputed else [],
    }


def owed_then(
    state: JobState,
    id_: str,
    event: Data,
    object_: str,
    target: str,
    known: list[Data],
    evidence: Evidence,
) -> list[list[str]]:
    """Give what is owed of a cell after an event: what it lacks, and what is owed still."""
    lacks, asked = evidence if object_ == event["object"] else NO_EVIDENCE
    owes = [[id_, each] for each in lacks]
    if any(each["lacks"] for each in known):
        deeper = _is_deeper(state.book, object_, known, target)
        owes += still_owed(known, asked, lacks, deeper=deeper)
    return owes


def _known(state: JobState, id_: str, object_: str, key: str, cell: list[Data]) -> list[Data]:
    """Give the entries of a cell as whoever wrote an event knew it, whatever came in since."""
    reaches = state.history.reaches
    if state.knows_all or all(reaches(each["event"], id_) for each in cell):
        return cell
    return state.past.known_to(id_, object_, key)


def _landing(book: Data, object_: str, known: list[Data], move: str) -> str | None:
    """Give the state a move takes a thing to, from where its writer knew it to stand."""
    kind = kind_of(book, object_)
    if not known:
        return lands_on(book, kind, rest_of(book, kind), move)
    return lands_on(book, kind, least_finished(book, object_, known)["state"], move)


def _is_deeper(book: Data, object_: str, before: list[Data], target: str) -> bool:
    kind = kind_of(book, object_)
    there = depth_of(book, kind, target)
    return any(there > depth_of(book, kind, each["state"]) for each in before)


def _wear(state: JobState, object_: str, piece: str | None, move: str) -> None:
    """Keep which pieces of a single-use joint were slackened and not out since."""
    if piece is None or not state.book["objects"][object_]["single_use"]:
        return
    was = piece_state(state.book, state.standing, object_, piece)
    here = lands_on(state.book, "joint", was, move)
    if here is not None:
        old = state.standing["old"].get(object_, [])
        state.standing["old"][object_] = old_after(state.book, old, piece, was, here)


def remember(state: JobState, id_: str, event: Data, object_: str, target: str) -> None:
    """Note what an opening brings for later: that it was opened, and what must wait."""
    row = state.book["states"][kind_of(state.book, object_)][target]
    if row["opening"]:
        state.opened[f"{object_} {target}"] = None
    waits = state.book["objects"][object_]["waits"]
    if waits:
        _wait(state, id_, event, object_, target)


def _wait(state: JobState, id_: str, event: Data, object_: str, target: str) -> None:
    """Note until when nothing may be done after an object was brought to a state."""
    waits = state.book["objects"][object_]["waits"]
    at_rest = depth_of(state.book, kind_of(state.book, object_), target) == 0
    strip = max((waits[s]["strip"] for s in waits if s == target), default=0)
    refit = max((waits[s]["refit"] for s in waits if at_rest), default=0)
    if strip or refit:
        until = event["wall"] + (strip or refit) * TENTH_OF_A_MINUTE
        kept = [each for each in state.rows["waits"] if each["object"] != object_]
        state.rows["waits"] = [*kept, {"event": id_, "object": object_, "until": until}]
