"""What comes next by the plan, read off the record: steps that nobody has written down yet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from witnessmark.ledger.state import STEPS, JobState
from witnessmark.procedure.book import depth_of

Step = dict[str, Any]


def steps_left(state: JobState) -> list[tuple[int, Step]]:
    """Give the plan's steps that are not done, with their numbers, in order.

    An opening is done when the object was ever opened that far; a closing when it was
    written and the object still stands so; a step of the work's own when it was written.
    """
    written = Counter(
        (event["action"] if event["type"] == "done" else None, event["object"])
        for event in state.taken.values()
        if event["type"] in STEPS
    )
    left = []
    for number, step in enumerate(state.pack["plan"]["steps"], 1):
        key = (step["action"], step["object"])
        if _stands(state, step) and (written[key] > 0 or _was_opened(state, step)):
            written[key] -= 1
        else:
            left.append((number, step))
    return left


def _stands(state: JobState, step: Step) -> bool:
    """Tell whether an object still stands as its closing left it, or better."""
    object_ = step["object"]
    if step["kind"] != "refit" or object_ not in state.book["objects"]:
        return True
    kind = state.book["objects"][object_]["kind"]
    target = state.book["actions"][step["action"]]["target"]
    return depth_of(state.book, kind, state.state(object_)) <= depth_of(state.book, kind, target)


def _was_opened(state: JobState, step: Step) -> bool:
    if step["kind"] != "strip":
        return False
    target = state.book["actions"][step["action"]]["target"]
    return f"{step['object']} {target}" in state.opened


def step_rows(steps: list[tuple[int, Step]]) -> Iterator[dict[str, str]]:
    """Give steps of a plan as they are printed."""
    for number, step in steps:
        yield {
            "number": str(number),
            "what": step["says"],
            "where": step["position"] or "",
            "caution": step["caution"] or "",
        }
