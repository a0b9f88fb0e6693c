"""The state card: hung on the wheel, read from two metres, saying exactly what stands.

Pure: a folded job in, plain data out. It carries no customer, no plate and no title, as
anybody passing reads it. The rule for its largest words is ours: while anything is open,
nobody starts the machine, whatever the file knows of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from witnessmark.ledger.gates import TO_START, TURNING, gate
from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.registers import register
from witnessmark.ledger.state import JobState
from witnessmark.papers.job_printing import Printing
from witnessmark.papers.standing_lines import TITLES, Line, nearest_first, register_lines

MOST_NAMES = 6
"""Names of a line at the most; the handover sheet has all of them."""

Named = tuple[str | None, str]
"""An object, where one is meant, and the words about it."""

NOT_CLOSED = ("open", "conflict", "unread", "gap", "fork", "tool", "dropped")
"""Kinds of outstanding things with which nothing may run."""

NOTHING_OPEN = "NOTHING OPEN IS RECORDED"


def state_card(state: JobState, printing: Printing) -> dict[str, Any]:
    """Lay out the card: large words with what stands behind each, then every register."""
    found = register_lines(state, printing)
    words = [
        {"words": word, "because": _named(names)}
        for word, names in _words(state, printing.now, found)
    ]
    last = state.history.events[state.history.order[-1]] if state.history.order else None
    return {
        "title": f"State card: {state.pack['machine']['name']}",
        "machine": state.pack["machine"]["name"],
        "job": printing.job,
        "words": words or [{"words": NOTHING_OPEN, "because": _closed(state)}],
        "also": [
            {"title": TITLES[name], "says": _named([each["what"] for each in lines])}
            for name, lines in found.items()
            if lines
        ],
        "written": printing.signed(last) if last is not None else "nothing is recorded",
        "printed": printing.when(printing.now),
        "book": printing.book(),
        "ask": "Key out. Ask before touching anything; what is done after this card was printed "
        "is not on it.",
    }


def _words(
    state: JobState, now: int, found: dict[str, list[Line]]
) -> Iterator[tuple[str, list[str]]]:
    """Give the large words that the state asks for, each with names of what it stands on."""
    left = outstanding(state)
    locks = [(row["object"], str(row["says"])) for row in register(state, "locks", now)]
    for word, names in (
        ("DO NOT START", _start(state, now, locks)),
        ("DO NOT TURN", _turn(state, now, locks)),
        ("DO NOT LOWER OR ROLL", _once(_open_at(state, now, "lowering"))),
        ("ON SUPPORTS", _supports(state, found)),
        ("HOLDING TOOL FITTED", _holders(state, found)),
    ):
        if names:
            yield word, names
    yield from _fluids(state)
    for word, name in (
        ("TOOLS OR RAGS INSIDE", "tools"),
        ("SOMETHING DROPPED INSIDE", "dropped"),
        ("NOT BEFORE", "not before"),
    ):
        if found[name]:
            yield word, [_whole(each) for each in found[name]]
    disagreed = [item["says"] for item in left if item["kind"] == "conflict"]
    if disagreed:
        yield "PEOPLE DO NOT AGREE", disagreed
    if left:
        yield "NOT FINISHED", [f"{len(left)} outstanding: see the handover sheet"]


def _start(state: JobState, now: int, locks: list[Named]) -> list[str]:
    """Give what stands in the way of starting: locks, whatever is open, what gates name more."""
    places = nearest_first(state)
    left = [item for item in outstanding(state) if item["kind"] in NOT_CLOSED]
    left.sort(key=lambda item: places.get(item["object"], len(places)))
    named = [*locks, *((item["object"], item["says"]) for item in left)]
    named += _open_at(state, now, "cranking", TO_START)
    return _once([*named, *_open_at(state, now, "first-start")])


def _turn(state: JobState, now: int, locks: list[Named]) -> list[str]:
    """Give what stands in the way of turning any shaft by hand."""
    named = list(locks)
    for object_, row in state.book["objects"].items():
        if row["kind"] == "shaft":
            named += _open_at(state, now, TURNING, object_=object_)
    return _once(named)


def _once(named: list[Named]) -> list[str]:
    """Give the words about each object once, and all words about none."""
    kept: dict[str, str] = {}
    for object_, says in named:
        kept.setdefault(object_ or says, says)
    return list(kept.values())


def _open_at(
    state: JobState,
    now: int,
    gate_id: str,
    purpose: str | None = None,
    object_: str | None = None,
) -> list[Named]:
    found = gate(state, gate_id, purpose, object_, now)
    return [(each["object"], each["says"]) for each in found["open"]]


def _supports(state: JobState, found: dict[str, list[Line]]) -> list[str]:
    holders = _holders(state, found)
    return [each["what"] for each in found["supports"] if each["what"] not in holders]


def _holders(state: JobState, found: dict[str, list[Line]]) -> list[str]:
    """Give what is fitted and carries nothing: holders, pullers, workshop bolts."""
    holding = [
        row["name"]
        for row in state.book["objects"].values()
        if row["kind"] == "temporary" and row["role"] not in {"support", None}
    ]
    return [
        each["what"]
        for each in found["supports"]
        if any(each["what"].startswith(f"{name}: ") for name in holding)
    ]


def _fluids(state: JobState) -> Iterator[tuple[str, list[str]]]:
    for object_ in state.touched():
        row = state.book["objects"][object_]
        if row["kind"] == "circuit" and not state.at_rest(object_):
            here = state.book["states"]["circuit"][state.state(object_)]["says"]
            yield f"{row['name']}: {here}".upper(), []


def _whole(each: Line) -> str:
    return f"{each['what']} ({each['detail']})" if each["detail"] else each["what"]


def _named(names: list[str]) -> str:
    shown = "; ".join(names[:MOST_NAMES])
    more = len(names) - MOST_NAMES
    return f"{shown}; and {more} more: see the handover sheet" if more > 0 else shown


def _closed(state: JobState) -> str:
    ends = [row["what"] for row in state.rows["closings"]]
    return "handed back" if ends and ends[-1] == "closed" else "not handed back yet"
