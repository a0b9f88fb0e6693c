"""A tension read one way, told in every other way it could be read."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.tension import (
    Band,
    Span,
    TensionerArm,
    banded,
    deflection_force,
    pulley_load,
    span_frequency,
    tension_from_deflection,
    tension_from_frequency,
    tension_from_torque,
    tensioner_torque,
)


@dataclass(frozen=True, slots=True)
class Readings:
    """One tension [N] and what it reads as: None where the figures for it were not given.

    `frequency` [Hz] of the span, `force` [N] across its middle at the given deflection,
    `torque` [N·m] on the tensioner, `load` [N] on its pulley.
    """

    tension: Band
    frequency: Band | None = None
    force: Band | None = None
    torque: Band | None = None
    load: Band | None = None


def by_frequency(span: Span, frequency: Band) -> Band:
    """Tension [N] of a span by its note [Hz]."""
    return banded(tension_from_frequency, frequency, span.length, span.mass)


def by_deflection(length: Band, force: Band, deflection: Band) -> Band:
    """Tension [N] of a span [m] by the force [N] that presses it aside so far [m]."""
    return banded(tension_from_deflection, force, deflection, length)


def by_torque(arm: TensionerArm, torque: Band) -> Band:
    """Tension [N] by the torque [N·m] held on the tensioner."""
    return banded(tension_from_torque, torque, arm.arm, arm.wrap, arm.angle)


def read_as(
    tension: Band,
    *,
    length: Band | None = None,
    mass: Band | None = None,
    deflection: Band | None = None,
    arm: TensionerArm | None = None,
) -> Readings:
    """Tell a tension in every way the figures allow.

    Parameters
    ----------
    tension : Band
        Strand tension. [N]
    length : Band, optional
        Free span. [m]
    mass : Band, optional
        Mass per length. [kg/m]
    deflection : Band, optional
        Deflection in the middle. [m]
    arm : TensionerArm, optional
        The tensioner.

    Returns
    -------
    Readings
        What is missing is None, never guessed.
    """
    frequency = force = torque = load = None
    if length is not None and mass is not None:
        frequency = banded(span_frequency, tension, length, mass)
    if length is not None and deflection is not None:
        force = banded(deflection_force, tension, deflection, length)
    if arm is not None:
        torque = banded(tensioner_torque, tension, arm.arm, arm.wrap, arm.angle)
        load = banded(pulley_load, tension, arm.wrap)
    return Readings(tension, frequency, force, torque, load)
