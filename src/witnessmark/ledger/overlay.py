"""Things noted on a machine that nobody has described: pack and overlay make the model.

A `noted` event with a new object's id describes it as far as the person can: kind, name,
how many pieces of which lengths, what it holds. On an object known already it gives the
figure that was missing, with its source.
"""

from __future__ import annotations

from witnessmark.ledger.correcting import Written
from witnessmark.procedure.book import Data
from witnessmark.procedure.object_rows import blank_row

PLACE = "noted at the bench"
KINDS = ("part", "joint", "circuit", "shaft", "lock", "temporary", "make-safe")


def with_noted(pack: Data, events: list[Data]) -> Data:
    """Give a pack's objects and tables with what was noted; the pack itself stays as it is."""
    objects = dict(pack["objects"])
    demands = {bound: list(rows) for bound, rows in pack["tables"]["demands"].items()}
    for event in events:
        object_ = event["object"]
        if event["type"] == "noted" and object_ is not None and object_ not in objects:
            objects[object_] = _row(event["values"], object_)
            _bind(demands, object_, objects[object_])
    return {"objects": objects, "tables": {**pack["tables"], "demands": demands}}


def described(history: Written, corrected: Data) -> list[Data]:
    """Give what was noted as it reads now: named later, or mended.

    A thing that was noted by a slip stays known, untouched; else what was said of it since
    would be of nothing at all.
    """
    written = ((id_, history.events[id_]) for id_ in history.order)
    return [corrected.get(id_) or each for id_, each in written if each["type"] == "noted"]


def is_described(values: Data) -> bool:
    """Tell whether an event describes a new object well enough to keep a state of it."""
    return values.get("kind") in KINDS


def _row(values: Data, object_: str) -> Data:
    kind = values["kind"] if is_described(values) else "part"
    row: Data = blank_row(kind, _text(values.get("name")) or object_)
    row["role"] = _text(values.get("role"))
    row["where"] = _text(values.get("place"))
    row["critical"] = values.get("critical") is True
    row["single_use"] = values.get("single_use") is True
    row["angled"] = values.get("angled") is True
    row["surface"] = _text(values.get("surface"))
    row["holds"] = _texts(values.get("holds"))
    if kind == "joint":
        row["pieces"] = _pieces(values)
    return row


def _pieces(values: Data) -> list[Data]:
    count, lengths = values.get("count"), _texts(values.get("lengths"))
    known = isinstance(count, int) and not isinstance(count, bool) and 1 <= count <= 400
    number = count if known and isinstance(count, int) else max(1, len(lengths))
    return [
        {
            "id": str(index + 1),
            "name": None,
            "thread": _text(values.get("thread")),
            "length": lengths[index] if index < len(lengths) else None,
            "head": _text(values.get("head")),
            "hole": str(index + 1),
            "at": None,
            "clamps": [],
        }
        for index in range(number)
    ]


def _bind(demands: Data, object_: str, row: Data) -> None:
    """Let a noted joint hold its parts, and a noted lock its shafts."""
    for held in row["holds"]:
        if row["kind"] == "joint":
            _add(demands, f"{held} off", "held", "open", object_, "out")
        elif row["kind"] == "lock":
            _add(demands, f"turn {held}", "turning locked", "shut", object_, "in")
    if row["kind"] == "lock":
        for act in ("crank", "start"):
            _add(demands, act, "running locked", "shut", object_, "in")


def _add(demands: Data, bound: str, check: str, wanted: str, object_: str, state: str) -> None:
    demands.setdefault(bound, []).append(
        {
            "check": check,
            "wanted": wanted,
            "of": f"{object_} {state}",
            "openings": [[object_, state]],
            "by": object_,
            "place": PLACE,
            "why": "",
        }
    )


def _text(value: object) -> str | None:
    return value if isinstance(value, str) and value else None


def _texts(value: object) -> list[str]:
    return [each for each in value if isinstance(each, str)] if isinstance(value, list) else []
