"""Another way to the same belts, for comparison: school tangents and shapely.

Shares no code with the product. Circles are (x, y, r, sense), sense +1 anticlockwise.
"""

from __future__ import annotations

import math

from shapely.geometry import LinearRing, LineString, Point

Circle = tuple[float, float, float, int]


def school_path(circles: list[Circle]) -> tuple[float, list[float], list[float]]:
    """Length, spans and wraps from outer and inner tangents with arcsines."""
    headings, spans = [], []
    for (x1, y1, r1, s1), (x2, y2, r2, s2) in zip(circles, circles[1:] + circles[:1], strict=True):
        apart = math.dist((x1, y1), (x2, y2))
        line = math.atan2(y2 - y1, x2 - x1)
        if s1 == s2:  # outer tangent
            lean = math.asin((r2 - r1) / apart) * s1
            spans.append(math.sqrt(apart**2 - (r2 - r1) ** 2))
        else:  # inner tangent
            lean = math.asin((r1 + r2) / apart) * s2
            spans.append(math.sqrt(apart**2 - (r1 + r2) ** 2))
        headings.append(line - lean)
    wraps = [
        (s * (headings[i] - headings[i - 1])) % math.tau for i, (_, _, _, s) in enumerate(circles)
    ]
    length = sum(spans) + sum(w * c[2] for w, c in zip(wraps, circles, strict=True))
    return length, spans, wraps


def ring_points(circles: list[Circle], per_arc: int = 48) -> list[tuple[float, float]]:
    """The belt as a polygon, arcs cut into chords."""
    _, _, wraps = school_path(circles)
    points = []
    for i, (x, y, r, s) in enumerate(circles):
        x0, y0, r0, s0 = circles[i - 1]
        apart = math.dist((x0, y0), (x, y))
        across = (r - r0) * s if s0 == s else (r0 + r) * s
        heading = math.atan2(y - y0, x - x0) - math.asin(across / apart)
        start = heading - s * math.pi / 2
        for k in range(per_arc + 1):
            angle = start + s * wraps[i] * k / per_arc
            points.append((x + r * math.cos(angle), y + r * math.sin(angle)))
    return points


def is_possible(circles: list[Circle], loop: int) -> bool:
    """Whether a belt can lie so: discs apart, belt simple, no disc run through, right way."""
    for i, (x1, y1, r1, _) in enumerate(circles):
        for x2, y2, r2, _ in circles[:i]:
            if math.dist((x1, y1), (x2, y2)) <= r1 + r2:
                return False
    _, _, wraps = school_path(circles)
    if any(w < 1e-6 or w > math.tau - 1e-6 for w in wraps):
        return False
    points = ring_points(circles)
    ring = LinearRing(points)
    if not ring.is_simple or ring.is_ccw != (loop > 0):
        return False
    per_arc = len(points) // len(circles)
    for i in range(len(circles)):
        leave = points[(i + 1) * per_arc - 1]
        arrive = points[((i + 1) * per_arc) % len(points)]
        span = LineString([leave, arrive])
        for k, (x, y, r, _) in enumerate(circles):
            if k not in {i, (i + 1) % len(circles)} and span.distance(Point(x, y)) < r:
                return False
    return True
