"""Reads sheets back by their paths, in millimetres from the top left of the page."""

from __future__ import annotations

import io
from dataclasses import dataclass

import pdfplumber

MILLIMETRE = 25.4 / 72.0


@dataclass(frozen=True)
class Round:
    x: float
    y: float
    diameter: float
    filled: bool


@dataclass(frozen=True)
class Stroke:
    start: tuple[float, float]
    end: tuple[float, float]
    width: float

    @property
    def length(self) -> float:
        (x0, y0), (x1, y1) = self.start, self.end
        return ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5


@dataclass(frozen=True)
class Sheet:
    size: tuple[float, float]
    rounds: tuple[Round, ...]
    strokes: tuple[Stroke, ...]
    bars: tuple[tuple[float, float, float, float], ...]
    text: str
    words: tuple[tuple[str, float, float], ...]
    """Each word with its middle."""


def measured(pdf: bytes) -> tuple[Sheet, ...]:
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return tuple(_sheet(page) for page in opened.pages)


def _sheet(page) -> Sheet:
    return Sheet(
        size=(float(page.width) * MILLIMETRE, float(page.height) * MILLIMETRE),
        rounds=tuple(_rounds(page)),
        strokes=tuple(
            Stroke(
                *(tuple(MILLIMETRE * value for value in point) for point in line["pts"]),
                width=line["linewidth"] * MILLIMETRE,
            )
            for line in page.lines
        ),
        bars=tuple(
            tuple(MILLIMETRE * rect[side] for side in ("x0", "top", "x1", "bottom"))
            for rect in page.rects
            if rect["fill"] and not rect["stroke"]
        ),
        text=page.extract_text(),
        words=tuple(
            (
                word["text"],
                MILLIMETRE * (word["x0"] + word["x1"]) / 2,
                MILLIMETRE * (word["top"] + word["bottom"]) / 2,
            )
            for word in page.extract_words()
        ),
    )


def _rounds(page):
    for curve in page.curves:
        wide, high = curve["x1"] - curve["x0"], curve["bottom"] - curve["top"]
        if len(curve["pts"]) <= 13 and abs(wide - high) < 0.01:
            yield Round(
                MILLIMETRE * (curve["x0"] + curve["x1"]) / 2,
                MILLIMETRE * (curve["top"] + curve["bottom"]) / 2,
                MILLIMETRE * wide,
                bool(curve["fill"]),
            )
