"""Cutting a drawing into sheets that overlap, with marks to lay one over the other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.papers.shapes import (
    A4,
    EDGE,
    Shape,
    check_rule,
    circle,
    cross,
    extent,
    label,
    line,
    moved,
    paragraph,
    window,
    words_size,
)

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""

OVERLAP = 20.0
"""Sheets share this much: a hole with its number stands whole on one of them."""
MARK = 5.0
"""Arm of a registration mark."""
_FIRST = (0.25, 0.15, 0.35, 0.2, 0.3, 0.1, 0.4)
_SECOND = (0.75, 0.85, 0.65, 0.8, 0.7, 0.9, 0.6)
HEAD = 24.0
FOOT = 22.0
LONGEST_TITLE = 56


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a drawing of some size is laid on sheets of A4; millimetres."""

    sheet: tuple[float, float]
    columns: int
    rows: int

    @property
    def seen(self) -> tuple[float, float]:
        """Width and height of the drawing that one sheet can show."""
        return self.sheet[0] - 2.0 * EDGE, self.sheet[1] - 2.0 * EDGE - HEAD - FOOT

    @property
    def count(self) -> int:
        """Sheets in all."""
        return self.columns * self.rows

    def corner(self, column: int, row: int) -> tuple[float, float]:
        """Give the drawing's point at the top left of a sheet."""
        return column * (self.seen[0] - OVERLAP), row * (self.seen[1] - OVERLAP)

    def name(self, column: int, row: int) -> str:
        """Name a sheet: rows by letter from the top, columns by number from the left."""
        letters, rest = "", row
        while rest >= 0:
            letters = chr(ord("A") + rest % 26) + letters
            rest = rest // 26 - 1
        return f"{letters}{column + 1}"


def tiling(size: tuple[float, float]) -> Tiling:
    """Choose upright or lying sheets, whichever needs fewer; upright when the same."""
    choices = []
    for sheet in (A4, A4[::-1]):
        seen = Tiling(sheet, 1, 1).seen
        columns, rows = (
            1 + max(0, math.ceil(round((whole - part) / (part - OVERLAP), 9)))
            for whole, part in zip(size, seen, strict=True)
        )
        choices.append(Tiling(sheet, columns, rows))
    return min(choices, key=lambda choice: choice.count)


def registration_marks(
    tiles: Tiling, column: int, row: int, taken: Sequence[Box] = ()
) -> list[Point]:
    """Give the points marked on a sheet, from the first sheet's corner.

    Each is marked on a neighbour too, at the same point of the drawing. Two stand on every
    overlap, in places where nothing else stands if there are such places.
    """
    left, top = tiles.corner(column, row)
    wide, high = tiles.seen
    marks: list[Point] = []
    for step in (-1, 1):
        if 0 <= column + step < tiles.columns:
            x = left + OVERLAP / 2.0 if step < 0 else left + wide - OVERLAP / 2.0
            marks += [
                _free([(x, top + high * share) for share in shares], taken)
                for shares in (_FIRST, _SECOND)
            ]
        if 0 <= row + step < tiles.rows:
            y = top + OVERLAP / 2.0 if step < 0 else top + high - OVERLAP / 2.0
            marks += [
                _free([(left + wide * share, y) for share in shares], taken)
                for shares in (_FIRST, _SECOND)
            ]
    return marks


def _free(points: Sequence[Point], taken: Sequence[Box]) -> Point:
    """Take the first point whose mark meets nothing, or else the first."""
    for x, y in points:
        if not any(
            x0 < x + MARK and x1 > x - MARK and y0 < y + MARK and y1 > y - MARK
            for x0, y0, x1, y1 in taken
        ):
            return x, y
    return points[0]


def tiled_sheets(
    shapes: Sequence[Shape],
    size: tuple[float, float],
    *,
    title: str,
    lines: Sequence[str],
) -> list[dict[str, object]]:
    """Lay a drawing on as many sheets as it takes, each with head, rule and marks.

    Parameters
    ----------
    shapes : sequence of Shape
        The drawing, from (0, 0) to `size`.
    size : tuple of float
        Its width and height [mm].
    title, lines : str, sequence of str
        What stands over every sheet.
    """
    tiles = tiling(size)
    sheets: list[dict[str, object]] = []
    for row in range(tiles.rows):
        for column in range(tiles.columns):
            body = _seen_shapes(shapes, size, tiles, column, row)
            place = f"sheet {tiles.name(column, row)}, {len(sheets) + 1} of {tiles.count}"
            wide, high = tiles.sheet
            frame = [
                *sheet_head(wide, title, place, lines),
                *check_rule((EDGE, high - EDGE - 6.0), wide - 2.0 * EDGE),
                window((EDGE, EDGE + HEAD), tiles.seen, body),
            ]
            if tiles.count > 1:
                frame.append(
                    paragraph(
                        (EDGE, high - EDGE - 19.0),
                        wide - 2.0 * EDGE,
                        "Lay the sheets so that the crosses lie on each other, then tape. "
                        "Rows A, B … from the top; 1, 2 … from the left.",
                        7.0,
                    )
                )
            sheets.append({"wide": wide, "high": high, "shapes": frame})
    return sheets


def sheet_head(wide: float, title: str, place: str, lines: Sequence[str]) -> list[Shape]:
    """Give title, which sheet it is, and the lines below them."""
    name = title if len(title) <= LONGEST_TITLE else f"{title[: LONGEST_TITLE - 1]}…"
    shapes = [
        paragraph((EDGE, EDGE - 2.0), wide - 2.0 * EDGE - 30.0, name, 13.0, bold=True),
        label((wide - EDGE, EDGE + 1.0), place, 9.0, across=1.0),
        line((EDGE, EDGE + 6.5), (wide - EDGE, EDGE + 6.5), 0.2, colour="grey"),
    ]
    y = EDGE + 8.0
    for words in lines:
        shapes.append(paragraph((EDGE, y), wide - 2.0 * EDGE, words, 8.5))
        y += 4.3 * math.ceil(words_size(words, 8.5)[0] / (wide - 2.0 * EDGE))
    return shapes


def _seen_shapes(
    shapes: Sequence[Shape], size: tuple[float, float], tiles: Tiling, column: int, row: int
) -> list[Shape]:
    """Keep what a sheet shows, moved to its window; the drawing sits in the middle of them all."""
    corner = tiles.corner(column, row)
    wide, high = tiles.seen
    last = tiles.corner(tiles.columns - 1, tiles.rows - 1)
    over, down = (last[0] + wide - size[0]) / 2.0, (last[1] + high - size[1]) / 2.0
    left, top = corner[0] - over, corner[1] - down
    kept = []
    taken: list[Box] = []
    for shape in shapes:
        x0, y0, x1, y1 = extent(shape)
        if shape["kind"] != "polygon":
            taken.append((x0 + over, y0 + down, x1 + over, y1 + down))
        if x1 > left and x0 < left + wide and y1 > top and y0 < top + high:
            kept.append(moved(shape, -left, -top))
    for x, y in registration_marks(tiles, column, row, taken):
        at = (x - corner[0], y - corner[1])
        kept += [*cross(at, MARK), circle(at, MARK / 2.0, 0.2)]
    return kept
