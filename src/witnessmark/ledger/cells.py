"""What was last said of each object and piece, by whom, and what of it does not agree.

A cell holds the events that no later event knew of and overruled: usually one. Where two
people, neither knowing of the other, left it in different states, the cell is in conflict
and reads as the least finished. Which events stand in a cell depends on who knew of what,
and on nothing else.
"""

from __future__ import annotations

from collections.abc import Callable

from witnessmark.procedure.book import Data, depth_of, kind_of

WHOLE = ""
"""The key of an object's own cell, where it has no pieces."""

Reaches = Callable[[str, str], bool]
"""Tells whether the first event was known when the second was written."""


def write(cell: list[Data], entry: Data, reaches: Reaches) -> list[Data]:
    """Give a cell after an event: what the event did not know of stands beside it."""
    beside = [
        each
        for each in cell
        if each["event"] != entry["event"] and not reaches(each["event"], entry["event"])
    ]
    return [*beside, entry]


def in_conflict(cell: list[Data]) -> bool:
    """Tell whether the entries of a cell leave the object differently."""
    return len(cell) > 1 and any(
        each["state"] != cell[0]["state"] or each["stage"] != cell[0]["stage"] for each in cell
    )


def least_finished(book: Data, object_: str, cell: list[Data]) -> Data:
    """Give the entry a cell is read by: the deepest; of equals the less certain or less done."""
    if len(cell) == 1:
        return cell[0]
    return min(cell, key=lambda entry: _rank(book, object_, entry))


def _rank(book: Data, object_: str, entry: Data) -> tuple[int, int, int, int, str]:
    kind = kind_of(book, object_)
    state = book["states"][kind][entry["state"]]
    return (
        -depth_of(book, kind, entry["state"]),
        0 if entry["state"] == "unknown" else 1,
        0 if state["opening"] else 1,
        entry["stage"],
        entry["event"],
    )


def read_into(standing: Data, object_: str, piece: str, state: str) -> None:
    """Set the standing the interpreter reads to what a cell says."""
    if piece == WHOLE:
        standing["at"][object_] = state
    else:
        standing["pieces"][object_] = {**standing["pieces"].get(object_, {}), piece: state}


def stage_of(stage: object) -> int:
    """Give the number of a tightening stage; 0 where it has none (`final`)."""
    if stage is None or isinstance(stage, bool):
        return 0
    if isinstance(stage, int):
        return stage
    digits = isinstance(stage, str) and stage.isascii() and stage.isdigit() and len(stage) <= 3
    return int(str(stage)) if digits else 0


def entry_of(event_id: str, event: Data, state: str, lacks: list[list[str]]) -> Data:
    """Make the entry an event leaves in a cell."""
    return {
        "event": event_id,
        "state": state,
        "stage": stage_of(event["values"].get("stage")),
        "lacks": lacks,
        "person": event["person"],
    }
