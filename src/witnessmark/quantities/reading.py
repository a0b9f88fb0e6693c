"""Quantities as people write them: `22 N·m`, `7.5 L`, `3/8 in`, `4 min`, `1 h 20`."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from fractions import Fraction

from witnessmark.quantities.units import BY_NAME, Dimension, Unit, unit_named

_NUMBER = re.compile(
    r"([-+−]?)\s*(?:(\d{1,15})\s+)?(\d{1,15})/(\d{1,15})|([-+−]?)(\d{1,15}(?:\.\d{1,15})?|\.\d{1,15})"
)
_HOURS_MINUTES = re.compile(r"(\d{1,6})\s*h\s*(\d{1,2})(?:\s*(?:min|m))?")
_LONGEST = 80


class QuantityError(ValueError):
    """A quantity could not be read. `what` says what is wrong, `hint` what to do.

    `kind` is `unreadable` (no such number or unit) or `wrong-unit` (another dimension).
    """

    def __init__(self, what: str, hint: str, kind: str = "unreadable") -> None:
        super().__init__(f"{what}: {hint}")
        self.what = what
        self.hint = hint
        self.kind = kind


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value held exactly in SI (angles in degrees, rotational speed in rpm)."""

    si: Fraction
    unit: Unit

    @property
    def dimension(self) -> Dimension:
        """What kind of thing this measures."""
        return self.unit.dimension

    def __float__(self) -> float:
        """Give the SI value as a float."""
        return float(self.si)

    def in_unit(self, name: str) -> Fraction:
        """Give the exact number in another unit of the same dimension.

        Raises
        ------
        QuantityError
            If the unit is unknown or measures something else.
        """
        unit = unit_named(name)
        if unit is None:
            raise QuantityError(f"'{name}' is not a unit known here", _nearest_unit(name, None))
        if unit.dimension is not self.dimension:
            raise QuantityError(
                f"'{unit.symbol}' measures {unit.dimension}, not {self.dimension}",
                f"choose a unit of {self.dimension}",
                "wrong-unit",
            )
        return (self.si - unit.offset) / unit.factor

    def __str__(self) -> str:
        """Print as written in its own unit, without float noise."""
        number = format_number((self.si - self.unit.offset) / self.unit.factor)
        if self.unit.symbol in {"", "°", "%"}:
            return f"{number}{self.unit.symbol}"
        return f"{number} {self.unit.symbol}"


def format_number(value: Fraction, places: int = 6) -> str:
    """Print a fraction as a plain decimal of at most `places` digits after the point."""
    scaled = round(abs(value) * 10**places)
    whole, rest = divmod(scaled, 10**places)
    decimals = f"{rest:0{places}d}".rstrip("0") if places else ""
    sign = "-" if value < 0 and scaled else ""
    return f"{sign}{whole}.{decimals}" if decimals else f"{sign}{whole}"


def read_number(text: str) -> Fraction:
    """Read a decimal, a vulgar fraction or a mixed number (`1 1/2`) exactly.

    Raises
    ------
    QuantityError
        If the text is not a number.
    """
    match = _NUMBER.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    if match is None:
        raise QuantityError(
            f"'{shorten(text)}' is not a number", "write digits with a point, like 7.5"
        )
    sign_fraction, whole, numerator, denominator, sign, decimal = match.groups()
    if decimal is not None:
        value = Fraction(decimal)
    elif int(denominator) == 0:
        raise QuantityError(f"'{shorten(text)}' divides by zero", "write a number like 3/8")
    else:
        value = int(whole or 0) + Fraction(int(numerator), int(denominator))
    return -value if (sign or sign_fraction or "+") in "-−" else value


def read_quantity(text: str, dimension: Dimension) -> Quantity:
    """Read a number with its unit and check that it measures the wanted thing.

    `1 h 20` and `1 h 20 min` are read as times. A bare number is refused unless the
    dimension is a ratio.

    Raises
    ------
    QuantityError
        If it cannot be read (`kind` "unreadable") or has another dimension ("wrong-unit").
    """
    stripped = text.strip()
    if dimension is Dimension.TIME and (match := _HOURS_MINUTES.fullmatch(stripped)):
        minutes = int(match[1]) * 60 + int(match[2])
        return Quantity(Fraction(minutes * 60), BY_NAME["min"])
    value, unit = split_quantity(stripped, dimension)
    if unit.dimension is not dimension:
        example = next(u.symbol for u in BY_NAME.values() if u.dimension is dimension)
        raise QuantityError(
            f"'{shorten(text)}' is a {unit.dimension}, but a {dimension} is wanted here",
            f"write it like '{format_number(value)} {example}'".rstrip(),
            "wrong-unit",
        )
    return Quantity(value * unit.factor + unit.offset, unit)


def split_quantity(text: str, wanted: Dimension | None = None) -> tuple[Fraction, Unit]:
    """Split a text into an exact number and its unit, whatever it measures."""
    match = _NUMBER.match(text) if len(text) <= _LONGEST else None
    if match is None:
        raise QuantityError(
            f"'{shorten(text)}' is not a number with a unit", "write it like '22 N·m' or '7.5 L'"
        )
    if text[match.end() :].startswith(","):
        raise QuantityError(
            f"'{shorten(text)}' has a comma in its number", "write a point: 7.5, not 7,5"
        )
    value = read_number(match.group())
    rest = text[match.end() :].strip()
    if rest == "" and wanted is not None and wanted is not Dimension.RATIO:
        raise QuantityError(
            f"'{shorten(text)}' has no unit", f"a {wanted} needs one; a number alone may be misread"
        )
    unit = unit_named(rest)
    if unit is None:
        raise QuantityError(
            f"'{shorten(rest)}' in '{shorten(text)}' is not a unit known here",
            _nearest_unit(rest, wanted),
        )
    return value, unit


def shorten(text: str) -> str:
    """Keep a text short enough for one line of a message."""
    one_line = " ".join(text.split())
    return one_line if len(one_line) <= _LONGEST else one_line[: _LONGEST - 1] + "…"


def _nearest_unit(name: str, wanted: Dimension | None) -> str:
    pool = [n for n, u in BY_NAME.items() if n and (wanted is None or u.dimension is wanted)]
    near = difflib.get_close_matches(name[:_LONGEST], pool, 1)
    return f"did you mean '{near[0]}'?" if near else f"known units: {', '.join(pool[:8])}"
