"""A smooth curve through tabulated points that never swings past them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence


def through(points: Sequence[tuple[float, float]], x: float) -> float:
    """Read a table between its points by a monotone cubic (Fritsch and Carlson 1980).

    The curve passes through every point exactly, rises and falls only where the table does,
    and has the weighted harmonic mean of the neighbouring slopes at each point.

    Parameters
    ----------
    points : sequence of (float, float)
        At least two points with rising x. Any units.
    x : float
        Where to read, between the first and the last point; the same unit as the first.
    """
    xs = [p[0] for p in points]
    assert xs[0] <= x <= xs[-1], "the caller keeps to the table"
    i = min(bisect_right(xs, x) - 1, len(points) - 2)
    (x0, y0), (x1, y1) = points[i], points[i + 1]
    width = x1 - x0
    t = (x - x0) / width
    start, end = _slope(points, i) * width, _slope(points, i + 1) * width
    return (
        y0 * (1 + 2 * t) * (1 - t) ** 2
        + start * t * (1 - t) ** 2
        + y1 * t * t * (3 - 2 * t)
        - end * t * t * (1 - t)
    )


def straight(points: Sequence[tuple[float, float]], x: float) -> float:
    """Read a table between its points along straight lines.

    Parameters
    ----------
    points : sequence of (float, float)
        At least two points with rising x. Any units.
    x : float
        Where to read, between the first and the last point; the same unit as the first.
    """
    xs = [p[0] for p in points]
    assert xs[0] <= x <= xs[-1], "the caller keeps to the table"
    i = min(bisect_right(xs, x) - 1, len(points) - 2)
    (x0, y0), (x1, y1) = points[i], points[i + 1]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _slope(points: Sequence[tuple[float, float]], i: int) -> float:
    """Slope at a point: harmonic mean inside, three-point and kept in bounds at the ends."""
    if len(points) == 2:
        return _chord(points, 0)
    if i == 0:
        return _end_slope(
            _width(points, 0), _width(points, 1), _chord(points, 0), _chord(points, 1)
        )
    last = len(points) - 1
    if i == last:
        return _end_slope(
            _width(points, last - 1),
            _width(points, last - 2),
            _chord(points, last - 1),
            _chord(points, last - 2),
        )
    before, after = _chord(points, i - 1), _chord(points, i)
    if before * after <= 0:
        return 0.0
    first = 2 * _width(points, i) + _width(points, i - 1)
    second = _width(points, i) + 2 * _width(points, i - 1)
    return (first + second) / (first / before + second / after)


def _end_slope(near: float, far: float, chord: float, next_chord: float) -> float:
    slope = ((2 * near + far) * chord - near * next_chord) / (near + far)
    if slope * chord <= 0:
        return 0.0
    if chord * next_chord <= 0 and abs(slope) > abs(3 * chord):
        return 3 * chord
    return slope


def _width(points: Sequence[tuple[float, float]], i: int) -> float:
    return points[i + 1][0] - points[i][0]


def _chord(points: Sequence[tuple[float, float]], i: int) -> float:
    return (points[i + 1][1] - points[i][1]) / _width(points, i)
