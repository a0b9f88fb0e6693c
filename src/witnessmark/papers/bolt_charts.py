"""The two force charts of a bolt in a joint of the machine file.

Torque against clamp force, by surface; clamp force against angle, where the joint is turned
by one. What the file does not say is not guessed: a chart is left out and the reason given,
or the band is drawn as wide as what is not known makes it.
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.fastening.friction import surface_friction
from witnessmark.engineering.fastening.pictures import (
    AngleCurve,
    SurfaceWedge,
    angle_picture,
    torque_picture,
)
from witnessmark.engineering.fastening.stiffness import (
    MATERIALS,
    bolt_stiffness,
    in_series,
    joint_stiffness,
    thread_length,
)
from witnessmark.engineering.fastening.threads import circle_area
from witnessmark.engineering.fastening.tightening import (
    assembly_preload,
    clamp_force,
    torque_lever,
)
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.bolting import BoltSums
from witnessmark.machine.model import Fastener
from witnessmark.quantities.tightness import Tightness

SHOWN_SURFACES = ("anti-seize", "oiled", "dry")
"""One surface for each friction class that engine bolts meet: A, B and C."""

SOFT, STIFF = "aluminium", "steel"
"""Between these two lies what engines clamp; the file does not say which."""

BAND_OF_MATERIALS = (
    f"The file does not say what is clamped: the band reaches from {SOFT} at the highest "
    f"friction to {STIFF} at the lowest; the middle line is {STIFF}."
)


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing, or the reason why there is none."""

    svg: str = ""
    note: str = ""


def surface_chart(sums: BoltSums, surface: str, torque: float, title: str) -> Chart:
    """Draw torque against clamp force for surfaces the bolt may meet, its own named.

    `torque` is that of the joint [N·m]; `surface` is what the file says the figure is for.
    """
    own = sums.friction.thread
    wedges = []
    for name in SHOWN_SURFACES:
        friction = surface_friction(name)
        same = (friction.low, friction.high) == (own.low, own.high)
        wedges.append(_wedge(sums, surface if same else name, friction.low, friction.high))
    if all(wedge.surface != surface for wedge in wedges):
        wedges.append(_wedge(sums, surface, own.low, own.high))
    svg = torque_picture(
        wedges,
        title,
        most_force=sums.clamp(torque).high,
        proof_load=sums.proof_load,
        torque=torque,
    )
    return Chart(svg, f"The figure is for: {surface} ({sums.band_words}).")


def _wedge(sums: BoltSums, name: str, low: float, high: float) -> SurfaceWedge:
    first, last = (torque_lever(sums.geometry, sums.bearing, end, end).total for end in (low, high))
    return SurfaceWedge(name, first, last)


def angle_chart(fastener: Fastener, sums: BoltSums, tightness: Tightness, title: str) -> Chart:
    """Draw clamp force against the angle of a joint, over friction and clamped material."""
    if tightness.torque is None:
        return Chart(note="No angle chart: no snug torque is given.")
    missing = [
        word
        for word, value in (
            ("how thick what it clamps is", fastener.clamped),
            ("the bolt's length", fastener.thread.length if fastener.thread else None),
            ("a yield point of its class", sums.strength.yielding),
        )
        if value is None
    ]
    if missing:
        return Chart(note=f"No angle chart: the file does not give {' and '.join(missing)}.")
    snug, turn = float(tightness.torque.si), float(tightness.angle_degrees)
    try:
        low, middle, high = (
            _curve(fastener, sums, snug, end, material)
            for end, material in zip((2, 1, 0), (SOFT, STIFF, STIFF), strict=True)
        )
        return Chart(angle_picture(low, middle, high, turn, title), BAND_OF_MATERIALS)
    except RefusalError as refusal:
        return Chart(note=f"No angle chart: {refusal}")


def _curve(
    fastener: Fastener, sums: BoltSums, snug: float, corner: int, material: str
) -> AngleCurve:
    """Give the curve at one end of the friction range: 0 lowest, 1 middle, 2 highest."""
    in_thread, under_head = sums.friction.corners()[corner]
    geometry, yielding = sums.geometry, sums.strength.yielding
    assert yielding is not None, "asked for before"
    springs = in_series(*_springs(fastener, sums, material))
    return AngleCurve(
        clamp_force(snug, geometry, sums.bearing, in_thread, under_head),
        springs * geometry.pitch / 360.0,
        assembly_preload(1.0, yielding, geometry, in_thread),
    )


def _springs(fastener: Fastener, sums: BoltSums, material: str) -> tuple[float, float]:
    """Give the stiffness of the bolt, and of what it clamps by cones [N/m].

    References
    ----------
    .. [1] Shigley, 9th ed., eqs 8-17 and 8-20, as used in `engineering.fastening.stiffness`.
    """
    assert fastener.thread is not None
    assert fastener.thread.length is not None
    assert fastener.clamped is not None
    geometry, grip = sums.geometry, float(fastener.clamped)
    length, inch = float(fastener.thread.length), geometry.thread.family != "metric"
    if length <= grip:
        raise RefusalError(
            "the bolt does not reach through what it clamps", "check both in the file"
        )
    plain = max(0.0, min(grip, length - thread_length(length, geometry.diameter, inch=inch)))
    bolt = bolt_stiffness(circle_area(geometry.diameter), geometry.stress_area, plain, grip - plain)
    layers = [(grip, MATERIALS[material].modulus)]
    return bolt, joint_stiffness(layers, 1.5 * geometry.diameter, geometry.diameter)
