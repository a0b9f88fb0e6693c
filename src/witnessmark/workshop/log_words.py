"""The entries of a job in words, the newest last, as a person reads a log."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from witnessmark.ledger.state import JobState
from witnessmark.papers.job_printing import Printing
from witnessmark.papers.step_words import said_lines, step_words
from witnessmark.procedure.book import name_of

Event = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry: what, who and when, what was said beside it, its photos, whether it counts."""

    id: str
    what: str
    signed: str
    said: tuple[str, ...]
    photos: tuple[str, ...]
    taken_back: bool


def log_lines(state: JobState, printing: Printing) -> Iterator[LogLine]:
    """Say every entry of a job in words, in the order in which people knew of them."""
    for id_ in state.history.order:
        event = state.history.events[id_]
        yield LogLine(
            id=id_,
            what=what_happened(state, event),
            signed=printing.signed(event),
            said=_said(event),
            photos=tuple(event["photos"]),
            taken_back=id_ not in state.taken and id_ not in state.history.unknown,
        )


def what_happened(state: JobState, event: Event) -> str:
    """Say what an entry is about, without what was said beside it."""
    words = _WORDS.get(event["type"])
    says = f"an entry this edition does not know: {event['type']}" if words is None else None
    text = says or (words(state, event) if words is not None else "")
    return text[:1].upper() + text[1:]


def _said(event: Event) -> tuple[str, ...]:
    if event["type"] in _TOLD_WHOLE:
        return (event["note"],) if event["note"] else ()
    return tuple(said_lines(event))


def _name(state: JobState, event: Event) -> str:
    return name_of(state.book, event["object"]) if event["object"] is not None else ""


def _value(event: Event, key: str) -> str:
    value = event["values"].get(key)
    return value if isinstance(value, str) else ""


def _about(words: str, name: str) -> str:
    return f"{words}: {name}" if name else words


def _begin(_state: JobState, event: Event) -> str:
    works = event["values"].get("works")
    names = [str(w.get("name", "")) for w in works or [] if isinstance(w, dict)]
    return _about("the job was begun", ", ".join(names))


def _gate(state: JobState, event: Event) -> str:
    row = state.book["gates"].get(event["action"])
    return f"passed {row['name'] if row is not None else event['action']}"


def _trouble(state: JobState, event: Event) -> str:
    return _about(f"trouble, {_value(event, 'kind') or event['action']}", _name(state, event))


def _correct(state: JobState, event: Event) -> str:
    target = state.history.events.get(_value(event, "corrects"))
    if target is None:
        return "an entry was taken back that is not here yet"
    return f"taken back: {what_happened(state, target)}"


_WORDS: Mapping[str, Callable[[JobState, Event], str]] = {
    "begin": _begin,
    "done": step_words,
    "block": step_words,
    "trouble": _trouble,
    "stopped": lambda _state, _event: "stopped",
    "returned": lambda _state, _event: "came back and looked again",
    "gate": _gate,
    "look": lambda state, event: _about("second look", _name(state, event)),
    "correct": _correct,
    "settle": lambda state, event: _about("settled", _name(state, event)),
    "exception": lambda _state, event: _about("left as it is", _value(event, "reason")),
    "duty": lambda state, event: _about("duty", _value(event, "duty") or _name(state, event)),
    "noted": lambda state, event: _about("noted", _value(event, "name") or _name(state, event)),
    "put": lambda _state, event: _about(_value(event, "how") or "put in", _value(event, "what")),
    "found": lambda state, event: _about(f"found {_value(event, 'what')}", _name(state, event)),
    "measured": lambda state, event: _about(
        "measured", _value(event, "what") or _name(state, event)
    ),
    "renewed": lambda state, event: _about("new", _name(state, event)),
    "photo": lambda state, event: _about("photo", _name(state, event)),
    "rebase": lambda _state, _event: "a new plan was taken",
    "closed": lambda _state, _event: "handed back",
    "reopened": lambda _state, _event: "taken up again",
}

_TOLD_WHOLE = frozenset(("begin", "gate", "correct", "rebase"))
"""Entries whose words say all that people read; the rest is for the record."""
