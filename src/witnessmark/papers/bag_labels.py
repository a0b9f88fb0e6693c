"""Labels for the bags that fasteners go into: human words, and the same for a camera."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from typing import Any

import segno

from witnessmark.machine.model import Joint, Machine
from witnessmark.papers.fasteners import alike, joints_taken_out
from witnessmark.papers.shapes import A4, EDGE, Shape, label, paragraph, polygon, words_size
from witnessmark.planning.job import Job, object_name

COLUMNS = 2
ROWS = 5
SIZE = (92.0, 50.0)
TOP = 22.0
GAP = 2.0
MODULE = 0.6
"""Side [mm] of one square of the code."""
MOST_SIZES = 3
QUIET = 4
"""White squares round the code (ISO/IEC 18004, from memory)."""


def bagged_joints(job: Job) -> tuple[Joint, ...]:
    """Joints with fasteners that come out and so go into a bag, in order of the plan."""
    return tuple(joint for joint in joints_taken_out(job) if joint.fasteners)


def payload(machine: Machine, joint: Joint) -> str:
    """Give the words in the code: what it is, for which machine."""
    return f"bag: {joint.name}; joint {joint.id}; machine {machine.id}"


def bag_labels(job: Job) -> dict[str, Any]:
    """Lay out one label for every joint whose fasteners come out."""
    joints = bagged_joints(job)
    per_sheet = COLUMNS * ROWS
    count = -(-len(joints) // per_sheet)
    title = f"Bag labels: {job.machine.name}"
    sheets = []
    for sheet in range(count):
        shapes: list[Shape] = [
            paragraph((EDGE, EDGE - 2.0), 150.0, title, 13.0, bold=True),
            label((A4[0] - EDGE, EDGE + 1.0), f"page {sheet + 1} of {count}", 9.0, across=1.0),
        ]
        for place, joint in enumerate(joints[sheet * per_sheet : (sheet + 1) * per_sheet]):
            row, column = divmod(place, COLUMNS)
            at = (EDGE + column * (SIZE[0] + GAP), TOP + row * (SIZE[1] + GAP))
            number = sheet * per_sheet + place + 1
            shapes += _label(job.machine, joint, number, len(joints), at)
        sheets.append({"wide": A4[0], "high": A4[1], "shapes": shapes})
    return {"title": title, "sheets": sheets}


def _label(
    machine: Machine, joint: Joint, number: int, count: int, at: tuple[float, float]
) -> list[Shape]:
    x, y = at
    wide, high = SIZE
    code, side = qr_squares(payload(machine, joint), (x, y))
    left = wide - side
    code = [{**shape, "points": [[px + left, py] for px, py in shape["points"]]} for shape in code]
    pieces = sum(f.count for f in joint.fasteners)
    held = ", ".join(object_name(machine, ref.id) for ref in joint.holds)
    room = wide - side - 3.0
    name = joint.name if len(joint.name) <= 60 else f"{joint.name[:59]}…"
    lines = [
        *((words, 10.0) for words in alike(joint)[:MOST_SIZES]),
        *([("more sizes: see the bolt board or the job card", 8.0)] if _many(joint) else []),
        (f"holds {held}" if held else "", 8.0),
        (f"from: {joint.where}" if joint.where else "", 8.0),
        ("single use: new ones go in" if joint.single_use else "", 8.0),
    ]
    middle = x + wide - side / 2.0
    return [
        polygon([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)], 0.2, colour="grey"),
        paragraph((x + 3.0, y + 3.0), room, name, 12.0, bold=True),
        *_stacked(lines, (x + 3.0, y + 5.0 + _high(name, 13.0, room)), room, y + high - 6.0),
        label((x + 3.0, y + high - 3.5), machine.name[:60], 7.0, across=0.0, colour="grey"),
        label((middle, y + side + 2.0), f"bag {number} of {count}", 10.0, bold=True),
        label((middle, y + side + 7.0), _pieces(pieces), 9.0),
        *code,
    ]


def _many(joint: Joint) -> bool:
    return len(alike(joint)) > MOST_SIZES


def _high(words: str, size: float, room: float) -> float:
    """Give about how high words stand when broken into lines of a width [mm]."""
    return 0.53 * size * math.ceil(words_size(words, size)[0] / room)


def _stacked(
    lines: Sequence[tuple[str, float]], at: tuple[float, float], room: float, bottom: float
) -> list[Shape]:
    """Put lines under each other as far as the label reaches."""
    x, y = at
    shapes = []
    for words, size in lines:
        if words and y + 0.35 * size < bottom:
            shapes.append(paragraph((x, y), room, words, size))
            y += _high(words, size, room)
    return shapes


def _pieces(count: int) -> str:
    return "1 piece" if count == 1 else f"{count} pieces"


def qr_squares(words: str, at: tuple[float, float]) -> tuple[list[Shape], float]:
    """Draw the code with its quiet zone at a top left corner; give it with its side [mm].

    Dark squares beside each other are drawn as one bar, so that no hairline shows.
    """
    code = segno.make(words, error="m", micro=False, boost_error=False)
    rows = [list(row) for row in code.matrix]
    bars: list[Shape] = []
    for i, row in enumerate(rows):
        start = 0
        for dark, run in groupby(row):
            length = len(list(run))
            if dark:
                x0, x1 = (at[0] + (QUIET + k) * MODULE for k in (start, start + length))
                y0, y1 = (at[1] + (QUIET + k) * MODULE for k in (i, i + 1))
                bars.append(polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], 0.0, fill="ink"))
            start += length
    return bars, (len(rows) + 2 * QUIET) * MODULE
