"""Valve lift over the crank's two turns: from a law and its events, or from a table.

Crank degrees are counted from the top dead centre at which both valves overlap: -360 to 360.
"""

from __future__ import annotations

import bisect
import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.engineering.clearance.lift_laws import LiftLaw, motion
from witnessmark.engineering.refusal import RefusalError, require_above_zero

if TYPE_CHECKING:
    from collections.abc import Sequence

    from witnessmark.engineering.timing.events import ValveEvents

CYCLE = 720.0
COARSEST_TABLE = 20.0  # crank degrees; wider gaps say too little about the lift between


@dataclass(frozen=True, slots=True)
class LiftByLaw:
    """Lift that rises and falls by a law between opening and closing.

    Attributes
    ----------
    law : LiftLaw
        The law of rise, and of fall reversed.
    opens, peak, closes : float
        From the overlap top dead centre. [crank degrees]
    most : float
        Greatest lift of the valve. [m]
    """

    law: LiftLaw
    opens: float
    peak: float
    closes: float
    most: float

    def __post_init__(self) -> None:
        require_above_zero(self.most, "the valve lift")
        if not self.opens < self.peak < self.closes or self.closes - self.opens >= CYCLE:
            raise RefusalError(
                "the valve does not open, peak and shut in that order within two turns",
                "check its events",
            )

    def lift(self, angle: float) -> float:
        """Lift at a crank angle, any number of cycles on. [m]."""
        on = self.opens + (angle - self.opens) % CYCLE
        if on >= self.closes:
            return 0.0
        if on <= self.peak:
            share = (on - self.opens) / (self.peak - self.opens)
        else:
            share = (self.closes - on) / (self.closes - self.peak)
        return self.most * motion(self.law, min(1.0, share)).lift


@dataclass(frozen=True, slots=True)
class LiftTable:
    """Lift measured or printed at crank angles, straight between the points.

    Attributes
    ----------
    points : tuple of (float, float)
        Crank degrees from the overlap top dead centre, ascending, and lift [m]. The valve is
        shut before the first and after the last.
    """

    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if len(self.points) < 3:
            raise RefusalError("a lift table needs at least three points", "measure more")
        angles = [angle for angle, _ in self.points]
        if any(not math.isfinite(v) for point in self.points for v in point):
            raise RefusalError("the lift table has a figure that is no number", "check it")
        for before, after in itertools.pairwise(angles):
            if after <= before:
                raise RefusalError(
                    f"the lift table goes from {before:g}° to {after:g}°", "give ascending angles"
                )
            if after - before > COARSEST_TABLE:
                raise RefusalError(
                    f"the lift table has nothing between {before:g}° and {after:g}°",
                    f"give points at most {COARSEST_TABLE:g}° apart",
                )
        if angles[-1] - angles[0] >= CYCLE:
            raise RefusalError("the lift table is longer than two turns", "give one opening")
        if any(lift < 0 for _, lift in self.points):
            raise RefusalError("the lift table has a lift below zero", "check its signs")
        if max(lift for _, lift in self.points) <= 0:
            raise RefusalError("the lift table never opens the valve", "check its unit")

    @property
    def most(self) -> float:
        """Greatest lift in the table. [m]."""
        return max(lift for _, lift in self.points)

    def lift(self, angle: float) -> float:
        """Lift at a crank angle, any number of cycles on. [m]."""
        first = self.points[0][0]
        on = first + (angle - first) % CYCLE
        at = bisect.bisect_right(self.points, on, key=lambda point: point[0])
        if at >= len(self.points):
            return self.points[-1][1] if on == self.points[-1][0] else 0.0
        (a, low), (b, high) = self.points[at - 1], self.points[at]
        return low + (high - low) * (on - a) / (b - a)


Lift = LiftByLaw | LiftTable


def inlet_lift(events: ValveEvents, most: float, law: LiftLaw = LiftLaw.HARMONIC) -> LiftByLaw:
    """Give an inlet valve's lift by a law from its events, fullest half way between. [m]."""
    opens, closes = -events.inlet_opens, 180 + events.inlet_closes
    return LiftByLaw(law, opens, (opens + closes) / 2, closes, most)


def exhaust_lift(events: ValveEvents, most: float, law: LiftLaw = LiftLaw.HARMONIC) -> LiftByLaw:
    """Give an exhaust valve's lift by a law from its events, fullest half way between. [m]."""
    opens, closes = -180 - events.exhaust_opens, events.exhaust_closes
    return LiftByLaw(law, opens, (opens + closes) / 2, closes, most)


def table_from_cam(
    points: Sequence[tuple[float, float]], peak: float, crank_per_cam: float, rocker: float = 1.0
) -> LiftTable:
    """Give a valve's lift table from a cam's, counted from the nose of the lobe.

    Parameters
    ----------
    points : sequence of (float, float)
        Cam degrees from the nose and cam lift [m].
    peak : float
        Where the nose acts, from the overlap top dead centre. [crank degrees]
    crank_per_cam : float
        Crank degrees for one cam degree, from the teeth.
    rocker : float
        Valve lift over cam lift.

    Returns
    -------
    LiftTable
        Lift of the valve over crank degrees.
    """
    require_above_zero(crank_per_cam, "the ratio of crank to cam")
    require_above_zero(rocker, "the rocker ratio")
    return LiftTable(tuple((peak + a * crank_per_cam, lift * rocker) for a, lift in points))
