"""How much thread must be in, and what strips first."""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.fastening.limits import ThreadLimits
from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.refusal import RefusalError, require_above_zero

_COTANGENT = 1.0 / math.sqrt(3.0)
# The length formulas of the handbook take shear strength as half of tensile strength.
SHEAR_SHARE = 0.5


def external_shear_area(length: float, pitch: float, limits: ThreadLimits) -> float:
    """Area that shears when the bolt's own thread strips.

    Parameters
    ----------
    length : float
        Length of full thread engaged. [m]
    pitch : float
        Pitch. [m]
    limits : ThreadLimits
        Kn_max and Es_min are used. [m]

    Returns
    -------
    float
        A_s = π n L Kn_max (1/(2n) + 0.57735 (Es_min - Kn_max)), n = 1/P. [m²]

    References
    ----------
    .. [1] FED-STD-H28/2B and Machinery's Handbook, 24th ed., length of engagement.
    """
    overlap = 0.5 * pitch + _COTANGENT * (limits.bolt_pitch_min - limits.nut_minor_max)
    return math.pi * length / pitch * limits.nut_minor_max * overlap


def internal_shear_area(length: float, pitch: float, limits: ThreadLimits) -> float:
    """Area that shears when the thread of the hole or nut strips.

    Parameters
    ----------
    length : float
        Length of full thread engaged. [m]
    pitch : float
        Pitch. [m]
    limits : ThreadLimits
        Ds_min and En_max are used. [m]

    Returns
    -------
    float
        A_n = π n L Ds_min (1/(2n) + 0.57735 (Ds_min - En_max)), n = 1/P. [m²]

    References
    ----------
    .. [1] FED-STD-H28/2B and Machinery's Handbook, 24th ed., length of engagement.
    """
    overlap = 0.5 * pitch + _COTANGENT * (limits.bolt_major_min - limits.nut_pitch_max)
    return math.pi * length / pitch * limits.bolt_major_min * overlap


def needed_engagement(
    stress_area: float,
    pitch: float,
    limits: ThreadLimits,
    bolt_tensile: float,
    hole_tensile: float,
) -> float:
    """Length of engagement at which the bolt breaks before any thread strips.

    Parameters
    ----------
    stress_area : float
        Tensile stress area of the bolt. [m²]
    pitch : float
        Pitch. [m]
    limits : ThreadLimits
        Limits of size of bolt and hole. [m]
    bolt_tensile, hole_tensile : float
        Tensile strength of bolt and of the tapped material. [Pa]

    Returns
    -------
    float
        L = 2 A_t/(area of bolt thread per length), times J when the hole is the weaker:
        J = (A_s S_bolt)/(A_n S_hole), if above 1. [m]

    Raises
    ------
    RefusalError
        If a figure is not above zero.

    References
    ----------
    .. [1] Machinery's Handbook, 24th ed., length of engagement formulas, as FED-STD-H28/2B.
    """
    require_above_zero(bolt_tensile, "the strength of the bolt")
    require_above_zero(hole_tensile, "the strength of the tapped material")
    outside = external_shear_area(1.0, pitch, limits)
    inside = internal_shear_area(1.0, pitch, limits)
    factor = max(1.0, outside * bolt_tensile / (inside * hole_tensile))
    return factor * 2.0 * stress_area / outside


@dataclass(frozen=True, slots=True)
class Stripping:
    """What gives way first when a bolt is pulled [N, m].

    `gives_way` is `bolt breaks`, `bolt thread strips` or `hole thread strips`.
    """

    breaking_load: float
    bolt_strips: float
    hole_strips: float
    needed: float
    gives_way: str

    @property
    def holds(self) -> float:
        """The least of the three loads [N]."""
        return min(self.breaking_load, self.bolt_strips, self.hole_strips)


def stripping(
    length: float,
    geometry: ThreadGeometry,
    limits: ThreadLimits,
    bolt_tensile: float,
    hole_tensile: float,
) -> Stripping:
    """Find the loads at which bolt, bolt thread and hole thread give way.

    Parameters
    ----------
    length : float
        Length of full thread engaged. [m]
    geometry : ThreadGeometry
        The thread.
    limits : ThreadLimits
        Limits of size.
    bolt_tensile, hole_tensile : float
        Tensile strengths. [Pa]

    Returns
    -------
    Stripping
        The three loads, the length at which the bolt would break first, and what gives way.

    Notes
    -----
    Shear strength is half of tensile strength, as the handbook formulas have it; bending of
    the nut and wear are not in the sum. Least-material threads, so a middling pair is better.
    """
    require_above_zero(length, "the engagement")
    breaking = bolt_tensile * geometry.stress_area
    outside = SHEAR_SHARE * bolt_tensile * external_shear_area(length, geometry.pitch, limits)
    inside = SHEAR_SHARE * hole_tensile * internal_shear_area(length, geometry.pitch, limits)
    names = {
        "bolt breaks": breaking, "bolt thread strips": outside, "hole thread strips": inside,
    }  # fmt: skip
    return Stripping(
        breaking_load=breaking,
        bolt_strips=outside,
        hole_strips=inside,
        needed=needed_engagement(
            geometry.stress_area, geometry.pitch, limits, bolt_tensile, hole_tensile
        ),
        gives_way=min(names, key=names.__getitem__),
    )


@dataclass(frozen=True, slots=True)
class TappedMaterial:
    """A material threads are cut in [Pa]."""

    name: str
    tensile: float


# Least tensile strengths as printed beside the engagement rules, catalogue p. 677.
TAPPED_MATERIALS: dict[str, TappedMaterial] = {
    "steel S235": TappedMaterial("S235, 2C15 steel", 360e6),
    "steel E285": TappedMaterial("E285, S355, 2C35 steel", 500e6),
    "heat-treated steel": TappedMaterial("heat-treated C45, 34CrMo4, 42CrMo4 steel", 800e6),
    "grey cast iron": TappedMaterial("GJL-250 grey cast iron", 220e6),
    "aluminium": TappedMaterial("aluminium Al99.5", 180e6),
}
_ALSO = {
    "steel": "steel S235", "mild steel": "steel S235", "s235": "steel S235",
    "steel s235": "steel S235", "steel e285": "steel E285", "e285": "steel E285",
    "s355": "steel E285", "cast iron": "grey cast iron", "iron": "grey cast iron",
    "aluminum": "aluminium", "alloy": "aluminium",
}  # fmt: skip

# Least engagement in thread diameters: (class, series) by material, cut threads M6 to M16,
# 6g/6H. Recommended minimum engaged thread, fastener catalogue p. 677. The aluminium fine
# value is not certain in the copy read (2.5 may belong to class 10.9).
_RULES: dict[str, dict[tuple[str, str], float]] = {
    "steel S235": {
        ("8.8", "coarse"): 1.0, ("8.8", "fine"): 1.25, ("10.9", "coarse"): 1.25,
        ("10.9", "fine"): 1.4,
    },
    "steel E285": {("8.8", "coarse"): 0.9, ("10.9", "coarse"): 1.0, ("12.9", "coarse"): 1.2},
    "heat-treated steel": {
        ("8.8", "coarse"): 0.8, ("8.8", "fine"): 0.8, ("10.9", "coarse"): 0.9,
        ("10.9", "fine"): 0.9,
    },
    "grey cast iron": {
        ("8.8", "coarse"): 1.0, ("8.8", "fine"): 1.25, ("10.9", "coarse"): 1.25,
        ("10.9", "fine"): 1.4, ("12.9", "coarse"): 1.4,
    },
    "aluminium": {("8.8", "coarse"): 2.0, ("8.8", "fine"): 2.5},
}  # fmt: skip


def tapped_material(name: str) -> tuple[str, TappedMaterial]:
    """Find a tapped material: its key here and its strength.

    Raises
    ------
    RefusalError
        If no strength is held for it.
    """
    word = " ".join(name.lower().split())
    by_lower = {key.lower(): key for key in TAPPED_MATERIALS}
    key = _ALSO.get(word) or by_lower.get(word)
    if key is None:
        raise RefusalError(
            f"no strength is held for '{name}'",
            f"choose one of {', '.join(TAPPED_MATERIALS)}, or give its tensile strength",
        )
    return key, TAPPED_MATERIALS[key]


def engagement_rule(material: str, strength_class: str, series: str) -> float | None:
    """Least engagement in diameters by the published rule; None where it gives none [-].

    Parameters
    ----------
    material : str
        A tapped material, as in `tapped_material`.
    strength_class : str
        Class of the screw: `8.8`, `10.9` or `12.9`.
    series : str
        `coarse` or `fine`.

    References
    ----------
    .. [1] Recommended minimum engaged thread, cut threads, M6 to M16, tolerance 6g/6H,
       fastener catalogue, p. 677.
    """
    key, _ = tapped_material(material)
    return _RULES[key].get((strength_class, series))
