"""How the things of a machine stand, and where moves take them.

A standing is `{"at": {object: state}, "pieces": {joint: {piece: state}}, "old": {joint:
[piece]}}`; what is not listed is at rest. `old` lists pieces of single-use joints that
were slackened and have not been out since.
"""

from __future__ import annotations

from typing import Any

from witnessmark.procedure.book import Data, depth_of, kind_of, piece_ids, rest_of

LOST = "proof lost"
"""Where a move takes a shaft that loses its proof; one without its belt stays as it is."""


def piece_state(book: Data, standing: Data, object_: str, piece: str) -> str:
    """Give the state of one piece of a joint."""
    state: str = standing["pieces"].get(object_, {}).get(piece, rest_of(book, "joint"))
    return state


def state_of(book: Data, standing: Data, object_: str) -> str:
    """Give the state of an object; a joint's follows from its pieces."""
    kind = kind_of(book, object_)
    pieces = piece_ids(book, object_) if kind == "joint" else []
    if not pieces:
        state: str = standing["at"].get(object_, rest_of(book, kind))
        return state
    if object_ not in standing["pieces"]:
        return rest_of(book, kind)
    return together(book, kind, [piece_state(book, standing, object_, p) for p in pieces])


def together(book: Data, kind: str, states: list[str]) -> str:
    """Give the state of a joint whose pieces stand in these states."""
    if all(state == states[0] for state in states):
        return states[0]
    if "unknown" in states:
        return "unknown"
    between: list[str] = [s for s in book["order"][kind] if book["states"][kind][s]["opening"]]
    return between[0]


def is_open(book: Data, standing: Data, object_: str, state: str) -> bool:
    """Tell whether an object stands at least as deep as a state."""
    kind = kind_of(book, object_)
    here = state_of(book, standing, object_)
    return depth_of(book, kind, here) >= depth_of(book, kind, state)


def says_state(book: Data, standing: Data, object_: str) -> str:
    """Give the state of an object in words."""
    state = state_of(book, standing, object_)
    says: str = book["states"][kind_of(book, object_)][state]["says"]
    return says


def deepest(book: Data, standing: Data, object_: str) -> int:
    """Tell how deep an object stands; a joint as deep as its deepest piece.

    One bolt out of sixteen releases nothing, but one hose end off opens a circuit.
    """
    pieces = standing["pieces"].get(object_, {})
    if kind_of(book, object_) != "joint" or not pieces:
        return depth_of(book, kind_of(book, object_), state_of(book, standing, object_))
    return max(depth_of(book, "joint", state) for state in pieces.values())


def as_deep(book: Data, standing: Data, object_: str, state: str) -> bool:
    """Tell whether an object, or any piece of it, stands at least as deep as a state."""
    return deepest(book, standing, object_) >= depth_of(book, kind_of(book, object_), state)


def lands_on(book: Data, kind: str, here: str, target: str) -> str | None:
    """Give the state a move takes a thing to that stands somewhere; None if it stays.

    What is out is known to be out, and a shaft free of its belt has no proof to lose.
    """
    if target in {LOST, "unknown"} and depth_of(book, kind, here) > 1:
        return None
    return "unproven" if target == LOST else target


def moved(book: Data, standing: Data, moves: list[Any]) -> Data:
    """Give the standing after moves; the one given is left as it is."""
    after = {"at": dict(standing["at"]), "pieces": dict(standing["pieces"])}
    old = {joint: list(pieces) for joint, pieces in standing["old"].items()}
    after["old"] = old
    for object_, piece, target in moves:
        kind = kind_of(book, object_)
        was = (
            after["at"].get(object_, rest_of(book, kind))
            if piece is None
            else piece_state(book, after, object_, piece)
        )
        state = lands_on(book, kind, was, target)
        if state is None:
            continue
        if piece is None:
            after["at"][object_] = state
            continue
        after["pieces"][object_] = {**after["pieces"].get(object_, {}), piece: state}
        if book["objects"][object_]["single_use"]:
            old[object_] = old_after(book, old.get(object_, []), piece, was, state)
    return after


def old_after(book: Data, old: list[str], piece: str, was: str, state: str) -> list[str]:
    """Give the pieces slackened and not out since, after one piece went to another state."""
    kept = [each for each in old if each != piece]
    deep = depth_of(book, "joint", state)
    if deep < 2 and (piece in old or (was == "made" and deep == 1)):
        kept.append(piece)
    return kept
