"""What a belt runs over: pulleys and sprockets, the face touched, the way they turn."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from witnessmark.engineering.refusal import RefusalError, require_above_zero

LARGEST_COORDINATE = 1000.0  # metres; beyond this a figure is a slip of the unit


class Face(StrEnum):
    """Which face of the belt touches the pulley."""

    INSIDE = "inside"
    BACK = "back"


class Direction(StrEnum):
    """Which way something turns, seen from the stated viewpoint."""

    CLOCKWISE = "clockwise"
    ANTICLOCKWISE = "anticlockwise"

    @property
    def sense(self) -> int:
        """Give +1 for anticlockwise, -1 for clockwise (x to the right, y up)."""
        return 1 if self is Direction.ANTICLOCKWISE else -1

    @property
    def other(self) -> Direction:
        """Give the opposite direction."""
        return direction_of(-self.sense)


def direction_of(sense: int) -> Direction:
    """Give the direction for a sense: +1 anticlockwise, -1 clockwise."""
    return Direction.ANTICLOCKWISE if sense > 0 else Direction.CLOCKWISE


@dataclass(frozen=True, slots=True)
class Pulley:
    """A pulley in the plane of the belt, seen from the stated viewpoint.

    Attributes
    ----------
    name : str
        What people call it.
    x, y : float
        Centre, x to the right and y up as seen from the viewpoint. [m]
    diameter : float
        Diameter on which the belt's pitch line (its unstretching line) runs. [m]
    teeth : int or None
        Teeth, when toothed.
    face : Face or None
        Face of the belt that touches it; None when not known (routing search only).
    turns : Direction or None
        Which way it is known to turn; None when not known.

    Raises
    ------
    RefusalError
        If a figure is not finite, the diameter is not above zero or a toothed pulley has
        fewer than 3 teeth.
    """

    name: str
    x: float
    y: float
    diameter: float
    teeth: int | None = None
    face: Face | None = Face.INSIDE
    turns: Direction | None = None

    def __post_init__(self) -> None:
        require_above_zero(self.diameter, f"the diameter of {self.name}")
        for value in (self.x, self.y, self.diameter):
            if not abs(value) <= LARGEST_COORDINATE:
                raise RefusalError(
                    f"{self.name} lies or reaches beyond {LARGEST_COORDINATE:g} m",
                    "check the unit of its position and diameter",
                )
        if self.teeth is not None and self.teeth < 3:
            raise RefusalError(f"{self.name} has {self.teeth} teeth", "count them again")

    @property
    def radius(self) -> float:
        """Radius of the pitch line. [m]."""
        return self.diameter / 2

    def moved_to(self, x: float, y: float) -> Pulley:
        """Give the same pulley with its centre elsewhere. [m]."""
        return replace(self, x=x, y=y)


def pitch_diameter(teeth: int, pitch: float) -> float:
    """Pitch diameter of a toothed belt pulley: d = z p / π.

    A toothed belt bends round the pulley, so its pitch line lies on a circle whose
    circumference is a whole number of pitches. (A roller chain lies on the corners of a
    polygon instead: see `chain_pitch_diameter`.)

    Parameters
    ----------
    teeth : int
        Teeth of the pulley.
    pitch : float
        Tooth pitch along the belt's pitch line. [m]

    Returns
    -------
    float
        Pitch diameter. [m]

    Raises
    ------
    RefusalError
        If there are fewer than 3 teeth or the pitch is not above zero.

    References
    ----------
    Definition of pitch diameter in ISO 5294 (from memory of the standard).
    """
    if teeth < 3:
        raise RefusalError(f"{teeth} teeth make no pulley", "count them again")
    require_above_zero(pitch, "the tooth pitch")
    return teeth * pitch / math.pi


def chain_pitch_diameter(teeth: int, pitch: float) -> float:
    """Pitch circle diameter of a chain sprocket: d = p / sin(π / z).

    The pins of the chain lie on this circle. A run reckoned with it takes the chain as a
    smooth band; the chain's own length is a whole, usually even, number of links.

    Parameters
    ----------
    teeth : int
        Teeth of the sprocket.
    pitch : float
        Pitch of the chain. [m]

    Returns
    -------
    float
        Pitch circle diameter. [m]

    Raises
    ------
    RefusalError
        If there are fewer than 3 teeth or the pitch is not above zero.

    References
    ----------
    Chord of a regular polygon; the same definition stands in ISO 606 (from memory).
    """
    if teeth < 3:
        raise RefusalError(f"{teeth} teeth make no sprocket", "count them again")
    require_above_zero(pitch, "the chain pitch")
    return pitch / math.sin(math.pi / teeth)


def pitch_line_diameter(diameter: float, line_differential: float) -> float:
    """Diameter of the belt's pitch line from a diameter given elsewhere: d + 2 b.

    Parameters
    ----------
    diameter : float
        The diameter given: effective diameter of a V-ribbed pulley, or the plain rim an
        idler shows to the belt's back. [m]
    line_differential : float
        How far the pitch line runs outside that diameter. [m]

    Returns
    -------
    float
        Pitch-line diameter. [m]

    Raises
    ------
    RefusalError
        If the diameter is not above zero or the differential is negative.

    Notes
    -----
    ISO 9981:2020, 5.4 gives a nominal effective line differential of 2 mm for profile PK;
    that it is added on both sides (d + 2 b) is from memory of the standard.
    """
    require_above_zero(diameter, "the diameter")
    if not line_differential >= 0.0:
        raise RefusalError(
            f"a line differential of {line_differential:g} m puts the belt inside the pulley",
            "give it as zero or more",
        )
    return diameter + 2 * line_differential
