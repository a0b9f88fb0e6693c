"""The rule book's interpreter over plain data: what an action does and which rules it breaks.

It reads the same JSON that a phone holds: the book, the tables and object rows of one
machine. Nothing here knows Python's classes of the book, and a second interpreter in
another language follows it line by line. It refuses nothing: an action that breaks rules
is still done, and every rule it breaks is named.

A standing is `{"at": {object: state}, "pieces": {joint: {piece: state}}, "old": {joint:
[piece]}}`; what is not listed is at rest. `old` lists pieces of single-use joints that
were slackened and have not been out since.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Data = dict[str, Any]
"""Plain data as JSON holds it."""

BY_HAND = ("in to turn",)
"""States of a moment: no way is taken to them."""

LOST = "proof lost"
"""Where a move takes a shaft that loses its proof; one without its belt stays as it is."""

STILL = ("turn", "pull-again", "pressurise")
"""Acts that take their own object to no other state."""

PROOFS = ("prove", "belt-and-prove")


def read_book(rules: Data, tables: Data, objects: Data) -> Data:
    """Index the plain rows once: every look-up below is one step."""
    book: Data = {"rules": rules, "tables": tables, "objects": objects}
    book["states"] = {
        kind["id"]: {state["id"]: state for state in kind["states"]} for kind in rules["kinds"]
    }
    book["order"] = {
        kind["id"]: [state["id"] for state in kind["states"]] for kind in rules["kinds"]
    }
    for table in ("actions", "checks", "evidence", "gates"):
        book[table] = {row["id"]: row for row in rules[table]}
    book["rests_on"] = _rests_on(tables, book["checks"])
    return book


def _rests_on(tables: Data, checks: Data) -> Data:
    """Index lasting demands by each opening they rest on: the tables' and the ways' own."""
    found: Data = {}
    asked = list(tables["demands"].items())
    for bound, ways in tables["ways"].items():
        way = _way(ways, {})
        asked.append((bound, way["refit"] if way is not None else []))
    for bound, rows in asked:
        for row in rows:
            if checks[row["check"]]["lasting"] and row["wanted"] == "open":
                for object_, state in row["openings"]:
                    found.setdefault(f"{object_} {state}", []).append([bound, row])
    return found


# Looking


def kind_of(book: Data, object_: str) -> str:
    """Give the kind of an object."""
    kind: str = book["objects"][object_]["kind"]
    return kind


def name_of(book: Data, object_: str | None) -> str:
    """Give the name of an object; its id when the pack does not know it."""
    if object_ is None:
        return "the job"
    name: str = book["objects"].get(object_, {"name": object_})["name"]
    return name


def rest_of(book: Data, kind: str) -> str:
    """Give the state of rest of a kind."""
    rest: str = book["order"][kind][0]
    return rest


def depth_of(book: Data, kind: str, state: str) -> int:
    """Tell how far from rest a state of a kind is."""
    depth: int = book["states"][kind][state]["depth"]
    return depth


def piece_ids(book: Data, object_: str) -> list[str]:
    """Give the ids of an object's pieces in tightening order; none if it has none."""
    row = book["objects"][object_]
    ids = [piece["id"] for piece in row["pieces"]]
    if row["order"] is None:
        return ids
    first = [id_ for id_ in row["order"] if id_ in ids]
    return first + [id_ for id_ in ids if id_ not in first]


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


# Checking


def broken_rule(rule: str, object_: str | None, says: str) -> Data:
    """Write down one broken rule."""
    return {"rule": rule, "object": object_, "says": says}


def unmet(
    book: Data, standing: Data, rows: list[Data], event: str, skip: str | None = None
) -> Iterator[Data]:
    """Give the demands that are not met as things stand; `skip` is an object not looked at."""
    for row in rows:
        check = book["checks"][row["check"]]
        if event not in check["events"] or any(o == skip for o, _ in row["openings"]):
            continue
        known = [[o, s] for o, s in row["openings"] if o in book["objects"]]
        opened = [[o, s] for o, s in known if is_open(book, standing, o, s)]
        if bool(opened) != (row["wanted"] == "open"):
            yield broken_rule(row["check"], *_words(book, standing, row, check, opened or known))


def _words(
    book: Data, standing: Data, row: Data, check: Data, shown: list[list[str]]
) -> tuple[str | None, str]:
    """Give the object a demand complains of, and the complaint."""
    object_ = shown[0][0] if shown else None
    says: str = check["says"]
    if object_ is None:
        words = {"other": row["of"], "wanted": "out of the way", "state": "not described"}
    else:
        states = book["states"][kind_of(book, object_)]
        words = {
            "other": name_of(book, object_),
            "wanted": states[shown[0][1]]["says"],
            "state": says_state(book, standing, object_),
        }
    for place, word in {**words, "by": name_of(book, row["by"])}.items():
        says = says.replace("{" + place + "}", word)
    return object_, says + (f" ({row['why']})" if row["why"] else "")


def _still_resting(book: Data, before: Data, after: Data, object_: str) -> Iterator[Data]:
    """Give what is open still and rested on openings of an object that are now closed."""
    for state in book["states"][kind_of(book, object_)]:
        for bound, row in book["rests_on"].get(f"{object_} {state}", []):
            other, _, depth = bound.partition(" ")
            if other not in book["objects"] or not _as_deep(book, after, other, depth):
                continue
            was = any(is_open(book, before, o, s) for o, s in row["openings"])
            if was and not any(is_open(book, after, o, s) for o, s in row["openings"]):
                says = f"{name_of(book, other)} is still {says_state(book, after, other)}"
                yield broken_rule(row["check"], other, says)


def _as_deep(book: Data, standing: Data, object_: str, state: str) -> bool:
    """Tell whether an object, or any piece of it, stands at least as deep as a state."""
    return deepest(book, standing, object_) >= depth_of(book, kind_of(book, object_), state)


# Doing


def shafts_turned(book: Data, standing: Data, shaft: str) -> list[str]:
    """Give the shafts that turn with one, itself first; alone once a belt of its is off."""
    tables = book["tables"]
    for belt in tables["belts"].get(shaft, []):
        carriers = [id_ for id_, row in book["objects"].items() if belt in row["parts"]]
        if any(is_open(book, standing, each, "moved") for each in [belt, *carriers]):
            return [shaft]
    others = tables["turns_with"].get(shaft, [shaft])
    return [shaft] + [other for other in others if other != shaft]


def turning_demands(
    book: Data, standing: Data, shaft: str, skip: str | None = None
) -> Iterator[Data]:
    """Give what is wrong with turning a shaft as things stand."""
    for other in shafts_turned(book, standing, shaft):
        rows = [
            row
            for row in book["tables"]["demands"].get(f"turn {other}", [])
            if other == shaft or row["check"] != "turning without bolt"
        ]
        yield from unmet(book, standing, rows, "act", skip)


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
        broken += _still_resting(book, standing, after, object_)
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


def deepest(book: Data, standing: Data, object_: str) -> int:
    """Tell how deep an object stands; a joint as deep as its deepest piece.

    One bolt out of sixteen releases nothing, but one hose end off opens a circuit.
    """
    pieces = standing["pieces"].get(object_, {})
    if kind_of(book, object_) != "joint" or not pieces:
        return depth_of(book, kind_of(book, object_), state_of(book, standing, object_))
    return max(depth_of(book, "joint", state) for state in pieces.values())


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
        way = None if by_hand else _way(tables["ways"].get(opening, {}), values)
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


def _way(ways: Data, values: Data) -> Data | None:
    """Give the way taken: the one named, else the plan's, else the only one."""
    named = values.get("way")
    if isinstance(named, str) and named in ways:
        chosen: Data = ways[named]
        return chosen
    planned = [way for way in ways.values() if way["planned"]]
    every = list(ways.values())
    return planned[0] if planned else every[0] if len(every) == 1 else None


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
