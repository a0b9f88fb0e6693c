"""What people say beside the steps: trouble, things put in, readings, looks, exceptions.

Each is taken as it is said. What cannot count is kept and flagged with its reason.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from witnessmark.ledger.litres import millionths
from witnessmark.ledger.state import JobState, text, texts
from witnessmark.procedure.book import Data, kind_of, name_of, piece_ids
from witnessmark.procedure.interpreter import chosen_pieces

PUT = ("in", "out", "dropped", "found")

LATER = 600_000
"""Milliseconds after which a second look by the same person counts as later (our figure)."""


def _trouble(state: JobState, id_: str, event: Data) -> None:
    kind = text(event["values"].get("kind"), event["action"] or "not said")
    state.add("troubles", id_, object=event["object"], kind=kind)


def _put(state: JobState, id_: str, event: Data) -> None:
    """Count tools, rags, supports, workshop bolts and caps in and out, dropped and found.

    Two rags in and one out leave one. Counts do not ask who came first.
    """
    values = event["values"]
    how, what = values.get("how"), values.get("what")
    if how not in PUT:
        state.flag(id_, "put", event["object"], "say in, out, dropped or found")
        return
    key = event["object"] or text(what, "something")
    row = state.put.get(key)
    if row is None:
        row = {"what": what, "kind": values.get("kind"), "since": id_, **dict.fromkeys(PUT, 0)}
        state.put[key] = row
    row[how] += 1
    if how in {"in", "dropped"}:
        row["since"] = id_


def _found(state: JobState, id_: str, event: Data) -> None:
    """Note what was found wrong, so that refit goes to right and not to as-found."""
    values = event["values"]
    pieces = texts([*_list(values.get("pieces")), values.get("piece")])
    what = text(values.get("what"), "not said")
    state.add("found", id_, object=event["object"], pieces=pieces, what=what, right=None)


def _measured(state: JobState, id_: str, event: Data) -> None:
    """Take a reading; within its limits, beyond them, or as the person says."""
    values = event["values"]
    state.rows["measured"].append(
        {
            "event": id_,
            "object": event["object"],
            "what": values.get("what"),
            "reading": values.get("reading"),
            "unit": values.get("unit"),
            "within": within(values),
        }
    )


def within(values: Data) -> bool | None:
    """Tell whether a reading keeps its limits; None when nobody can tell."""
    low, high = values.get("at_least"), values.get("at_most")
    limited = low is not None or high is not None
    reading = millionths(values.get("reading")) if limited else None
    if reading is None:
        said = values.get("within")
        return said if isinstance(said, bool) else None
    limits = [millionths(each) for each in (low, high) if each is not None]
    if any(each is None for each in limits):
        return None
    below = low is not None and reading < (millionths(low) or 0)
    above = high is not None and reading > (millionths(high) or 0)
    return not below and not above


def _renewed(state: JobState, id_: str, event: Data) -> None:
    """Note a new part with its line; it puts right what was found wrong of the old one."""
    object_, line = event["object"], event["values"].get("part")
    if not line:
        state.flag(id_, "renewed", object_, "say which part line it was taken from")
        return
    state.add("renewed", id_, object=object_, part=line)
    for list_, field in (("found", "right"), ("to_renew", "renewed")):
        for row in state.rows[list_]:
            if row["object"] == object_ and state.history.reaches(row["event"], id_):
                row[field] = id_


def _photo(state: JobState, id_: str, event: Data) -> None:
    """Note that photos came in, or that one is given for an earlier event's evidence."""
    values = event["values"]
    state.held = sorted({*state.held, *texts(values.get("arrived"))})
    target, evidence = text(values.get("for")), values.get("evidence")
    if target in state.history.events and isinstance(evidence, str) and event["photos"]:
        state.supplied.setdefault(target, {})[evidence] = id_


def _look(state: JobState, id_: str, event: Data) -> None:
    """Take a second look: it names what was seen. Alone it is later, and with a photo.

    `looked_at` names what was seen in words, or lists the events looked at.
    """
    named, object_, history = event["values"].get("looked_at"), event["object"], state.history
    if not named:
        state.flag(id_, "look", object_, "a second look names what was seen")
        return
    of = [each for each in texts(named) if each in history.events]
    if not of and object_ in state.cells:
        of = [each for each in state.writers(object_) if history.reaches(each, id_)]
    alone = [each for each in of if history.events[each]["person"] == event["person"]]
    reads = "same person" if alone else "second person"
    later = all(event["clock"][0] - history.events[e]["clock"][0] >= LATER for e in alone)
    if alone and not (event["photos"] and later):
        state.flag(id_, "look", object_, "alone, a second look is later and has a photo")
    words = named if isinstance(named, str) else None
    state.add("looks", id_, object=object_, of=of, saw=words, reads=reads, person=event["person"])
    _seen(state, id_, event, texts(named))


def _seen(state: JobState, id_: str, event: Data, named: list[str]) -> None:
    """Take as seen what another person's look names of what must be seen by another."""
    for row in state.rows["to_be_seen"]:
        other = row["person"] != event["person"]
        if other and row["event"] in named and state.history.reaches(row["event"], id_):
            row["seen"] = id_


def _list(value: object) -> list[Any]:
    return value if isinstance(value, list) else []


def _exception(state: JobState, id_: str, event: Data) -> None:
    """Except outstanding items, by name and with a reason that every paper prints."""
    items, reason = event["values"].get("items"), event["values"].get("reason")
    if not isinstance(items, list) or not reason or not event["person"]:
        state.flag(id_, "exception", event["object"], "an exception has a person and a reason")
        return
    for item in texts(items):
        if _is_lock_in(state, item):
            says = "a lock that is in is no exception: take it out and record it"
            state.flag(id_, "exception", event["object"], says)
            continue
        state.excepted[item] = {"event": id_, "person": event["person"], "reason": reason}


def _is_lock_in(state: JobState, item: str) -> bool:
    words = item.split(":")
    row = state.book["objects"].get(words[1]) if len(words) > 1 else None
    return row is not None and row["kind"] == "lock" and words[0] in {"open", "conflict"}


def _duty(state: JobState, id_: str, event: Data) -> None:
    """Let a named duty take an object over, where its state may outlive the visit."""
    values, object_ = event["values"], event["object"]
    words = {word: values.get(word) for word in ("duty", "limit", "person", "done")}
    may_leave = values.get("may_leave") is True
    if not words["limit"] or not words["person"]:
        state.flag(id_, "duty", object_, "a duty has a limit and a person")
        return
    takes = None
    if object_ is not None and object_ in state.book["objects"]:
        here = state.state(object_)
        row = state.book["states"][kind_of(state.book, object_)][here]
        takes = here if row["may_outlive"] else None
        if takes is None and not state.at_rest(object_):
            says = f"{name_of(state.book, object_)} is {row['says']}: no duty can take that over"
            state.flag(id_, "duty", object_, says)
    state.add("duties", id_, object=object_, takes=takes, may_leave=may_leave, **words)


def _noted(state: JobState, id_: str, event: Data) -> list[Any]:
    """Take what is told of an object: how it stands, its figure and source, how it was done.

    Gives the moves to the state in which a thing nobody had described was found.
    """
    values, object_ = event["values"], event["object"]
    if object_ is None:
        state.flag(id_, "noted", None, "what is noted has an id")
        return []
    told = {
        "how": values.get("how"),
        "figure": values.get("figure") or values.get("tightness"),
        "source": values.get("source"),
    }
    if any(value is not None for value in told.values()):
        known = state.figures.get(object_, {"how": None, "figure": None, "source": None})
        merged = {w: told[w] if told[w] is not None else known[w] for w in told}
        prints = merged["source"] or known.get("prints") or "no maker's figure"
        state.figures[object_] = {"event": id_, **merged, "prints": prints}
    stands = values.get("state")
    return [] if stands is None else _to_state(state, id_, object_, stands, values)


def _to_state(state: JobState, id_: str, object_: str, stands: object, values: Data) -> list[Any]:
    """Give the moves that put an object, or the pieces named, into a state."""
    row = state.book["objects"][object_]
    if not isinstance(stands, str) or stands not in state.book["states"][row["kind"]]:
        state.flag(id_, "state", object_, f"a {row['kind']} is never '{text(stands)}'")
        return []
    if not piece_ids(state.book, object_):
        return [[object_, None, stands]]
    named = {"pieces": values.get("pieces")}
    return [[object_, piece, stands] for piece in chosen_pieces(state.book, object_, named)[0]]


def _settle(state: JobState, id_: str, event: Data) -> list[Any]:
    """Settle flags and conflicts by a person; gives the moves to the state that stands."""
    values, object_ = event["values"], event["object"]
    for each in texts(values.get("settles")):
        state.settled.setdefault(each, id_)
        _undispute(state, each)
    stands = values.get("stands")
    if stands is not None:
        state.disputed.pop(object_, None)
    row = state.book["objects"].get(object_)
    if stands is None or row is None:
        return []
    return _to_state(state, id_, object_, stands, values)


def _undispute(state: JobState, event: str) -> None:
    """Take an event named by a settlement out of every dispute."""
    for object_, pieces in list(state.disputed.items()):
        left = {key: events for key, events in pieces.items() if event not in events}
        if left:
            state.disputed[object_] = left
        else:
            del state.disputed[object_]


def _rebase(state: JobState, id_: str, event: Data) -> None:
    state.add("rebased", id_, pack=event["pack"], changed=event["values"].get("changed"))


def _reopened(state: JobState, id_: str, event: Data) -> None:
    state.add("closings", id_, what="reopened", person=event["person"])


Statement = Callable[[JobState, str, Data], "list[Any] | None"]

STATEMENTS: dict[str, Statement] = {
    "trouble": _trouble,
    "put": _put,
    "found": _found,
    "measured": _measured,
    "renewed": _renewed,
    "photo": _photo,
    "look": _look,
    "exception": _exception,
    "duty": _duty,
    "noted": _noted,
    "settle": _settle,
    "rebase": _rebase,
    "reopened": _reopened,
}
