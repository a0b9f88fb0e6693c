"""The workshop file: rates, change-overs, wrenches, tools and stock, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from witnessmark.machine.model import Place


@dataclass(frozen=True, slots=True)
class Wrench:
    """A torque wrench: range in N·m, drive, whether it shows its value, last check."""

    id: str
    name: str
    place: Place
    low: Fraction
    high: Fraction
    drive: str | None = None
    shows_value: bool = False
    checked: str | None = None
    """Date of the last check as `YYYY-MM-DD`."""
    due: str | None = None
    """Date its next check is due as `YYYY-MM-DD`; a year after `checked` when not given."""
    length: Fraction | None = None
    """From its drive to the middle of its grip [m]; wanted only where an adapter is on."""
    unit: str = "N·m"
    """The unit of its scale."""


@dataclass(frozen=True, slots=True)
class Adapter:
    """A crowfoot, offset ring or the like between wrench and bolt.

    `length` is from drive to bolt [m]; `at` is where it points: 0 straight out from the
    wrench, 90 across, 180 back towards the grip [degrees].
    """

    id: str
    name: str
    place: Place
    length: Fraction
    at: Fraction = Fraction(0)
    drive: str | None = None


@dataclass(frozen=True, slots=True)
class Workshop:
    """A workshop's own figures. Times in tenths of a minute, money exact.

    `moves[a][b]` is the change of position; positions a machine uses that the workshop
    does not list cost `position_change` from and to everywhere.
    """

    name: str
    file: str
    currency: str = ""
    rate_per_hour: Fraction = Fraction(0)
    position_change: int = 10
    tool_change: int = 2
    moves: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    wrenches: tuple[Wrench, ...] = ()
    adapters: tuple[Adapter, ...] = ()
    tools: frozenset[str] = frozenset()
    special_tools: frozenset[str] = frozenset()
    stock: Mapping[str, int] = field(default_factory=dict)
    """Part number to pieces on the shelf."""
    second_torque_unit: str = "lbf·ft"
    first_position: str = "on the ground"
    risk_minutes: Mapping[str, int] = field(default_factory=dict)
    """What a spoilt-maybe part costs beyond its price, in tenths, by risk word."""
    place: Place | None = None
    """Where the file's contents begin; None when it was not read from a file."""
    move_places: Mapping[tuple[str, str], Place] = field(default_factory=dict)
    """Where each change of position that the file names is written."""

    def move(self, here: str, there: str) -> int:
        """Give the change from one position to another, in tenths of a minute.

        A move that is written one way only takes as long the other way.
        """
        if here == there:
            return 0
        forth = self.moves.get(here, {}).get(there)
        back = self.moves.get(there, {}).get(here)
        known = forth if forth is not None else back
        return self.position_change if known is None else known
