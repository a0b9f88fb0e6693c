"""The bolt board: a group of bolts at true size, to pierce and push each bolt through.

Pure: a joint in, plain data for the template `true-size` out. The first sheets are the
board; the last one is the tightening order as a numbered picture, not to size.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from witnessmark.machine.model import Joint
from witnessmark.papers.fasteners import (
    Hole,
    Order,
    SwapsText,
    alike,
    order_of,
    placed_holes,
    rounds,
    slackening_words,
    swaps_text,
    unplaced,
)
from witnessmark.papers.shapes import (
    A4,
    EDGE,
    Shape,
    circle,
    cross,
    extent,
    label,
    line,
    moved,
    paragraph,
    polygon,
    words_size,
)
from witnessmark.papers.tiles import sheet_head, tiled_sheets

MARGIN = 12.0
"""Our own: the outline runs this far [mm] round the holes."""
BADGE = 3.2
SQUARE_GAP = 1.2
PIERCE = (
    "Pierce each circle, push its bolt through. Black disc: place in the order; beside it: hole."
)
MARK_FIRST = "Square and MARK: paint these holes and their bolts first; swaps there are dangerous."
NO_THREAD_RADIUS = 2.0

Point = tuple[float, float]


def bolt_board(joint: Joint, machine_name: str) -> dict[str, Any]:
    """Lay out the bolt board of a joint that has holes with their places.

    Raises
    ------
    ValueError
        If no fastener of the joint has a place.
    """
    holes = placed_holes(joint)
    if not holes:
        raise ValueError(f"joint '{joint.id}' has no hole with its place")
    order = order_of(joint)
    title = f"Bolt board: {joint.name}"
    seen = joint.viewpoint or joint.where
    lines = [
        f"{machine_name}. Viewpoint: {seen or 'not given in the machine file'}.",
        PIERCE,
        f"Dashed line: {MARGIN:.0f} mm round the holes, not the edge of the part.",
    ]
    swaps = swaps_text(joint)
    if swaps.mark_first:
        lines.append(MARK_FIRST)
    shapes, size = board(holes, order, swaps.mark_first)
    sheets = tiled_sheets(shapes, size, title=title, lines=lines)
    sheets += _order_sheets(joint, holes, order, swaps, machine_name)
    return {"title": title, "sheets": sheets}


def board(
    holes: Sequence[Hole], order: Order, marked: Sequence[str] = ()
) -> tuple[list[Shape], tuple[float, float]]:
    """Draw the board at true size; give it with its width and height in millimetres.

    `marked` names the holes that are worth marking first.
    """
    points = [(hole.x, -hole.y) for hole in holes]
    outline = outline_round(points, MARGIN)
    shapes: list[Shape] = [polygon(outline, 0.3, colour="grey", dashed=True)]
    taken = [extent(_hole_circle(hole)) for hole in holes]
    middle = (sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points))
    for hole in holes:
        shapes.append(_hole_circle(hole))
        shapes += cross((hole.x, -hole.y), 1.5, 0.15)
        if hole.name in marked:
            shapes.append(_square_round(hole))
    for hole in holes:
        shapes += _hole_words(hole, order, middle, taken, marked=hole.name in marked)
    left = min(extent(shape)[0] for shape in shapes) - 1.0
    top = min(extent(shape)[1] for shape in shapes) - 1.0
    right = max(extent(shape)[2] for shape in shapes) + 1.0
    bottom = max(extent(shape)[3] for shape in shapes) + 1.0
    return [moved(shape, -left, -top) for shape in shapes], (right - left, bottom - top)


def _hole_circle(hole: Hole) -> Shape:
    radius = NO_THREAD_RADIUS if hole.diameter is None else hole.diameter / 2.0
    return circle((hole.x, -hole.y), radius, 0.3)


def _square_round(hole: Hole) -> Shape:
    half = extent(_hole_circle(hole))[2] - hole.x + SQUARE_GAP
    x, y = hole.x, -hole.y
    corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half)]
    return polygon([*corners, (x - half, y + half)], 0.6)


def _hole_words(
    hole: Hole,
    order: Order,
    middle: Point,
    taken: list[tuple[float, float, float, float]],
    *,
    marked: bool,
) -> list[Shape]:
    """Put number, bolt and order beside a hole, where nothing else stands if that can be."""
    radius = extent(_hole_circle(hole))[2] - hole.x
    places = [at + 1 for at, name in enumerate(order.names) if name == hole.name]
    badge = 2.0 * BADGE + 1.0 if places else 0.0
    name_wide = words_size(hole.name, 12.0)[0]
    wide = max(badge + name_wide, words_size(hole.bolt, 7.5)[0])
    gap = radius + 1.5 + (SQUARE_GAP if marked else 0.0)
    inward = -1.0 if hole.x > middle[0] else 1.0
    low = 8.5 if marked else 5.5  # how far the words reach below their middle
    centres = [
        (hole.x + inward * (gap + wide / 2.0), -hole.y),
        (hole.x - inward * (gap + wide / 2.0), -hole.y),
        (hole.x, -hole.y + gap + 6.0),
        (hole.x, -hole.y - gap - low - 0.5),
    ]
    centres.sort(key=lambda at: math.dist(at, middle))  # inside the outline first
    boxes = [(x - wide / 2.0, y - 5.5, x + wide / 2.0, y + low) for x, y in centres]
    own = (hole.x - radius, -hole.y - radius, hole.x + radius, -hole.y + radius)
    free = [i for i, box in enumerate(boxes) if not any(_meet(box, t) for t in taken if t != own)]
    choice = free[0] if free else 0
    taken.append(boxes[choice])
    x, y = centres[choice]
    left = x - wide / 2.0
    shapes = [
        label((left + badge, y - 2.0), hole.name, 12.0, bold=True, across=0.0),
        label((left, y + 3.4), hole.bolt, 7.5, across=0.0),
    ]
    if marked:
        shapes.append(label((left, y + 6.8), "MARK", 7.5, bold=True, across=0.0))
    if places:
        shapes += _badge((left + BADGE, y - 2.0), places)
    return shapes


def _badge(at: Point, places: Sequence[int]) -> list[Shape]:
    words = "/".join(str(place) for place in places)
    size = 8.5 if len(words) < 3 else 6.0
    return [
        circle(at, BADGE, 0.0, fill="ink"),
        label(at, words, size, bold=True, colour="paper"),
    ]


def _meet(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def hull(points: Sequence[Point]) -> list[Point]:
    """Give the corners of the smallest convex outline, in one turn round it.

    References
    ----------
    .. [1] Andrew, "Another efficient algorithm for convex hulls in two dimensions", 1979.
    """
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered
    halves: list[list[Point]] = []
    for run in (ordered, ordered[::-1]):
        half: list[Point] = []
        for point in run:
            while len(half) > 1 and _turn(half[-2], half[-1], point) <= 0.0:
                half.pop()
            half.append(point)
        halves.append(half[:-1])
    return halves[0] + halves[1]


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def outline_round(points: Sequence[Point], margin: float) -> list[Point]:
    """Give the outline at a distance round the hull of points, its corners rounded."""
    corners = hull(points)
    count = len(corners)
    outline = []
    for i, (x, y) in enumerate(corners):
        before, after = corners[i - 1], corners[(i + 1) % count]
        if count == 1:
            start, sweep = 0.0, 360.0
        else:
            start = math.degrees(math.atan2(y - before[1], x - before[0])) - 90.0
            end = math.degrees(math.atan2(after[1] - y, after[0] - x)) - 90.0
            sweep = (end - start) % 360.0
        steps = max(1, math.ceil(sweep / 5.0))
        for step in range(steps + 1):
            angle = math.radians(start + sweep * step / steps)
            outline.append((x + margin * math.cos(angle), y + margin * math.sin(angle)))
    return outline


def _order_sheets(
    joint: Joint, holes: Sequence[Hole], order: Order, swaps: SwapsText, machine_name: str
) -> list[dict[str, Any]]:
    """Draw the order as a numbered picture, not to size, with rounds and lengths below.

    What does not fit below the picture goes on a sheet of its own.
    """
    body, bottom = _order_picture(holes, order)
    title = f"Tightening order: {joint.name}"
    intro = f"{machine_name}. The large figure is the place in the order, the small one the hole."
    head = sheet_head(A4[0], title, "not to size", [intro])
    pages = [[*head, *body]]
    y = bottom + 6.0
    for text, bold in _order_words(joint, order, swaps):
        size, pitch = (11.0, 5.6) if bold else (9.0, 4.6)
        room = A4[0] - 2.0 * EDGE
        high = pitch * max(1, math.ceil(words_size(text, size)[0] / room))
        if y + high > A4[1] - EDGE:
            pages.append(sheet_head(A4[0], title, "continued", [machine_name]))
            y = EDGE + 22.0
        pages[-1].append(paragraph((EDGE, y), room, text, size, bold=bold))
        y += high
    return [{"wide": A4[0], "high": A4[1], "shapes": page} for page in pages]


def _order_words(joint: Joint, order: Order, swaps: SwapsText) -> list[tuple[str, bool]]:
    """Give what stands below the picture; True for what is read first."""
    words: list[tuple[str, bool]] = [(f"Order: {order.why}; {slackening_words(joint)}.", False)]
    if joint.tightness is not None:
        found = rounds(joint, order)
        if len(found) > 1:
            words.append(("Every bolt in order, then the next round:", True))
        words += [(f"round {i}: {text}", True) for i, text in enumerate(found, 1)]
        source = joint.tightness.source or "nobody said where it comes from"
        surface = f"; {joint.surface}" if joint.surface else ""
        words.append((f"figure: {source}{surface}", False))
    else:
        words.append(("Tightness: no figure in the machine file.", True))
    if joint.single_use:
        words.append(("New bolts; the old ones are not used again.", True))
    words += [(text, False) for text in alike(joint)]
    if swaps.mark_first:
        words.append((f"Mark first: {', '.join(swaps.mark_first)}. Dangerous swaps:", True))
    words += [(text, False) for text in swaps.lines]
    missing = unplaced(joint)
    if missing:
        words.append(("Without a place in the file: " + "; ".join(missing), False))
    return words


def _order_picture(holes: Sequence[Hole], order: Order) -> tuple[list[Shape], float]:
    room = (A4[0] - 2.0 * EDGE - 24.0, 140.0)
    xs, ys = [hole.x for hole in holes], [-hole.y for hole in holes]
    spread = (max(xs) - min(xs), max(ys) - min(ys))
    scale = min(r / s if s > 0.0 else 1.0 for r, s in zip(room, spread, strict=True))
    scale = min(scale, 2.0)
    top = EDGE + 30.0
    origin = (A4[0] / 2.0 - scale * (max(xs) + min(xs)) / 2.0, top - scale * min(ys))
    at = {h.name: (origin[0] + scale * h.x, origin[1] - scale * h.y) for h in holes}
    body: list[Shape] = [
        polygon(outline_round(list(at.values()), 9.0), 0.3, colour="grey", dashed=True)
    ]
    named = [name for name in order.names if name in at]
    body += [line(at[one], at[other], 0.35, colour="grey") for one, other in pairwise(named)]
    for name, (x, y) in at.items():
        places = [str(i) for i, other in enumerate(order.names, 1) if other == name]
        body.append(circle((x, y), 6.5, 0.5, fill="paper"))
        body.append(label((x, y - 1.2), "/".join(places) or "–", 13.0, bold=True))
        body.append(label((x, y + 3.7), name, 8.0))
    return body, top + scale * spread[1] + 9.0
