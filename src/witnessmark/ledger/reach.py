"""Who knew of what: the events of a job laid out in chains, and how far along each one knew.

A chain is a run of events each of which knew the one before, whoever wrote them: a device's
own events, or those of several who worked in turns and heard each other first. Who knew an
event of a chain knew all before it, so one number per chain says what an event knew. Where
everybody knew of everything there is one chain, and nothing to keep.
"""

from __future__ import annotations

from witnessmark.ledger.ordering import Laid

Chain = int
_Known = dict[Chain, int]


class Reach:
    """Answers who knew of what, of events that are laid in order."""

    def __init__(self, laid: Laid) -> None:
        self._laid = laid
        self._number = laid.number
        in_turn = _in_turn(laid)
        self._chain: list[Chain] = [0] * in_turn
        self._known: list[_Known] = [{}] * in_turn
        self._ends: list[int] = [in_turn - 1] if in_turn else []
        for number in range(in_turn, len(laid.order)):
            self._lay(number, laid.causes(number))

    def reaches(self, earlier: str, later: str) -> bool:
        """Tell whether the first event was known when the second was written.

        No event was known when it was itself written.
        """
        one, other = self._number[earlier], self._number[later]
        chain = self._chain[one]
        if chain == self._chain[other]:
            return one < other
        return self._known[other].get(chain, -1) >= one

    def place(self, id_: str) -> tuple[Chain, int]:
        """Give the chain of an event and its number; numbers grow along a chain."""
        number = self._number[id_]
        return self._chain[number], number

    def last_known(self, id_: str, chain: Chain) -> int:
        """Give the number up to which an event knew a chain; -1 where it knew none of it."""
        number = self._number[id_]
        if chain == self._chain[number]:
            return number - 1
        return self._known[number].get(chain, -1)

    def _lay(self, number: int, causes: tuple[int, ...]) -> None:
        """Put an event at the end of a chain that ends in one of its causes, or begin one."""
        own: Chain = len(self._ends)
        known: _Known = {}
        for cause in causes:
            chain = self._chain[cause]
            if self._ends[chain] == cause:
                own, known = chain, self._known[cause]
                break
        if own == len(self._ends):
            self._ends.append(number)
        else:
            self._ends[own] = number
        if any(self._chain[cause] != own for cause in causes):
            known = self._learnt(known, causes, own)
        self._chain.append(own)
        self._known.append(known)

    def _learnt(self, before: _Known, causes: tuple[int, ...], own: Chain) -> _Known:
        """Give what an event knew of other chains; with no news, the table of the one before."""
        reach = dict(before)
        for cause in causes:
            there = self._chain[cause]
            if there == own:
                continue
            for chain, number in self._known[cause].items():
                if number > reach.get(chain, -1):
                    reach[chain] = number
            if cause > reach.get(there, -1):
                reach[there] = cause
        reach.pop(own, None)
        return before if reach == before else reach


def _in_turn(laid: Laid) -> int:
    """Tell how many events, from the first on, each knew the one before them."""
    for number, prev in enumerate(laid.prev):
        if prev != number - 1 and number - 1 not in laid.seen.get(number, ()):
            return number
    return len(laid.prev)
