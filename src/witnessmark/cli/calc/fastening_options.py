"""Options and lines the fastening commands share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import click

from witnessmark.cli.calc.answers import Answer, QuantityType, ReadType, never, rounded, shown
from witnessmark.engineering.fastening.bearing import Bearing, bearing_of
from witnessmark.engineering.fastening.friction import Friction, read_friction
from witnessmark.engineering.fastening.preload import Band, ThreadAndHead, band_words
from witnessmark.engineering.fastening.scatter import Scatter, scatter_of
from witnessmark.engineering.fastening.strength import Strength, strength_of
from witnessmark.engineering.fastening.threads import ThreadGeometry, thread_geometry
from witnessmark.quantities.reading import Quantity
from witnessmark.quantities.threads import Thread, read_thread
from witnessmark.quantities.units import Dimension

THREAD = ReadType("thread", read_thread)
FRICTION = ReadType("friction", read_friction)
METHOD = ReadType("method", scatter_of)
TORQUE = QuantityType(Dimension.TORQUE)
LENGTH = QuantityType(Dimension.LENGTH)
FORCE = QuantityType(Dimension.FORCE)
ANGLE = QuantityType(Dimension.ANGLE)
PRESSURE = QuantityType(Dimension.PRESSURE)

_Command = TypeVar("_Command", bound=Callable[..., Any])
_POUND_FOOT = 1.3558179483314004
_METHOD_OPTION = click.option(
    "--method", type=METHOD, help="'torque wrench', 'by feel', 'turn of nut', …"
)
_JOINT_OPTIONS = (
    click.option("--friction", type=FRICTION, help="0.12, a range 0.10-0.16, dry, oiled, …"),
    click.option("--head-friction", type=FRICTION, help="Friction under the head, if another."),
    click.option("--head", help="Head standard: ISO 4014 (default), ISO 4762, EN 1665, …"),
    click.option("--bearing", type=LENGTH, help="Bearing diameter of the head, measured."),
    click.option("--hole", type=LENGTH, help="Clearance hole, if not ISO 273 medium: '9 mm'."),
)


def thread_option(command: _Command) -> _Command:
    """Ask for the thread."""
    return click.option("--thread", type=THREAD, required=True, help="M10x1.25, 3/8-16 UNC, …")(
        command
    )


def class_option(command: _Command) -> _Command:
    """Offer the class or grade."""
    return click.option(
        "--class", "strength_class", help="Property class, inch grade or stainless class."
    )(command)


def json_option(command: _Command) -> _Command:
    """Offer one JSON object instead of text."""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")(command)


def svg_option(command: _Command) -> _Command:
    """Offer a drawing."""
    return click.option(
        "--svg", type=click.Path(path_type=Path, dir_okay=False), help="Draw it there."
    )(command)


def method_option(command: _Command) -> _Command:
    """Offer the way of tightening, which scatters the clamp force."""
    return _METHOD_OPTION(command)


def joint_options(command: _Command) -> _Command:
    """Offer the frictions and the bearing face."""
    for option in reversed(_JOINT_OPTIONS):
        command = option(command)
    return command


@dataclass(frozen=True, slots=True)
class Bolted:
    """A thread with its frictions, way of tightening and bearing face."""

    geometry: ThreadGeometry
    friction: ThreadAndHead
    scatter: Scatter | None
    face: Bearing

    @property
    def bearing_diameter(self) -> float:
        """Mean bearing diameter [m]."""
        return self.face.mean_diameter

    def tell(self, answer: Answer, form: str) -> None:
        """Say what friction, method, bearing and source the answer rests on."""
        thread, head = self.friction.thread, self.friction.head
        answer.data["friction"] = {
            "thread": {"low": thread.low, "high": thread.high},
            "head": {"low": head.low, "high": head.high},
        }
        answer.data["band"] = band_words(self.friction, self.scatter)
        answer.data["bearing_diameter_mm"] = rounded(self.bearing_diameter * 1000)
        answer.line("band made by", answer.data["band"])
        why = dict.fromkeys((f"friction: {thread.why}", f"friction: {head.why}"))
        answer.sources += [form, self.geometry.source, self.face.source, *why]
        if self.scatter is not None:
            answer.sources.append(f"scatter: {self.scatter.source}")


def bolted(
    thread: Thread,
    *,
    friction: Friction | None,
    head_friction: Friction | None,
    head: str | None,
    bearing: Quantity | None,
    hole: Quantity | None,
    method: Scatter | None = None,
) -> Bolted:
    """Gather what the joint options gave; one friction for both faces unless two are given."""
    if friction is None:
        never("give --friction: a value, a range, or a surface like dry or oiled")
    geometry = thread_geometry(thread)
    face = bearing_of(
        geometry,
        head,
        outer=None if bearing is None else float(bearing),
        hole=None if hole is None else float(hole),
    )
    return Bolted(geometry, ThreadAndHead(friction, head_friction or friction), method, face)


def strength_from(name: str | None, geometry: ThreadGeometry) -> Strength | None:
    """Find the class or grade, if one was given."""
    return None if name is None else strength_of(name, geometry)


def heading(what: str, thread: Thread, strength: Strength | None) -> str:
    """Give the first line of an answer."""
    return f"{what}: {thread}" + ("" if strength is None else f", {strength.name}")


def band_data(band: Band, factor: float = 1.0) -> dict[str, float]:
    """Give a band for scripts."""
    scaled = band.times(factor)
    return {
        "low": rounded(scaled.low),
        "nominal": rounded(scaled.nominal),
        "high": rounded(scaled.high),
    }


def band_text(band: Band, unit: str, factor: float = 1.0, digits: int = 3) -> str:
    """Give a band for people: one figure, or low to high and the middle."""
    scaled = band.times(factor)
    if scaled.low == scaled.high:
        return shown(scaled.nominal, unit, digits)
    low, middle, high = (shown(v, digits=digits) for v in (scaled.low, scaled.nominal, scaled.high))
    return f"{low} to {high} {unit}, middle {middle}"


def torque_text(band: Band) -> str:
    """Give a torque band in N·m and lbf·ft."""
    return f"{band_text(band, 'N·m')} ({band_text(band, 'lbf·ft', 1 / _POUND_FOOT)})"


def add_shares(answer: Answer, percents: tuple[float, float, float]) -> None:
    """Show where a torque goes."""
    pitch, turning, under_head = percents
    answer.data["shares_percent"] = {
        "pitch": rounded(pitch), "thread": rounded(turning), "bearing": rounded(under_head),
    }  # fmt: skip
    answer.line(
        "where it goes",
        f"{pitch:.0f} % stretches the bolt, {turning:.0f} % thread friction, "
        f"{under_head:.0f} % friction under the head",
    )


def add_proof(answer: Answer, strength: Strength, geometry: ThreadGeometry, force: Band) -> None:
    """Show the share of proof load."""
    proof_load = strength.proof_load(geometry)
    share = force.times(1.0 / proof_load)
    answer.data["class"] = strength.name
    answer.data["proof_load_N"] = rounded(proof_load)
    answer.data["share_of_proof_load"] = band_data(share)
    answer.line("share of proof load", band_text(share, "%", 100.0))
    answer.sources.append(f"{strength.name}: {strength.source}")
