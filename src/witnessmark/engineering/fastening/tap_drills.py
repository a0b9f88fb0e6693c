"""Which drill makes the hole for a thread."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from witnessmark.quantities.threads import Thread, read_thread

# ISO 2306 / DIN 336 drills, millimetres, where they are not d - P to the last digit.
# From memory of the standards; every other metric thread here is drilled d - P.
_METRIC: dict[str, str] = {
    "M6x0.75": "5.2", "M7x0.75": "6.2", "M8x1.25": "6.8", "M8x0.75": "7.2",
    "M9x1.25": "7.8", "M9x0.75": "8.2", "M10x1.25": "8.8", "M10x0.75": "9.2",
    "M11x0.75": "10.2", "M12x1.75": "10.2", "M12x1.25": "10.8", "M14x1.25": "12.8",
}  # fmt: skip

# Drills for unified threads: name and inches. UNC to 1 1/2 agrees with the open CAD data of
# the FreeCAD Fasteners workbench (inch_screw_hole_chart.csv); UNF is from memory.
_UNIFIED: dict[str, tuple[str, str]] = {
    "#1-64": ("No. 53", "0.0595"), "#2-56": ("No. 50", "0.0700"),
    "#3-48": ("No. 47", "0.0785"), "#4-40": ("No. 43", "0.0890"),
    "#5-40": ("No. 38", "0.1015"), "#6-32": ("No. 36", "0.1065"),
    "#8-32": ("No. 29", "0.1360"), "#10-24": ("No. 25", "0.1495"),
    "#12-24": ("No. 16", "0.1770"), "1/4-20": ("No. 7", "0.2010"),
    "5/16-18": ("letter F", "0.2570"), "3/8-16": ("5/16 in", "5/16"),
    "7/16-14": ("letter U", "0.3680"), "1/2-13": ("27/64 in", "27/64"),
    "9/16-12": ("31/64 in", "31/64"), "5/8-11": ("17/32 in", "17/32"),
    "3/4-10": ("21/32 in", "21/32"), "7/8-9": ("49/64 in", "49/64"), "1-8": ("7/8 in", "7/8"),
    "1 1/8-7": ("63/64 in", "63/64"), "1 1/4-7": ("1 7/64 in", "71/64"),
    "1 3/8-6": ("1 7/32 in", "39/32"), "1 1/2-6": ("1 11/32 in", "43/32"),
    "#0-80": ("3/64 in", "3/64"), "#1-72": ("No. 53", "0.0595"),
    "#2-64": ("No. 50", "0.0700"), "#3-56": ("No. 45", "0.0820"),
    "#4-48": ("No. 42", "0.0935"), "#5-44": ("No. 37", "0.1040"),
    "#6-40": ("No. 33", "0.1130"), "#8-36": ("No. 29", "0.1360"),
    "#10-32": ("No. 21", "0.1590"), "#12-28": ("No. 14", "0.1820"),
    "1/4-28": ("No. 3", "0.2130"), "5/16-24": ("letter I", "0.2720"),
    "3/8-24": ("letter Q", "0.3320"), "7/16-20": ("25/64 in", "25/64"),
    "1/2-20": ("29/64 in", "29/64"), "9/16-18": ("33/64 in", "33/64"),
    "5/8-18": ("37/64 in", "37/64"), "3/4-16": ("11/16 in", "11/16"),
    "7/8-14": ("13/16 in", "13/16"), "1-12": ("59/64 in", "59/64"),
    "1-14": ("15/16 in", "15/16"), "1 1/8-12": ("1 3/64 in", "67/64"),
    "1 1/4-12": ("1 11/64 in", "75/64"), "1 3/8-12": ("1 19/64 in", "83/64"),
    "1 1/2-12": ("1 27/64 in", "91/64"),
}  # fmt: skip

# DIN 336 drills for G pipe threads, millimetres, from memory.
_PIPE: dict[str, str] = {
    "G 1/16": "6.8", "G 1/8": "8.8", "G 1/4": "11.8", "G 3/8": "15.25", "G 1/2": "19",
    "G 5/8": "21", "G 3/4": "24.5", "G 7/8": "28.25", "G 1": "30.75", "G 1 1/8": "35.5",
    "G 1 1/4": "39.5", "G 1 1/2": "45.25", "G 1 3/4": "51", "G 2": "57",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class TapDrill:
    """A drill for a thread [m].

    `calculated` is d - P. `listed` is the size in the drill list, None where the lists
    here have none; `name` is what it is asked for by, `source` where the list is from.
    """

    calculated: float
    listed: float | None
    name: str | None
    source: str


def tap_drill(thread: Thread | str) -> TapDrill:
    """Give the drill for a cut thread: d - P, and the listed size beside it.

    Raises
    ------
    QuantityError
        If a text is not a thread.
    """
    given = read_thread(thread) if isinstance(thread, str) else thread
    assert given.pitch is not None  # every thread that reads has one
    if given.family == "metric":
        listed = Fraction(_METRIC.get(given.designation, 1000 * (given.nominal - given.pitch)))
        return TapDrill(
            float(given.nominal - given.pitch),
            float(listed) / 1000.0,
            f"{float(listed):g} mm",
            "ISO 2306 / DIN 336, from memory",
        )
    if given.family == "unified":
        name, inches = _UNIFIED.get(given.designation.rsplit(" ", 1)[0], (None, None))
        return TapDrill(
            float(given.nominal - given.pitch),
            None if inches is None else float(Fraction(inches) * Fraction(254, 10_000)),
            name,
            "number, letter and fraction drills (inch)",
        )
    return _whitworth_drill(given)


def _whitworth_drill(thread: Thread) -> TapDrill:
    from witnessmark.engineering.fastening.threads import thread_geometry

    geometry = thread_geometry(thread)
    listed = _PIPE.get(thread.designation)
    return TapDrill(
        geometry.diameter - geometry.pitch,
        None if listed is None else float(listed) / 1000.0,
        None if listed is None else f"{listed} mm",
        "DIN 336, from memory" if listed is not None else "no drill list held",
    )
