"""What must be said whenever a timing drive is turned, read or judged.

Where no source is named the caution is common practice.
"""

from __future__ import annotations

from enum import StrEnum


class Ignition(StrEnum):
    """How the engine fires, as far as it matters for turning it by hand."""

    SPARK = "spark"
    COMPRESSION = "compression"
    UNKNOWN = "unknown"


SHORT_BAR = "Turn by hand on the crank bolt with a short bar; never with the starter."
STOP_AT_RESISTANCE = (
    "Stop at the first resistance. Do not force it; find out what touches before anything "
    "moves again."
)
NEVER_CRANK_LOCKED = "Never crank with a pin, lock or holder in: count them out first."
RUNNING_DIRECTION = (
    "Turn in the running direction only, never by a cam bolt; backwards only where the maker's "
    "own step says so."
)
TWO_TURNS = (
    "After fitting, turn at least two full crank turns by hand, then read marks and tensioner "
    "again."
)
SPRUNG_TENSIONER = (
    "A sprung tensioner strikes when let go: hold it with the proper bar, fingers clear of belt "
    "and arm."
)
FINGERS = "Keep fingers, sleeves, hair and rags clear of belts and pulleys; key out while you work."
MAKER_PREVAILS = "The engine maker's figures and procedure prevail over every sum here."


def plugs_out(ignition: Ignition) -> str:
    """Say which plugs come out so that compression does not hide a touch."""
    return {
        Ignition.SPARK: "Take the spark plugs out where that is safe, so that nothing but "
        "contact resists.",
        Ignition.COMPRESSION: "Take the glow plugs (or injectors) out where that is safe, so "
        "that nothing but contact resists.",
        Ignition.UNKNOWN: "Take spark plugs or glow plugs out where that is safe, so that "
        "nothing but contact resists.",
    }[ignition]


def turning_by_hand(ignition: Ignition = Ignition.UNKNOWN) -> tuple[str, ...]:
    """Give the cautions for turning an engine by hand, in the order they are needed.

    References
    ----------
    At least two turns, running direction, never by the cam bolt: US college course slides
    on timing belts. The rest is common practice.
    """
    return (
        NEVER_CRANK_LOCKED,
        plugs_out(ignition),
        SHORT_BAR,
        RUNNING_DIRECTION,
        STOP_AT_RESISTANCE,
    )


def near_drives() -> tuple[str, ...]:
    """Give the cautions for hands near a belt drive."""
    return (FINGERS, SPRUNG_TENSIONER, NEVER_CRANK_LOCKED)
