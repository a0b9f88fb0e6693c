"""Where the head bears: washer face, clearance hole, mean radius of its friction."""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.fastening.heads import head_for, size_name
from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.refusal import RefusalError, require_above_zero

# ISO 273 medium series clearance holes, millimetres, by thread diameter. From memory.
MEDIUM_HOLES: dict[str, float] = {
    "1": 1.2, "1.2": 1.4, "1.4": 1.6, "1.6": 1.8, "1.8": 2.1, "2": 2.4, "2.5": 2.9, "3": 3.4,
    "3.5": 3.9, "4": 4.5, "4.5": 5.0, "5": 5.5, "6": 6.6, "7": 7.6, "8": 9.0, "10": 11.0,
    "12": 13.5, "14": 15.5, "16": 17.5, "18": 20.0, "20": 22.0, "22": 24.0, "24": 26.0,
    "27": 30.0, "30": 33.0, "33": 36.0, "36": 39.0, "39": 42.0, "42": 45.0, "45": 48.0,
    "48": 52.0, "52": 56.0, "56": 62.0, "60": 66.0, "64": 70.0,
}  # fmt: skip

# ASME B18.2.8 normal clearance holes, inches, by printed size. From memory.
NORMAL_HOLES: dict[str, float] = {
    "1/4": 9 / 32, "5/16": 11 / 32, "3/8": 13 / 32, "7/16": 15 / 32, "1/2": 9 / 16,
    "5/8": 11 / 16, "3/4": 13 / 16, "7/8": 15 / 16, "1": 1 + 3 / 32, "1 1/8": 1 + 7 / 32,
    "1 1/4": 1 + 11 / 32, "1 3/8": 1.5, "1 1/2": 1.625,
}  # fmt: skip

_BOOK_COLLAR = 1.25


@dataclass(frozen=True, slots=True)
class Bearing:
    """The ring a head or nut bears on. [m] `source` says where the sizes are from.

    `outer` and `hole` are None when only a mean diameter is known.
    """

    mean_diameter: float
    outer: float | None
    hole: float | None
    source: str

    @property
    def area(self) -> float | None:
        """Area of the ring, None when only the mean diameter is known [m²]."""
        if self.outer is None or self.hole is None:
            return None
        return math.pi / 4.0 * (self.outer**2 - self.hole**2)


def ring_bearing(outer: float, hole: float, source: str) -> Bearing:
    """Give the bearing of a ring: mean diameter (d_w + d_h)/2 as in VDI 2230 [m]."""
    require_above_zero(hole, "the hole")
    if outer <= hole:
        raise RefusalError(
            f"a bearing face of {outer * 1000:g} mm does not cover a hole of {hole * 1000:g} mm",
            "check head and hole",
        )
    return Bearing((outer + hole) / 2.0, outer, hole, source)


def medium_hole(geometry: ThreadGeometry) -> float:
    """Give the usual clearance hole: ISO 273 medium, ASME B18.2.8 normal [m].

    Raises
    ------
    RefusalError
        If the standards held here have none for the size.
    """
    if geometry.thread.family == "metric":
        hole = MEDIUM_HOLES.get(size_name(geometry))
        if hole is not None:
            return hole / 1000.0
    else:
        hole = NORMAL_HOLES.get(size_name(geometry))
        if hole is not None:
            return hole * 0.0254
    raise RefusalError(
        f"no standard clearance hole is held for {geometry.thread.designation}", "give the hole"
    )


def bearing_of(
    geometry: ThreadGeometry,
    standard: str | None = None,
    *,
    outer: float | None = None,
    hole: float | None = None,
) -> Bearing:
    """Give the bearing of a head in its clearance hole.

    Parameters
    ----------
    geometry : ThreadGeometry
        The thread of the bolt.
    standard : str, optional
        The head: `ISO 4014` when None, or any head of `heads` with a bearing diameter.
    outer, hole : float, optional
        Measured bearing diameter and hole, which come before any table. [m]

    Returns
    -------
    Bearing
        Mean diameter, ring and source. [m]

    Raises
    ------
    RefusalError
        If no bearing diameter or hole is held, or they cannot belong together.

    Notes
    -----
    An inch thread without a table entry falls back on the mean collar diameter of 1.25 d
    used by [1]_, and says so.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       section 8-8 (mean of washer face 1.5 d and hole d).
    """
    inch = geometry.thread.family != "metric"
    name = standard or ("ASME B18.2.1" if inch else "ISO 4014")
    try:
        width = outer if outer is not None else _bearing_diameter(name, geometry)
        opening = hole if hole is not None else medium_hole(geometry)
    except RefusalError:
        if not inch or standard is not None or outer is not None:
            raise
        mean = _BOOK_COLLAR * geometry.diameter
        return Bearing(mean, None, None, "mean bearing diameter 1.25 d (Shigley, section 8-8)")
    hole_words = f"hole {opening * 1000:g} mm"
    hole_from = " given" if hole is not None else (" normal fit" if inch else ", ISO 273 medium")
    head_words = f"bearing {width * 1000:g} mm given" if outer is not None else f"{name} head"
    return ring_bearing(width, opening, f"{head_words}, {hole_words}{hole_from}")


def _bearing_diameter(standard: str, geometry: ThreadGeometry) -> float:
    head = head_for(standard, geometry)
    if head.bearing is None:
        raise RefusalError(
            f"no bearing diameter is held for {standard} in {geometry.thread.designation}",
            "measure it and give it",
        )
    return head.bearing


# VDI 2230:2003 guide values of permissible pressure under a head [MPa], catalogue p. 678.
PRESSURE_LIMITS: dict[str, float] = {
    "E295": 710.0, "C45": 630.0, "34CrMo4": 870.0, "34CrNiMo6": 1080.0, "38MnSiVS5": 810.0,
}  # fmt: skip
_ALSO_STEELS = {
    "ST50-2": "E295", "CQ45": "C45", "C45": "C45", "E295": "E295", "34CRMO4": "34CrMo4",
    "34CRNIMO6": "34CrNiMo6", "38MNSIVS5": "38MnSiVS5", "38MNSI-VS5-BY": "38MnSiVS5",
}  # fmt: skip


def bearing_pressure(force: float, bearing: Bearing) -> float:
    """Pressure under a head: clamp force / ring area [Pa].

    Raises
    ------
    RefusalError
        If only the mean diameter of the ring is known.
    """
    if bearing.area is None:
        raise RefusalError("the ring under the head is not known", "give bearing and hole")
    return force / bearing.area


def pressure_limit(material: str) -> float:
    """Permissible pressure under a head for a clamped material [Pa].

    Raises
    ------
    RefusalError
        If the guide values held here have none.

    References
    ----------
    .. [1] VDI 2230:2003 guide values, as reproduced in a fastener catalogue, p. 678.
    """
    name = _ALSO_STEELS.get(material.strip().split(" ")[0].upper())
    if name is None:
        raise RefusalError(
            f"no permissible pressure is held for '{material}'",
            f"known: {', '.join(PRESSURE_LIMITS)}",
        )
    return PRESSURE_LIMITS[name] * 1e6
