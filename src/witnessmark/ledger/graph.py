"""The causal graph of a job's events: who knew of what, and an order that respects it.

`prev` ties each device's events into a chain, `seen` names the heads of other chains. Merging
is the union of sets. The order depends on the events alone: causes come first, and events
that knew nothing of each other go by hybrid clock, device and number. Wall clocks count for
nothing. Nothing is dropped: forks (two events of one device with one number) and gaps (an
event that is named and not here) are kept and said.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from witnessmark.ledger.events import Event
from witnessmark.ledger.ordering import Laid
from witnessmark.ledger.reach import Reach
from witnessmark.ledger.upcasting import Reading, read_now, upcast


def merged(*histories: Mapping[str, Event]) -> dict[str, Event]:
    """Merge what several devices hold: the union of the sets."""
    return {id_: event for history in histories for id_, event in history.items()}


class Graph:
    """The events of one job by id, in order, with what is odd about them.

    Attributes
    ----------
    events : mapping of str to event
        As this edition reads them, whatever version they were written in.
    order : list of str
        Ids, causes first.
    forks, gaps : list of dict
        `{device, seq, events}` and `{device, seq, event}`, in an order of their own. The
        device and number of a missing event are those after which it is missed.
    reach : Reach
        Who knew of what; `reaches(earlier, later)` answers for two events.
    unknown : list of str
        Events of a type or version that this edition does not know, in order.
    """

    def __init__(self, events: Mapping[str, Event], read: Reading = upcast) -> None:
        self.events = read_now(events, read)
        self._laid = Laid(self.events)
        self.order = self._laid.order
        self.reach = Reach(self._laid)
        self.reaches = self.reach.reaches
        self.forks = self._forks() if self._laid.forked else []
        self.gaps = self._gaps()
        self.unknown = [self.order[number] for number in self._laid.unknown]

    def concurrent(self, one: str, other: str) -> bool:
        """Tell whether neither of two events was known when the other was written."""
        return one != other and not self.reaches(one, other) and not self.reaches(other, one)

    def heads(self) -> list[str]:
        """Give the events that no other follows, sorted: what has been seen, in short."""
        laid = self._laid
        followed = {*laid.prev, *(each for seen in laid.seen.values() for each in seen)}
        return sorted(id_ for number, id_ in enumerate(self.order) if number not in followed)

    def since(self, frontier: Iterable[str]) -> list[str]:
        """Give the events that one who knows these heads does not have, in order.

        Heads that are not here say nothing.
        """
        known: set[int] = set()
        left = [self._laid.number[id_] for id_ in frontier if id_ in self.events]
        while left:
            number = left.pop()
            if number not in known:
                known.add(number)
                left.extend(self._laid.causes(number))
        return [id_ for number, id_ in enumerate(self.order) if number not in known]

    # What is odd

    def _forks(self) -> list[dict[str, Any]]:
        first: dict[tuple[str, int], str] = {}
        forked: dict[tuple[str, int], list[str]] = {}
        for id_, event in self.events.items():
            number = (event["device"], event["seq"])
            if first.setdefault(number, id_) != id_:
                forked.setdefault(number, [first[number]]).append(id_)
        return [
            {"device": device, "seq": seq, "events": sorted(ids)}
            for (device, seq), ids in sorted(forked.items())
        ]

    def _gaps(self) -> list[dict[str, Any]]:
        """Give each missing event once, with the earliest that names it."""
        gaps: dict[str, tuple[str, int]] = {}
        for id_ in self._laid.short:
            event = self.events[id_]
            for named in (event["prev"], *event["seen"]):
                if named is not None and named not in self.events:
                    place = (event["device"], event["seq"])
                    gaps[named] = min(gaps.get(named, place), place)
        return [
            {"device": device, "seq": seq, "event": missing}
            for missing, (device, seq) in sorted(gaps.items(), key=lambda item: (item[1], item[0]))
        ]
