"""Offsets of timing marks as people read them: degrees, teeth, or millimetres on a rim."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.shafts import degrees_per_tooth


@dataclass(frozen=True, slots=True)
class Reading:
    """How far a shaft's mark stands from where it belongs.

    Attributes
    ----------
    shaft : str
        Which shaft.
    offset : Fraction
        Ahead in the running direction, of this shaft; behind is negative. [degrees]
    accuracy : Fraction or None
        How far the reading may be off, plus and minus; None when nobody said. [degrees]
    """

    shaft: str
    offset: Fraction
    accuracy: Fraction | None = None

    def __post_init__(self) -> None:
        if abs(self.offset) > 360:
            raise RefusalError(
                f"an offset of {float(self.offset):g}° on {self.shaft} is more than a turn",
                "read it against the nearest mark",
            )
        if self.accuracy is not None and not 0 <= self.accuracy < 180:
            raise RefusalError(
                f"an accuracy of ±{float(self.accuracy):g}° on {self.shaft} says nothing",
                "say within how many degrees, teeth or millimetres the mark was read",
            )


def degrees_from_teeth(teeth: Fraction, sprocket_teeth: int) -> Fraction:
    """Give degrees of a shaft from teeth of its sprocket. [degrees]."""
    return teeth * degrees_per_tooth(sprocket_teeth)


def degrees_from_rim(distance: Fraction, radius: Fraction) -> Fraction:
    """Give degrees of a shaft from a length along its rim: 180 s / (π r).

    Parameters
    ----------
    distance : Fraction
        Length along the rim, from mark to mark, signed. [m]
    radius : Fraction
        Radius on which it was measured. [m]

    Returns
    -------
    Fraction
        Offset, from the float nearest to it. [degrees]

    Raises
    ------
    RefusalError
        If the radius is not above zero or the length is more than half the way round.

    Notes
    -----
    The length is taken along the rim, as a strip of paper or a tape lies. Read straight
    across with a rule it is a chord, shorter by one part in 600 at 12°.
    """
    if radius <= 0:
        raise RefusalError("the radius is not above zero", "give where the marks were measured")
    degrees = math.degrees(float(distance / radius))
    if abs(degrees) > 180:
        raise RefusalError(
            f"{float(distance) * 1000:g} mm is more than half round a radius of "
            f"{float(radius) * 1000:g} mm",
            "check both lengths",
        )
    return Fraction(degrees)
