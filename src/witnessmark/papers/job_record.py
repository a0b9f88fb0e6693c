"""The job record: what was done, as it was done, by whom, with which wrench, shown to whom asks.

Pure: a folded job in, plain data out. Nothing is tidied: what was taken back, what broke a
rule and what is still open are printed as they stand. Photos are named here by their hash
and put in by whoever renders.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.registers import register
from witnessmark.ledger.state import JobState, is_step
from witnessmark.papers.job_printing import Printing, people_in
from witnessmark.papers.record_evidence import (
    photo_rows,
    reading_rows,
    tightened_rows,
    wrench_rows,
)
from witnessmark.papers.standing_lines import Line, line, outstanding_lines, register_lines
from witnessmark.papers.step_words import said_lines, step_words

NOT_CLOSED = "This job is not closed: what stands below as outstanding is open."


def job_record(
    state: JobState, printing: Printing, pictures: Collection[str] = ()
) -> dict[str, Any]:
    """Lay out the record of a job; `pictures` are the hashes of the photos at hand."""
    found = register_lines(state, printing)
    open_, odd = outstanding_lines(state, printing)
    return {
        "title": f"Job record: {state.pack['machine']['name']}",
        "subject": printing.job,
        "foot": f"Printed {printing.when(printing.now)}. Times are those of the devices' clocks.",
        "machine": state.pack["machine"]["name"],
        "works": [work["name"] for work in state.pack["works"]] or [printing.title],
        "head": _head(state, printing),
        "closing": _closing(state, printing),
        "outstanding": [*open_, *odd],
        "steps": list(_steps(state, printing)),
        "tightened": tightened_rows(state, printing),
        "wrenches": wrench_rows(state, printing),
        "figures": _figures(state, printing),
        "readings": reading_rows(state, printing),
        "sections": [
            {"title": title, "rows": rows}
            for title, rows in (
                ("Found on the way", list(_findings(state, printing))),
                ("Renewed", found["renewed"]),
                ("Litres out and in", found["litres"]),
                ("Settings as found and as set", found["settings"]),
                ("Second looks", found["looks"]),
                ("Let stand by a named person", _register(state, printing, "exceptions")),
                ("Gates passed with something open", _register(state, printing, "gates")),
                ("Against the rules when it was written", list(_flags(state, printing))),
                ("Stops", list(_stops(state, printing))),
                ("Taken back as slips", list(_taken_back(state, printing))),
                ("Duties that outlive this job", found["duties"]),
            )
            if rows
        ],
        "photos": photo_rows(state, printing, pictures),
        "people": people_in(state, printing),
        "book": printing.book(),
    }


def _head(state: JobState, printing: Printing) -> list[list[str]]:
    walls = [state.history.events[id_]["wall"] for id_ in state.history.order]
    named = (
        ("job", printing.job),
        ("title", printing.title if printing.customer or printing.plate else ""),
        ("customer", printing.customer),
        ("plate", printing.plate),
        ("first entry", printing.when(walls[0]) if walls else ""),
        ("last entry", printing.when(walls[-1]) if walls else ""),
    )
    return [[word, says] for word, says in named if says]


def _closing(state: JobState, printing: Printing) -> str:
    rows = state.rows["closings"]
    if rows and rows[-1]["what"] == "closed":
        left = len(outstanding(state))
        after = f" {left} things were outstanding." if left else " Nothing was outstanding."
        return f"Handed back: {printing.since(state, rows[-1]['event'])}.{after}"
    return NOT_CLOSED


def _steps(state: JobState, printing: Printing) -> Iterator[dict[str, str]]:
    """Give every step as it was written, corrections read in, in the order of the record."""
    number = 0
    for event in state.taken.values():
        if is_step(event):
            number += 1
            yield {
                "number": str(number),
                "what": step_words(state, event),
                "detail": "; ".join(said_lines(event)),
                "since": printing.signed(event),
            }


def _figures(state: JobState, printing: Printing) -> list[Line]:
    """Give the joints for which the file holds no maker's figure, and how each was tightened."""
    rows = []
    for object_, figure in state.figures.items():
        row = state.book["objects"].get(object_)
        if row is not None and row["tightness"] is not None:
            continue
        said = [f"how: {figure['how']}"] if figure["how"] else []
        if isinstance(figure["figure"], Mapping):
            said.append(", ".join(f"{k} {v}" for k, v in figure["figure"].items()))
        elif figure["figure"]:
            said.append(str(figure["figure"]))
        name = row["name"] if row is not None else object_
        rows.append(
            {
                "what": f"{name}: {figure['prints']}",
                "detail": "; ".join(said),
                "since": printing.since(state, figure["event"]),
            }
        )
    return rows


def _findings(state: JobState, printing: Printing) -> Iterator[Line]:
    """Give what was found wrong and what stood in the way, and what became of it."""
    for row in state.rows["found"]:
        right = printing.since(state, row["right"] or state.settled.get(row["event"]))
        says = f"{_name(state, row['object'])}: {row['what']}"
        yield {
            "what": says,
            "detail": f"put right: {right}" if right else "not put right",
            "since": printing.since(state, row["event"]),
        }
    for row in state.rows["troubles"]:
        settled = printing.since(state, state.settled.get(row["event"]))
        event = state.history.events[row["event"]]
        more = "; ".join(w for w in said_lines(event) if w != f"kind: {row['kind']}")
        yield {
            "what": f"{_name(state, row['object'])}: {row['kind']}",
            "detail": "; ".join(w for w in (f"settled: {settled}" if settled else "", more) if w),
            "since": printing.signed(event),
        }


def _flags(state: JobState, printing: Printing) -> Iterator[Line]:
    for row in state.rows["flags"]:
        by = state.settled.get(row["id"]) or state.settled.get(row["event"])
        settled = printing.since(state, by)
        yield {
            "what": str(row["says"]),
            "detail": f"settled: {settled}" if settled else "not settled",
            "since": printing.since(state, row["event"]),
        }


def _stops(state: JobState, printing: Printing) -> Iterator[Line]:
    for stop in state.rows["stops"]:
        back = printing.since(state, stop["returned"])
        yield {
            "what": "stopped",
            "detail": f"back, the last steps looked at again: {back}" if back else "not come back",
            "since": printing.since(state, stop["event"]),
        }


def _taken_back(state: JobState, printing: Printing) -> Iterator[Line]:
    """Give the entries that somebody corrected away, with who did."""
    back = {
        event["values"].get("corrects"): event
        for event in state.taken.values()
        if event["type"] == "correct"
    }
    for id_ in state.history.order:
        event = state.history.events[id_]
        if id_ not in state.taken and id_ in back:
            yield {
                "what": step_words(state, event),
                "detail": f"taken back: {printing.signed(back[id_])}",
                "since": printing.signed(event),
            }


def _name(state: JobState, object_: str | None) -> str:
    row = state.book["objects"].get(object_)
    return str(row["name"]) if row is not None else object_ or "the job"


def _register(state: JobState, printing: Printing, name: str) -> list[Line]:
    return [line(state, printing, row) for row in register(state, name, printing.now)]
