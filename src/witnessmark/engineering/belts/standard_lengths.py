"""Toothed belts by the standards: pitch of each section, length from the tooth count.

Sources: ANSI/RMA IP-24 (the sections of ISO 5296) as reprinted in Machinery's Handbook,
27th ed., for the inch sections and their lengths; ISO 13050:1999, clause 4 for the order of
a metric designation. What is from memory says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from witnessmark.engineering.refusal import RefusalError

INCH = Fraction(254, 10_000)

# Pitch of each section [in], ANSI/RMA IP-24 table headings. XXL from memory (ISO 5296).
INCH_SECTIONS: dict[str, Fraction] = {
    "MXL": Fraction(80, 1000),
    "XXL": Fraction(125, 1000),
    "XL": Fraction(200, 1000),
    "L": Fraction(375, 1000),
    "H": Fraction(500, 1000),
    "XH": Fraction(875, 1000),
    "XXH": Fraction(1250, 1000),
}
FROM_MEMORY = frozenset({"XXL"})

# Tolerance on pitch length [in] for lengths up to so many inches, same table. Lengths up to
# 22 in were read; that the last band reaches to 30 in is from memory.
LENGTH_TOLERANCES: tuple[tuple[Fraction, Fraction], ...] = (
    (Fraction(10), Fraction(16, 1000)),
    (Fraction(15), Fraction(18, 1000)),
    (Fraction(20), Fraction(20, 1000)),
    (Fraction(30), Fraction(24, 1000)),
)

_INCH_DESIGNATION = re.compile(r"(\d{2,4})\s*(MXL|XXL|XXH|XL|XH|L|H)", re.IGNORECASE)
_METRIC_DESIGNATION = re.compile(r"(\d{2,5})\s*-?\s*([GHRS])\s*(8|14)\s*M", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class StandardBelt:
    """A toothed belt by its designation. Lengths exact, in metres.

    `tolerance` is plus and minus on the pitch length; None where no table was read.
    """

    designation: str
    section: str
    teeth: int
    pitch: Fraction
    tolerance: Fraction | None
    source: str

    @property
    def length(self) -> Fraction:
        """Pitch length: teeth × pitch. [m]."""
        return self.teeth * self.pitch


def section_pitch(section: str) -> Fraction:
    """Tooth pitch of a standard inch section. [m].

    Raises
    ------
    RefusalError
        If the section is not one of the seven.
    """
    pitch = INCH_SECTIONS.get(section.upper())
    if pitch is None:
        raise RefusalError(
            f"'{section[:20]}' is not a section known here",
            f"known: {', '.join(INCH_SECTIONS)}; otherwise give the pitch",
        )
    return pitch * INCH


def standard_belt(designation: str) -> StandardBelt:
    """Read a designation such as `124L` or `1200 H8M` into teeth, pitch and length.

    An inch designation is the pitch length in tenths of an inch, rounded; the true length
    is the nearest whole number of pitches (124L: 33 teeth, 12.375 in).

    Raises
    ------
    RefusalError
        If it is not such a designation, or no whole number of teeth suits it.
    """
    text = " ".join(designation.split())
    if len(text) <= 20 and (match := _INCH_DESIGNATION.fullmatch(text)):
        return _inch_belt(int(match[1]), match[2].upper())
    if len(text) <= 20 and (match := _METRIC_DESIGNATION.match(text)):
        return _metric_belt(int(match[1]), match[2].upper(), int(match[3]))
    raise RefusalError(
        f"'{text[:20]}' is not a belt designation known here",
        "write it like '124L' or '1200 H8M', or give teeth and pitch",
    )


def teeth_of_length(length: Fraction, pitch: Fraction) -> int:
    """Teeth of a belt from pitch length and pitch; they must make a whole number.

    Parameters
    ----------
    length, pitch : Fraction
        Pitch length and tooth pitch, in the same unit.

    Raises
    ------
    RefusalError
        If the length is not a whole number of pitches.
    """
    if length <= 0 or pitch <= 0:
        raise RefusalError("length and pitch must be above zero", "check both figures")
    teeth = length / pitch
    if teeth.denominator != 1:
        raise RefusalError(
            f"the length is {float(teeth):.4f} pitches, not a whole number",
            "a toothed belt has whole teeth: count them, or check the pitch",
        )
    return int(teeth)


def _inch_belt(tenths: int, section: str) -> StandardBelt:
    pitch = INCH_SECTIONS[section]
    teeth = round(Fraction(tenths, 10) / pitch)
    length = teeth * pitch
    if int(length * 10) != tenths and round(length * 10) != tenths:
        raise RefusalError(
            f"no whole number of {section} teeth makes {tenths}{section}",
            "read the designation again",
        )
    tolerance = next((t * INCH for upto, t in LENGTH_TOLERANCES if length <= upto), None)
    memory = section in FROM_MEMORY
    return StandardBelt(
        f"{tenths}{section}",
        section,
        teeth,
        pitch * INCH,
        None if memory else tolerance,
        "pitch from memory of ISO 5296" if memory else "ANSI/RMA IP-24, standard pitch lengths",
    )


def _metric_belt(length: int, form: str, pitch: int) -> StandardBelt:
    teeth = teeth_of_length(Fraction(length, 1000), Fraction(pitch, 1000))
    return StandardBelt(
        f"{length} {form}{pitch}M",
        f"{form}{pitch}M",
        teeth,
        Fraction(pitch, 1000),
        None,
        "ISO 13050:1999, clauses 3 and 4",
    )
