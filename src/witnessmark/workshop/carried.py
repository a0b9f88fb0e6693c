"""What a new pack keeps of the one before: what was done by it must read as it did."""

from __future__ import annotations

from typing import Any

Pack = dict[str, Any]


def carried_over(before: Pack, after: Pack) -> Pack:
    """Give a new pack with what the old plan's events are read by.

    Steps that are done are in no plan any more, nor are openings that are shut again; but
    the events that say so are still read, by the same steps and by the way that was planned
    then. So is the strip of what stands open and is closed by another way now. Drawings made
    for the job stay.
    """
    drawings = {
        **before["texts"].get("drawings", {}),
        **after["texts"].get("drawings", {}),
    }
    return {
        **after,
        "tables": {**after["tables"], "ways": _ways(before, after)},
        "blocks": {**before["blocks"], **after["blocks"]},
        "texts": {**after["texts"], "drawings": drawings},
    }


def _ways(before: Pack, after: Pack) -> dict[str, Any]:
    steps = after["plan"]["steps"]
    planned = {step["object"] for step in steps}
    opened = {step["object"] for step in steps if step["kind"] == "strip"}
    ways = dict(after["tables"]["ways"])
    for opening, rows in _planned(before).items():
        object_ = opening.split(" ")[0]
        if object_ not in planned and opening in ways:
            ways[opening] = rows
        elif object_ in planned - opened:
            ways[opening] = _stripped_by(rows, ways[opening])
    return ways


def _stripped_by(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """Give the ways of what is only closed now: opened as planned then, closed as planned now."""
    gone = {way: row["strip"] for way, row in old.items() if row["planned"]}
    known = {part for way in gone for part in (way, *way.split("+"))}
    return {
        way: {**row, "strip": strip} if row["planned"] and way not in known else row
        for way, row in new.items()
        for strip in [next(iter(gone.values()), row["strip"])]
    }


def _planned(pack: Pack) -> dict[str, Any]:
    """Give the rows of ways of each object of which the plan takes one."""
    rows = pack["tables"]["ways"]
    taken = {
        opening.split(" ")[0]
        for opening, ways in rows.items()
        if any(way["planned"] for way in ways.values())
    }
    return {opening: ways for opening, ways in rows.items() if opening.split(" ")[0] in taken}
