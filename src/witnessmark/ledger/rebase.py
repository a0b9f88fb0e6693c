"""What changes when a job moves to another pack, in an order of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec.json import encode

Data = dict[str, Any]

BY_ID = ("objects", "blocks", "duties", "texts")
"""The parts of a pack whose rows have ids; all other parts are compared whole."""


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Data]:
    """List what differs between two packs: `{part, id, how}`, how being new, gone or changed.

    It goes into the `rebase` event as `changed`, so that whoever reads the job sees what the
    move brought. `id` is null where a part is compared whole.
    """
    found: list[Data] = []
    for part in sorted(before.keys() | after.keys()):
        if part in BY_ID:
            found += _rows(part, before.get(part, {}), after.get(part, {}))
        elif _differ(before.get(part), after.get(part)):
            found.append({"part": part, "id": None, "how": _how(part in before, part in after)})
    return found


def _rows(part: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Data]:
    return [
        {"part": part, "id": id_, "how": _how(id_ in before, id_ in after)}
        for id_ in sorted(before.keys() | after.keys())
        if id_ not in before or id_ not in after or _differ(before[id_], after[id_])
    ]


def _how(was: bool, is_: bool) -> str:
    return "changed" if was and is_ else ("new" if is_ else "gone")


def _differ(one: object, other: object) -> bool:
    """Tell whether two values have different bytes; whether they may stand in a pack is known."""
    return encode(one, order="sorted") != encode(other, order="sorted")
