"""Reads pulleys, tensioners, shafts, marks and valves from the command line."""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from witnessmark.cli.calc.drives_words import (
    degrees,
    metres,
    name_and_point,
    one_of,
    point,
    split_keys,
    whole,
)
from witnessmark.engineering.belts.pulleys import (
    Direction,
    Face,
    Pulley,
    pitch_diameter,
    pitch_line_diameter,
)
from witnessmark.engineering.belts.standard_lengths import section_pitch
from witnessmark.engineering.belts.tensioner import Slide, Swing, Tensioner
from witnessmark.engineering.clearance.lift_laws import LiftLaw, lift_law
from witnessmark.engineering.clearance.piston_to_valve import Valve
from witnessmark.engineering.clearance.valve_lift import LiftByLaw, LiftTable
from witnessmark.engineering.timing.floating import FloatingSprocket
from witnessmark.engineering.timing.meeting import Loop
from witnessmark.engineering.timing.readings import (
    Reading,
    degrees_from_rim,
    degrees_from_teeth,
)
from witnessmark.engineering.timing.shafts import Role, Shaft, TimingRun
from witnessmark.quantities.reading import QuantityError, read_number, read_quantity, shorten
from witnessmark.quantities.units import Dimension

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

FACES = {"inside": "inside", "back": "back", "outside": "back"}
TURNS = {
    "clockwise": "clockwise",
    "cw": "clockwise",
    "anticlockwise": "anticlockwise",
    "counterclockwise": "anticlockwise",
    "ccw": "anticlockwise",
}
ROLES = {
    "inlet": "inlet",
    "intake": "inlet",
    "exhaust": "exhaust",
    "valves": "valves",
    "injection": "injection",
    "other": "other",
}
MOST_TABLE_ROWS = 2000


def read_pulley(text: str, number: int, unknown_face: Face | None) -> Pulley:
    """Read one pulley: `name X,Y mm d=… z=… p=… section=… face=… turns=… line=…`."""
    keys = ("d", "z", "p", "section", "face", "turns", "line", "name")
    head, values = split_keys(text, keys)
    name, x, y = name_and_point(head)
    teeth = whole(values["z"], "teeth") if "z" in values else None
    face = unknown_face
    if "face" in values and values["face"] not in {"?", "unknown"}:
        face = Face(one_of(values["face"], FACES, "face"))
    turns = Direction(one_of(values["turns"], TURNS, "direction")) if "turns" in values else None
    return Pulley(
        values.get("name") or name or f"pulley {number}",
        x,
        y,
        _diameter(text, values, teeth),
        teeth,
        face,
        turns,
    )


def _diameter(text: str, values: dict[str, str], teeth: int | None) -> float:
    """Give the pitch-line diameter from a diameter, or from teeth and pitch. [m]."""
    if "d" in values:
        diameter = metres(values["d"])
    elif teeth is not None and "p" in values:
        diameter = pitch_diameter(teeth, metres(values["p"]))
    elif teeth is not None and "section" in values:
        diameter = pitch_diameter(teeth, float(section_pitch(values["section"])))
    else:
        raise QuantityError(
            f"'{shorten(text)}' has no diameter",
            "give d=60 mm, or teeth and pitch: z=24 p=9.525 mm",
        )
    if "line" in values:
        diameter = pitch_line_diameter(diameter, metres(values["line"]))
    return diameter


def read_pulleys(texts: Sequence[str], unknown_face: Face | None) -> list[Pulley]:
    """Read every pulley, numbering those without a name."""
    return [read_pulley(text, k, unknown_face) for k, text in enumerate(texts, start=1)]


def read_tensioner(text: str, pulleys: Sequence[Pulley]) -> tuple[int, Tensioner]:
    """Read a tensioner: `name swing|eccentric pivot=X,Y mm from=… to=…`, or `name slider …`."""
    head, values = split_keys(text, ("pivot", "bolt", "from", "to", "heading", "pointer"))
    who, _, kind = head.rpartition(" ")
    index = _which_pulley(who.strip(), pulleys)
    pulley = pulleys[index]
    for key in ("from", "to"):
        if key not in values:
            raise QuantityError(f"'{shorten(text)}' lacks '{key}='", "give both stops")
    pointer = float(degrees(values["pointer"])) if "pointer" in values else 0.0
    if one_of(kind, {"swing": "swing", "eccentric": "swing", "slider": "slide"}, "tensioner") == (
        "slide"
    ):
        if "heading" not in values:
            raise QuantityError(
                f"'{shorten(text)}' lacks 'heading='", "give the slot's direction: heading=90°"
            )
        heading = float(degrees(values["heading"]))
        return index, Slide(
            pulley.x, pulley.y, heading, metres(values["from"]), metres(values["to"])
        )
    about = values.get("pivot") or values.get("bolt")
    if about is None:
        raise QuantityError(f"'{shorten(text)}' lacks 'pivot='", "give it like pivot=10,20 mm")
    px, py = point(about)
    arm = math.hypot(pulley.x - px, pulley.y - py)
    start, end = float(degrees(values["from"])), float(degrees(values["to"]))
    return index, Swing(px, py, arm, start, end, pointer)


def _which_pulley(who: str, pulleys: Sequence[Pulley]) -> int:
    for index, pulley in enumerate(pulleys):
        if who in {pulley.name, str(index + 1)}:
            return index
    raise QuantityError(
        f"'{shorten(who)}' is none of the pulleys", f"known: {', '.join(p.name for p in pulleys)}"
    )


@dataclass(frozen=True, slots=True)
class ReadShafts:
    """The shafts read, and which valves each cam works: inlet, exhaust, or both."""

    run: TimingRun
    valves: dict[str, str]


def read_shafts(texts: Sequence[str]) -> ReadShafts:
    """Read shafts: `name z=40 does=inlet by=crank driver=18 floats=5°`; the first is the crank."""
    shafts: list[Shaft] = []
    valves: dict[str, str] = {}
    for text in texts:
        name, values = split_keys(text, ("z", "does", "by", "driver", "floats"))
        if not name or "z" not in values:
            raise QuantityError(
                f"'{shorten(text)}' lacks a name or its teeth", "write it like 'inlet cam z=40'"
            )
        does = one_of(values.get("does", "other"), ROLES, "work of a shaft")
        if does in {"inlet", "exhaust", "valves"}:
            valves[name] = does
        first = not shafts
        shafts.append(
            Shaft(
                name,
                whole(values["z"], "teeth"),
                Role.CRANK if first else _role(does),
                values.get("by", None if first else shafts[0].name),
                whole(values["driver"], "teeth") if "driver" in values else None,
                degrees(values["floats"].lstrip("±")) if "floats" in values else Fraction(0),
            )
        )
    return ReadShafts(TimingRun(tuple(shafts)), valves)


def _role(does: str) -> Role:
    return Role.VALVES if does in {"inlet", "exhaust", "valves"} else Role(does)


_TEETH = re.compile(r"([-+−]?\s*[\d./ ]+?)\s*(?:teeth|tooth)")
_ON_RADIUS = re.compile(r"(.+?)\s+on\s+(?:a\s+radius\s+of\s+)?(.+?)(?:\s+radius)?")


def read_mark(text: str, run: TimingRun, accuracy: Fraction | None) -> Reading:
    """Read a mark: `name: 9° ± 1°`, `name: 1 tooth late ± 0.2 teeth`, `name: 3 mm on 60 mm`."""
    name, colon, rest = text.partition(":")
    if not colon:
        name, _, rest = text.partition("=")
    shaft = run.shaft(name.strip())
    words = rest.strip()
    if words == "pinned":
        return Reading(shaft.name, Fraction(0), Fraction(0))
    words, _, spread = words.replace("+/-", "±").partition("±")
    radius: Fraction | None = None
    if on := _ON_RADIUS.fullmatch(spread.strip()):
        spread, radius = on[1], read_quantity(on[2], Dimension.LENGTH).si
    words, sign = _side(words.strip())
    if on := _ON_RADIUS.fullmatch(words):
        words, inner = _side(on[1].strip())
        sign, radius = sign * inner, read_quantity(on[2], Dimension.LENGTH).si
    offset = sign * _turn(words, shaft.teeth, radius)
    if spread.strip():
        accuracy = abs(_turn(spread.strip(), shaft.teeth, radius))
    return Reading(shaft.name, offset, accuracy)


def _side(words: str) -> tuple[str, int]:
    """Take `early`, `late`, `ahead` or `behind` off the end, as a sign."""
    for word, sign in (("early", 1), ("ahead", 1), ("late", -1), ("behind", -1)):
        if words.endswith(word):
            return words.removesuffix(word).strip(), sign
    return words, 1


def _turn(words: str, teeth: int, radius: Fraction | None) -> Fraction:
    """Read an offset in degrees, teeth, or a length along the rim of a radius. [degrees]."""
    if match := _TEETH.fullmatch(words):
        return degrees_from_teeth(read_number(match[1].replace(" ", "")), teeth)
    if radius is None:
        return degrees(words)
    return degrees_from_rim(read_quantity(words, Dimension.LENGTH).si, radius)


def read_loop(text: str, run: TimingRun) -> Loop:
    """Read a belt or chain with printed marks: `name z=151 on=crank sprocket=24`."""
    name, values = split_keys(text, ("z", "on", "sprocket"))
    if "z" not in values:
        raise QuantityError(f"'{shorten(text)}' lacks its teeth", "write it like 'belt z=151'")
    shaft = run.shaft(values.get("on", run.crank.name))
    sprocket = whole(values["sprocket"], "teeth") if "sprocket" in values else shaft.teeth
    return Loop(name or "belt", whole(values["z"], "teeth"), shaft.name, sprocket)


@dataclass(frozen=True, slots=True)
class ReadFloat:
    """A floating sprocket as read, with where the belt's tooth lies."""

    shaft: str
    sprocket: FloatingSprocket
    phase: Fraction | None


def read_float(text: str, run: TimingRun) -> ReadFloat:
    """Read a floating sprocket: `name travel=12° at=-2° belt=3°`."""
    name, values = split_keys(text, ("travel", "at", "belt"))
    shaft = run.shaft(name)
    if "travel" not in values:
        raise QuantityError(
            f"'{shorten(text)}' lacks 'travel='", "give the slots end to end: travel=12°"
        )
    at = degrees(values["at"]) if "at" in values else Fraction(0)
    return ReadFloat(
        name,
        FloatingSprocket(shaft.teeth, degrees(values["travel"]), at),
        degrees(values["belt"]) if "belt" in values else None,
    )


def read_valve(name: str, text: str) -> Valve:
    """Read a valve: `opens=20° closes=45° lift=9 mm gap=2.5 mm angle=20° law=… table=…`.

    An inlet valve opens before top and closes after bottom dead centre; an exhaust valve
    opens before bottom and closes after top. What is not given is missing.
    """
    keys = ("opens", "closes", "peak", "lift", "gap", "angle", "law", "table", "least", "accuracy")
    head, values = split_keys(text, keys)
    if head:
        raise QuantityError(f"'{shorten(head)}' is not known here", "write key=value parts only")
    return Valve(
        name,
        _lift(name, values),
        metres(values["gap"]) if "gap" in values else None,
        float(degrees(values["angle"])) if "angle" in values else None,
        metres(values["least"]) if "least" in values else None,
        metres(values["accuracy"].lstrip("±")) if "accuracy" in values else 0.0,
    )


def _lift(name: str, values: dict[str, str]) -> LiftByLaw | LiftTable | None:
    if "table" in values:
        from pathlib import Path

        return read_lift_table(Path(values["table"]))
    angles = {k: float(degrees(values[k])) for k in ("opens", "closes", "peak") if k in values}
    most = metres(values["lift"]) if "lift" in values else None
    law = lift_law(values.get("law", LiftLaw.HARMONIC))
    if most is None or not {"opens", "closes"} <= set(angles):
        return None
    if name == "inlet":
        start, end = -angles["opens"], 180 + angles["closes"]
    else:
        start, end = -180 - angles["opens"], angles["closes"]
    return LiftByLaw(law, start, angles.get("peak", (start + end) / 2), end, most)


def read_lift_table(path: Path) -> LiftTable:
    """Read a lift table: two columns, crank degrees after overlap top dead centre, and mm."""
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            rows = [row for row in csv.reader(file) if row and not row[0].startswith("#")]
    except (OSError, UnicodeDecodeError) as error:
        raise QuantityError(f"the lift table {path} cannot be read", str(error)) from None
    if len(rows) > MOST_TABLE_ROWS:
        raise QuantityError(f"the lift table {path} has {len(rows)} rows", "give one opening only")
    points = []
    for number, row in enumerate(rows, start=1):
        try:
            points.append((float(row[0]), float(row[1]) / 1000))
        except (ValueError, IndexError):
            if number == 1:
                continue  # a heading
            raise QuantityError(
                f"row {number} of the lift table {path} is not two numbers",
                "write crank degrees, a comma, and the lift in mm",
            ) from None
    return LiftTable(tuple(points))
