"""Minutes, places and tools of a plan's steps, by the workshop's figures."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from witnessmark.machine.model import IdRef, Machine, Way
from witnessmark.machine.workshop import Workshop
from witnessmark.procedure.problem import ANYWHERE, BARE_HANDS, GROUND, Changeovers
from witnessmark.procedure.tools import plain_tool

_TENTHS_PER_HOUR = 600


def money_in_tenths(money: Fraction, workshop: Workshop) -> int:
    """Turn money into tenths of a labour minute at the workshop's rate, rounded up.

    Without a rate money buys no time, and the answer is nothing.
    """
    if workshop.rate_per_hour <= 0 or money <= 0:
        return 0
    return -(-money * _TENTHS_PER_HOUR // workshop.rate_per_hour)


class Spoiling:
    """What a way destroys, priced; remembers the parts it found no price for.

    A part that only may be spoilt counts in full: it must be at hand. A risk counts the
    minutes the workshop gives for its word.
    """

    def __init__(self, machine: Machine, workshop: Workshop) -> None:
        self.machine = machine
        self.workshop = workshop
        self.unpriced: dict[str, None] = {}

    def tenths(self, way: Way) -> int:
        """Give the price of what a way spoils and risks."""
        risk = self.workshop.risk_minutes.get(way.risk, 0) if way.risk is not None else 0
        if not way.spoils:
            return risk
        money = Fraction(0)
        for part in way.spoils:
            known = self.machine.parts.get(part)
            price = known.line.price if known is not None and known.line is not None else None
            if price is None:
                self.unpriced.setdefault(part)
            else:
                money += price
        return risk + money_in_tenths(money, self.workshop)


class Places:
    """Numbers positions and tools in the order of the file and of first use."""

    def __init__(self, machine: Machine, workshop: Workshop) -> None:
        self.workshop = workshop
        self._positions = {workshop.first_position: GROUND}
        for name in machine.positions:
            self._positions.setdefault(name, len(self._positions))
        self._tools = {"bare hands": BARE_HANDS}

    def position(self, ref: IdRef | None) -> int:
        """Give the number of a position; anywhere when none is named."""
        if ref is None:
            return ANYWHERE
        return self._positions.setdefault(ref.id, len(self._positions))

    def tool(self, tool: str | None) -> int:
        """Give the number of a tool; whatever is in the hand when none is named."""
        if tool is None:
            return ANYWHERE
        return self._tools.setdefault(plain_tool(tool), len(self._tools))

    def changeovers(self) -> Changeovers:
        """Give the matrix of positions and the price of a tool change."""
        names = tuple(self._positions)
        return Changeovers(
            positions=names,
            matrix=tuple(tuple(self._row(here, names)) for here in names),
            tools=tuple(self._tools),
            tool_change=self.workshop.tool_change,
        )

    def _row(self, here: str, names: Iterable[str]) -> Iterable[int]:
        moves = self.workshop.moves
        for there in names:
            if here == there:
                yield 0
                continue
            straight = moves.get(here, {}).get(there)
            back = moves.get(there, {}).get(here)
            known = straight if straight is not None else back
            yield self.workshop.position_change if known is None else known
