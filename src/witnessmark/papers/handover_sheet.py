"""The handover sheet: a half-done job to somebody else, who can finish from it alone.

Pure: a folded job in, plain data out. It reads top down as the next person needs it: what
must not be done, what is open by name, what is in and on the machine, what was done last,
what comes next. Without `customer` and `plate` it can be shown to anybody.
"""

from __future__ import annotations

from typing import Any

from witnessmark.ledger.interruption import LAST
from witnessmark.ledger.registers import register
from witnessmark.ledger.state import JobState, is_step
from witnessmark.papers.job_printing import Printing, people_in
from witnessmark.papers.next_steps import step_rows, steps_left
from witnessmark.papers.standing_lines import (
    TITLES,
    Line,
    line,
    outstanding_lines,
    register_lines,
)
from witnessmark.papers.state_card import state_card
from witnessmark.papers.step_words import said_lines, step_words

MOST_NEXT = 8
"""Steps of the plan that are printed as coming next; the card or the bench has the others."""

NO_PLAN = "No plan for this machine: close what is open, nearest the machine first."
DONE = "Every step of the plan is recorded."


def handover_sheet(state: JobState, printing: Printing) -> dict[str, Any]:
    """Lay out the handover sheet of a job as it stands."""
    found = register_lines(state, printing)
    open_, odd = outstanding_lines(state, printing)
    left = steps_left(state)
    planned = len(state.pack["plan"]["steps"])
    return {
        "title": f"Handover: {state.pack['machine']['name']}",
        "subject": printing.job,
        "foot": f"Printed {printing.when(printing.now)}. What is written after that is not on it.",
        "machine": state.pack["machine"]["name"],
        "works": [work["name"] for work in state.pack["works"]] or [printing.title],
        "head": _head(printing),
        "words": [each["words"] for each in state_card(state, printing)["words"]],
        "stands": _stands(state, printing, planned, planned - len(left)),
        "outstanding": open_,
        "odd": odd,
        "registers": [
            {"title": TITLES[name], "rows": lines} for name, lines in found.items() if lines
        ],
        "empty": [TITLES[name] for name, lines in found.items() if not lines],
        "last": _last_steps(state, printing),
        "next": list(step_rows(left[:MOST_NEXT])),
        "next_note": _next_note(planned, len(left)),
        "stops": _stops(state, printing),
        "exceptions": _register(state, printing, "exceptions"),
        "passes": _register(state, printing, "gates"),
        "people": people_in(state, printing),
        "book": printing.book(),
    }


def _head(printing: Printing) -> list[list[str]]:
    """Give what tells the job; title, customer and plate only where the sheet may carry them."""
    named = (
        ("job", printing.job),
        ("title", printing.title if printing.customer or printing.plate else ""),
        ("customer", printing.customer),
        ("plate", printing.plate),
    )
    return [[word, says] for word, says in named if says]


def _stands(state: JobState, printing: Printing, planned: int, done: int) -> list[str]:
    lines = [f"{done} of {planned} steps of the plan are recorded."] if planned else []
    stop = next((s for s in reversed(state.rows["stops"]) if s["returned"] is None), None)
    if stop is not None:
        lines.append(f"Stopped: {printing.since(state, stop['event'])}. Nobody has come back.")
    else:
        lines += [each["what"] for each in _register(state, printing, "interruption")]
    ends = [row for row in state.rows["closings"] if row["what"] == "closed"]
    if ends and state.rows["closings"][-1] is ends[-1]:
        lines.append(f"Handed back: {printing.since(state, ends[-1]['event'])}.")
    return lines


def _last_steps(state: JobState, printing: Printing) -> list[dict[str, str]]:
    """Give the last steps, the latest first: they are looked at again before work goes on."""
    steps = [(i, e) for i, e in state.taken.items() if is_step(e)]
    return [
        {
            "what": step_words(state, event),
            "detail": "; ".join(said_lines(event)),
            "since": printing.signed(event),
        }
        for _, event in steps[::-1][:LAST]
    ]


def _next_note(planned: int, left: int) -> str:
    if not planned:
        return NO_PLAN
    if not left:
        return DONE
    return f"{left} steps of the plan are left." if left > MOST_NEXT else ""


def _stops(state: JobState, printing: Printing) -> list[Line]:
    rows = []
    for stop in state.rows["stops"]:
        back = printing.since(state, stop["returned"])
        rows.append(
            {
                "what": f"stopped: {printing.since(state, stop['event'])}",
                "detail": f"back: {back}" if back else "nobody has come back",
                "since": "",
            }
        )
    return rows


def _register(state: JobState, printing: Printing, name: str) -> list[Line]:
    return [line(state, printing, row) for row in register(state, name, printing.now)]
