"""The angle disc: degrees round a socket, for those without an angle gauge.

Pure: a joint in, plain data for the template `true-size` out. The disc is taped to the
clamped part, because the angle is between bolt head and clamped part; the block may turn
away under both.
"""

from __future__ import annotations

import math
import re
from typing import Any

from witnessmark.machine.model import Joint
from witnessmark.papers.shapes import (
    A4,
    EDGE,
    Shape,
    check_rule,
    circle,
    cross,
    label,
    line,
    paragraph,
)
from witnessmark.papers.tiles import sheet_head
from witnessmark.quantities.tightness import Tightness
from witnessmark.quantities.units import Dimension

RADIUS = 85.0
CENTRE = (A4[0] / 2.0, 158.0)
_RING = {10: (9.0, 0.35), 5: (6.0, 0.25), 1: (3.5, 0.12)}
"""Length and thickness [mm] of the marks every so many degrees."""
START_WIDTH = 1.0
END_WIDTH = 0.8
HOLE_STEP = 2.0
HOLES = 7
NO_HEAD_RADIUS = 10.0

READ = (
    "Read the bolt head against the clamped part, never against the block: the block, or the "
    "shaft, may turn away under both."
)


def wants_angle_disc(joint: Joint) -> bool:
    """Whether the final tightness has a stage by angle."""
    return joint.tightness is not None and joint.tightness.tightness.angle_degrees > 0.0


def stage_ends(tightness: Tightness) -> tuple[float, ...]:
    """Give where each angle stage ends, in degrees turned since the torque before them."""
    ends: list[float] = []
    turned = 0.0
    for stage in tightness.stages:
        if stage.dimension is Dimension.ANGLE:
            turned += float(stage.si)
            ends.append(turned)
    return tuple(ends)


def is_left_hand(joint: Joint) -> bool:
    """Whether the joint tightens against the clock."""
    threads = [f.thread for f in joint.fasteners if f.thread]
    return joint.hand == "left" or any(thread.left_hand for thread in threads)


def angle_disc(joint: Joint, machine_name: str) -> dict[str, Any]:
    """Lay out the angle disc of a joint tightened by torque and angle.

    Raises
    ------
    ValueError
        If the joint has no stage by angle.
    """
    if joint.tightness is None or not wants_angle_disc(joint):
        raise ValueError(f"joint '{joint.id}' has no stage by angle")
    tightness = joint.tightness.tightness
    way = -1.0 if is_left_hand(joint) else 1.0
    title = f"Angle disc: {joint.name}"
    inner = head_radius(joint)
    largest = inner + HOLE_STEP * (HOLES - 1)
    shapes = [
        *_ring(way),
        *_start(largest),
        *_ends(stage_ends(tightness), way, largest),
        *_holes(inner),
    ]
    wide, high = A4
    head = sheet_head(
        wide,
        title,
        "true size",
        [f"{machine_name}. {tightness}. {'New bolts.' if joint.single_use else ''}"],
    )
    body = [
        *head,
        paragraph((EDGE, EDGE + 15.0), wide - 2.0 * EDGE, READ, 13.0, bold=True),
        *(
            paragraph((EDGE, EDGE + 29.0 + 5.5 * i), wide - 2.0 * EDGE, words, 10.0)
            for i, words in enumerate(_use(joint, tightness))
        ),
        *shapes,
        paragraph(
            (EDGE, high - EDGE - 26.0),
            wide - 2.0 * EDGE,
            _foot(joint),
            9.0,
        ),
        *check_rule((EDGE, high - EDGE - 4.0), wide - 2.0 * EDGE),
    ]
    return {"title": title, "sheets": [{"wide": wide, "high": high, "shapes": body}]}


def head_radius(joint: Joint) -> float:
    """Radius [mm] over the corners of the largest head, or a small one when none is given.

    A hexagon is across its corners 2 / √3 times as wide as across its flats.
    """
    widths = [
        float(found[1])
        for f in joint.fasteners
        if f.head and (found := re.search(r"(\d+(?:\.\d+)?) *mm", f.head))
    ]
    return max(widths) / math.sqrt(3.0) + 1.0 if widths else NO_HEAD_RADIUS


def _at(degrees: float, radius: float) -> tuple[float, float]:
    """Give the point on the disc, 0° at the top, growing with the clock."""
    angle = math.radians(degrees)
    return CENTRE[0] + radius * math.sin(angle), CENTRE[1] - radius * math.cos(angle)


def _ring(way: float) -> list[Shape]:
    shapes = [circle(CENTRE, RADIUS, 0.3)]
    for degree in range(360):
        step = 10 if degree % 10 == 0 else 5 if degree % 5 == 0 else 1
        long, thick = _RING[step]
        turned = way * degree
        shapes.append(line(_at(turned, RADIUS - long), _at(turned, RADIUS), thick))
        if step == 10 and degree:
            shapes.append(label(_at(turned, RADIUS - 12.5), str(degree), 7.0))
    return shapes


def _start(largest: float) -> list[Shape]:
    return [
        line(_at(0.0, largest + 2.0), _at(0.0, RADIUS), START_WIDTH),
        circle(_at(0.0, RADIUS - 20.0), 7.0, 0.0, fill="paper"),
        label(_at(0.0, RADIUS - 20.0), "START", 10.0, bold=True),
    ]


def _ends(ends: tuple[float, ...], way: float, largest: float) -> list[Shape]:
    shapes: list[Shape] = []
    for number, end in enumerate(ends, 1):
        shapes.append(
            line(_at(way * end, largest + 2.0), _at(way * end, RADIUS), END_WIDTH, colour="warn")
        )
        # Ends that fall on the same line stand one inside the other.
        same = sum((other - end) % 360.0 == 0.0 for other in ends[: number - 1])
        at = _at(way * end, RADIUS - 25.0 - 14.0 * (same + (end % 360.0 == 0.0)))
        turns, rest = divmod(end, 360.0)
        words = f"{rest:g}°" if not turns else f"{turns:.0f} turn + {rest:g}°"
        shapes += [
            circle(at, 6.5, 0.5, fill="paper", colour="warn"),
            label((at[0], at[1] - 1.5), f"end {number}", 7.5, bold=True, colour="warn"),
            label((at[0], at[1] + 2.0), words, 7.5 if not turns else 5.0, colour="warn"),
        ]
    return shapes


def _holes(inner: float) -> list[Shape]:
    """Draw rings to cut along: the outside of a socket is not in any file."""
    shapes = [*cross(CENTRE, 3.0)]
    for step in range(HOLES):
        radius = inner + HOLE_STEP * step
        shapes.append(circle(CENTRE, radius, 0.15, dashed=True, colour="grey"))
        shapes.append(label((CENTRE[0], CENTRE[1] + radius - 1.0), _tenths(2.0 * radius), 4.5))
    return shapes


def _use(joint: Joint, tightness: Tightness) -> tuple[str, ...]:
    torque = next(str(s) for s in tightness.stages if s.dimension is Dimension.TORQUE)
    count = sum(f.count for f in joint.fasteners)
    each = " Each stage on every bolt in order before the next stage." if count > 1 else ""
    angles = [s for s in tightness.stages if s.dimension is Dimension.ANGLE]
    ends = stage_ends(tightness)
    turns = "; ".join(
        f"stage {i}: a further {angle}, to the mark ‘end {i}’"
        + (f" ({end:g}° from START)" if i > 1 else "")
        for i, (angle, end) in enumerate(zip(angles, ends, strict=True), 1)
    )
    clock = "against the clock (left-hand thread)" if is_left_hand(joint) else "with the clock"
    return (
        f"1. {torque} with the torque wrench.{each}",
        "2. Cut the ring that just clears the socket; tape the disc to the clamped part.",
        "3. Paint a line on the socket, take up its play, lay START under the line.",
        f"4. Turn {clock} without a stop; {turns}.",
    )


def _foot(joint: Joint) -> str:
    source = joint.tightness.source if joint.tightness else None
    smallest = head_radius(joint) * 2.0
    sizes = (
        f"Rings to cut: {_tenths(smallest)} mm across, then each "
        f"{_tenths(2.0 * HOLE_STEP)} mm more. Measure your socket. "
    )
    return f"{sizes}Figure: {source or 'nobody said where it comes from'}."


def _tenths(value: float) -> str:
    """Print millimetres to a tenth."""
    return f"{value:.1f}".removesuffix(".0")
