"""Stopping and coming back: the last three steps are looked at again and stated.

Failures cluster just after a restart. Paint marks decide for bolts turned by an angle;
without them the angle is not known, and then that of the whole pattern is not. A further
pull shows nothing of it.
"""

from __future__ import annotations

from typing import Any

from witnessmark.ledger.cells import WHOLE
from witnessmark.ledger.state import JobState, is_step
from witnessmark.procedure.book import Data, piece_ids

LAST = 3
"""How many steps are looked at again."""

AS_RECORDED = "as recorded"
MARKS = "paint marks"


def stopped(state: JobState, id_: str, event: Data) -> None:
    """Note a stop, and which steps must be looked at again."""
    state.add("stops", id_, device=event["device"], again=_last_steps(state, id_), returned=None)


def _last_steps(state: JobState, id_: str) -> list[str]:
    """Give the last steps that whoever stops knew of, the latest first."""
    history = state.history
    known = [
        each
        for each in history.order
        if is_step(history.events[each]) and history.reaches(each, id_)
    ]
    return known[::-1][:LAST]


def open_stop(state: JobState, id_: str, device: str) -> Data | None:
    """Give the last stop of a device that nobody came back from."""
    for row in reversed(state.rows["stops"]):
        if row["device"] == device and row["returned"] is None:
            return row if state.history.reaches(row["event"], id_) else None
    return None


def worked_on(state: JobState, id_: str, event: Data) -> None:
    """Flag a step done after a stop without coming back first."""
    if open_stop(state, id_, event["device"]) is not None:
        says = "work went on after a stop without looking at the last steps again"
        state.flag(id_, "not looked at", event["object"], says)


def returned(state: JobState, id_: str, event: Data) -> list[Any]:
    """Take a return: which steps stand as recorded, and what is not known any more.

    Anybody may come back to a stop of any device. Gives the moves of what is unknown.
    """
    looked = event["values"].get("looked")
    stated = {
        row["event"]: row
        for row in (looked if isinstance(looked, list) else [])
        if isinstance(row, dict) and isinstance(row.get("event"), str)
    }
    for stop in state.rows["stops"]:
        if stop["returned"] is None and state.history.reaches(stop["event"], id_):
            stop["returned"] = id_
            stop["again"] = [each for each in stop["again"] if each not in stated]
    moves: list[Any] = []
    for step, row in stated.items():
        if step in state.history.events and not _stands(state, step, row):
            moves += _not_known(state, id_, step)
    return moves


def _stands(state: JobState, step: str, row: Data) -> bool:
    """Tell whether a step stands as recorded; of an angle only the paint marks can tell."""
    if row.get("stands") != AS_RECORDED:
        return False
    joint = state.book["objects"].get(state.history.events[step]["object"])
    action = state.book["actions"].get(state.history.events[step]["action"] or "")
    tightened = action is not None and action["target"] in {"made", "part-tightened"}
    angled = joint is not None and joint["angled"] and tightened
    return not angled or row.get("by") == MARKS


def _not_known(state: JobState, id_: str, step: str) -> list[Any]:
    """Give the moves to "not known" of what a step had done, whole patterns where angled."""
    object_ = state.history.events[step]["object"]
    row = state.book["objects"].get(object_)
    if row is None or row["kind"] != "joint":
        state.add("doubts", id_, step=step, object=object_)
        return []
    pieces = [p for p in piece_ids(state.book, object_) if _of_step(state, object_, p, step)]
    if row["angled"]:
        pieces = piece_ids(state.book, object_)
    for part in row["crushes"] if pieces else []:
        state.add("to_renew", id_, object=part, because=object_)
    return [[object_, piece, "unknown"] for piece in pieces]


def _of_step(state: JobState, object_: str, piece: str, step: str) -> bool:
    """Tell whether what stands of a piece is what a step left, nothing later."""
    return any(entry["event"] == step for entry in state.cell(object_, piece or WHOLE))
