"""The rule book, tables and objects of one machine as plain data, indexed for the interpreter.

It is the same JSON that a phone holds; nothing here knows Python's classes of the book, and
a second interpreter in another language follows it line by line.
"""

from __future__ import annotations

from typing import Any

Data = dict[str, Any]
"""Plain data as JSON holds it."""


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
    book["pieces"] = {id_: _in_order(row) for id_, row in objects.items()}
    book["rests_on"] = _rests_on(tables, book["checks"])
    return book


def _rests_on(tables: Data, checks: Data) -> Data:
    """Index lasting demands by each opening they rest on: the tables' and the ways' own."""
    found: Data = {}
    asked = list(tables["demands"].items())
    for bound, ways in tables["ways"].items():
        way = way_taken(ways, {})
        asked.append((bound, way["refit"] if way is not None else []))
    for bound, rows in asked:
        for row in rows:
            if checks[row["check"]]["lasting"] and row["wanted"] == "open":
                for object_, state in row["openings"]:
                    found.setdefault(f"{object_} {state}", []).append([bound, row])
    return found


def way_taken(ways: Data, values: Data) -> Data | None:
    """Give the way taken: the one named, else the plan's, else the only one."""
    named = values.get("way")
    if isinstance(named, str) and named in ways:
        chosen: Data = ways[named]
        return chosen
    planned = [way for way in ways.values() if way["planned"]]
    every = list(ways.values())
    return planned[0] if planned else every[0] if len(every) == 1 else None


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
    """Give the ids of an object's pieces in tightening order; none if it has none.

    The list is the book's own: not to be changed.
    """
    ids: list[str] = book["pieces"][object_]
    return ids


def _in_order(row: Data) -> list[str]:
    ids = [piece["id"] for piece in row["pieces"]]
    if row["order"] is None:
        return ids
    first = [id_ for id_ in row["order"] if id_ in ids]
    return first + [id_ for id_ in ids if id_ not in first]
