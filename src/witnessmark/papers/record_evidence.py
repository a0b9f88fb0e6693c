"""The evidence of a job record: tightness with its figure, wrenches, readings, photos."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from witnessmark.ledger.state import JobState
from witnessmark.papers.job_printing import Printing
from witnessmark.papers.step_words import plain_words, step_words
from witnessmark.procedure.book import name_of

MOST_PHOTOS = 120
"""Photos that are printed at the most; the others are named by their hash."""

NAME_DIGITS = 20
"""Digits of a photo's hash that name its file: short enough to be no long word."""

NO_CHECK = "check date not known here"


def tightened_rows(state: JobState, printing: Printing) -> list[dict[str, str]]:
    """Give each joint that was closed with a figure: which, whose, at what stage, by whom."""
    rows = []
    for object_ in state.touched():
        row = state.book["objects"][object_]
        entry = state.reading(object_, row["pieces"][0]["id"]) if row["pieces"] else None
        if row["kind"] != "joint" or row["tightness"] is None or entry is None:
            continue
        if not state.at_rest(object_):
            continue
        said = _said(state.taken.get(entry["event"], {}))
        rows.append(
            {
                "what": str(row["name"]),
                "figure": str(row["tightness"]),
                "source": str(row["source"] or "nobody said where it comes from"),
                "detail": "; ".join(
                    f"{word} {said[word]}" for word in ("stage", "wrench") if said.get(word)
                ),
                "since": printing.since(state, entry["event"]),
            }
        )
    return rows


def wrench_rows(state: JobState, printing: Printing) -> list[list[str]]:
    """Give each wrench named in the record, its check, and what it was used on."""
    used: dict[str, dict[str, None]] = {}
    for event in state.taken.values():
        wrench = _said(event).get("wrench")
        if wrench and event["object"] is not None:
            used.setdefault(wrench, {}).setdefault(name_of(state.book, event["object"]))
    return [
        [wrench, printing.wrenches.get(wrench, NO_CHECK), ", ".join(names)]
        for wrench, names in used.items()
    ]


def _said(event: Mapping[str, Any]) -> dict[str, str]:
    """Give the values of an event as words, those among its evidence with them."""
    values = event.get("values", {})
    inside = values.get("evidence")
    told = {**values, **(inside if isinstance(inside, Mapping) else {})}
    return {str(word): plain_words(value) for word, value in told.items()}


def reading_rows(state: JobState, printing: Printing) -> list[dict[str, str]]:
    """Give each reading with its limits, and whether it keeps them."""
    rows = []
    for row in state.rows["measured"]:
        event = state.taken.get(row["event"], state.history.events[row["event"]])
        values = event["values"]
        block = state.pack["blocks"].get(row["object"]) or {}
        measure = {**(block.get("measure") or {}), **values}
        unit = row.get("unit") or ""
        name = block.get("says") or _name(state, row["object"])
        rows.append(
            {
                "what": f"{name}: {row['what'] or 'reading'}",
                "reading": f"{row['reading'] or 'not written'} {unit}".strip(),
                "limits": _limits(measure, unit),
                "within": _within(row["within"]),
                "since": printing.signed(event),
            }
        )
    return rows


def _name(state: JobState, object_: str | None) -> str:
    return name_of(state.book, object_) if object_ is not None else "the job"


def _limits(measure: Mapping[str, Any], unit: str) -> str:
    low, high = measure.get("at_least"), measure.get("at_most")
    if low is None and high is None:
        return "no limit given"
    if low == high:
        return f"{low} {unit}".strip()
    words = [f"at least {low}"] if low is not None else []
    words += [f"at most {high}"] if high is not None else []
    return f"{', '.join(words)} {unit}".strip()


def _within(within: bool | None) -> str:
    return {True: "within", False: "OUT OF LIMIT", None: "not judged"}[within]


def picture_name(photo: str) -> str:
    """Name the file that a photo is put in by."""
    return photo[:NAME_DIGITS]


def photo_rows(
    state: JobState, printing: Printing, pictures: Collection[str]
) -> list[dict[str, str]]:
    """Give each photo with what it shows; `file` is empty where the photo is not at hand."""
    rows = []
    for number, (photo, event_id) in enumerate(state.photos.items(), 1):
        event = state.taken.get(event_id, state.history.events[event_id])
        here = photo in pictures and number <= MOST_PHOTOS
        rows.append(
            {
                "number": str(number),
                "file": picture_name(photo) if here else "",
                "what": step_words(state, event),
                "since": printing.signed(event),
                "hash": photo,
            }
        )
    return rows
