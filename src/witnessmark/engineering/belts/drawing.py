"""The route of a belt drawn: pulleys, belt, arrows, faces, order and viewpoint, as SVG.

Word and shape carry everything; colour carries nothing. The drawing is in millimetres at
true size unless a width is asked for, x to the right and y up as in the layout.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.engineering import svg
from witnessmark.engineering.belts.pulleys import Direction, Face

if TYPE_CHECKING:
    from witnessmark.engineering.belts.path import BeltPath, Contact, Span

NO_VIEWPOINT = "viewpoint not stated"


def describe_route(path: BeltPath) -> str:
    """Say the route in words, pulley by pulley in belt order."""
    parts = [
        f"{order} {contact.pulley.name}: {_face_words(contact)}, turns {contact.direction}"
        for order, contact in enumerate(path.contacts, start=1)
    ]
    return "; ".join(parts)


def draw_route(
    path: BeltPath,
    *,
    title: str,
    viewpoint: str | None = None,
    pivot: tuple[float, float] | None = None,
    tensioner: int | None = None,
) -> str:
    """Draw a belt route.

    Parameters
    ----------
    path : BeltPath
        The path to draw.
    title : str
        What the drawing shows.
    viewpoint : str or None
        Where it is seen from, such as `pulley end`; said to be missing when None.
    pivot : tuple of float or None
        Pivot of the tensioner, joined to its pulley by a bar. [m]
    tensioner : int or None
        Which contact is the tensioner, counted from 0.

    Returns
    -------
    str
        An SVG document, in millimetres.
    """
    points = [
        (1000 * (c.pulley.x + i * c.pulley.radius), -1000 * (c.pulley.y + j * c.pulley.radius))
        for c in path.contacts
        for i, j in ((-1, 0), (1, 0), (0, -1), (0, 1))
    ]
    if pivot is not None:
        points.append(_down(pivot))
    left, right, top, bottom = _bounds(points)
    size = max(right - left, bottom - top) / 34
    middle = ((left + right) / 2, (top + bottom) / 2)
    labels = [
        _label(contact, size, middle, is_tensioner=tensioner == index)
        for index, contact in enumerate(path.contacts)
    ]
    for label in labels:
        points.extend(label.corners(size))
    left, right, top, bottom = _bounds(points)
    body = [f'<path d="{_belt_outline(path)}" fill="none" stroke="#000" {_width(size / 4)}/>']
    if pivot is not None and tensioner is not None:
        body.append(_arm(path.contacts[tensioner], pivot, size))
    for order, contact in enumerate(path.contacts, start=1):
        body.extend(_pulley(contact, order, size))
    body.extend(label.element(size) for label in labels)
    body.extend(_span_arrow(span, size) for span in path.spans)
    caption = [
        title,
        f"Seen from: {viewpoint or NO_VIEWPOINT}. Arrows show the running direction.",
        "Full circle: inside of the belt touches. Broken circle, B: back of the belt touches.",
    ]
    for line, words in enumerate(caption):
        body.append(
            svg.text_at(
                left,
                bottom + size * (4.2 + 1.5 * line),
                words,
                size * (1.2 if line == 0 else 1.0),
                anchor="start",
                weight="bold" if line == 0 else "normal",
            )
        )
    margin = size * 1.5
    # The caption may be wider than a narrow drive; half a letter's height is a fair width.
    width = max(right - left, 0.5 * size * max(len(words) for words in caption)) + 2 * margin
    view = (left - margin, top - margin, width, bottom - top + margin + size * 8.2)
    return svg.document(view, title, describe_route(path), body)


@dataclass(frozen=True, slots=True)
class _Label:
    """A pulley's name, on the side away from the middle of the drive."""

    x: float
    y: float
    anchor: str
    words: str

    def corners(self, size: float) -> list[tuple[float, float]]:
        """Give the box it takes, at a fair width of six tenths of its height a letter."""
        width = 0.6 * size * len(self.words)
        left = self.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * width
        return [(left, self.y - size), (left + width, self.y + size / 3)]

    def element(self, size: float) -> str:
        return svg.text_at(self.x, self.y, self.words, size, anchor=self.anchor)


def _label(
    contact: Contact, size: float, middle: tuple[float, float], *, is_tensioner: bool
) -> _Label:
    x, y = _down((contact.pulley.x, contact.pulley.y))
    away = math.atan2(y - middle[1], x - middle[0]) if (x, y) != middle else math.pi / 2
    reach = 1000 * contact.pulley.radius + size * 1.1
    anchor = "start" if math.cos(away) > 0.4 else "end" if math.cos(away) < -0.4 else "middle"
    return _Label(
        x + reach * math.cos(away),
        y + reach * math.sin(away) + size * 0.35,
        anchor,
        f"{contact.pulley.name} (tensioner)" if is_tensioner else contact.pulley.name,
    )


def _bounds(points: list[tuple[float, float]]) -> tuple[float, float, float, float]:
    """Give left, right, top and bottom of some points."""
    return (
        min(x for x, _ in points),
        max(x for x, _ in points),
        min(y for _, y in points),
        max(y for _, y in points),
    )


def _face_words(contact: Contact) -> str:
    return "inside face" if contact.pulley.face is Face.INSIDE else "back"


def _width(width: float) -> str:
    return f'stroke-width="{svg.number(width)}"'


def _belt_outline(path: BeltPath) -> str:
    parts: list[str] = []
    count = len(path.spans)
    for index, span in enumerate(path.spans):
        (x1, y1), (x2, y2) = _down(span.leaves), _down(span.arrives)
        if index == 0:
            parts.append(f"M {svg.number(x1)} {svg.number(y1)}")
        parts.append(f"L {svg.number(x2)} {svg.number(y2)}")
        contact = path.contacts[(index + 1) % count]
        x3, y3 = _down(path.spans[(index + 1) % count].leaves)
        large = 1 if contact.wrap > math.pi else 0
        sweep = 1 if contact.direction is Direction.CLOCKWISE else 0
        radius = svg.number(1000 * contact.pulley.radius)
        parts.append(f"A {radius} {radius} 0 {large} {sweep} {svg.number(x3)} {svg.number(y3)}")
    return " ".join([*parts, "Z"])


def _down(point: tuple[float, float]) -> tuple[float, float]:
    """Turn layout metres, y up, into drawing millimetres, y down."""
    return 1000 * point[0], -1000 * point[1]


def _pulley(contact: Contact, order: int, size: float) -> list[str]:
    pulley = contact.pulley
    x, y = _down((pulley.x, pulley.y))
    radius = 1000 * pulley.radius
    back = pulley.face is Face.BACK
    dashes = f' stroke-dasharray="{svg.number(size / 2)}"' if back else ""
    inner = max(radius - size / 3, radius * 0.8)
    elements = [
        (
            f'<circle cx="{svg.number(x)}" cy="{svg.number(y)}" r="{svg.number(inner)}" '
            f'fill="none" stroke="#000" {_width(size / 8)}{dashes}/>'
        ),
    ]
    sweep = 110.0 if contact.direction is Direction.CLOCKWISE else -110.0
    ring = inner * 0.74
    elements.append(
        svg.arc((x, y), ring, -90 - sweep / 2, sweep, f'stroke="#000" {_width(size / 9)}')
    )
    tip = math.radians(-90 + sweep / 2)
    heading = math.degrees(tip) + math.copysign(90, sweep)
    head = min(size * 0.7, ring)
    elements.append(
        svg.arrowhead(x + ring * math.cos(tip), y + ring * math.sin(tip), heading, head)
    )
    digits = min(size * 1.4, inner)
    shown = f"{order}{'B' if back else ''}"
    elements.append(svg.text_at(x, y + digits * 0.35, shown, digits, weight="bold"))
    return elements


def _span_arrow(span: Span, size: float) -> str:
    (x1, y1), (x2, y2) = _down(span.leaves), _down(span.arrives)
    heading = math.degrees(math.atan2(y2 - y1, x2 - x1))
    reach = min(size, span.length * 1000) / 2
    # Crossed spans meet in the middle, so their arrows stand at a third.
    share = 1 / 3 if span.twisted else 1 / 2
    along = math.radians(heading)
    return svg.arrowhead(
        x1 + (x2 - x1) * share + reach * math.cos(along),
        y1 + (y2 - y1) * share + reach * math.sin(along),
        heading,
        2 * reach,
    )


def _arm(contact: Contact, pivot: tuple[float, float], size: float) -> str:
    x1, y1 = _down(pivot)
    x2, y2 = _down((contact.pulley.x, contact.pulley.y))
    # The bar stops at the rim, so that it does not run through the number.
    share = max(0.0, 1 - 1000 * contact.pulley.radius / (math.hypot(x2 - x1, y2 - y1) or 1.0))
    x2, y2 = x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
    return (
        f'<line x1="{svg.number(x1)}" y1="{svg.number(y1)}" x2="{svg.number(x2)}" '
        f'y2="{svg.number(y2)}" stroke="#000" {_width(size / 6)} '
        f'stroke-dasharray="{svg.number(size / 6)} {svg.number(size / 4)}"/>'
        f'<circle cx="{svg.number(x1)}" cy="{svg.number(y1)}" r="{svg.number(size / 3)}"/>'
    )
