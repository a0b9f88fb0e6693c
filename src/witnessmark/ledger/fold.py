"""From events to the state of a job: every fact is taken, whatever rule it breaks.

A fact that breaks a rule is kept and flagged. Corrections come first: an event corrected
away is passed over, one corrected in part is read as corrected. Then every event is taken
in an order in which causes come before effects.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from witnessmark.ledger.doing import block, done
from witnessmark.ledger.interruption import returned, stopped
from witnessmark.ledger.passing import closed, gate_passed
from witnessmark.ledger.putting_down import put_down
from witnessmark.ledger.remembered import Remembered
from witnessmark.ledger.state import History, JobState
from witnessmark.ledger.statements import STATEMENTS
from witnessmark.procedure.book import Data

TAKEN: dict[str, Callable[[JobState, str, Data], None]] = {
    "done": done,
    "block": block,
    "stopped": stopped,
    "gate": gate_passed,
    "closed": closed,
}
"""What takes each type of event that says all it brings."""

MOVING = {**STATEMENTS, "returned": returned}
"""What takes each of the others, and gives what it moves."""


TO_BE_SEEN = "to_be_seen"
"""What an event says of itself where another person must see what was done."""


def fold(
    pack: Data,
    history: History,
    held: Iterable[str] = (),
    ready: Remembered | None = None,
) -> JobState:
    """Fold a job's events over its pack.

    Parameters
    ----------
    pack : dict
        The job pack, as plain data.
    history : History
        The events with their order and causes.
    held : iterable of str
        Hashes of the photos that are at hand; those named and not held are outstanding.
    ready : Remembered, optional
        The pack made ready by `prepared`, when many jobs on it are folded.
    """
    state = JobState(pack, history, ready)
    state.held = sorted(held)
    events, corrected, unknown = history.events, state.corrected, set(history.unknown)
    last = None
    for id_, event in zip(history.order, map(events.__getitem__, history.order), strict=True):
        if state.knows_all and last is not None:
            state.knows_all = knew_all(event, last)
        last = id_
        stands = corrected.get(id_, event)
        if stands is not None and id_ not in unknown:
            _take(state, id_, stands)
    return state


def knew_all(event: Data, last: str) -> bool:
    """Tell whether whoever wrote an event knew the one before, where that knew all before it."""
    return event["prev"] == last or last in event["seen"]


def _take(state: JobState, id_: str, event: Data) -> None:
    state.taken[id_] = event
    for photo in event["photos"]:
        state.photos.setdefault(photo, id_)
    if TO_BE_SEEN in event["values"] or id_ in state.corrected:
        _to_be_seen(state, id_, event)
    kind = event["type"]
    take = TAKEN.get(kind)
    if take is not None:
        take(state, id_, event)
    elif kind in MOVING:
        moves = MOVING[kind](state, id_, event)
        if moves:
            put_down(state, id_, event, moves)


def _to_be_seen(state: JobState, id_: str, event: Data) -> None:
    """Keep what another person must see: whoever wrote it may not do it alone.

    A correction puts right what was said; that somebody must look it does not take away.
    """
    written = state.history.events[id_]
    if any(each["values"].get(TO_BE_SEEN) is True for each in (event, written)):
        person = written["person"]
        state.add("to_be_seen", id_, object=event["object"], person=person, seen=None)
