"""Warnings that go with a figure, where they matter."""

from __future__ import annotations

from witnessmark.engineering.fastening.friction import Friction
from witnessmark.engineering.fastening.preload import Band, ThreadAndHead
from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.fastening.tightening import torque_lever

SLIPPERY_BELOW = 0.10
"""Friction below which a thread carries oil, wax or paste (VDI 2230 classes A and B)."""

MAKER_PREVAILS = "The maker's figure prevails; a calculated torque is not a specification."
SIZE_TABLE = "Size table, not the maker's."
LUBRICATED_AT_DRY_TORQUE = (
    "Oil or paste on a thread whose torque is for dry threads overloads the bolt: keep to the "
    "surface the figure is for."
)
REUSED_STRETCH_BOLT = (
    "A bolt once tightened past yield is longer and weaker: renew it unless the maker gives a "
    "limit of length or uses."
)
IMPACT_TOOL = "Do not finish with an impact tool: its clamp force can differ fourfold."
FRICTION_UNKNOWN = (
    "With friction anywhere in the range, only the torque for the lowest friction keeps the "
    "bolt within the use asked for."
)
ANGLE_NEEDS_TRIAL = (
    "An angle alone does not tell the stretch: clamped parts give way too, aluminium more than "
    "iron. Use the angle the maker found on this joint."
)


def surface_change(
    geometry: ThreadGeometry, bearing_diameter: float, meant: Friction, found: Friction
) -> Band:
    """How many times the meant clamp force a torque makes on another surface [-].

    The torque is held; the band runs from the least to the most favourable ends of both
    ranges, the nominal compares the middles.
    """

    def lever(friction: float) -> float:
        return torque_lever(geometry, bearing_diameter, friction, friction).total

    return Band(
        lever(meant.low) / lever(found.high),
        lever(meant.nominal) / lever(found.nominal),
        lever(meant.high) / lever(found.low),
    )


def torque_cautions(friction: ThreadAndHead, *, use: float | None = None) -> tuple[str, ...]:
    """Warnings for a calculated torque: always that the maker prevails, more as they apply."""
    found = [MAKER_PREVAILS]
    if friction.is_range:
        found.append(FRICTION_UNKNOWN)
    if use is not None and use > 0.9:
        found.append(f"A use of {use:g} is above the 0.9 of the guide tables: the bolt may yield.")
    if friction.thread.low < SLIPPERY_BELOW:
        found.append(LUBRICATED_AT_DRY_TORQUE)
    return tuple(found)
