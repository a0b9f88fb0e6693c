"""Floating sprockets: slots let the sprocket find the belt while the shaft stays put."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.shafts import degrees_per_tooth


@dataclass(frozen=True, slots=True)
class FloatingSprocket:
    """A sprocket bolted through slots.

    Attributes
    ----------
    teeth : int
        Teeth of the sprocket.
    travel : Fraction
        How far the slots let it turn, end to end. [degrees]
    position : Fraction
        Where it is now, from the middle of the slots, positive in the running direction.
        [degrees]
    """

    teeth: int
    travel: Fraction
    position: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        degrees_per_tooth(self.teeth)
        if not 0 < self.travel < 360:
            raise RefusalError(
                f"slots of {float(self.travel):g}° cannot be right",
                "give how far the sprocket turns from one end of its slots to the other",
            )
        if abs(self.position) > self.travel / 2:
            raise RefusalError(
                f"{float(self.position):g}° from the middle is beyond the slots "
                f"(±{float(self.travel / 2):g}°)",
                "measure position and travel again",
            )

    @property
    def seats_any_belt(self) -> bool:
        """Whether the slots are long enough to seat a belt wherever its teeth fall.

        Teeth come every 360/z degrees, so a travel of at least one tooth always meets one.
        """
        return self.travel >= degrees_per_tooth(self.teeth)

    def mid_slot(self, within: Fraction) -> bool:
        """Say whether it stands in the middle of its slots, within so many degrees."""
        return abs(self.position) <= within


@dataclass(frozen=True, slots=True)
class Seat:
    """A position at which the belt's teeth and the sprocket's grooves meet. [degrees].

    `position` is from the middle of the slots, `turn` from where the sprocket is now; both
    positive in the running direction. `from_end` is the distance to the nearer slot end.
    """

    position: Fraction
    turn: Fraction
    from_end: Fraction


@dataclass(frozen=True, slots=True)
class Seating:
    """Every seat within the slots, and how much is missing when there is none.

    `nearest` needs the least turning, `most_central` leaves the sprocket nearest the middle.
    """

    seats: tuple[Seat, ...]
    short_by: Fraction

    @property
    def nearest(self) -> Seat | None:
        """The seat that needs the least turning from here."""
        return min(self.seats, key=lambda seat: (abs(seat.turn), seat.turn), default=None)

    @property
    def most_central(self) -> Seat | None:
        """The seat nearest the middle of the slots."""
        return min(self.seats, key=lambda seat: (abs(seat.position), seat.position), default=None)


def seat_belt(sprocket: FloatingSprocket, phase: Fraction) -> Seating:
    """Find where a floating sprocket can seat the belt.

    Parameters
    ----------
    sprocket : FloatingSprocket
        Sprocket, slots and where it is now.
    phase : Fraction
        How far ahead of a groove the belt's tooth lies with the sprocket in the middle of
        its slots, in the running direction; any whole number of teeth more or less is the
        same. [degrees]

    Returns
    -------
    Seating
        Every seat, in order against to with the running direction.

    Notes
    -----
    Seats lie at `phase + k × 360/z`. Checked against trying every tooth.
    """
    pitch = degrees_per_tooth(sprocket.teeth)
    half = sprocket.travel / 2
    first = math.ceil((-half - phase) / pitch)
    last = math.floor((half - phase) / pitch)
    positions = [phase + k * pitch for k in range(first, last + 1)]
    seats = tuple(Seat(p, p - sprocket.position, half - abs(p)) for p in positions)
    if seats:
        return Seating(seats, Fraction(0))
    beyond = min(abs(phase + k * pitch) for k in (first, last)) - half
    return Seating((), beyond)


def phase_from_belt(distance: Fraction, pitch: Fraction, teeth: int) -> Fraction:
    """Phase at a sprocket from the belt length between two grooves. [degrees].

    Parameters
    ----------
    distance : Fraction
        Length of the pitch line from a seated groove to a groove of this sprocket in the
        middle of its slots, along the running direction. [m]
    pitch : Fraction
        Tooth pitch. [m]
    teeth : int
        Teeth of this sprocket.

    Returns
    -------
    Fraction
        How far the nearest belt tooth lies ahead of the groove, within half a tooth either
        way: the distance short of the next whole pitch or over the last.
    """
    if pitch <= 0:
        raise RefusalError("the tooth pitch is not above zero", "check the belt")
    over = distance / pitch
    behind = over - math.floor(over + Fraction(1, 2))
    return -behind * degrees_per_tooth(teeth)
