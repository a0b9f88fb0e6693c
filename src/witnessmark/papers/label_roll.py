"""Bag labels numbered beforehand: stuck on when a bag is filled, named at the bench.

On a roll every label is a page of its own, 62 mm wide: a width that label printers take is
common practice, no source. On A4 they are cut from plain or sticky paper. The number is all
a label says for certain; hand and bench say what went into the bag.
"""

from __future__ import annotations

from typing import Any

from witnessmark.papers.bag_labels import qr_squares
from witnessmark.papers.shapes import A4, EDGE, Shape, label, line, moved, polygon

ROLL = (62.0, 40.0)
"""Width of the roll and length of a label [mm]."""
SHEET = (62.0, 33.0)
"""One label on A4 [mm]."""
COLUMNS, ROWS = 3, 8
GAP = (2.0, 1.0)
KINDS = ("roll", "sheet")
MOST = 120
"""Labels at once; ours."""
LAST_NUMBER = 99_999
BLANKS = ("job", "what, from where", "how many, lengths")


class LabelError(ValueError):
    """Labels that cannot be printed; the text says why and what to do."""


def payload(number: int) -> str:
    """Give the words in the code of a label."""
    return f"bag {number}"


def label_roll(first: int, count: int, kind: str) -> dict[str, Any]:
    """Lay out labels numbered from `first`, on a roll or on sheets of A4.

    Raises
    ------
    LabelError
        If there are too many or none, a number cannot be printed, or the kind is unknown.
    """
    if kind not in KINDS:
        raise LabelError(f"labels come on a {' or a '.join(KINDS)}, not on a '{kind}'")
    if not 1 <= count <= MOST:
        raise LabelError(f"{count} labels: print between 1 and {MOST} at once")
    if first < 1 or first + count - 1 > LAST_NUMBER:
        raise LabelError(f"labels are numbered from 1 to {LAST_NUMBER}")
    numbers = range(first, first + count)
    sheets = _roll(numbers) if kind == "roll" else _sheets(numbers)
    return {"title": f"Bag labels {numbers[0]} to {numbers[-1]}", "sheets": sheets}


def _roll(numbers: range) -> list[dict[str, Any]]:
    return [
        {"wide": ROLL[0], "high": ROLL[1], "shapes": _label(number, ROLL)} for number in numbers
    ]


def _sheets(numbers: range) -> list[dict[str, Any]]:
    per_sheet = COLUMNS * ROWS
    sheets = []
    for start in range(0, len(numbers), per_sheet):
        shapes: list[Shape] = []
        for place, number in enumerate(numbers[start : start + per_sheet]):
            x, y = corner(place)
            wide, high = SHEET
            frame = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
            own = [polygon(frame, 0.2, colour="grey"), *_label(number, SHEET)]
            shapes += [moved(shape, x, y) for shape in own]
        sheets.append({"wide": A4[0], "high": A4[1], "shapes": shapes})
    return sheets


def corner(place: int) -> tuple[float, float]:
    """Give the top left corner of a place on a sheet, counted along the rows [mm]."""
    row, column = divmod(place, COLUMNS)
    top = (A4[1] - ROWS * SHEET[1] - (ROWS - 1) * GAP[1]) / 2.0
    return EDGE + column * (SHEET[0] + GAP[0]), top + row * (SHEET[1] + GAP[1])


def _label(number: int, size: tuple[float, float]) -> list[Shape]:
    """Draw one label: number and code above, lines to write on below."""
    wide, high = size
    code, side = qr_squares(payload(number), (0.0, 0.0))
    code = [moved(shape, wide - side, 0.0) for shape in code]
    middle = (wide - side) / 2.0 + 1.0
    shapes = [
        label((middle, 4.0), "bag", 9.0),
        label((middle, 10.5), str(number), 30.0 if number < 1_000 else 22.0, bold=True),
        *code,
    ]
    pitch = (high - side - 1.5) / len(BLANKS)
    for place, words in enumerate(BLANKS, 1):
        y = side + place * pitch
        shapes.append(line((3.0, y), (wide - 3.0, y), 0.2))
        shapes.append(label((3.0, y - 0.55 * pitch), words, 5.5, across=0.0, colour="grey"))
    return shapes
