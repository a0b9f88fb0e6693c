"""The causal graph of a job's events: who knew of what, and an order that respects it.

`prev` ties each device's events into a chain, `seen` names the heads of other chains. Merging
is the union of sets. The order depends on the events alone: causes come first, and events
that knew nothing of each other go by hybrid clock, device and number. Wall clocks count for
nothing. Nothing is dropped: forks (two events of one device with one number) and gaps (an
event that is named and not here) are kept and said.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from heapq import heapify, heappop, heappush
from typing import Any

from witnessmark.ledger.event_types import is_known
from witnessmark.ledger.events import Event

_Chain = int
_Reach = dict[_Chain, int]


def merged(*histories: Mapping[str, Event]) -> dict[str, Event]:
    """Merge what several devices hold: the union of the sets."""
    return {id_: event for history in histories for id_, event in history.items()}


class Graph:
    """The events of one job by id, in order, with what is odd about them.

    Attributes
    ----------
    events : mapping of str to event
        As handed in.
    order : list of str
        Ids, causes first.
    forks, gaps : list of dict
        `{device, seq, events}` and `{device, seq, event}`, in an order of their own. The
        device and number of a missing event are those after which it is missed.
    unknown : list of str
        Events of a type or version that this edition does not know, in order.
    """

    def __init__(self, events: Mapping[str, Event]) -> None:
        self.events = events
        self._causes = {id_: self._causes_of(event) for id_, event in events.items()}
        self.order = self._ordered()
        self._place: dict[str, tuple[_Chain, int]] = {}
        self._known: dict[str, _Reach] = {}
        self._trace()
        self.forks = self._forks()
        self.gaps = self._gaps()
        self.unknown = self._unknown()

    def reaches(self, earlier: str, later: str) -> bool:
        """Tell whether the first event was known when the second was written.

        No event was known when it was itself written.
        """
        if earlier == later:
            return False
        chain, position = self._place[earlier]
        own_chain, own_position = self._place[later]
        if chain == own_chain:
            return position < own_position
        return self._known[later].get(chain, -1) >= position

    def concurrent(self, one: str, other: str) -> bool:
        """Tell whether neither of two events was known when the other was written."""
        return one != other and not self.reaches(one, other) and not self.reaches(other, one)

    def heads(self) -> list[str]:
        """Give the events that no other follows, sorted: what has been seen, in short."""
        followed = {cause for causes in self._causes.values() for cause in causes}
        return sorted(id_ for id_ in self.events if id_ not in followed)

    def since(self, frontier: Iterable[str]) -> list[str]:
        """Give the events that one who knows these heads does not have, in order.

        Heads that are not here say nothing.
        """
        known: set[str] = set()
        left = [id_ for id_ in frontier if id_ in self.events]
        while left:
            id_ = left.pop()
            if id_ not in known:
                known.add(id_)
                left.extend(self._causes[id_])
        return [id_ for id_ in self.order if id_ not in known]

    # Building

    def _causes_of(self, event: Event) -> tuple[str, ...]:
        prev, events = event["prev"], self.events
        if not event["seen"]:
            return (prev,) if prev in events else ()
        named = event["seen"] if prev is None else (prev, *event["seen"])
        return tuple(id_ for id_ in named if id_ in events)

    def _ordered(self) -> list[str]:
        """Sort so that causes come first; among those free to come, by clock, device, number.

        Honest hybrid clocks never run behind what was seen: then the order by clock has
        causes first already, and it is the one wanted, as the least of those left is always
        free. Only where some clock lied are events taken one by one.
        """
        order = sorted(self.events, key=self._rank)
        place = {id_: number for number, id_ in enumerate(order)}
        for id_, causes in self._causes.items():
            for cause in causes:
                if place[cause] > place[id_]:
                    return self._one_by_one()
        return order

    def _one_by_one(self) -> list[str]:
        """Take the least of the events whose causes have all been taken, again and again.

        An id names its causes by digest, so no event can be its own cause and every event
        is taken.
        """
        followers: dict[str, list[str]] = {}
        missing = {id_: len(causes) for id_, causes in self._causes.items()}
        for id_, causes in self._causes.items():
            for cause in causes:
                followers.setdefault(cause, []).append(id_)
        ready = [self._rank(id_) for id_, count in missing.items() if not count]
        heapify(ready)
        order = []
        while ready:
            id_ = heappop(ready)[-1]
            order.append(id_)
            for follower in followers.get(id_, ()):
                missing[follower] -= 1
                if not missing[follower]:
                    heappush(ready, self._rank(follower))
        return order

    def _rank(self, id_: str) -> tuple[Any, ...]:
        event = self.events[id_]
        return (event["clock"][0], event["clock"][1], event["device"], event["seq"], id_)

    def _trace(self) -> None:
        """Give every event its place on a chain, and how far along others it knew.

        A device's events are one chain unless it forked: then each branch is one. An event
        that saw nothing new shares the table of the one before it.
        """
        place, known, events, all_causes = self._place, self._known, self.events, self._causes
        ends: dict[str, tuple[_Chain, int]] = {}
        chains = 0
        for id_ in self.order:
            prev, causes = events[id_]["prev"], all_causes[id_]
            end = ends.pop(prev, None)
            if end is not None:
                chain, position = end
                place[id_] = ends[id_] = (chain, position + 1)
                known[id_] = known[prev] if len(causes) == 1 else self._knowledge(causes, chain)
            else:
                place[id_] = ends[id_] = (chains, 0)
                known[id_] = self._knowledge(causes, chains)
                chains += 1

    def _knowledge(self, causes: tuple[str, ...], own: _Chain) -> _Reach:
        reach: _Reach = {}
        for cause in causes:
            if not reach:
                reach = dict(self._known[cause])
            else:
                for chain, position in self._known[cause].items():
                    if position > reach.get(chain, -1):
                        reach[chain] = position
            chain, position = self._place[cause]
            if position > reach.get(chain, -1):
                reach[chain] = position
        reach.pop(own, None)
        return reach

    # What is odd

    def _unknown(self) -> list[str]:
        events = self.events
        kinds = {(event["type"], event["v"]) for event in events.values()}
        strange = {kind for kind in kinds if not is_known(*kind)}
        if not strange:
            return []
        return [id_ for id_ in self.order if (events[id_]["type"], events[id_]["v"]) in strange]

    def _forks(self) -> list[dict[str, Any]]:
        numbers = {(event["device"], event["seq"]) for event in self.events.values()}
        if len(numbers) == len(self.events):
            return []
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
        for id_, event in self.events.items():
            prev, seen = event["prev"], event["seen"]
            if len(self._causes[id_]) == len(seen) + (prev is not None):
                continue
            for named in (prev, *seen):
                if named is not None and named not in self.events:
                    place = (event["device"], event["seq"])
                    gaps[named] = min(gaps.get(named, place), place)
        return [
            {"device": device, "seq": seq, "event": missing}
            for missing, (device, seq) in sorted(gaps.items(), key=lambda item: (item[1], item[0]))
        ]
