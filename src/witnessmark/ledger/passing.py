"""Gate passes and handing back as they were recorded: what was open then is flagged.

A gate refuses the pass, never the record. A pass with something open has a named person
and a reason, and prints both; cranking with a lock in has no such pass.
"""

from __future__ import annotations

from witnessmark.ledger.gates import gate, scope_of
from witnessmark.ledger.state import JobState
from witnessmark.procedure.book import Data


def gate_passed(state: JobState, id_: str, event: Data) -> None:
    """Take a gate pass; keep what was open, who passed it and why."""
    gate_id, values = event["action"], event["values"]
    row = state.book["gates"].get(gate_id)
    if row is None:
        state.flag(id_, "gate", event["object"], f"there is no gate '{gate_id}'")
        return
    purpose, reason = values.get("purpose"), values.get("reason")
    found = gate(state, gate_id, purpose, event["object"], event["wall"])
    open_ = [each["says"] for each in found["open"]]
    answered = values.get("answered")
    asked = found["asks"]
    unanswered = [each for each in asked if not _answered(answered, each)]
    if open_ and not (reason and event["person"] and found["passable"]):
        says = "cannot be passed: " if not found["passable"] else "passed without a reason: "
        state.flag(id_, "gate", event["object"], f"{row['name']}: {says}{'; '.join(open_)}")
    if unanswered:
        says = f"{row['name']}: not answered: {'; '.join(unanswered)}"
        state.flag(id_, "gate asks", event["object"], says)
    state.add(
        "passes",
        id_,
        gate=gate_id,
        name=row["name"],
        purpose=purpose,
        object=event["object"],
        person=event["person"],
        reason=reason,
        open=open_,
        clear=not open_ and not unanswered,
        scope=scope_of(state, gate_id, event["object"]),
    )


def _answered(answered: object, asked: str) -> bool:
    """Tell whether a question was answered: listed, or with its answer."""
    if isinstance(answered, dict):
        return bool(answered.get(asked))
    return isinstance(answered, list) and asked in answered


def holds_for(state: JobState, row: Data, id_: str) -> bool:
    """Tell whether a pass was known, and nothing in its scope was touched since."""
    history = state.history
    if not history.reaches(row["event"], id_):
        return False
    return not any(
        history.events[each]["object"] in row["scope"]
        and history.events[each]["type"] in {"done", "block", "settle"}
        and not history.reaches(each, row["event"])
        and history.reaches(each, id_)
        for each in history.order
        if each not in {id_, row["event"]}
    )


def closed(state: JobState, id_: str, event: Data) -> None:
    """Take the handing back; flag it when its gate was not passed."""
    passes = [row for row in state.rows["passes"] if row["gate"] == "handing-back"]
    if not any(holds_for(state, row, id_) for row in passes):
        state.flag(id_, "gate", None, "before handing back: not passed for this")
    state.add("closings", id_, what="closed", person=event["person"])
