"""What an action owes beside its record: stage, wrench, photo of the marks, level, litres."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.procedure.book import Data

PHOTO = "photo of the marks"
HOW = "how tightened"
"""Asked where no figure for a joint exists: how did you tighten it?"""


def owed(book: Data, action: Data, row: Data) -> list[str]:
    """Give the evidence an action on an object must bring, else the object stays outstanding."""
    asked = list(action["evidence"])
    if row["critical"]:
        asked += action["critical_evidence"]
    if row["single_use"]:
        asked += action["renewal_evidence"]
    if row["sets"] is not None:
        asked += action["setting_evidence"]
    found = [each for each in asked if book["evidence"][each]["owed"]]
    if action["target"] == "made" and action["half"] == "refit" and row["tightness"] is None:
        found.append(HOW)
    return found


def lacking(asked: list[str], event: Data) -> list[str]:
    """Give what is owed and not said in an event."""
    return [each for each in asked if not _given(event, each)]


def still_owed(
    before: list[Data], asked: Sequence[str], lacks: Sequence[str], *, deeper: bool
) -> list[list[str]]:
    """Give what earlier events on a cell owe still, as `[event, evidence]`.

    Opened further, the object will be closed anew and nothing of the old closing matters;
    what this event was asked too and does not lack is owed no more.
    """
    if deeper:
        return []
    given = [each for each in asked if each not in lacks]
    return [pair for entry in before for pair in entry["lacks"] if pair[1] not in given]


def _given(event: Data, evidence: str) -> bool:
    values = event["values"]
    if evidence == PHOTO and event["photos"]:
        return True
    if evidence == HOW and (_said(values.get("how")) or _said(values.get("figure"))):
        return True
    named = values.get("evidence")
    inside = named.get(evidence) if isinstance(named, dict) else None
    return _said(values.get(evidence)) or _said(inside)


def _said(value: object) -> bool:
    return value is not None and value is not False and value not in ("", [], {})
