"""Small parts of SVG drawings: text that is safe, short numbers, arrowheads."""

from __future__ import annotations

import math
from html import escape


def number(value: float) -> str:
    """Print a coordinate to a thousandth, the same way every time."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def text_at(
    x: float, y: float, words: str, size: float, *, anchor: str = "middle", weight: str = "normal"
) -> str:
    """Give a text element; the words are escaped."""
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}" '
        f'font-weight="{weight}" text-anchor="{anchor}">{escape(words)}</text>'
    )


def arrowhead(x: float, y: float, heading: float, size: float) -> str:
    """Give a filled arrowhead with its tip at a point, heading in drawing degrees (y down)."""
    angle = math.radians(heading)
    corners = [(0.0, 0.0), (-size, size * 0.45), (-size, -size * 0.45)]
    points = " ".join(
        f"{number(x + a * math.cos(angle) - b * math.sin(angle))},"
        f"{number(y + a * math.sin(angle) + b * math.cos(angle))}"
        for a, b in corners
    )
    return f'<polygon points="{points}" fill="#000"/>'


def arc(centre: tuple[float, float], radius: float, start: float, sweep: float, style: str) -> str:
    """Give an open arc from a drawing angle (degrees, y down) through a signed sweep."""
    cx, cy = centre
    parts = []
    pieces = max(1, math.ceil(abs(sweep) / 179.0))
    for piece in range(pieces + 1):
        angle = math.radians(start + sweep * piece / pieces)
        x, y = cx + radius * math.cos(angle), cy + radius * math.sin(angle)
        if piece == 0:
            parts.append(f"M {number(x)} {number(y)}")
        else:
            turn = 1 if sweep > 0 else 0
            parts.append(f"A {number(radius)} {number(radius)} 0 0 {turn} {number(x)} {number(y)}")
    return f'<path d="{" ".join(parts)}" fill="none" {style}/>'


def document(
    view: tuple[float, float, float, float], title: str, description: str, body: list[str]
) -> str:
    """Wrap elements into a whole drawing with its title and description for readers aloud.

    `view` is left, top, width and height in millimetres.
    """
    box = " ".join(number(v) for v in view)
    return "\n".join(
        [
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img" '
                f'width="{number(view[2])}mm" height="{number(view[3])}mm" '
                'font-family="sans-serif" fill="#000">'
            ),
            f"<title>{escape(title)}</title>",
            f"<desc>{escape(description)}</desc>",
            (
                f'<rect x="{number(view[0])}" y="{number(view[1])}" width="{number(view[2])}" '
                f'height="{number(view[3])}" fill="#fff"/>'
            ),
            *body,
            "</svg>",
            "",
        ]
    )
