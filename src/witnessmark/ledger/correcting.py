"""Events that read otherwise than they were written: slips put right, and taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

Data = dict[str, Any]

REPLACEABLE = ("action", "object", "values", "photos", "note")
"""What of an event a correction may replace."""


class Written(Protocol):
    """What corrections ask of a job's events."""

    @property
    def order(self) -> Sequence[str]:
        """The ids of the events, causes first."""

    @property
    def events(self) -> Mapping[str, Data]:
        """The events by id."""

    def reaches(self, earlier: str, later: str) -> bool:
        """Tell whether the first event was known when the second was written."""


def corrections(history: Written) -> Data:
    """Give the events that read otherwise than they were written: None for those taken back.

    Read from the last to the first, so that a correction that was taken back counts for
    nothing. Of several corrections of one event the last counts.
    """
    found: Data = {}
    for id_ in reversed(history.order):
        event = history.events[id_]
        if event["type"] != "correct" or found.get(id_, event) is None:
            continue
        target, instead = event["values"].get("corrects"), event["values"].get("instead")
        if not isinstance(target, str) or target not in history.events or target in found:
            continue
        if not history.reaches(target, id_):
            continue
        found[target] = _instead(history.events[target], instead)
    return found


def _instead(event: Data, instead: object) -> Data | None:
    """Give an event with the fields that a correction replaces."""
    if not isinstance(instead, dict):
        return None
    return {**event, **{key: instead[key] for key in REPLACEABLE if key in instead}}
