"""All the desk shows of one job, folded once: where it stands, gates, registers, log, photos."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from witnessmark.ledger.canonical import NotCanonicalError, read_canonical
from witnessmark.ledger.fold import fold
from witnessmark.ledger.gates import gate
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.state import JobState
from witnessmark.papers.job_printing import Printing
from witnessmark.papers.standing_lines import TITLES, Line, outstanding_lines, register_lines
from witnessmark.workshop import models
from witnessmark.workshop.job_papers import printing_of
from witnessmark.workshop.log_words import LogLine, log_lines, what_happened
from witnessmark.workshop.standing import history, is_closed, pack_of, photos_here

MOST_LOGGED = 200
"""Entries of the log shown at first; the page shows the others when asked."""


@dataclass(frozen=True, slots=True)
class ShownGate:
    """A gate: its name, and what stands open before it."""

    name: str
    open: tuple[str, ...]
    asks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Apart:
    """A late entry that is kept apart: its id and what it says."""

    id: str
    says: str


@dataclass(frozen=True, slots=True)
class JobSheet:
    """One job, ready for its page."""

    closed: bool
    begun: bool
    stopped: bool
    outstanding: tuple[Line, ...]
    odd: tuple[Line, ...]
    gates: tuple[ShownGate, ...]
    registers: tuple[tuple[str, tuple[Line, ...]], ...]
    log: tuple[LogLine, ...]
    entries: int
    apart: tuple[Apart, ...]
    brought: tuple[str, ...]
    photos: tuple[str, ...]
    card: dict[str, Any] | None
    papers: tuple[dict[str, str], ...]
    book: dict[str, str]

    @property
    def shape(self) -> str:
        """`done` or `open`: which shape says where it stands."""
        return "done" if self.closed and not self.outstanding and not self.odd else "open"

    @property
    def words(self) -> str:
        """Say where it stands."""
        count = len(self.outstanding) + len(self.odd)
        handed = "handed back" if self.closed else "not handed back"
        if not self.begun:
            return "not begun"
        if self.stopped:
            return f"{count} outstanding, broken off"
        return f"{count} outstanding, {handed}" if count else f"nothing outstanding, {handed}"


def job_sheet(job: models.Job, *, whole_log: bool = False) -> JobSheet:
    """Fold a job and say all there is to say of it."""
    graph, printing = history(job.id), printing_of(job, named=False)
    pack, here = pack_of(graph), photos_here(job.id)
    state = fold(pack, graph, here)
    lines, odd = outstanding_lines(state, printing)
    log = list(log_lines(state, printing))[::-1]
    withheld = models.Photo.objects.exclude(withheld=None).filter(photoofjob__job=job)
    gone = set(withheld.values_list("id", flat=True))
    return JobSheet(
        closed=is_closed(graph),
        begun=bool(graph.order),
        stopped=any(each["kind"] == "interruption" for each in outstanding(state)),
        outstanding=tuple(lines),
        odd=tuple(odd),
        gates=tuple(_gates(state, printing)),
        registers=tuple(_registers(state, printing)),
        log=tuple(log if whole_log else log[:MOST_LOGGED]),
        entries=len(log),
        apart=tuple(_apart(job, state, printing)),
        brought=tuple(_brought(job, graph, state)),
        photos=tuple(photo for photo in here if photo not in gone),
        card=pack["texts"].get("job_card"),
        papers=tuple(pack["texts"].get("papers", ())),
        book=printing.book(),
    )


_LOOKS_AT = {
    "turning-by-hand": ("shaft",),
    "opening-pressure": ("circuit",),
    "covering": ("part", "assembly"),
}
"""Gates that look at one thing (the shaft turned, the circuit opened, the part that covers),
and the kinds of thing it may be. Asked of none they would have nothing to say."""


def _gates(state: JobState, printing: Printing) -> Iterator[ShownGate]:
    """Say of every gate what would be open, whichever thing it were asked of."""
    for id_, row in state.book["gates"].items():
        for purpose in row["purposes"] or (None,):
            asked = [gate(state, id_, purpose, o, printing.now) for o in _asked_of(state, id_)]
            name = f"{row['name']}, {purpose}" if purpose else str(row["name"])
            open_ = dict.fromkeys(str(each["says"]) for found in asked for each in found["open"])
            yield ShownGate(name, tuple(open_), tuple(row["asks"]))


def _asked_of(state: JobState, gate_id: str) -> list[str | None]:
    kinds = _LOOKS_AT.get(gate_id, ())
    objects = state.book["objects"].items()
    return [None, *(id_ for id_, row in objects if row["kind"] in kinds)]


def _registers(state: JobState, printing: Printing) -> Iterator[tuple[str, tuple[Line, ...]]]:
    found = register_lines(state, printing)
    for name, title in TITLES.items():
        if found[name]:
            yield title, tuple(found[name])


def _apart(job: models.Job, state: JobState, printing: Printing) -> Iterator[Apart]:
    held = models.Event.objects.filter(job=job, held=True).order_by("arrival__number")
    for id_, data in held.values_list("id", "data"):
        try:
            event = read_canonical(bytes(data))
        except NotCanonicalError:
            yield Apart(id_, "an entry that cannot be read")
            continue
        yield Apart(id_, f"{what_happened(state, event)}, {printing.signed(event)}")


def _brought(job: models.Job, graph: Graph, state: JobState) -> Iterator[str]:
    """Say which entries came by another device than the one that wrote them."""
    lines = models.Arrival.objects.filter(job=job, event__held=False).order_by("number")
    for id_, by in lines.values_list("event_id", "brought_by"):
        event = graph.events.get(id_)
        if event is not None and event["device"] != by:
            yield f"{what_happened(state, event)}: written by {event['device']}, brought by {by}"
