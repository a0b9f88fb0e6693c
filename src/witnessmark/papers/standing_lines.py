"""Lines about where a job stands that several papers share: outstanding, registers, order.

Pure: a folded job in, plain data out. The words of each line are the ledger's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.registers import registers
from witnessmark.ledger.state import JobState
from witnessmark.papers.job_printing import Printing

Line = dict[str, str]
"""`what`, a `detail` that may be empty, and `since`: who and when."""

TITLES: Mapping[str, str] = {
    "locks": "Pins and locks in, by hole",
    "supports": "Supports and holders fitted",
    "made safe": "Made safe",
    "tools": "Tools, rags, bolts and caps inside",
    "dropped": "Dropped and not found",
    "open ends": "Open ends, and what caps them",
    "slack": "Slack on purpose: looks finished and is not",
    "not known": "Not known: slacken all in order and begin again",
    "counts": "Fasteners out",
    "parts off": "Parts off or aside, and where they lie",
    "litres": "Litres out and in",
    "not before": "Not before",
    "found wrong": "Found wrong: put right, not back as found",
    "settings": "Settings as found and as set",
    "marks": "Marks made or read before moving",
    "renewed": "Renewed",
    "duties": "Duties",
    "figures": "No maker's figure in the file",
    "pulled again": "Pulled again",
    "looks": "Second looks",
}
"""The registers that are printed as such, what bites first at the head."""

ODD = ("conflict", "flag", "unread", "gap", "fork")
"""Kinds of outstanding things that are about the record itself; they stand apart."""


def nearest_first(state: JobState) -> dict[str, int]:
    """Give each object that was disturbed its place, nearest the machine first.

    What the plan closes first lies deepest. What no plan closes (found on the way, or a
    machine nobody has described) goes before it, last opened first.
    """
    planned = [s["object"] for s in state.pack["plan"]["steps"] if s["kind"] == "refit"]
    order = {object_: place for place, object_ in enumerate(dict.fromkeys(planned))}
    first: dict[str, int] = {}
    for place, id_ in enumerate(state.history.order):
        object_ = state.history.events[id_]["object"]
        if object_ is not None:
            first.setdefault(object_, place)
    unplanned = sorted((o for o in first if o not in order), key=lambda o: -first[o])
    return {o: place for place, o in enumerate([*unplanned, *order])}


def outstanding_lines(state: JobState, printing: Printing) -> tuple[list[Line], list[Line]]:
    """Give what is outstanding by name, nearest the machine first, and what is odd apart."""
    places = nearest_first(state)
    last = len(places)
    items = outstanding(state)
    items.sort(key=lambda item: places.get(item["object"], last))
    lines = [
        (item["kind"] in ODD, line(state, printing, item, _pieces(state, item))) for item in items
    ]
    return [each for odd, each in lines if not odd], [each for odd, each in lines if odd]


def register_lines(state: JobState, printing: Printing) -> dict[str, list[Line]]:
    """Give the lines of every printed register, nearest the machine first in each."""
    found = registers(state, printing.now)
    places = nearest_first(state)
    last = len(places)
    return {
        name: [
            line(state, printing, row, _detail(state, printing, name, row))
            for row in sorted(found[name], key=lambda row: places.get(row["object"], last))
        ]
        for name in TITLES
    }


def line(state: JobState, printing: Printing, row: Mapping[str, Any], detail: str = "") -> Line:
    """Give a line of the ledger as it is printed."""
    says = str(row["says"])
    duty = row.get("duty")
    if isinstance(duty, str):
        says = says.removeprefix(f"{duty}: ")
    return {"what": says, "detail": detail, "since": printing.since(state, row["since"])}


def _detail(state: JobState, printing: Printing, name: str, row: Mapping[str, Any]) -> str:
    """Give what a register holds beside its words."""
    if name == "not before":
        return f"not before {printing.when(row['until'])}"
    if name == "parts off" and row["way_round"]:
        return f"way round: {row['way_round']}"
    if name == "duties":
        stays = "" if row["may_leave"] else "the machine does not leave before"
        return "done" if row["done"] else stays
    if name == "litres" and row["unread"]:
        return f"not read: {', '.join(map(str, row['unread']))}"
    if name == "figures" and row["how"]:
        return f"how: {row['how']}"
    return _pieces(state, row)


def _pieces(state: JobState, row: Mapping[str, Any]) -> str:
    """Name the holes a line is about, by the size of the bolt in each."""
    named = [piece for piece in row.get("pieces") or () if isinstance(piece, str)]
    object_ = state.book["objects"].get(row["object"])
    if not named or object_ is None or len(object_["pieces"]) < 2:
        return ""
    sizes = {each["id"]: _size(each) for each in object_["pieces"]}
    alike: dict[str, list[str]] = {}
    for id_ in named:
        alike.setdefault(sizes.get(id_) or "size not given", []).append(id_)
    if not any(sizes.values()):
        return ", ".join(named)
    return "; ".join(f"{size}: {', '.join(ids)}" for size, ids in alike.items())


def _size(piece: Mapping[str, Any]) -> str:
    length = f"{piece['length']} mm" if piece["length"] else ""
    return " x ".join(words for words in (piece["thread"] or "", length) if words)
