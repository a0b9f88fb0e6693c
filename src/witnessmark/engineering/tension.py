"""Belt tension from a plucked span, a deflection under force, or the tensioner's torque.

Sources
-------
Plucked span: OpenStax, University Physics, "Normal Modes of a Standing Sound Wave":
f_n = (n / 2 L) sqrt(T / m), so T = 4 m L² f² for the first mode.
Deflection: OpenStax, College Physics, "What Is the Tension in a Tightrope?":
F = 2 T sin(a), with tan(a) = 2 h / L for a force in the middle of the span.
Pulley load: OpenStax, University Physics, "Common Forces": two equal strands with a wrap w
load the pulley by F = 2 T sin(w / 2); moment about the arm's pivot F r sin(phi).

All are for an ideal, thin, limp string: a real belt's bending stiffness makes a short span
sound and push a little high, so the tension comes out a little high. L is the free span
between the tangent points, not the distance between centres; m the mass per metre of the
whole belt width.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

from witnessmark.engineering.refusal import RefusalError, require_above_zero

CAUTIONS = (
    "Engine stopped, key out: keep fingers, hair and clothing away from the drive.",
    "Set and read cold unless the maker says otherwise; the maker's figures always prevail.",
)
STIFF = "a real belt is stiffer than a string: on a short span the tension reads a little high"


@dataclass(frozen=True, slots=True)
class Band:
    """A figure with the lowest and the highest it may be."""

    low: float
    nominal: float
    high: float

    def __post_init__(self) -> None:
        """Refuse ends that do not hold the nominal, or are not above zero."""
        if not 0.0 < self.low <= self.nominal <= self.high < math.inf:
            raise RefusalError(
                f"{self.low:g} to {self.high:g} about {self.nominal:g} is not a band",
                "figures must be above zero, lowest first",
            )

    @classmethod
    def exact(cls, value: float) -> Band:
        """Give a band of no width."""
        return cls(value, value, value)

    @classmethod
    def within(cls, value: float, share: float) -> Band:
        """Give a band of a share either side, 0.02 for ± 2 %."""
        if not 0.0 <= share < 1.0:
            raise RefusalError(f"± {share:.0%} is not an accuracy", "give a share below one")
        return cls(value * (1 - share), value, value * (1 + share))

    def holds(self, other: Band) -> bool:
        """Whether another band lies wholly inside this one."""
        return self.low <= other.low and other.high <= self.high

    def apart_from(self, other: Band) -> bool:
        """Whether another band lies wholly outside this one."""
        return other.high < self.low or other.low > self.high


@dataclass(frozen=True, slots=True)
class Span:
    """A free span: `length` [m] between tangent points, `mass` per length [kg/m]."""

    length: Band
    mass: Band


@dataclass(frozen=True, slots=True)
class TensionerArm:
    """A tensioner on an arm.

    `arm` [m] from its pivot to the pulley's centre, `wrap` [°] of the belt on the pulley,
    `angle` [°] between the arm and the load (the line halving the two strands).
    """

    arm: Band
    wrap: Band
    angle: Band = Band.exact(90.0)  # noqa: RUF009 (frozen, and the same for all)


def wave_speed(tension: float, mass: float) -> float:
    """Speed of a wave along the belt: v = sqrt(T / m).

    Parameters
    ----------
    tension : float
        Strand tension. [N]
    mass : float
        Mass per length. [kg/m]

    Returns
    -------
    float
        Speed. [m/s]
    """
    require_above_zero(tension, "the tension")
    require_above_zero(mass, "the mass per length")
    return math.sqrt(tension / mass)


def tension_from_speed(speed: float, mass: float) -> float:
    """Tension from the speed of a wave: T = m v².

    Parameters
    ----------
    speed : float
        Wave speed. [m/s]
    mass : float
        Mass per length. [kg/m]

    Returns
    -------
    float
        Tension. [N]
    """
    require_above_zero(speed, "the wave speed")
    require_above_zero(mass, "the mass per length")
    return mass * speed**2


def span_frequency(tension: float, length: float, mass: float, mode: int = 1) -> float:
    """Frequency of a plucked span: f_n = (n / 2 L) sqrt(T / m).

    Parameters
    ----------
    tension : float
        Strand tension. [N]
    length : float
        Free span. [m]
    mass : float
        Mass per length. [kg/m]
    mode : int
        Mode; 1 is the fundamental. [-]

    Returns
    -------
    float
        Frequency. [Hz]
    """
    require_above_zero(length, "the span")
    require_above_zero(mode, "the mode")
    return mode / (2 * length) * wave_speed(tension, mass)


def tension_from_frequency(frequency: float, length: float, mass: float) -> float:
    """Tension of a plucked span from its fundamental: T = 4 m L² f².

    Parameters
    ----------
    frequency : float
        Fundamental. [Hz]
    length : float
        Free span. [m]
    mass : float
        Mass per length. [kg/m]

    Returns
    -------
    float
        Tension. [N] 1 % of frequency or span is 2 % of tension.
    """
    require_above_zero(frequency, "the frequency")
    require_above_zero(length, "the span")
    return tension_from_speed(2 * length * frequency, mass)


def span_length(frequency: float, tension: float, mass: float) -> float:
    """Free span that sounds a note at a tension: L = v / (2 f).

    Parameters
    ----------
    frequency : float
        Fundamental. [Hz]
    tension : float
        Strand tension. [N]
    mass : float
        Mass per length. [kg/m]

    Returns
    -------
    float
        Free span. [m]
    """
    require_above_zero(frequency, "the frequency")
    return wave_speed(tension, mass) / (2 * frequency)


def mass_of_sample(mass: float, length: float) -> float:
    """Mass per length of a belt weighed whole or in part.

    Parameters
    ----------
    mass : float
        Weighed mass. [kg]
    length : float
        Its length. [m]

    Returns
    -------
    float
        Mass per length. [kg/m]
    """
    require_above_zero(mass, "the mass")
    require_above_zero(length, "the length")
    return mass / length


def mass_of_round(density: float, radius: float) -> float:
    """Mass per length of a round cord or wire: m = rho pi r².

    Parameters
    ----------
    density : float
        Density. [kg/m³]
    radius : float
        Radius. [m]

    Returns
    -------
    float
        Mass per length. [kg/m]
    """
    require_above_zero(density, "the density")
    require_above_zero(radius, "the radius")
    return density * math.pi * radius**2


def tension_from_slope(force: float, slope: float) -> float:
    """Tension of a line pulled aside in the middle: T = F / (2 sin a).

    Parameters
    ----------
    force : float
        Force across the line. [N]
    slope : float
        Angle of each half to the straight line. [°]

    Returns
    -------
    float
        Tension. [N]
    """
    require_above_zero(force, "the force")
    if not 0.0 < slope < 90.0:
        raise RefusalError(f"a slope of {slope:g}° cannot be", "it lies between 0 and 90°")
    return force / (2 * math.sin(math.radians(slope)))


def tension_from_deflection(force: float, deflection: float, length: float) -> float:
    """Tension of a span pressed aside in the middle: F = 2 T sin(a), tan(a) = 2 h / L.

    Parameters
    ----------
    force : float
        Force across the middle. [N]
    deflection : float
        How far it moves there. [m]
    length : float
        Free span. [m]

    Returns
    -------
    float
        Tension. [N] The belt stretches a little as it is pressed, which this leaves out.
    """
    return tension_from_slope(force, _slope(deflection, length))


def deflection_force(tension: float, deflection: float, length: float) -> float:
    """Force across the middle that moves a span aside so far: F = 2 T sin(a).

    Parameters
    ----------
    tension : float
        Strand tension. [N]
    deflection : float
        Deflection in the middle. [m]
    length : float
        Free span. [m]

    Returns
    -------
    float
        Force. [N] At a deflection of L/64 it is about T/16.
    """
    require_above_zero(tension, "the tension")
    return 2 * tension * math.sin(math.radians(_slope(deflection, length)))


def pulley_load(tension: float, wrap: float) -> float:
    """Load of two equal strands on a free pulley: F = 2 T sin(w / 2).

    Parameters
    ----------
    tension : float
        Strand tension. [N]
    wrap : float
        Angle of belt on the pulley. [°]

    Returns
    -------
    float
        Load along the line halving the strands. [N]
    """
    require_above_zero(tension, "the tension")
    if not 0.0 < wrap < 360.0:
        raise RefusalError(f"a wrap of {wrap:g}° cannot be", "it lies between 0 and 360°")
    return 2 * tension * math.sin(math.radians(wrap / 2))


def tensioner_torque(tension: float, arm: float, wrap: float, angle: float = 90.0) -> float:
    """Torque about a tensioner's pivot that holds a tension: M = 2 T sin(w / 2) r sin(phi).

    Parameters
    ----------
    tension : float
        Strand tension. [N]
    arm : float
        Pivot to pulley centre. [m]
    wrap : float
        Angle of belt on the pulley. [°]
    angle : float
        Between the arm and the load. [°]

    Returns
    -------
    float
        Torque. [N·m] Friction in the pivot is left out.
    """
    require_above_zero(arm, "the arm")
    if not 0.0 < angle < 180.0:
        raise RefusalError(
            f"an arm at {angle:g}° to the load cannot turn", "it lies between 0 and 180°"
        )
    return pulley_load(tension, wrap) * arm * math.sin(math.radians(angle))


def tension_from_torque(torque: float, arm: float, wrap: float, angle: float = 90.0) -> float:
    """Tension a torque about a tensioner's pivot gives: T = M / (2 sin(w / 2) r sin(phi)).

    Parameters
    ----------
    torque : float
        Torque held on the tensioner. [N·m]
    arm : float
        Pivot to pulley centre. [m]
    wrap : float
        Angle of belt on the pulley. [°]
    angle : float
        Between the arm and the load. [°]

    Returns
    -------
    float
        Tension. [N] Friction in the pivot is left out.
    """
    require_above_zero(torque, "the torque")
    return torque / tensioner_torque(1.0, arm, wrap, angle)


def banded(formula: Callable[..., float], *figures: Band) -> Band:
    """Carry bands through a formula: its value at the nominals, its range over the corners.

    Exact for a formula that rises or falls steadily with each figure. Angles are the
    exception (a sine turns at 90°); where a band holds 90° or 180° that value is tried too.

    Parameters
    ----------
    formula : callable
        One of the formulas here.
    *figures : Band
        Its arguments, in its units.

    Returns
    -------
    Band
        Its result, in its unit.
    """
    nominal = formula(*(figure.nominal for figure in figures))
    choices = [
        {figure.low, figure.nominal, figure.high}
        | {turn for turn in (90.0, 180.0) if figure.low < turn < figure.high}
        for figure in figures
    ]
    values = [formula(*corner) for corner in product(*choices)]
    return Band(min(values), nominal, max(values))


def _slope(deflection: float, length: float) -> float:
    require_above_zero(deflection, "the deflection")
    require_above_zero(length, "the span")
    if deflection > 0.25 * length:
        raise RefusalError(
            f"{deflection * 1000:g} mm on a span of {length * 1000:g} mm is no light press",
            "check figure and unit",
        )
    return math.degrees(math.atan2(2 * deflection, length))
