"""The types of event this edition knows, and which of their fields must be filled.

An event of another type, or of a newer version, is kept as it came; the job is then read-only
and its gates are shut until an edition that knows it has read it.
"""

from __future__ import annotations

from dataclasses import dataclass

VERSION = 1
"""The version of the event's form that this edition writes."""


@dataclass(frozen=True, slots=True)
class EventType:
    """A type of event: what it says, and which of the fields that may be empty it needs."""

    id: str
    says: str
    needs: tuple[str, ...] = ()


EVENT_TYPES: dict[str, EventType] = {
    row.id: row
    for row in (
        EventType("begin", "the job begins on this pack", ("pack",)),
        EventType("done", "an action of the rule book was done", ("action",)),
        EventType("block", "a work's own step was done", ("object",)),
        EventType("trouble", "something stands in the way", ("action",)),
        EventType("stopped", "work was broken off"),
        EventType("returned", "somebody came back and looked at the last steps again"),
        EventType("gate", "a gate was passed", ("action",)),
        EventType("look", "somebody looked at it a second time"),
        EventType("correct", "an earlier entry was a slip"),
        EventType("settle", "a person settled what did not agree"),
        EventType("exception", "a named person let something stand, with a reason"),
        EventType("duty", "a named duty takes something over"),
        EventType("noted", "something nobody had described", ("object",)),
        EventType("put", "a tool, rag, support or dropped thing"),
        EventType("found", "something was found wrong"),
        EventType("measured", "a reading was taken"),
        EventType("renewed", "something new was fitted", ("object",)),
        EventType("photo", "a photo came in"),
        EventType("rebase", "the job moves to another pack", ("pack",)),
        EventType("closed", "handed back"),
        EventType("reopened", "taken up again after handing back"),
    )
}


def is_known(event_type: str, version: int) -> bool:
    """Tell whether this edition knows what such an event means."""
    return version <= VERSION and event_type in EVENT_TYPES
