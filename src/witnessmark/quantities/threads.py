"""Thread designations as people write them: `M8x1.25 x 45`, `3/8-16 UNC`, `G 1/4`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from witnessmark.quantities.reading import Quantity, QuantityError, read_number, shorten
from witnessmark.quantities.units import BY_NAME

_METRIC = re.compile(
    r"M\s*(\d{1,3}(?:\.\d)?)(?:\s*[x×]\s*(\d(?:\.\d{1,3})?))?(?:\s*[x×]\s*(\d{1,4}(?:\.\d)?)(?:\s*mm)?)?(\s*-?\s*LH)?",
    re.IGNORECASE,
)
_UNIFIED = re.compile(
    r"(#?\d{1,2}(?:(?:\s+|-)\d{1,2}/\d{1,2})?|\d{1,2}/\d{1,2}|\d?\.\d{1,4})\s*-\s*(\d{1,2}(?:\.5)?)\s*(UNC|UNF|UNEF|UN|UNS)?"
    r"(?:\s*[x×]\s*([\d /.]{1,12}?)\s*(?:in|\")?)?(\s*-?\s*LH)?",
    re.IGNORECASE,
)
_PIPE = re.compile(
    r"(G|Rp|BSPP|BSW|BSF)\s*(\d{1,2}(?:\s+\d{1,2}/\d{1,2})?|\d{1,2}/\d{1,2})(\s*-?\s*LH)?",
    re.IGNORECASE,
)

# ISO 261 / ISO 262 coarse pitches, millimetres. From memory of the standard; the sizes in
# tests/published/fasteners/threads_metric*.csv are checked there.
COARSE_PITCH: dict[str, str] = {
    "1": "0.25", "1.2": "0.25", "1.6": "0.35", "2": "0.4", "2.5": "0.45", "3": "0.5",
    "3.5": "0.6", "4": "0.7", "5": "0.8", "6": "1", "7": "1", "8": "1.25", "10": "1.5",
    "12": "1.75", "14": "2", "16": "2", "18": "2.5", "20": "2.5", "22": "2.5", "24": "3",
    "27": "3", "30": "3.5", "33": "3.5", "36": "4", "39": "4", "42": "4.5", "45": "4.5",
    "48": "5", "52": "5", "56": "5.5", "60": "5.5", "64": "6",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread by its designation. Diameter and pitch in exact metres.

    `family` is `metric`, `unified`, `bsp` (G), `bsw` or `bsf`. For pipe and Whitworth
    threads `pitch` is None here and `nominal` the printed size: the tables of
    `engineering` give the rest. `length` is under the head, when written.
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
            shown = Quantity(self.length, unit)
            parts.append(f"x {str(shown).removesuffix(' mm')}")
        if self.left_hand:
            parts.append("LH")
        return " ".join(parts)


def read_thread(text: str) -> Thread:
    """Read a thread designation, with the length under the head when given.

    A metric thread without pitch is coarse. Raises QuantityError when unreadable.
    """
    stripped = " ".join(text.split())
    if len(stripped) <= 60:
        if match := _METRIC.fullmatch(stripped):
            return _metric(*match.groups())
        if match := _UNIFIED.fullmatch(stripped):
            return _unified(*match.groups())
        if match := _PIPE.fullmatch(stripped):
            return _pipe(*match.groups())
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
        length=None if length is None else read_number(length) / 1000,
        left_hand=hand is not None,
    )


def _unified(
    size: str, per_inch: str, series: str | None, length: str | None, hand: str | None
) -> Thread:
    inch = Fraction(254, 10_000)
    if size.startswith("#"):
        # ASME B1.1: number sizes are 0.060 in plus 0.013 in a number (from memory).
        diameter = Fraction(60 + 13 * int(size[1:]), 1000)
    else:
        diameter = read_number(size.replace("-", " "))
    threads = read_number(per_inch)
    if threads <= 0 or diameter <= 0 or diameter * threads <= 2:
        raise QuantityError(
            f"'{size}-{per_inch}' is not a thread", "check size and threads per inch"
        )
    name = f"{size}-{per_inch}" + (f" {series.upper()}" if series else "")
    return Thread(
        family="unified",
        designation=name,
        nominal=diameter * inch,
        pitch=inch / threads,
        series=(series or "UN").upper(),
        length=None if not length else read_number(length) * inch,
        left_hand=hand is not None,
    )


def _pipe(family: str, size: str, hand: str | None) -> Thread:
    word = {"G": "bsp", "RP": "bsp", "BSPP": "bsp", "BSW": "bsw", "BSF": "bsf"}[family.upper()]
    shown = "G" if word == "bsp" else word.upper()
    return Thread(
        family=word,
        designation=f"{shown} {size}",
        nominal=read_number(size) * Fraction(254, 10_000),
        pitch=None,
        series=shown,
        left_hand=hand is not None,
    )
