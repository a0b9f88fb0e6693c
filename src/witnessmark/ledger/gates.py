"""Gates: what must be closed before an act, by name, for its purpose.

A gate looks at the same state as everything else: objects in its clearances, what the
machine's tables demand of the act itself, and the registers it names.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.ledger.registers import register
from witnessmark.ledger.state import JobState
from witnessmark.procedure.book import Data, depth_of
from witnessmark.procedure.demands import shafts_turned, turning_demands, unmet
from witnessmark.procedure.standing import deepest

TURNING = "turning-by-hand"

TO_START = "to start"


def gate(
    state: JobState,
    gate_id: str,
    purpose: str | None = None,
    object_: str | None = None,
    now: int | None = None,
) -> Data:
    """Tell whether a gate may be passed as things stand.

    Parameters
    ----------
    state : JobState
        Where the job stands.
    gate_id : str
        The gate, by the rule book.
    purpose : str, optional
        What the act is for; gates with purposes want one of them.
    object_ : str, optional
        The shaft turned, the circuit opened, or the part that covers.
    now : int, optional
        Milliseconds; without it, times before which nothing may be done count as not come.

    Returns
    -------
    dict
        `open` what must be closed first, by name; `asks` what must be answered; `passable`
        whether a named person may pass it with a reason; `clear` whether nothing is open.
    """
    row = state.book["gates"][gate_id]
    open_: list[Data] = []
    for each in _everything(state, row, purpose, object_, now):
        if all((each["object"], each["says"]) != (o["object"], o["says"]) for o in open_):
            open_.append(each)
    locked = any(each["kind"] == "lock" for each in open_)
    shut = any(each["kind"] == "unread" for each in open_)
    return {
        "gate": gate_id,
        "name": row["name"],
        "purpose": purpose,
        "open": open_,
        "asks": list(row["asks"]),
        "clear": not open_,
        "passable": not shut and (row["passable"] or not locked),
    }


def gates_before(state: JobState, action_id: str, object_: str | None) -> list[str]:
    """Give the gates that stand before an action on an object.

    A shaft whose proof is only a look at its mark turns nothing.
    """
    action = state.book["actions"].get(action_id)
    if action is None:
        return []
    turns = action_id == "turn" or object_ in state.book["tables"]["proof_turns"]
    return [each for each in action["gates"] if each != TURNING or turns]


def _open(kind: str, object_: str | None, says: str) -> Data:
    return {"kind": kind, "object": object_, "says": says}


def _everything(
    state: JobState, row: Data, purpose: str | None, object_: str | None, now: int | None
) -> Iterator[Data]:
    for id_ in state.history.unknown:
        yield _open("unread", None, f"an entry this edition does not know ({id_[:8]})")
    if row["purposes"] and purpose not in row["purposes"]:
        yield _open("purpose", None, f"say for which purpose: {', '.join(row['purposes'])}")
    for clearance in row["clear_when"]:
        if not clearance["purposes"] or purpose in clearance["purposes"]:
            yield from _clearance(state, clearance, object_)
    yield from _of_the_act(state, row, purpose, object_)
    for name in row["registers"]:
        for entry in register(state, name, now):
            yield _open(_kind(state, entry["object"], name), entry["object"], entry["says"])


def _kind(state: JobState, object_: str | None, otherwise: str) -> str:
    """Give the kind of an object; another word where the pack does not know it."""
    row = state.book["objects"].get(object_)
    return otherwise if row is None else str(row["kind"])


def _clearance(state: JobState, clearance: Data, object_: str | None) -> Iterator[Data]:
    for each in in_scope(state, clearance, object_):
        here = state.state(each)
        if here not in clearance["states"]:
            says = state.book["states"][clearance["kind"]][here]["says"]
            name = state.book["objects"][each]["name"]
            yield _open(clearance["kind"], each, f"{name}: {says}")


def in_scope(state: JobState, clearance: Data, object_: str | None) -> list[str]:
    """Give the objects a clearance looks at: of its kind, role and scope, and disturbed."""
    found = []
    turned = shafts_turned(state.book, state.standing, object_) if object_ is not None else []
    hidden = _hidden_by(state, object_)
    for each in state.touched():
        row = state.book["objects"][each]
        if row["kind"] != clearance["kind"]:
            continue
        if clearance["roles"] and row["role"] not in clearance["roles"]:
            continue
        if clearance["scope"] == "holding" and not any(s in row["holds"] for s in turned):
            continue
        if clearance["scope"] == "hidden" and each not in hidden:
            continue
        found.append(each)
    return found


def _hidden_by(state: JobState, object_: str | None) -> list[str]:
    """Give what is open and can only be closed with a part off or aside."""
    found = []
    for depth in ("moved", "off"):
        for bound, _ in state.book["rests_on"].get(f"{object_} {depth}", []):
            hidden, _, opening = bound.partition(" ")
            if hidden in state.cells and _stands_at(state, hidden, opening):
                found.append(hidden)
    return found


def _stands_at(state: JobState, object_: str, opening: str) -> bool:
    kind = state.book["objects"][object_]["kind"]
    there = depth_of(state.book, kind, opening)
    return deepest(state.book, state.standing, object_) >= there


def _of_the_act(
    state: JobState, row: Data, purpose: str | None, object_: str | None
) -> Iterator[Data]:
    """Give what the machine's own tables and bars demand of the act behind a gate."""
    book, demands = state.book, state.book["tables"]["demands"]
    acts = {"cranking": ["crank"], "first-start": ["start"], "lowering": ["lower"]}
    broken: list[Data] = []
    for act in acts.get(row["id"], []):
        broken += unmet(book, state.standing, demands.get(act, []), "act")
    if row["id"] == "cranking" and purpose == TO_START:
        broken += unmet(book, state.standing, demands.get("start", []), "act")
    if row["id"] == TURNING and object_ is not None:
        broken += turning_demands(book, state.standing, object_)
    if row["id"] == "opening-pressure" and object_ is not None:
        rows = demands.get(f"pressurise {object_}", [])
        broken += unmet(book, state.standing, rows, "act")
    for each in broken:
        kind = _kind(state, each["object"], each["rule"])
        yield _open(kind, each["object"], each["says"])


def scope_of(state: JobState, gate_id: str, object_: str | None) -> list[str]:
    """Give every object a gate's pass speaks for, disturbed or not yet."""
    row = state.book["gates"][gate_id]
    if "outstanding" in row["registers"]:
        return list(state.book["objects"])
    kinds = [clearance["kind"] for clearance in row["clear_when"]]
    turned = shafts_turned(state.book, state.standing, object_) if object_ is not None else []
    found = []
    for each, about in state.book["objects"].items():
        for clearance in row["clear_when"]:
            roles = not clearance["roles"] or about["role"] in clearance["roles"]
            holding = clearance["scope"] != "holding" or any(s in about["holds"] for s in turned)
            if about["kind"] in kinds and about["kind"] == clearance["kind"] and roles and holding:
                found.append(each)
                break
    return found
