"""What the tables of a machine demand of openings and acts, and what is not met as things stand."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.procedure.book import Data, kind_of, name_of
from witnessmark.procedure.standing import as_deep, is_open, says_state


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


def still_resting(book: Data, before: Data, after: Data, object_: str) -> Iterator[Data]:
    """Give what is open still and rested on openings of an object that are now closed."""
    for state in book["states"][kind_of(book, object_)]:
        for bound, row in book["rests_on"].get(f"{object_} {state}", []):
            other, _, depth = bound.partition(" ")
            if other not in book["objects"] or not as_deep(book, after, other, depth):
                continue
            was = any(is_open(book, before, o, s) for o, s in row["openings"])
            if was and not any(is_open(book, after, o, s) for o, s in row["openings"]):
                says = f"{name_of(book, other)} is still {says_state(book, after, other)}"
                yield broken_rule(row["check"], other, says)


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
