"""The rule book's interpreter over plain data: what an action does and which rules it breaks.

It refuses nothing: an action that breaks rules is still done, and every rule it breaks is
named.
"""

from __future__ import annotations

from typing import Any

from witnessmark.procedure.book import (
    Data,
    depth_of,
    kind_of,
    name_of,
    piece_ids,
    way_taken,
)
from witnessmark.procedure.demands import broken_rule, still_resting, turning_demands, unmet
from witnessmark.procedure.standing import (
    LOST,
    deepest,
    moved,
    piece_state,
    says_state,
    state_of,
)

BY_HAND = ("in to turn",)
"""States of a moment: no way is taken to them."""

STILL = ("turn", "pull-again", "pressurise")
"""Acts that take their own object to no other state."""

PROOFS = ("prove", "belt-and-prove")


def chosen_pieces(book: Data, object_: str, values: Data) -> tuple[list[str], list[Data]]:
    """Give the pieces an action names: by id, by running count, or all."""
    ids = piece_ids(book, object_)
    named, count = values.get("pieces"), values.get("count")
    if isinstance(named, list):
        strange = [str(each) for each in named if each not in ids]
        broken = [broken_rule("pieces", object_, f"it has no {each}") for each in strange]
        return [id_ for id_ in ids if id_ in named], broken
    if isinstance(count, int) and not isinstance(count, bool):
        if 0 <= count <= len(ids):
            return ids[:count], []
        return ids, [broken_rule("pieces", object_, f"it has {len(ids)}, not {count}")]
    return ids, []


def act(
    book: Data,
    standing: Data,
    action_id: str,
    object_: str | None,
    values: Data,
    *,
    for_a_moment: bool = False,
) -> Data:
    """Say what an action does and breaks; `for_a_moment` within a step that undoes it again.

    Gives `{"moves": [[object, piece or None, state]], "broken": [{rule, object, says}]}`;
    the moves of the object itself come first, then the shafts that lose their proof, with
    `LOST` for a state. `lands_on` says what a move comes to where a thing stands.
    """
    action = book["actions"].get(action_id)
    if action is None:
        return {"moves": [], "broken": [broken_rule("action", object_, f"no '{action_id}' known")]}
    if action["kind"] == "machine":
        rows = book["tables"]["demands"].get(action_id, [])
        return {"moves": [], "broken": list(unmet(book, standing, rows, "act"))}
    if object_ is None or object_ not in book["objects"]:
        return {"moves": [], "broken": [broken_rule("object", object_, "nobody described it")]}
    if kind_of(book, object_) != action["kind"]:
        says = f"{name_of(book, object_)} is a {kind_of(book, object_)}"
        return {"moves": [], "broken": [broken_rule("object", object_, says)]}
    pieces, broken = chosen_pieces(book, object_, values)
    moves: list[Any] = [[object_, piece, action["target"]] for piece in pieces]
    if not piece_ids(book, object_):
        moves = [[object_, None, action["target"]]]
    moves = _settled_moves(book, action, moves)
    broken += _wrong_source(book, standing, action, moves)
    broken += _further_pull(book, object_, action_id)
    after = moved(book, standing, moves)
    broken += _demanded(book, standing, after, action, object_, values)
    broken += _turning(book, standing, action_id, object_)
    if not for_a_moment:
        broken += still_resting(book, standing, after, object_)
    broken += _made_with_old(standing, object_, moves)
    moves = moves + _lost_proofs(book, action, object_)
    return {"moves": moves, "broken": _each_once(broken)}


def _settled_moves(book: Data, action: Data, moves: list[Any]) -> list[Any]:
    """Leave out what an act does not move; spread what is unknown over its whole pattern.

    An angle that is not known of one bolt is not known of the joint: all of it is slackened
    in order and begun again.
    """
    if action["id"] in STILL:
        return []
    if action["target"] == "unknown" and moves and book["objects"][moves[0][0]]["angled"]:
        return [[moves[0][0], piece, "unknown"] for piece in piece_ids(book, moves[0][0])]
    return moves


def _wrong_source(book: Data, standing: Data, action: Data, moves: list[Any]) -> list[Data]:
    """Say which pieces do not stand where the action starts; done already is no fault."""
    found: Data = {}
    for object_, piece, target in moves:
        here = (
            state_of(book, standing, object_)
            if piece is None
            else piece_state(book, standing, object_, piece)
        )
        if here != target and here not in action["sources"]:
            found.setdefault(here, [object_, []])[1].append(piece)
    return [
        broken_rule("state", object_, _standing_words(book, object_, state, pieces))
        for state, (object_, pieces) in found.items()
    ]


def _standing_words(book: Data, object_: str, state: str, pieces: list[str | None]) -> str:
    says: str = book["states"][kind_of(book, object_)][state]["says"]
    which = ", ".join(piece for piece in pieces if piece is not None)
    return f"{name_of(book, object_)}{' ' + which if which else ''} is {says}"


def _further_pull(book: Data, object_: str, action_id: str) -> list[Data]:
    why = book["objects"][object_]["no_further_pull"]
    if action_id != "pull-again":
        return []
    if book["objects"][object_]["tightness"] is None:
        why = "no torque is known to pull to"
    return [] if why is None else [broken_rule("further pull", object_, why)]


def _passed(book: Data, before: Data, after: Data, object_: str) -> list[str]:
    """Give the openings passed between two standings of an object, shallow first."""
    low, high = sorted([deepest(book, before, object_), deepest(book, after, object_)])
    states = book["states"][kind_of(book, object_)].values()
    return [
        f"{object_} {row['id']}" for row in states if row["opening"] and low < row["depth"] <= high
    ]


def _demanded(
    book: Data, standing: Data, after: Data, action: Data, object_: str, values: Data
) -> list[Data]:
    """Give the demands of the openings passed, and of the way taken where it is known."""
    deeper = deepest(book, after, object_) > deepest(book, standing, object_)
    event = "strip" if deeper else "refit"
    tables = book["tables"]
    by_hand = action["target"] in BY_HAND or action["sources"][0] in BY_HAND
    found: list[Data] = []
    for opening in _passed(book, standing, after, object_):
        found += unmet(book, standing, tables["demands"].get(opening, []), event)
        way = None if by_hand else way_taken(tables["ways"].get(opening, {}), values)
        found += unmet(book, standing, way[event] if way is not None else [], event)
    if action["id"] == "pressurise":
        rows = tables["demands"].get(f"pressurise {object_}", [])
        found += unmet(book, standing, rows, "act")
    return found


def _turning(book: Data, standing: Data, action_id: str, object_: str) -> list[Data]:
    """Give what is wrong with turning, by itself or for a proof."""
    if action_id == "turn":
        return list(turning_demands(book, standing, object_))
    if action_id in PROOFS and object_ in book["tables"]["proof_turns"]:
        return list(turning_demands(book, standing, object_, object_))
    return []


def _made_with_old(standing: Data, object_: str, moves: list[Any]) -> list[Data]:
    old = standing["old"].get(object_, [])
    if not any(piece in old for _, piece, state in moves if state == "made"):
        return []
    says = "single use; once slackened it comes out, and new ones go in"
    return [broken_rule("single use", object_, says)]


def _lost_proofs(book: Data, action: Data, object_: str) -> list[Any]:
    """Give the shafts that lose their proof: disturbed by what opened, or turned.

    One that has none to lose is named too: whoever proves it meanwhile did not know. So is
    one that stands still because the belt is off: it has lost its proof with the belt.
    """
    shafts: list[str] = []
    if action["half"] == "strip":
        depth = depth_of(book, action["kind"], action["target"])
        for row in book["states"][action["kind"]].values():
            if row["depth"] <= depth:
                shafts += book["tables"]["disturbs"].get(f"{object_} {row['id']}", [])
    if action["id"] == "turn":
        shafts += [object_, *book["tables"]["turns_with"].get(object_, [])]
    proved = book["tables"]["proved"]
    return [[shaft, None, LOST] for shaft in dict.fromkeys(shafts) if shaft in proved]


def _each_once(broken: list[Data]) -> list[Data]:
    found: list[Data] = []
    for each in broken:
        if each not in found:
            found.append(each)
    return found


def act_to(book: Data, standing: Data, row: Data) -> Data:
    """Do one act of a work's own step, given as `{verb, object, state}`, as things stand.

    Gives what `act` gives. An object is taken to a state by whatever action leads there.
    """
    verb, object_, target = row["verb"], row["object"], row["state"]
    if verb != "set":
        return act(book, standing, verb, object_, {}, for_a_moment=True)
    kind = kind_of(book, object_)
    here = state_of(book, standing, object_)
    for half in ["act"] if here in BY_HAND or target in BY_HAND else ["strip", "refit"]:
        for action in book["rules"]["actions"]:
            leads = action["kind"] == kind and action["target"] == target
            if leads and action["half"] == half and here in action["sources"]:
                return act(book, standing, action["id"], object_, {}, for_a_moment=True)
    if here == target:
        return {"moves": [], "broken": []}
    says = f"{name_of(book, object_)} is {says_state(book, standing, object_)}"
    return {"moves": [], "broken": [broken_rule("state", object_, says)]}
