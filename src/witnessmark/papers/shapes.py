"""Shapes of a drawing at true size, in millimetres from the top left, y down."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Shape = dict[str, Any]
"""Plain data for the template `true-size`."""

A4 = (210.0, 297.0)
EDGE = 10.0
"""Printers leave this much of a sheet blank."""


def line(
    start: tuple[float, float],
    end: tuple[float, float],
    width: float = 0.25,
    *,
    colour: str = "ink",
    dashed: bool = False,
) -> Shape:
    """Give a straight line; `width` is its thickness."""
    return {
        "kind": "line",
        "x1": start[0],
        "y1": start[1],
        "x2": end[0],
        "y2": end[1],
        "width": width,
        "colour": colour,
        "dashed": dashed,
    }


def circle(
    centre: tuple[float, float],
    radius: float,
    width: float = 0.3,
    *,
    fill: str = "",
    colour: str = "ink",
    dashed: bool = False,
) -> Shape:
    """Give a circle; `width` 0 leaves out its line."""
    return {
        "kind": "circle",
        "x": centre[0],
        "y": centre[1],
        "radius": radius,
        "width": width,
        "colour": colour,
        "fill": fill,
        "dashed": dashed,
    }


def polygon(
    points: Sequence[tuple[float, float]],
    width: float = 0.3,
    *,
    fill: str = "",
    colour: str = "ink",
    dashed: bool = False,
) -> Shape:
    """Give a closed line through points."""
    return {
        "kind": "polygon",
        "points": [list(point) for point in points],
        "width": width,
        "colour": colour,
        "fill": fill,
        "dashed": dashed,
    }


def label(
    at: tuple[float, float],
    text: str,
    size: float = 8.0,
    *,
    bold: bool = False,
    across: float = 0.5,
    colour: str = "ink",
) -> Shape:
    """Give words in one line, size in points; `across` 0 begins at the point, 1 ends there."""
    return {
        "kind": "label",
        "x": at[0],
        "y": at[1],
        "text": text,
        "size": size,
        "bold": bold,
        "across": across,
        "colour": colour,
    }


def paragraph(
    at: tuple[float, float],
    wide: float,
    text: str,
    size: float = 9.0,
    *,
    bold: bool = False,
    colour: str = "ink",
) -> Shape:
    """Give words broken into lines of a width; the point is the top left."""
    return {
        "kind": "paragraph",
        "x": at[0],
        "y": at[1],
        "wide": wide,
        "text": text,
        "size": size,
        "bold": bold,
        "colour": colour,
    }


def window(at: tuple[float, float], size: tuple[float, float], shapes: Sequence[Shape]) -> Shape:
    """Give shapes seen through a window: their coordinates begin at its top left."""
    return {
        "kind": "window",
        "x": at[0],
        "y": at[1],
        "wide": size[0],
        "high": size[1],
        "shapes": list(shapes),
    }


def cross(at: tuple[float, float], arm: float, width: float = 0.2) -> list[Shape]:
    """Give two lines that cross at a point."""
    x, y = at
    return [line((x - arm, y), (x + arm, y), width), line((x, y - arm), (x, y + arm), width)]


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """Give the same shape elsewhere."""
    if shape["kind"] == "polygon":
        return {**shape, "points": [[x + dx, y + dy] for x, y in shape["points"]]}
    if shape["kind"] == "line":
        return {
            **shape,
            "x1": shape["x1"] + dx,
            "y1": shape["y1"] + dy,
            "x2": shape["x2"] + dx,
            "y2": shape["y2"] + dy,
        }
    return {**shape, "x": shape["x"] + dx, "y": shape["y"] + dy}


def extent(shape: Shape) -> tuple[float, float, float, float]:
    """Give left, top, right and bottom; of words only about."""
    if shape["kind"] == "polygon":
        xs = [x for x, _ in shape["points"]]
        ys = [y for _, y in shape["points"]]
        return min(xs), min(ys), max(xs), max(ys)
    if shape["kind"] == "line":
        xs, ys = [shape["x1"], shape["x2"]], [shape["y1"], shape["y2"]]
        return min(xs), min(ys), max(xs), max(ys)
    if shape["kind"] == "circle":
        x, y, radius = shape["x"], shape["y"], shape["radius"]
        return x - radius, y - radius, x + radius, y + radius
    wide, high = words_size(shape["text"], shape["size"])
    left = shape["x"] - wide * shape.get("across", 0.0)
    return left, shape["y"] - high / 2.0, left + wide, shape["y"] + high / 2.0


def words_size(text: str, size: float) -> tuple[float, float]:
    """Give about how wide and high words of a size in points come out, in millimetres."""
    return 0.2 * size * len(text), 0.353 * size


CHECK_RULE = 100.0


def check_rule(at: tuple[float, float], room: float) -> list[Shape]:
    """Give the 100 mm rule that proves the printer, and what to do when it is not 100 mm."""
    x, y = at
    shapes = [line((x, y), (x + CHECK_RULE, y), 0.3)]
    for step in range(11):
        high = 4.0 if step in {0, 5, 10} else 2.0
        shapes.append(line((x + 10.0 * step, y - high), (x + 10.0 * step, y), 0.2))
    shapes.append(
        paragraph(
            (x + CHECK_RULE + 4.0, y - 5.0),
            room - CHECK_RULE - 4.0,
            "This line is 100 mm. Measure it; if it is not, print again at actual size, "
            "without fitting to the page.",
            7.0,
        )
    )
    return shapes
