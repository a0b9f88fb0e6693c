"""The pictures behind `--svg` of `calc torque|preload|angle`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from witnessmark.cli.calc.answers import Answer, write_drawing
from witnessmark.cli.calc.fastening_options import Bolted
from witnessmark.engineering.fastening.angle import AngleResult
from witnessmark.engineering.fastening.friction import Friction, surface_friction
from witnessmark.engineering.fastening.pictures import (
    AngleCurve,
    SurfaceWedge,
    angle_picture,
    torque_picture,
)
from witnessmark.engineering.fastening.stiffness import in_series
from witnessmark.engineering.fastening.tightening import torque_lever

SHOWN_SURFACES = ("anti-seize", "oiled", "dry")
"""One surface for each friction class that engine bolts meet: A, B and C."""


def draw_angle(
    answer: Answer,
    svg: Path,
    results: Sequence[AngleResult],
    springs: tuple[float, float],
    bolt: Bolted,
    turn: float,
    yield_forces: Sequence[float | None],
) -> None:
    """Draw clamp force against angle; `results` from the lowest friction to the highest."""
    per_degree = in_series(*springs) * bolt.geometry.pitch / 360.0
    high, middle, low = (
        AngleCurve(result.snug_force, per_degree, at_yield)
        for result, at_yield in zip(results, yield_forces, strict=True)
    )
    write_drawing(svg, angle_picture(low, middle, high, turn, answer.title))
    answer.line("drawing", str(svg))


def draw_surfaces(
    answer: Answer,
    svg: Path,
    bolt: Bolted,
    most_force: float,
    *,
    proof_load: float | None,
    torque: float | None,
) -> None:
    """Draw torque against clamp force by surface, the friction given among them."""
    given = bolt.friction
    wedges = [_wedge(bolt, name, surface_friction(name)) for name in SHOWN_SURFACES]
    named = {(surface_friction(n).low, surface_friction(n).high) for n in SHOWN_SURFACES}
    if given.thread != given.head or (given.thread.low, given.thread.high) not in named:
        corners = given.corners()
        low, high = (
            torque_lever(bolt.geometry, bolt.bearing_diameter, *corner).total
            for corner in (corners[0], corners[2])
        )
        wedges.append(SurfaceWedge("as given", low, high))
    drawing = torque_picture(
        wedges, answer.title, most_force=most_force, proof_load=proof_load, torque=torque
    )
    write_drawing(svg, drawing)
    answer.line("drawing", str(svg))


def _wedge(bolt: Bolted, name: str, friction: Friction) -> SurfaceWedge:
    low, high = (
        torque_lever(bolt.geometry, bolt.bearing_diameter, end, end).total
        for end in (friction.low, friction.high)
    )
    return SurfaceWedge(name, low, high)
