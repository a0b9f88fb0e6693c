"""What trouble brings where the machine file says so: parts that may be spoilt, minutes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from witnessmark.ledger.state import JobState as Folded
from witnessmark.machine.model import Machine, OpeningSpec, Way
from witnessmark.machine.workshop import Workshop

STUCK = ("seized", "sheared", "rounded")
"""Kinds of trouble that come of a risk a way has."""


def more_by_trouble(
    folded: Folded, machine: Machine, workshop: Workshop
) -> Iterator[dict[str, Any]]:
    """Give for each trouble on a job what its ways may spoil and what the risk takes.

    The minutes are the workshop's own for that risk; None where it names none: nothing is
    made up. They are in the plan's figures from the start, as the risk was.
    """
    for row in folded.rows["troubles"]:
        object_ = row["object"]
        ways = list(_ways(machine, object_)) if row["kind"] in STUCK else []
        parts = dict.fromkeys(part for way in ways for part in way.spoils)
        minutes = [
            workshop.risk_minutes[way.risk]
            for way in ways
            if way.risk is not None and way.risk in workshop.risk_minutes
        ]
        if parts or minutes:
            yield {
                "object": object_,
                "trouble": row["kind"],
                "parts": [_part(machine, part) for part in parts],
                "minutes": max(minutes) / 10 if minutes else None,
            }


def _ways(machine: Machine, object_: str | None) -> Iterator[Way]:
    for table in (machine.parts, machine.joints, machine.assemblies, machine.temporaries):
        thing: Any = table.get(object_ or "")
        openings: tuple[OpeningSpec, ...] = () if thing is None else thing.openings
        yield from (way for spec in openings for way in spec.ways)


def _part(machine: Machine, part: str) -> dict[str, str]:
    known = machine.parts.get(part)
    return {"id": part, "name": part if known is None else known.name}
