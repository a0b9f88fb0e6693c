"""Exact conversion from one unit to another: `25 N·m` in `lbf·ft`."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from witnessmark.quantities.reading import Quantity, format_number, split_quantity
from witnessmark.quantities.units import Unit, unit_named

_DIGITS = 20


@dataclass(frozen=True, slots=True)
class Conversion:
    """One quantity in another unit. `exact` is the whole number, without any rounding.

    `is_exact` is False only when a unit itself cannot be written exactly (the radian).
    """

    given: Quantity
    unit: Unit
    exact: Fraction

    @property
    def value(self) -> float:
        """The nearest float to the exact number."""
        return float(self.exact)

    @property
    def is_exact(self) -> bool:
        """Whether both units are defined exactly."""
        return self.unit.exact and self.given.unit.exact

    @property
    def fraction_text(self) -> str:
        """The exact number as a vulgar fraction or whole number."""
        return str(self.exact)

    @property
    def decimal_text(self) -> str:
        """The number in decimals: all of them when they end, else twenty and an ellipsis."""
        places = _places(self.exact.denominator)
        if places is not None and places <= _DIGITS:
            return format_number(self.exact, places)
        return format_number(self.exact, _DIGITS) + "…"


def convert(text: str, unit: str) -> Conversion:
    """Convert a quantity as written into another unit of the same dimension, exactly.

    Raises
    ------
    QuantityError
        If the text cannot be read, or the unit is unknown or measures something else.
    """
    value, own = split_quantity(" ".join(text.split()))
    given = Quantity(value * own.factor + own.offset, own)
    exact = given.in_unit(unit)
    wanted = unit_named(unit)
    assert wanted is not None  # in_unit has refused an unknown unit
    return Conversion(given, wanted, exact)


def _places(denominator: int) -> int | None:
    """Count the decimals of a fraction with this denominator; None when they never end."""
    places = {2: 0, 5: 0}
    for prime in places:
        while denominator % prime == 0:
            denominator //= prime
            places[prime] += 1
    return max(places.values()) if denominator == 1 else None
