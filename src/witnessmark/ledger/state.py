"""Where a job stands, as plain data, and the small things every reader of it needs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol

from witnessmark.ledger.cells import WHOLE, in_conflict, least_finished
from witnessmark.ledger.correcting import corrections
from witnessmark.ledger.overlay import described, with_noted
from witnessmark.ledger.past import Knowing, Past
from witnessmark.ledger.remembered import Remembered
from witnessmark.procedure.book import Data, kind_of, read_book, rest_of
from witnessmark.procedure.standing import state_of

STEPS = ("done", "block")
"""Types of event that are steps of the work itself."""


def is_step(event: Data) -> bool:
    """Tell whether an event is a step of the work: a thing noted as it comes off is one too."""
    noted = event["type"] == "noted" and event["values"].get("state") is not None
    return noted or event["type"] in STEPS


class History(Protocol):
    """What the fold asks of a job's events: their order, and who knew of what."""

    @property
    def order(self) -> Sequence[str]:
        """The ids of the events, causes first."""

    @property
    def events(self) -> Mapping[str, Data]:
        """The events by id."""

    @property
    def forks(self) -> Sequence[Data]:
        """Events of one device with one number, as `{device, seq, events}`."""

    @property
    def gaps(self) -> Sequence[Data]:
        """What is named and not here, as `{device, seq, event}`."""

    @property
    def unknown(self) -> Sequence[str]:
        """Events of a type or version that this edition does not know."""

    @property
    def reach(self) -> Knowing:
        """Who knew of what, by chains."""

    def reaches(self, earlier: str, later: str) -> bool:
        """Tell whether the first event was known when the second was written."""


def prepared(pack: Data, noted: Sequence[Data] = ()) -> Remembered:
    """Make a pack ready to be folded over; once for many jobs on the same pack."""
    return Remembered(read_book(pack["rules"], **with_noted(pack, list(noted))))


class JobState:
    """A job folded up to its last event.

    `taken` are the events as they count, corrections read in. `cells` hold what stands of
    each object and piece, `past` all that was ever written of it, `standing` what stands as
    the rule interpreter reads it, `owing` the objects of which some evidence is owed.
    Everything else is a list of plain rows, in the order of events.
    """

    LISTS = (
        "flags",
        "blocks",
        "troubles",
        "stops",
        "doubts",
        "passes",
        "looks",
        "to_be_seen",
        "found",
        "measured",
        "renewed",
        "to_renew",
        "settings",
        "pulls",
        "litres",
        "waits",
        "duties",
        "rebased",
        "closings",
    )

    def __init__(self, pack: Data, history: History, ready: Remembered | None = None) -> None:
        types = {event["type"] for event in history.events.values()}
        self.corrected = corrections(history) if "correct" in types else {}
        noted = described(history, self.corrected) if "noted" in types else []
        self.pack = pack
        self.remembered = ready if ready is not None and not noted else prepared(pack, noted)
        self.book = self.remembered.book
        self.history = history
        self.signs: Data = {}
        self.knows_all = True
        self._flagged: set[str] = set()
        self.cells: Data = {}
        self.past = Past(history.reach)
        self.owing: set[str] = set()
        self.disputed: Data = {}
        self.standing: Data = {"at": {}, "pieces": {}, "old": {}}
        self.rows: dict[str, list[Data]] = {name: [] for name in self.LISTS}
        self.put: Data = {}
        self.figures: Data = {}
        self.photos: Data = {}
        self.held: list[str] = []
        self.supplied: Data = {}
        self.settled: Data = {}
        self.excepted: Data = {}
        self.opened: dict[str, None] = {}
        self.strange: Data = {}
        self.taken: dict[str, Data] = {}

    def cell(self, object_: str, piece: str = WHOLE) -> list[Data]:
        """Give what stands of an object or piece; nothing when it was never touched."""
        found: list[Data] = self.cells.get(object_, {}).get(piece, [])
        return found

    def writers(self, object_: str) -> list[str]:
        """Give the events that stand in the cells of an object."""
        return _once(e["event"] for cell in self.cells.get(object_, {}).values() for e in cell)

    def touched(self) -> list[str]:
        """Give the objects this job has disturbed, in the order of the pack."""
        return [id_ for id_ in self.book["objects"] if id_ in self.cells]

    def state(self, object_: str) -> str:
        """Give the state of an object."""
        return state_of(self.book, self.standing, object_)

    def at_rest(self, object_: str) -> bool:
        """Tell whether an object is at rest."""
        return self.state(object_) == rest_of(self.book, kind_of(self.book, object_))

    def reading(self, object_: str, piece: str = WHOLE) -> Data | None:
        """Give the entry that a cell is read by; None when it was never touched."""
        cell = self.cell(object_, piece)
        return least_finished(self.book, object_, cell) if cell else None

    def conflicts(self) -> list[tuple[str, str]]:
        """Give the objects and pieces on which people do not agree, and nobody has settled it.

        What is done later by one who knew of both does not settle in silence who was right.
        """
        return [
            (object_, piece)
            for object_ in self.touched()
            for piece, cell in sorted(self.cells[object_].items())
            if in_conflict(cell) or piece in self.disputed.get(object_, {})
        ]

    def look_at(self, object_: str) -> None:
        """Keep how an object stands after its cells have changed, and whether it owes."""
        self.signs[object_] = self.remembered.sign(self.standing, object_)
        self.look_what_is_owed(object_)

    def look_what_is_owed(self, object_: str) -> None:
        """Keep whether some evidence is owed of an object."""
        cells = self.cells[object_].values()
        if any(entry["lacks"] for cell in cells for entry in cell):
            self.owing.add(object_)
        else:
            self.owing.discard(object_)

    def flag(self, event: str, rule: str, object_: str | None, says: str) -> None:
        """Keep a broken rule; each once."""
        id_ = f"flag:{event}:{rule}:{object_ or ''}"
        if id_ not in self._flagged:
            self._flagged.add(id_)
            row = {"id": id_, "event": event, "rule": rule, "object": object_, "says": says}
            self.rows["flags"].append(row)

    def add(self, list_: str, event: str, **more: object) -> None:
        """Add a row to one of the lists."""
        self.rows[list_].append({"event": event, **more})

    def as_data(self) -> Data:
        """Write the state as plain data, in an order that depends on the events alone."""
        objects = {}
        for object_ in sorted(self.cells):
            known = object_ in self.book["objects"]
            objects[object_] = {
                "state": self.state(object_) if known else None,
                "cells": {
                    piece: self.cells[object_][piece] for piece in sorted(self.cells[object_])
                },
            }
        return {
            "objects": objects,
            "disputed": self.disputed,
            "conflicts": [list(each) for each in self.conflicts()],
            "old": {joint: old for joint, old in sorted(self.standing["old"].items()) if old},
            **self.rows,
            "put": self.put,
            "figures": self.figures,
            "photos": self.photos,
            "held": sorted(self.held),
            "supplied": self.supplied,
            "settled": self.settled,
            "excepted": self.excepted,
            "opened": list(self.opened),
            "strange": self.strange,
        }


def text(value: object, otherwise: str = "") -> str:
    """Give a value that is a text, and other words for one that is none."""
    return value if isinstance(value, str) and value else otherwise


def texts(value: object) -> list[str]:
    """Give the texts of a list; nothing for anything else."""
    return [each for each in value if isinstance(each, str)] if isinstance(value, list) else []


def _once(values: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(values))
