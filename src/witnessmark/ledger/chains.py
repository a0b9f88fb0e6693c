"""Is everything there, and is it what was written? The chains of a job, checked.

Each device's events are numbered without gaps and name the one before; an event's id is the
digest of its bytes. What cannot be told apart from tampering is called broken. A fork or a
gap is not: it is what lost phones and lost networks leave, kept and shown to a person.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from witnessmark.ledger.canonical import digest
from witnessmark.ledger.events import Event, EventRefusedError, read_event


@dataclass(frozen=True, slots=True)
class Fault:
    """Something in a chain that nobody's phone can have written: which event, and what."""

    event: str
    says: str


def read_chains(stored: Iterable[tuple[str, bytes]]) -> tuple[dict[str, Event], list[Fault]]:
    """Read stored events, and check each and how they hang together.

    Returns
    -------
    events : dict of str to event
        Those that can be read, by id.
    faults : list of Fault
        In the order found.
    """
    events: dict[str, Event] = {}
    faults: list[Fault] = []
    for id_, data in stored:
        if digest(data) != id_:
            faults.append(Fault(id_, "its bytes are not those its id was made from"))
            continue
        try:
            events[id_] = read_event(data)
        except EventRefusedError as error:
            faults.append(Fault(id_, str(error)))
    faults.extend(chain_faults(events))
    return events, faults


def chain_faults(events: Mapping[str, Event]) -> list[Fault]:
    """Check that every event follows one of its own device and job, and its number too."""
    faults = []
    for id_, event in events.items():
        before = events.get(event["prev"] or "")
        if before is not None:
            if before["device"] != event["device"]:
                faults.append(Fault(id_, "follows an event of another device"))
            if before["seq"] + 1 != event["seq"]:
                faults.append(Fault(id_, f"number {event['seq']} follows {before['seq']}"))
        named = (events[each] for each in (event["prev"], *event["seen"]) if each in events)
        if any(each["job"] != event["job"] for each in named):
            faults.append(Fault(id_, "names an event of another job"))
    return faults
