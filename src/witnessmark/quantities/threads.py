"""Thread designations as people write them: `M8x1.25 x 45`, `3/8-16 UNC`, `G 1/4`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from witnessmark.quantities.reading import Quantity, QuantityError, read_number, shorten
from witnessmark.quantities.thread_series import (
    COARSE_PITCH,
    FINE_WHITWORTH_TPI,
    PIPE_THREADS,
    UNIFIED_SERIES,
    UNIFIED_TPI,
    WHITWORTH_TPI,
    pitch_of_threads_per_inch,
    unified_series_of,
)
from witnessmark.quantities.units import BY_NAME

_HAND = r"(\s*-?\s*LH)?"
_SIZE = r"\d{1,2}(?:(?:\s+|-)\d{1,2}/\d{1,2})?|\d{1,2}/\d{1,2}"
_METRIC = re.compile(
    r"M\s*(\d{1,3}(?:\.\d)?)(?:\s*[x×]\s*(\d(?:\.\d{1,3})?))?"
    r"(?:\s*[x×]\s*(\d{1,4}(?:\.\d)?)(?:\s*mm)?)?" + _HAND,
    re.IGNORECASE,
)
_INCH_LENGTH = r"(?:\s*[x×]\s*([\d /.]{1,12}?)\s*(?:in|\")?)?"
_UNIFIED = re.compile(
    rf"((?:#|No\.?\s*)?(?:{_SIZE})|\d?\.\d{{1,4}})\s*(?:in|\")?\s*-\s*(\d{{1,2}}(?:\.5)?)\s*"
    r"(UNC|UNF|UNEF|UNS|UN)?" + _INCH_LENGTH + _HAND,
    re.IGNORECASE,
)
_UNIFIED_BY_SERIES = re.compile(
    rf"((?:#|No\.?\s*)?(?:{_SIZE}))\s*(?:in|\")?\s*(UNC|UNF|UNEF)" + _INCH_LENGTH + _HAND,
    re.IGNORECASE,
)
_PIPE = re.compile(rf"(G|Rp|BSPP|BSW|BSF)\s*({_SIZE})\s*(?:in|\")?" + _HAND, re.IGNORECASE)
_PIPE_SIZE_FIRST = re.compile(rf"({_SIZE})\s*(?:in|\")?\s*(BSPP|BSW|BSF)" + _HAND, re.IGNORECASE)
_INCH = Fraction(254, 10_000)
_FAMILY = {"G": "bsp", "RP": "bsp", "BSPP": "bsp", "BSW": "bsw", "BSF": "bsf"}


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread by its designation. Diameter and pitch in exact metres.

    `family` is `metric`, `unified`, `bsp` (G), `bsw` or `bsf`. `nominal` is the printed
    size; for `bsp` that is not the major diameter (the tables of `engineering` give it).
    `length` is under the head, when written.
    """

    family: str
    designation: str
    nominal: Fraction
    pitch: Fraction | None
    series: str
    length: Fraction | None = None
    left_hand: bool = False

    @property
    def size(self) -> str:
        """The designation without length and hand, in one canonical spelling."""
        return self.designation

    def __str__(self) -> str:
        """Print as on a drawing: thread, length, hand."""
        parts = [self.designation]
        if self.length is not None:
            unit = BY_NAME["mm" if self.family == "metric" else "in"]
            parts.append(f"x {str(Quantity(self.length, unit)).removesuffix(' mm')}")
        if self.left_hand:
            parts.append("LH")
        return " ".join(parts)


def read_thread(text: str) -> Thread:
    """Read a thread designation, with the length under the head when given.

    A metric thread without pitch is coarse; an inch thread needs its threads per inch or
    its series. Raises QuantityError when unreadable.
    """
    stripped = " ".join(text.split())
    if len(stripped) <= 60:
        if match := _METRIC.fullmatch(stripped):
            return _metric(*match.groups())
        if match := _UNIFIED.fullmatch(stripped):
            return _unified(*match.groups())
        if match := _UNIFIED_BY_SERIES.fullmatch(stripped):
            return _unified_by_series(*match.groups())
        if match := _PIPE.fullmatch(stripped):
            return _pipe(*match.groups())
        if match := _PIPE_SIZE_FIRST.fullmatch(stripped):
            size, family, hand = match.groups()
            return _pipe(family, size, hand)
    raise QuantityError(
        f"'{shorten(text)}' is not a thread",
        "write it like 'M8x1.25 x 45', '3/8-16 UNC' or 'G 1/4'",
    )


def _plain(value: Fraction) -> str:
    return f"{float(value):g}"


def _metric(diameter: str, pitch: str | None, length: str | None, hand: str | None) -> Thread:
    nominal = read_number(diameter)
    coarse = COARSE_PITCH.get(_plain(nominal))
    if pitch is None and coarse is None:
        raise QuantityError(f"M{diameter} has no coarse pitch", f"write the pitch: M{diameter}x1")
    millimetres = read_number(pitch or coarse or "")
    if not 0 < millimetres * 2 < nominal:
        raise QuantityError(
            f"a pitch of {pitch} mm does not suit M{diameter}", "check both figures"
        )
    return Thread(
        family="metric",
        designation=f"M{_plain(nominal)}x{_plain(millimetres)}",
        nominal=nominal / 1000,
        pitch=millimetres / 1000,
        series="coarse" if coarse is not None and read_number(coarse) == millimetres else "fine",
        length=None if length is None else _length(length, Fraction(1, 1000)),
        left_hand=hand is not None,
    )


def _length(text: str, unit: Fraction) -> Fraction:
    value = read_number(text)
    if value <= 0:
        raise QuantityError(f"a length of {text.strip()} is not above zero", "check the length")
    return value * unit


def _inch_size(written: str, per_inch: Fraction | None) -> tuple[str, Fraction]:
    """Give the canonical size and its diameter in inches: `#10`, `1 1/8`, `3/8`."""
    bare = re.sub(r"^(?:#|No\.?\s*)", "", written, flags=re.IGNORECASE)
    number = f"#{int(bare)}" if bare.isdigit() else ""
    # `10-32` is written for number 10: nobody means ten inches.
    by_number = {t for t in UNIFIED_TPI.get(number, ()) if t is not None}
    if bare != written or (per_inch is not None and per_inch in {Fraction(t) for t in by_number}):
        if number not in UNIFIED_TPI:
            raise QuantityError(
                f"'{written}' is not a number size", "they are #0 to #6, #8, #10 and #12"
            )
        # ASME B1.1: number sizes are 0.060 in plus 0.013 in a number.
        return number, Fraction(60 + 13 * int(bare), 1000)
    size = " ".join(bare.replace("-", " ").split())
    return size, read_number(size)


def _unified(
    written: str, per_inch: str, series: str | None, length: str | None, hand: str | None
) -> Thread:
    threads = read_number(per_inch)
    size, diameter = _inch_size(written, threads)
    if threads <= 0 or diameter <= 0 or diameter * threads <= 2:
        raise QuantityError(
            f"'{written}-{per_inch}' is not a thread", "check size and threads per inch"
        )
    standard = unified_series_of(size, threads)
    if series is not None and series.upper() in UNIFIED_SERIES and series.upper() != standard:
        raise QuantityError(
            f"{size}-{per_inch} is not {series.upper()}",
            f"{series.upper()} of this size has {_standard_tpi(size, series.upper())}",
        )
    return Thread(
        family="unified",
        designation=f"{size}-{_plain(threads)} {series.upper() if series else standard}",
        nominal=diameter * _INCH,
        pitch=_INCH / threads,
        series=series.upper() if series else standard,
        length=None if not length else _length(length, _INCH),
        left_hand=hand is not None,
    )


def _standard_tpi(size: str, series: str) -> str:
    listed = UNIFIED_TPI.get(size, (None, None, None))[UNIFIED_SERIES.index(series)]
    return f"{listed} threads per inch" if listed is not None else "no pitch in ASME B1.1"


def _unified_by_series(written: str, series: str, length: str | None, hand: str | None) -> Thread:
    size, _ = _inch_size(written, None)
    listed = UNIFIED_TPI.get(size, (None, None, None))[UNIFIED_SERIES.index(series.upper())]
    if listed is None:
        raise QuantityError(
            f"'{shorten(written)}' has no {series.upper()} pitch",
            "write the threads per inch: '5/16-18'",
        )
    return _unified(written, listed, series, length, hand)


def _pipe(family: str, written: str, hand: str | None) -> Thread:
    word = _FAMILY[family.upper()]
    shown = "G" if word == "bsp" else word.upper()
    size = " ".join(written.replace("-", " ").split())
    if word == "bsp":
        per_inch = PIPE_THREADS.get(size, (None, None))[0]
    else:
        per_inch = (WHITWORTH_TPI if word == "bsw" else FINE_WHITWORTH_TPI).get(size)
    if per_inch is None:
        raise QuantityError(
            f"{shown} {size} is not a standard size", "check the size against the old part"
        )
    return Thread(
        family=word,
        designation=f"{shown} {size}",
        nominal=read_number(size) * _INCH,
        pitch=pitch_of_threads_per_inch(per_inch),
        series=shown,
        left_hand=hand is not None,
    )
