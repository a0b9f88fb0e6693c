"""Published size tables: a torque by size alone, for when no maker's figure can be had.

A size table knows nothing of the joint. It may serve a bracket or a cover, on the word of a
named person; never a joint that holds an engine, a brake or a person.
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.fastening.cautions import SIZE_TABLE
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.threads import Thread, read_thread

_POUND_INCH = 0.1129848290276167
_POUND_FOOT = 1.3558179483314004

ALLOWED_JOINTS = ("bracket", "cover")
REFUSED_JOINTS = (
    "head", "main", "rod", "cam", "crank", "flywheel", "clutch", "tensioner", "brake",
    "steering", "suspension", "wheel", "restraint", "lifting", "pressure",
)  # fmt: skip


def size_table_allowed(joint: str) -> bool:
    """Whether a size-table torque may stand in: only for the kinds on the short list."""
    return joint.strip().lower() in ALLOWED_JOINTS


@dataclass(frozen=True, slots=True)
class SizeFigure:
    """A torque of a size table. [N·m] Printed with `SIZE_TABLE` beside it."""

    low: float
    high: float
    condition: str
    source: str
    caution: str = SIZE_TABLE


# FAA AC 43.13-1B (9/8/98), Table 7-1: cadmium-plated, oil-free, pound-inches. For each size
# the range on tension nuts, the range on shear nuts, and the most allowed on either. The
# three starred shear ranges of the fine series are estimates in the original. The copy read
# prints 600 for 5/8-18 shear nuts; other printings are remembered to have 660.
_AIRCRAFT: dict[str, tuple[int, int, int, int, int, int]] = {
    "#8-36": (12, 15, 7, 9, 20, 12), "#10-32": (20, 25, 12, 15, 40, 25),
    "1/4-28": (50, 70, 30, 40, 100, 60), "5/16-24": (100, 140, 60, 85, 225, 140),
    "3/8-24": (160, 190, 95, 110, 390, 240), "7/16-20": (450, 500, 270, 300, 840, 500),
    "1/2-20": (480, 690, 290, 410, 1100, 660), "9/16-18": (800, 1000, 480, 600, 1600, 960),
    "5/8-18": (1100, 1300, 600, 780, 2400, 1400),
    "3/4-16": (2300, 2500, 1300, 1500, 5000, 3000),
    "7/8-14": (2500, 3000, 1500, 1800, 7000, 4200),
    "1-14": (3700, 5500, 2200, 3300, 10000, 6000),
    "1 1/8-12": (5000, 7000, 3000, 4200, 15000, 9000),
    "1 1/4-12": (9000, 11000, 5400, 6600, 25000, 15000),
    "#8-32": (12, 15, 7, 9, 20, 12), "#10-24": (20, 25, 12, 15, 35, 21),
    "1/4-20": (40, 50, 25, 30, 75, 45), "5/16-18": (80, 90, 48, 55, 160, 100),
    "3/8-16": (160, 185, 95, 100, 275, 170), "7/16-14": (235, 255, 140, 155, 475, 280),
    "1/2-13": (400, 480, 240, 290, 880, 520), "9/16-12": (500, 700, 300, 420, 1100, 650),
    "5/8-11": (700, 900, 420, 540, 1500, 900), "3/4-10": (1150, 1600, 700, 950, 2500, 1500),
    "7/8-9": (2200, 3000, 1300, 1800, 4600, 2700),
}  # fmt: skip
_AIRCRAFT_SOURCE = "FAA AC 43.13-1B (9/8/98), Table 7-1"

# US Army TM 10-5430-232-12&P, Table I-1: clean dry threads, pound-feet, by grade. Engine oil
# on the thread takes 10 % off, by the manual.
_ARMY: dict[str, dict[str, int]] = {
    "1 1/8-7": {"1": 350, "2": 350, "5": 800, "6": 1000, "7": 1000, "8": 1280},
    "1 1/4-7": {"1": 500, "2": 500, "5": 1080, "6": 1325, "7": 1325, "8": 1820},
    "1 3/8-6": {"1": 660, "2": 660, "5": 1460, "6": 1800, "7": 1800, "8": 2380},
    "1 3/8-12": {"1": 740, "2": 740, "5": 1680, "6": 1960, "7": 1960, "8": 2720},
    "1 1/2-12": {"1": 980, "2": 980, "5": 2200, "6": 3000, "7": 3000, "8": 3560},
}  # fmt: skip
_ARMY_SOURCE = "US Army TM 10-5430-232-12&P, Table I-1"

# Diesel-engine works standards, oiled, friction 0.125, N·m: classes 8.8 and 10.9 by hand.
_WORKS: dict[str, tuple[int, int]] = {
    "M10x1.5": (42, 60), "M10x1.25": (45, 63), "M12x1.75": (74, 100), "M12x1.25": (80, 110),
    "M12x1.5": (76, 105), "M14x2": (115, 160), "M14x1.5": (125, 180), "M16x1.5": (190, 270),
    "M18x2.5": (250, 350), "M20x2.5": (350, 500),
}  # fmt: skip
_WORKS_SOURCE = "Diesel-engine operating manual (2014-03), p. 15"

# Diesel-engine stress bolts of class 10.9, waisted, oiled, friction 0.125, N·m: shank free to
# twist, shank held against twist.
_WAISTED: dict[str, tuple[int, int]] = {
    "M8x1": (24, 30), "M10x1.5": (42, 55), "M10x1.25": (46, 60), "M12x1.75": (75, 93),
    "M12x1.5": (78, 99), "M14x2": (120, 150), "M14x1.5": (135, 160), "M16x2": (180, 225),
    "M16x1.5": (200, 245),
}  # fmt: skip
_WAISTED_SOURCE = "Diesel-engine operating manual (2015-06), p. 20"


def waisted_figures(thread: Thread | str) -> tuple[SizeFigure, SizeFigure]:
    """Give size-table torques of waisted 10.9 bolts: shank free to twist, shank held.

    Raises
    ------
    RefusalError
        If the table does not have the size.

    References
    ----------
    .. [1] Diesel-engine operating manual (2015-06), p. 20.
    """
    given = read_thread(thread) if isinstance(thread, str) else thread
    row = _WAISTED.get(given.designation)
    if row is None:
        raise RefusalError(
            f"no waisted-bolt table held here has {given.designation}",
            "ask the maker of the machine",
        )
    free, held = (
        SizeFigure(float(torque), float(torque), f"waisted 10.9, oiled, {how}", _WAISTED_SOURCE)
        for torque, how in zip(row, ("shank free to twist", "shank held"), strict=True)
    )
    return free, held


def size_figures(thread: Thread | str, strength_class: str | None = None) -> tuple[SizeFigure, ...]:
    """Every size-table torque held for a thread, and a class where the table has classes.

    Raises
    ------
    RefusalError
        If no table held here has the size (and class).

    References
    ----------
    .. [1] FAA AC 43.13-1B (9/8/98), Table 7-1.
    .. [2] US Army TM 10-5430-232-12&P, Table I-1.
    .. [3] Diesel-engine operating manual (2014-03), p. 15.
    """
    given = read_thread(thread) if isinstance(thread, str) else thread
    unified = given.family == "unified"
    key = given.designation.rsplit(" ", 1)[0] if unified else given.designation
    figures = _aircraft(key) if unified and strength_class is None else []
    if unified and strength_class in _ARMY.get(key, {}):
        torque = _ARMY[key][strength_class] * _POUND_FOOT
        figures.append(
            SizeFigure(torque, torque, f"grade {strength_class}, clean dry threads", _ARMY_SOURCE)
        )
    if key in _WORKS and strength_class in {"8.8", "10.9"}:
        works = float(_WORKS[key][0 if strength_class == "8.8" else 1])
        figures.append(
            SizeFigure(
                works, works, f"class {strength_class}, oiled, friction 0.125", _WORKS_SOURCE
            )
        )
    if not figures:
        raise RefusalError(
            f"no size table held here has {given.designation}"
            + ("" if strength_class is None else f" in {strength_class}"),
            "ask the maker of the machine",
        )
    return tuple(figures)


def _aircraft(key: str) -> list[SizeFigure]:
    row = _AIRCRAFT.get(key)
    if row is None:
        return []
    nuts = (("tension", row[0], row[1], row[4]), ("shear", row[2], row[3], row[5]))
    return [
        SizeFigure(
            low * _POUND_INCH,
            high * _POUND_INCH,
            f"{kind} nut, dry cadmium-plated; never above {most * _POUND_INCH:.3g} N·m",
            _AIRCRAFT_SOURCE,
        )
        for kind, low, high, most in nuts
    ]
