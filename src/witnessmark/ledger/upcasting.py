"""Events of older versions, read as this edition reads its own.

An event is kept as it was written, for its id is the digest of those bytes. Where a later
version says something another way, a step per version turns the old words into the new, in
memory only. Version 1 is the first: there is no step yet. What is newer than this edition is
left alone; the job is then read-only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from witnessmark.ledger.event_types import VERSION
from witnessmark.ledger.events import Event

Step = Callable[[Event], Event]

Reading = Callable[[Event], Event]
"""How an older event is read: `upcast`, with the steps of this edition."""

STEPS: dict[int, Step] = {}
"""By version, how an event of it reads in the next version."""


def upcast(event: Event, steps: Mapping[int, Step] = STEPS, version: int = VERSION) -> Event:
    """Give an event as this edition reads it; the event handed in stays as it is.

    Its place among others (device, number, what it follows and had seen, clock) and its job
    are never changed by a step.

    Raises
    ------
    LookupError
        If a version has no step to the next: an edition with such a gap must not be shipped.
    """
    read = dict(event)
    while read["v"] < version:
        step = steps.get(read["v"])
        if step is None:
            raise LookupError(f"events of version {read['v']} cannot be read by this edition")
        after = step(dict(read))
        read = {**after, **{field: event[field] for field in _KEPT}, "v": read["v"] + 1}
    return read


_KEPT = ("job", "device", "seq", "prev", "seen", "clock", "wall", "person")


def read_now(events: Mapping[str, Event], read: Reading = upcast) -> Mapping[str, Event]:
    """Give a job's events, by id, as this edition reads them: every reader's one way in.

    Those handed in stay as they are, and are given back where none is older.
    """
    if all(event["v"] >= VERSION for event in events.values()):
        return events
    return {id_: event if event["v"] >= VERSION else read(event) for id_, event in events.items()}
