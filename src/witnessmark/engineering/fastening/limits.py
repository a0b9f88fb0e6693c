"""Limits of size of threads: 6g bolts in 6H nuts, class 2A bolts in class 2B nuts.

Metric tolerances are the tables of ISO 965-1 (from memory; compared row by row with the
open CAD thread library threadlib). Unified tolerances are the formulas of ASME B1.1
(from memory), with the length of engagement equal to the diameter.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.refusal import RefusalError

# Pitch in mm -> (es of position g, Td grade 6, TD1 grade 6), micrometres; es is downwards.
_BY_PITCH: dict[str, tuple[int, int, int]] = {
    "0.35": (19, 85, 100), "0.4": (19, 95, 112), "0.45": (20, 100, 125), "0.5": (20, 106, 140),
    "0.6": (21, 125, 160), "0.7": (22, 140, 180), "0.75": (22, 140, 190),
    "0.8": (24, 150, 200), "1": (26, 180, 236), "1.25": (28, 212, 265), "1.5": (32, 236, 300),
    "1.75": (34, 265, 335), "2": (38, 280, 375), "2.5": (42, 335, 450), "3": (48, 375, 500),
    "3.5": (53, 425, 560), "4": (60, 475, 600), "4.5": (63, 500, 670), "5": (71, 530, 710),
    "5.5": (75, 560, 750), "6": (80, 600, 800),
}  # fmt: skip

# Upper diameter of the step in mm -> pitch -> (Td2, TD2), grade 6, micrometres.
_PITCH_DIAMETER: dict[str, dict[str, tuple[int, int]]] = {
    "2.8": {"0.35": (63, 85), "0.4": (67, 90), "0.45": (71, 95)},
    "5.6": {
        "0.35": (67, 90), "0.5": (75, 100), "0.6": (85, 112), "0.7": (90, 118),
        "0.75": (90, 118), "0.8": (95, 125),
    },
    "11.2": {
        "0.5": (85, 112), "0.75": (100, 132), "1": (112, 150), "1.25": (118, 160),
        "1.5": (132, 180),
    },
    "22.4": {
        "0.5": (90, 118), "0.75": (106, 140), "1": (118, 160), "1.25": (132, 180),
        "1.5": (140, 190), "1.75": (150, 200), "2": (160, 212), "2.5": (170, 224),
    },
    "45": {
        "0.75": (112, 150), "1": (125, 170), "1.5": (150, 200), "2": (170, 224),
        "3": (200, 265), "3.5": (212, 280), "4": (224, 300), "4.5": (236, 315),
    },
    "90": {
        "1.5": (160, 212), "2": (180, 236), "3": (212, 280), "4": (236, 315),
        "5": (250, 335), "5.5": (265, 355), "6": (280, 375),
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """The sizes that decide how much thread is in shear [m].

    `bolt_major_min` Ds, `bolt_pitch_min` Es, `bolt_root_max` d3; `nut_minor_max` Kn,
    `nut_pitch_max` En.
    """

    bolt_major_min: float
    bolt_pitch_min: float
    bolt_root_max: float
    nut_minor_max: float
    nut_pitch_max: float
    source: str


def thread_limits(geometry: ThreadGeometry) -> ThreadLimits:
    """Give the limits of size for the usual fit: 6g/6H, or 2A/2B for unified threads.

    Raises
    ------
    RefusalError
        If the standard tables held here have no tolerance for this thread.
    """
    family = geometry.thread.family
    if family == "metric":
        return _metric_limits(geometry)
    if family == "unified":
        return _unified_limits(geometry)
    raise RefusalError(
        f"no tolerances are held for {geometry.thread.designation}",
        "give the measured sizes, or use the engagement rule",
    )


def _metric_limits(geometry: ThreadGeometry) -> ThreadLimits:
    pitch = _millimetres(geometry.thread.pitch)
    steps = [s for s in _PITCH_DIAMETER if geometry.diameter <= float(s) / 1000.0]
    rows = _PITCH_DIAMETER[steps[0]] if steps else {}
    if pitch not in _BY_PITCH or pitch not in rows:
        raise RefusalError(
            f"no 6g/6H tolerances are held for {geometry.thread.designation}",
            "ISO 965-1 has them for the standard pitches up to M90",
        )
    deviation, major, minor = (micro * 1e-6 for micro in _BY_PITCH[pitch])
    bolt_pitch, nut_pitch = (micro * 1e-6 for micro in rows[pitch])
    return ThreadLimits(
        bolt_major_min=geometry.diameter - deviation - major,
        bolt_pitch_min=geometry.pitch_diameter - deviation - bolt_pitch,
        bolt_root_max=geometry.minor_diameter - deviation,
        nut_minor_max=geometry.minor_diameter + minor,
        nut_pitch_max=geometry.pitch_diameter + nut_pitch,
        source="ISO 965-1, 6g bolt and 6H nut, from memory",
    )


def _millimetres(pitch: Fraction | None) -> str:
    return "" if pitch is None else f"{float(pitch * 1000):g}"


def _unified_limits(geometry: ThreadGeometry) -> ThreadLimits:
    inch = 0.0254
    diameter, pitch = geometry.diameter / inch, geometry.pitch / inch
    # ASME B1.1: 2A pitch diameter tolerance; allowance 0.3 of it; 2B is 1.3 of it.
    tolerance = 0.0015 * diameter ** (1 / 3) + 0.0015 * diameter**0.5 + 0.015 * pitch ** (2 / 3)
    allowance = 0.3 * tolerance
    minor = 0.25 * pitch - 0.4 * pitch**2
    if diameter < 0.25:
        small = 0.05 * pitch ** (2 / 3) + 0.03 * pitch / diameter - 0.002
        minor = min(max(small, minor), 0.394 * pitch)
    return ThreadLimits(
        bolt_major_min=geometry.diameter - inch * (allowance + 0.06 * pitch ** (2 / 3)),
        bolt_pitch_min=geometry.pitch_diameter - inch * (allowance + tolerance),
        bolt_root_max=geometry.minor_diameter - inch * allowance,
        nut_minor_max=geometry.minor_diameter + inch * minor,
        nut_pitch_max=geometry.pitch_diameter + inch * 1.3 * tolerance,
        source="ASME B1.1, class 2A bolt and 2B nut, from memory",
    )
