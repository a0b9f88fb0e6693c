"""Heads and drives: which socket, key or spanner fits, and how wide the head bears.

Sizes follow the standards named; they were compared with the open CAD data of the FreeCAD
Fasteners workbench. Where that data differs the standard is kept: ISO 4014 and ISO 4032 M14
have 21 mm across flats (22 is the old DIN size), M64 has 95 mm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.reading import shorten

# Across flats in mm, ISO 272 series of ISO 4014, 4017 and 4032; M7 from DIN 931.
_ISO_FLATS: dict[str, float] = {
    "1.6": 3.2, "2": 4, "2.5": 5, "3": 5.5, "3.5": 6, "4": 7, "5": 8, "6": 10, "7": 11,
    "8": 13, "10": 16, "12": 18, "14": 21, "16": 24, "18": 27, "20": 30, "22": 34, "24": 36,
    "27": 41, "30": 46, "33": 50, "36": 55, "39": 60, "42": 65, "45": 70, "48": 75, "52": 80,
    "56": 85, "60": 90, "64": 95,
}  # fmt: skip

# Least bearing diameter d_w in mm, ISO 4014 grade A to M24, grade B above. From memory.
_ISO_BEARING: dict[str, float] = {
    "1.6": 2.27, "2": 3.07, "2.5": 4.07, "3": 4.57, "3.5": 5.07, "4": 5.88, "5": 6.88,
    "6": 8.88, "7": 9.63, "8": 11.63, "10": 14.63, "12": 16.63, "14": 19.64, "16": 22.49,
    "18": 25.34, "20": 28.19, "22": 31.71, "24": 33.61, "27": 38.0, "30": 42.75, "33": 46.55,
    "36": 51.11, "39": 55.86, "42": 59.95, "45": 64.7, "48": 69.45, "52": 74.2, "56": 78.66,
    "60": 83.41, "64": 88.16,
}  # fmt: skip

# Least bearing diameter of ISO 4032 nuts in mm where it is not that of the bolt head.
_ISO_NUT_BEARING = _ISO_BEARING | {
    "1.6": 2.4, "2": 3.1, "2.5": 4.1, "3": 4.6, "3.5": 5.1, "4": 5.9, "5": 6.9, "6": 8.9,
    "8": 11.6, "10": 14.6, "12": 16.6, "14": 19.6, "16": 22.5, "18": 24.9, "20": 27.7,
    "22": 31.4, "24": 33.3,
}  # fmt: skip

# Bearing diameter of DIN 934 nuts in mm, as the open CAD data has them; other sizes not read.
_OLD_NUT_BEARING: dict[str, float] = {
    "3": 4.5, "6": 8.8, "8": 11.3, "10": 15.3, "12": 17.2, "14": 20.2, "18": 25.3, "20": 28.2,
}  # fmt: skip

_OLD_FLATS = _ISO_FLATS | {"10": 17, "12": 19, "14": 22, "22": 32}
_JAPANESE_FLATS: dict[str, float] = {"5": 8, "6": 10, "8": 12, "10": 14, "12": 17}
_SMALL_FLANGE: dict[str, tuple[float, float]] = {
    "5": (7, 9.4), "6": (8, 11.6), "8": (10, 14.9), "10": (13, 18.7), "12": (15, 22.5),
    "14": (18, 26.4), "16": (21, 30.6),
}  # fmt: skip
_HEAVY_FLANGE: dict[str, tuple[float, float]] = {
    "5": (8, 9.8), "6": (10, 12.2), "8": (13, 15.8), "10": (16, 19.6), "12": (18, 23.8),
    "14": (21, 27.6), "16": (24, 31.9), "20": (30, 39.9),
}  # fmt: skip
_ISO_FLANGE_NUT = _HEAVY_FLANGE | {"10": (15, 19.6)}

# Hexagon socket keys and bearing diameters in mm.
_CAP_SCREW: dict[str, tuple[float, float]] = {
    "1.6": (1.5, 2.72), "2": (1.5, 3.48), "2.5": (2, 4.18), "3": (2.5, 5.07), "4": (3, 6.53),
    "5": (4, 8.03), "6": (5, 9.38), "8": (6, 12.33), "10": (8, 15.33), "12": (10, 17.23),
    "14": (12, 20.17), "16": (14, 23.17), "18": (14, 25.87), "20": (17, 28.87),
    "22": (17, 31.81), "24": (19, 34.81), "27": (19, 38.61), "30": (22, 43.61),
    "33": (24, 48.61), "36": (27, 52.54), "42": (32, 61.34), "48": (36, 70.34),
    "56": (41, 82.26), "64": (46, 94.26),
}  # fmt: skip
_LOW_CAP_SCREW: dict[str, tuple[float, float]] = {
    "3": (2, 4.84), "4": (2.5, 6.2), "5": (3, 7.7), "6": (4, 9.2), "8": (5, 12.03),
    "10": (7, 15.03), "12": (8, 17.03), "14": (10, 19.83), "16": (12, 22.83),
    "18": (12, 25.83), "20": (14, 28.83), "22": (14, 31.61), "24": (17, 34.61),
}  # fmt: skip
_LOW_PILOT_CAP_SCREW: dict[str, tuple[float, float]] = {
    "4": (3, 6.2), "5": (4, 7.7), "6": (5, 9.2), "8": (6, 12.03), "10": (8, 15.03),
    "12": (10, 17.03), "14": (12, 19.83), "16": (14, 22.83), "18": (14, 25.83),
    "20": (17, 28.83), "22": (17, 31.61), "24": (19, 34.61), "27": (19, 38.61),
    "30": (22, 43.61), "33": (24, 48.61), "36": (27, 52.34),
}  # fmt: skip
_BUTTON: dict[str, tuple[float, float | None]] = {
    "3": (2, None), "4": (2.5, None), "5": (3, None), "6": (4, None), "8": (5, None),
    "10": (6, None), "12": (8, None), "16": (10, None),
}  # fmt: skip
_HEXALOBULAR: dict[str, int] = {
    "2": 6, "2.5": 8, "3": 10, "4": 20, "5": 25, "6": 30, "8": 45, "10": 50, "12": 55,
    "14": 60, "16": 70, "18": 80, "20": 90,
}  # fmt: skip

# ASME B18.2.1 hex bolts and cap screws, inches: across flats; the washer face is 0.95 of it.
_INCH_FLATS: dict[str, float] = {
    "1/4": 7 / 16, "5/16": 1 / 2, "3/8": 9 / 16, "7/16": 5 / 8, "1/2": 3 / 4,
    "9/16": 13 / 16, "5/8": 15 / 16, "3/4": 9 / 8, "7/8": 21 / 16, "1": 3 / 2,
    "1 1/8": 27 / 16, "1 1/4": 15 / 8, "1 3/8": 33 / 16, "1 1/2": 9 / 4, "1 3/4": 21 / 8,
    "2": 3, "2 1/4": 27 / 8, "2 1/2": 15 / 4, "2 3/4": 33 / 8, "3": 9 / 2, "3 1/4": 39 / 8,
    "3 1/2": 21 / 4, "3 3/4": 45 / 8, "4": 6,
}  # fmt: skip

# British Standard Whitworth heads, inches across flats, by BSW size (BS 192 / BS 1083, from
# memory). A BSF head takes the spanner marked one size smaller.
_WHITWORTH_FLATS: dict[str, float] = {
    "3/16": 0.445, "1/4": 0.525, "5/16": 0.600, "3/8": 0.710, "7/16": 0.820, "1/2": 0.920,
    "9/16": 1.010, "5/8": 1.100, "3/4": 1.300, "7/8": 1.480, "1": 1.670, "1 1/8": 1.860,
    "1 1/4": 2.050, "1 3/8": 2.220, "1 1/2": 2.410,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Head:
    """A head or nut and what turns it [m].

    `drive` is `hexagon`, `socket` (a hexagon key) or `hexalobular`. `flats` is the size of
    socket, spanner or key; None for hexalobular drives, which are asked for by `tool`.
    `bearing` is the least diameter of the face that bears, None when not held.
    """

    standard: str
    kind: str
    drive: str
    flats: float | None
    tool: str
    bearing: float | None
    note: str = ""


def _hexagon(
    standard: str, kind: str, flats: dict[str, float], bearing: dict[str, float], note: str = ""
) -> dict[str, Head]:
    return {
        size: Head(
            standard, kind, "hexagon", width / 1000, f"{width:g} mm socket or spanner",
            bearing[size] / 1000 if size in bearing else None, note,
        )
        for size, width in flats.items()
    }  # fmt: skip


def _flanged(
    standard: str, kind: str, sizes: dict[str, tuple[float, float]], note: str = ""
) -> dict[str, Head]:
    flats = {size: both[0] for size, both in sizes.items()}
    bearing = {size: both[1] for size, both in sizes.items()}
    return _hexagon(standard, kind, flats, bearing, note)


def _socket(
    standard: str,
    kind: str,
    sizes: dict[str, tuple[float, float]] | dict[str, tuple[float, float | None]],
) -> dict[str, Head]:
    return {
        size: Head(
            standard, kind, "socket", key / 1000, f"{key:g} mm hexagon key",
            None if width is None else width / 1000,
        )
        for size, (key, width) in sizes.items()
    }  # fmt: skip


def _inch(
    standard: str, kind: str, flats: dict[str, float], bearing: float | None, note: str = ""
) -> dict[str, Head]:
    return {
        size: Head(
            standard, kind, "hexagon", width * 0.0254, _inch_tool(size, width, standard),
            None if bearing is None else bearing * width * 0.0254, note,
        )
        for size, width in flats.items()
    }  # fmt: skip


def _inch_tool(size: str, width: float, standard: str) -> str:
    if standard == "BSW":
        return f"{size} Whitworth socket or spanner"
    whole, sixteenths = divmod(round(width * 16), 16)
    top, bottom = sixteenths, 16
    while top and top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    fraction = f"{top}/{bottom}" if top else ""
    return f"{' '.join(p for p in (str(whole or ''), fraction) if p)} in socket or spanner"


def _bsf() -> dict[str, Head]:
    sizes = list(_WHITWORTH_FLATS)
    whitworth = _inch("BSW", "hexagon bolt", _WHITWORTH_FLATS, None)
    return {
        size: replace(
            whitworth[smaller], standard="BSF", note="BSF heads are one Whitworth size smaller"
        )
        for smaller, size in pairwise(sizes)
    }


_MEASURE_12 = "EN 1662 gives 16 mm for M12, ISO 15071 gives 15: measure the head"
_MEASURE_10 = "M10 differs between EN (16 mm), DIN and ISO (15 mm): measure the head"
_OLD_NOTE = "before 1982: M10 17, M12 19, M14 22, M22 32 mm"

HEADS: dict[str, dict[str, Head]] = {
    "ISO 4014": _hexagon("ISO 4014", "hexagon bolt", _ISO_FLATS, _ISO_BEARING),
    "ISO 4017": _hexagon("ISO 4017", "hexagon screw", _ISO_FLATS, _ISO_BEARING),
    "ISO 4032": _hexagon("ISO 4032", "hexagon nut", _ISO_FLATS, _ISO_NUT_BEARING),
    "DIN 931": _hexagon("DIN 931", "hexagon bolt, old sizes", _OLD_FLATS, {}, _OLD_NOTE),
    "DIN 933": _hexagon("DIN 933", "hexagon screw, old sizes", _OLD_FLATS, {}, _OLD_NOTE),
    "DIN 934": _hexagon(
        "DIN 934", "hexagon nut, old sizes", _OLD_FLATS, _OLD_NUT_BEARING, _OLD_NOTE
    ),
    "Japanese": _hexagon("Japanese practice", "hexagon bolt or nut", _JAPANESE_FLATS, {}),
    "EN 1662": _flanged(
        "EN 1662", "flange bolt, small series", _SMALL_FLANGE | {"12": (16, 22.5)}, _MEASURE_12
    ),
    "ISO 15071": _flanged("ISO 15071", "flange bolt, small series", _SMALL_FLANGE, _MEASURE_12),
    "ISO 4162": _flanged("ISO 4162", "flange bolt, small series", _SMALL_FLANGE, _MEASURE_12),
    "EN 1665": _flanged("EN 1665", "flange bolt, heavy series", _HEAVY_FLANGE, _MEASURE_10),
    "DIN 6921": _flanged(
        "DIN 6921", "flange bolt", _HEAVY_FLANGE | {"10": (15, 19.6)}, _MEASURE_10
    ),
    "EN 1661": _flanged("EN 1661", "flange nut", _HEAVY_FLANGE, _MEASURE_10),
    "ISO 4161": _flanged("ISO 4161", "flange nut", _ISO_FLANGE_NUT, _MEASURE_10),
    "ISO 4762": _socket("ISO 4762", "socket cap screw", _CAP_SCREW),
    "DIN 7984": _socket("DIN 7984", "low socket cap screw", _LOW_CAP_SCREW),
    "DIN 6912": _socket("DIN 6912", "low socket cap screw with pilot", _LOW_PILOT_CAP_SCREW),
    "ISO 7380-1": _socket("ISO 7380-1", "socket button screw", _BUTTON),
    "ISO 14579": {
        size: Head(
            "ISO 14579", "hexalobular socket cap screw", "hexalobular", None,
            f"size {number} hexalobular bit", _CAP_SCREW[size][1] / 1000,
        )
        for size, number in _HEXALOBULAR.items()
    },
    "ASME B18.2.1": _inch("ASME B18.2.1", "hexagon bolt or cap screw", _INCH_FLATS, 0.95),
    "BSW": _inch("BSW", "Whitworth hexagon bolt", _WHITWORTH_FLATS, None),
    "BSF": _bsf(),
}  # fmt: skip

_BY_FAMILY = {"metric": "ISO 4014", "unified": "ASME B18.2.1", "bsw": "BSW", "bsf": "BSF"}


def head_for(standard: str, geometry: ThreadGeometry) -> Head:
    """Find the head of a standard in a thread's size.

    Raises
    ------
    RefusalError
        If the standard is unknown or not held in that size.
    """
    wanted = " ".join(standard.split()).lower()
    name = next((n for n in HEADS if n.lower() == wanted), None)
    if name is None:
        raise RefusalError(
            f"'{shorten(standard)}' is not a head standard held here",
            f"choose one of {', '.join(HEADS)}",
        )
    size = size_name(geometry)
    metric = geometry.thread.family == "metric"
    inch_table = name in {"ASME B18.2.1", "BSW", "BSF"}
    head = HEADS[name].get(size)
    if head is None or metric is inch_table:
        raise RefusalError(
            f"no {name} head is held in {geometry.thread.designation}", "measure the head"
        )
    return head


def usual_head(geometry: ThreadGeometry) -> Head | None:
    """Give the plain hexagon head of a thread; None where there is none (pipe threads)."""
    standard = _BY_FAMILY.get(geometry.thread.family)
    if standard is None:
        return None
    return HEADS[standard].get(size_name(geometry))


def heads_that_fit(geometry: ThreadGeometry) -> tuple[Head, ...]:
    """Every head held here that this thread may carry: what the socket might have to be."""
    found = []
    for name in HEADS:
        try:
            found.append(head_for(name, geometry))
        except RefusalError:
            continue
    return tuple(found)


def fits(tool_flats: float, head: Head, play: float = 0.0003) -> bool:
    """Say whether a socket, spanner or key of this size belongs on the head [m].

    Only the very size fits: one size up rounds the corners off. `play` allows for inch and
    millimetre sizes that are the same for practical purposes.
    """
    return head.flats is not None and 0.0 <= tool_flats - head.flats + 1e-9 <= play


def size_name(geometry: ThreadGeometry) -> str:
    """Give the size a thread is looked up by: `8`, `3/8`, `1 1/8`, `#10`."""
    if geometry.thread.family == "metric":
        return f"{geometry.diameter * 1000:g}"
    designation = geometry.thread.designation
    if geometry.thread.family == "unified":
        return designation.rsplit(" ", 1)[0].rsplit("-", 1)[0]
    return designation.split(" ", 1)[1]
