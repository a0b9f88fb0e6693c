"""Cam lift laws in closed form: lift, velocity and acceleration over a rise.

All are normalised: u runs from 0 to 1 over the rise (angle over rise angle), lift from 0 to
1. Real velocity is v × lift / angle, real acceleration a × lift / angle². A real cam follows
none of these exactly; they stand in where the maker's lift table is not to hand.

Sources: simple harmonic and 3-4-5 polynomial as in the sources named with the tests;
cycloidal, 4-5-6-7, modified sine and modified trapezoid from memory of Norton, Design of
Machinery, cam chapter; the peaks of all are derived here and checked against the integrals.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import NamedTuple

from witnessmark.engineering.refusal import RefusalError


class Motion(NamedTuple):
    """Normalised lift, velocity and acceleration."""

    lift: float
    velocity: float
    acceleration: float


class LiftLaw(StrEnum):
    """The laws known here."""

    HARMONIC = "harmonic"
    CYCLOIDAL = "cycloidal"
    POLYNOMIAL_345 = "3-4-5"
    POLYNOMIAL_4567 = "4-5-6-7"
    PARABOLIC = "parabolic"
    MODIFIED_SINE = "modified-sine"
    MODIFIED_TRAPEZOID = "modified-trapezoid"


def lift_law(name: str) -> LiftLaw:
    """Find a law by its name.

    Raises
    ------
    RefusalError
        If no law has that name.
    """
    try:
        return LiftLaw(name.strip().lower())
    except ValueError:
        raise RefusalError(
            f"'{name[:20]}' is not a lift law known here",
            f"known: {', '.join(law.value for law in LiftLaw)}",
        ) from None


def motion(law: LiftLaw, u: float) -> Motion:
    """Normalised motion of a law at a share of the rise.

    Parameters
    ----------
    law : LiftLaw
        Which law.
    u : float
        Angle over rise angle, from 0 to 1.

    Returns
    -------
    Motion
        Lift, velocity and acceleration, all normalised.

    Raises
    ------
    RefusalError
        If u is outside 0 to 1.
    """
    if not 0.0 <= u <= 1.0:
        raise RefusalError(f"{u:g} is not within the rise", "give 0 to 1")
    return _LAWS[law](u)


def peak_velocity(law: LiftLaw) -> float:
    """Greatest normalised velocity, reached at the middle of the rise."""
    return motion(law, 0.5).velocity


def peak_acceleration(law: LiftLaw) -> float:
    """Greatest normalised acceleration, in closed form."""
    return {
        LiftLaw.HARMONIC: math.pi**2 / 2,
        LiftLaw.CYCLOIDAL: math.tau,
        LiftLaw.POLYNOMIAL_345: 10 / math.sqrt(3),
        LiftLaw.POLYNOMIAL_4567: motion(LiftLaw.POLYNOMIAL_4567, (5 - 5**0.5) / 10).acceleration,
        LiftLaw.PARABOLIC: 4.0,
        LiftLaw.MODIFIED_SINE: 4 * math.pi**2 / (math.pi + 4),
        LiftLaw.MODIFIED_TRAPEZOID: _TRAPEZOID,
    }[law]


def _harmonic(u: float) -> Motion:
    return Motion(
        (1 - math.cos(math.pi * u)) / 2,
        math.pi / 2 * math.sin(math.pi * u),
        math.pi**2 / 2 * math.cos(math.pi * u),
    )


def _cycloidal(u: float) -> Motion:
    turn = math.tau * u
    return Motion(u - math.sin(turn) / math.tau, 1 - math.cos(turn), math.tau * math.sin(turn))


def _polynomial_345(u: float) -> Motion:
    return Motion(
        u**3 * (10 - 15 * u + 6 * u**2),
        30 * u**2 * (1 - u) ** 2,
        60 * u * (1 - 3 * u + 2 * u**2),
    )


def _polynomial_4567(u: float) -> Motion:
    return Motion(
        u**4 * (35 - 84 * u + 70 * u**2 - 20 * u**3),
        140 * u**3 * (1 - u) ** 3,
        420 * u**2 * (1 - 4 * u + 5 * u**2 - 2 * u**3),
    )


def _parabolic(u: float) -> Motion:
    if u < 0.5:
        return Motion(2 * u**2, 4 * u, 4.0)
    return Motion(1 - 2 * (1 - u) ** 2, 4 * (1 - u), -4.0)


def _modified_sine(u: float) -> Motion:
    scale = 1 / (math.pi + 4)
    if 1 / 8 <= u <= 7 / 8:
        turn = 4 * math.pi * u / 3 + math.pi / 3
        return Motion(
            scale * (2 + math.pi * u - 9 / 4 * math.sin(turn)),
            scale * math.pi * (1 - 3 * math.cos(turn)),
            scale * 4 * math.pi**2 * math.sin(turn),
        )
    turn = 4 * math.pi * u
    return Motion(
        scale * ((0 if u < 0.5 else 4) + math.pi * u - math.sin(turn) / 4),
        scale * math.pi * (1 - math.cos(turn)),
        scale * 4 * math.pi**2 * math.sin(turn),
    )


# Acceleration of the modified trapezoid: half a lift in half a rise needs A (1/8π + 1/16) = 1/2.
_TRAPEZOID = 8 * math.pi / (math.pi + 2)


def _modified_trapezoid(u: float) -> Motion:
    if u > 0.5:
        other = _modified_trapezoid(1 - u)
        return Motion(1 - other.lift, other.velocity, -other.acceleration)
    top, wave = _TRAPEZOID, 4 * math.pi
    if u < 1 / 8:
        return Motion(
            top / wave * (u - math.sin(wave * u) / wave),
            top / wave * (1 - math.cos(wave * u)),
            top * math.sin(wave * u),
        )
    if u <= 3 / 8:
        t = u - 1 / 8
        start = top / wave * (1 / 8 - 1 / wave)
        return Motion(start + top / wave * t + top * t**2 / 2, top / wave + top * t, top)
    t = u - 3 / 8
    start = top / wave * (1 / 8 - 1 / wave) + top / wave / 4 + top / 32
    speed = top / wave + top / 4
    return Motion(
        start + speed * t + top / wave**2 * (1 - math.cos(wave * t)),
        speed + top / wave * math.sin(wave * t),
        top * math.cos(wave * t),
    )


_LAWS = {
    LiftLaw.HARMONIC: _harmonic,
    LiftLaw.CYCLOIDAL: _cycloidal,
    LiftLaw.POLYNOMIAL_345: _polynomial_345,
    LiftLaw.POLYNOMIAL_4567: _polynomial_4567,
    LiftLaw.PARABOLIC: _parabolic,
    LiftLaw.MODIFIED_SINE: _modified_sine,
    LiftLaw.MODIFIED_TRAPEZOID: _modified_trapezoid,
}
