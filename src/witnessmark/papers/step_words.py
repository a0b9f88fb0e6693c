"""What an event says in words: the step by the rule book, and what was said beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from witnessmark.ledger.state import JobState
from witnessmark.procedure.book import name_of

SILENT = ("evidence", "pieces", "count")
"""Values that are printed elsewhere, or one by one."""

NOTED = ("line", "where it lies", "hole")
"""Of what was noted of a thing, what is printed at its step: the rest stands in its name."""


def step_words(state: JobState, event: Mapping[str, Any]) -> str:
    """Say what was done: `take off crank pulley`, or the step of the work's own."""
    object_ = event["object"]
    if event["type"] == "block":
        block = state.pack["blocks"].get(object_)
        return str(block["says"]) if block is not None else str(object_)
    if event["type"] == "noted":
        return f"{name_of(state.book, object_)}: {event['values'].get('state') or 'noted'}"
    action = state.book["actions"].get(event["action"] or "")
    name = name_of(state.book, object_) if object_ is not None else ""
    if action is None:
        return f"{event['action'] or event['type']}: {name}".removesuffix(": ")
    return str(action["says"]).replace("{}", name)


def said_lines(event: Mapping[str, Any]) -> list[str]:
    """Give what was said beside a step, word by word: `wrench W3`, `2 pieces`, the note."""
    values = event["values"]
    inside = values.get("evidence")
    told = {**values, **(inside if isinstance(inside, dict) else {})}
    pieces = values.get("pieces", values.get("count"))
    lines = [_pieces(pieces)] if pieces else []
    for word, value in told.items():
        said = plain_words(value)
        if event["type"] == "noted" and word not in NOTED:
            continue
        if word not in SILENT and said:
            lines.append(f"{word}: {said}")
    if event["photos"]:
        count = len(event["photos"])
        lines.append("1 photo" if count == 1 else f"{count} photos")
    if event["note"]:
        lines.append(str(event["note"]))
    return lines


def _pieces(pieces: object) -> str:
    if isinstance(pieces, list):
        return f"holes {', '.join(map(str, pieces))}"
    if isinstance(pieces, dict) and "count" in pieces:
        first = pieces.get("from")
        return f"{pieces['count']} pieces" + (f" from {first}" if first is not None else "")
    return f"{pieces} pieces"


def plain_words(value: object) -> str:
    """Print any plain value: yes and no, lists with commas, pairs with their names."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(words for each in value if (words := plain_words(each)))
    if isinstance(value, dict):
        return ", ".join(f"{k} {words}" for k, v in value.items() if (words := plain_words(v)))
    return "" if value is None else str(value)
