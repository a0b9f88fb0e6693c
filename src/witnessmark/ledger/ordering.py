"""The order of a job's events: causes first, and what they leave open by clock, device, number.

Events are looked at once, and named by number from then on: a long history is ordered by
going through lists, not by looking ids up.
"""

from __future__ import annotations

from collections.abc import Mapping
from heapq import heapify, heappop, heappush
from operator import ge

from witnessmark.ledger.event_types import EVENT_TYPES, VERSION, is_known
from witnessmark.ledger.events import Event

NONE = -1

_Rank = tuple[int, int, str, int, str, int]
"""Clock, counter, device, number, id; then the event's number among those handed in."""


class Laid:
    """The events of a job in order, each named by its number in that order.

    Attributes
    ----------
    order : list of str
        Ids, causes first.
    number : dict of str to int
        Where each stands in the order.
    prev : list of int
        The event before of the same device, `NONE` where there is none or it is missing.
    seen : dict of int to tuple of int
        The others named that are here, of those that name any.
    short : list of str
        Ids of events that name something that is not here.
    unknown : list of int
        Events of a type or version that this edition does not know, in order.
    forked : bool
        Whether two events of a device have one number.
    """

    def __init__(self, events: Mapping[str, Event]) -> None:
        self.order = list(events)
        self.number = dict(zip(self.order, range(len(self.order)), strict=True))
        self.prev: list[int] = []
        self.seen: dict[int, tuple[int, ...]] = {}
        self.short: list[str] = []
        self.unknown: list[int] = []
        self.forked = False
        ranks = self._read(events)
        found = [rank[-1] for rank in sorted(ranks)]
        self._take(found)
        if not self._has_causes_first():
            self._take(_one_by_one(self, sorted(ranks, key=lambda rank: self.number[rank[4]])))
        self.unknown.sort()

    def causes(self, number: int) -> tuple[int, ...]:
        """Give the events that one names and that are here, its own device's first."""
        prev, seen = self.prev[number], self.seen.get(number, ())
        return seen if prev == NONE else (prev, *seen)

    def _read(self, events: Mapping[str, Event]) -> list[_Rank]:
        """Look at every event once."""
        ranks: list[_Rank] = []
        numbers: dict[str, list[int]] = {}
        find, before, number = self.number.get, None, 0
        for id_, event in events.items():
            prev, device, seq, clock = event["prev"], event["device"], event["seq"], event["clock"]
            ranks.append((clock[0], clock[1], device, seq, id_, number))
            if prev is None:
                self.prev.append(NONE)
            elif prev == before:
                self.prev.append(number - 1)
            else:
                self.prev.append(found := find(prev, NONE))
                if found == NONE:
                    self.short.append(id_)
            if event["seen"]:
                self._look_up(id_, number, event["seen"])
            if event["v"] != VERSION or event["type"] not in EVENT_TYPES:
                self._look_closer(event, number)
            try:
                numbers[device].append(seq)
            except KeyError:
                numbers[device] = [seq]
            before, number = id_, number + 1
        self.forked = any(len(set(each)) < len(each) for each in numbers.values())
        return ranks

    def _look_up(self, id_: str, number: int, seen: list[str]) -> None:
        here = [self.number[each] for each in seen if each in self.number]
        if here:
            self.seen[number] = tuple(here)
        if len(here) < len(seen):
            self.short.append(id_)

    def _look_closer(self, event: Event, number: int) -> None:
        if not is_known(event["type"], event["v"]):
            self.unknown.append(number)

    def _take(self, found: list[int]) -> None:
        """Put the events in the order found, and number them anew."""
        if all(map(int.__eq__, found, range(len(found)))):
            return
        anew = [0] * len(found)
        for new, old in enumerate(found):
            anew[old] = new
        anew.append(NONE)  # what `NONE` becomes, as it stands for the last
        self.order = [self.order[old] for old in found]
        self.number = dict(zip(self.order, range(len(found)), strict=True))
        self.prev = [anew[self.prev[old]] for old in found]
        self.seen = {
            anew[old]: tuple([anew[each] for each in seen]) for old, seen in self.seen.items()
        }
        self.unknown = [anew[old] for old in self.unknown]

    def _has_causes_first(self) -> bool:
        """Tell whether the order by clock is one: so it is wherever no clock ran back.

        It is then the one wanted, as the least of those left is always free to come.
        """
        if any(map(ge, self.prev, range(len(self.prev)))):
            return False
        return all(max(seen) < number for number, seen in self.seen.items())


def _one_by_one(laid: Laid, ranks: list[_Rank]) -> list[int]:
    """Take the least of the events whose causes have all been taken, again and again.

    An id names its causes by digest, so no event can be its own cause and every event is
    taken. `ranks` are in the order of the events' numbers.
    """
    every = [laid.causes(number) for number in range(len(ranks))]
    missing = [len(causes) for causes in every]
    followers: list[list[int]] = [[] for _ in every]
    for number, causes in enumerate(every):
        for cause in causes:
            followers[cause].append(number)
    ready = [(rank[:5], number) for number, rank in enumerate(ranks) if not missing[number]]
    heapify(ready)
    order = []
    while ready:
        _, number = heappop(ready)
        order.append(number)
        for follower in followers[number]:
            missing[follower] -= 1
            if not missing[follower]:
                heappush(ready, (ranks[follower][:5], follower))
    return order
