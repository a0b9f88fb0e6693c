"""Does a belt cross itself, or run through a pulley? Plain segments and discs."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from witnessmark.engineering.belts.path import Span
    from witnessmark.engineering.belts.pulleys import Pulley

Point = tuple[float, float]

RUB = 1e-9  # metres: a span nearer than this to another pulley rubs on it


def segments_cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Say whether segment ab meets segment cd (touching counts)."""
    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False
    return _side(a, b, c) * _side(a, b, d) <= 0.0 and _side(c, d, a) * _side(c, d, b) <= 0.0


def distance_to_segment(point: Point, a: Point, b: Point) -> float:
    """Distance from a point to segment ab. [m]."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    along = 0.0
    if square > 0.0:
        along = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square
        along = min(1.0, max(0.0, along))
    ex, ey = a[0] + along * dx - point[0], a[1] + along * dy - point[1]
    return float((ex * ex + ey * ey) ** 0.5)


def first_crossing(spans: Sequence[Span]) -> tuple[int, int] | None:
    """Find two spans that meet, by index."""
    for i, first in enumerate(spans):
        for j in range(i + 1, len(spans)):
            second = spans[j]
            if segments_cross(first.leaves, first.arrives, second.leaves, second.arrives):
                return i, j
    return None


def first_run_through(spans: Sequence[Span], layout: Sequence[Pulley]) -> tuple[int, int] | None:
    """Find a span that meets a pulley other than its own two: indices of span and pulley."""
    for i, span in enumerate(spans):
        own = (i, (i + 1) % len(layout))
        for k, pulley in enumerate(layout):
            if k in own:
                continue
            if distance_to_segment((pulley.x, pulley.y), span.leaves, span.arrives) <= (
                pulley.radius + RUB
            ):
                return i, k
    return None


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
