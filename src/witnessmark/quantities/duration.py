"""Job times: read as people write them, held in whole tenths of a minute."""

from __future__ import annotations

from fractions import Fraction

from witnessmark.quantities.reading import QuantityError, format_number, read_quantity
from witnessmark.quantities.units import Dimension

TENTHS_PER_MINUTE = 10


def read_tenths(text: str) -> int:
    """Read a job time such as `4 min`, `0.5 min`, `1 h 20` into tenths of a minute.

    Raises
    ------
    QuantityError
        If it is not a time, is negative, is finer than a tenth of a minute or longer
        than a thousand hours.
    """
    seconds = read_quantity(text, Dimension.TIME).si
    tenths = seconds / Fraction(6)
    if tenths < 0:
        raise QuantityError(f"'{text}' is below zero", "write how long the step takes")
    if tenths.denominator != 1:
        raise QuantityError(f"'{text}' is finer than a tenth of a minute", "round it up to 0.1 min")
    if tenths > 600_000:
        raise QuantityError(f"'{text}' is longer than a thousand hours", "check the unit")
    return int(tenths)


def minutes_text(tenths: int) -> str:
    """Print tenths of a minute as people read them: `4 min`, `0.5 min`, `1 h 20 min`."""
    if tenths < 60 * TENTHS_PER_MINUTE:
        return f"{format_number(Fraction(tenths, 10))} min"
    hours, rest = divmod(tenths, 60 * TENTHS_PER_MINUTE)
    return f"{hours} h" if rest == 0 else f"{hours} h {format_number(Fraction(rest, 10))} min"
