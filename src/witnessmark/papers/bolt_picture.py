"""Which bolt belongs in which hole, as a small picture for the bench: letters by size.

Not to size: the board to pierce is a paper of its own. Holes worth marking first stand in a
square, so that the mark can be told without colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from string import ascii_uppercase

from witnessmark.engineering.svg import document, number, text_at
from witnessmark.papers.fasteners import Hole

WIDE = 170.0
_EDGE, _TOP, _HIGH = 18.0, 24.0, 80.0
_RADIUS, _WORDS, _LINE = 5.0, 3.6, 5.4


def bolt_picture(holes: Sequence[Hole], marked: Sequence[str], title: str, seen: str) -> str:
    """Draw holes where they sit, each with the letter of its bolt's size.

    Parameters
    ----------
    holes : sequence of Hole
        With their places in millimetres, y up.
    marked : sequence of str
        Names of the holes worth marking first.
    title : str
        Stands above the picture.
    seen : str
        From where the holes are seen.

    Returns
    -------
    str
        An SVG drawing, not to size.
    """
    letters = _letters(holes)
    body = [text_at(_EDGE - 8.0, 9.0, title, 4.6, anchor="start", weight="bold")]
    body.append(text_at(_EDGE - 8.0, 15.0, f"Viewpoint: {seen}.", _WORDS, anchor="start"))
    for hole, (x, y) in zip(holes, _places(holes), strict=True):
        body += _hole((x, y), letters[hole.bolt], hole.name, square=hole.name in marked)
    lines = [f"{letter}: {bolt}" for bolt, letter in letters.items()]
    if marked:
        lines.append(f"In a square: mark hole and bolt first ({', '.join(marked)}).")
    y = _TOP + _HIGH + 14.0
    for words in lines:
        body.append(text_at(_EDGE - 8.0, y, words, _WORDS, anchor="start"))
        y += _LINE
    said = "; ".join(f"hole {hole.name}: {hole.bolt}" for hole in holes)
    return document((0.0, 0.0, WIDE, y), title, f"{said}. Not to size.", body)


def _letters(holes: Sequence[Hole]) -> dict[str, str]:
    """Give each size of bolt a letter, in the order of the holes; numbers after Z."""
    bolts = dict.fromkeys(hole.bolt for hole in holes)
    names = [*ascii_uppercase, *(str(n) for n, _ in zip(count(27), bolts, strict=False))]
    return dict(zip(bolts, names, strict=False))


def _places(holes: Sequence[Hole]) -> list[tuple[float, float]]:
    xs, ys = [hole.x for hole in holes], [hole.y for hole in holes]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scales = [r / s for r, s in ((WIDE - 2 * _EDGE, wide), (_HIGH, high)) if s > 0.0]
    scale = min(scales, default=1.0)
    left = (WIDE - scale * wide) / 2.0
    return [(left + scale * (h.x - min(xs)), _TOP + scale * (max(ys) - h.y)) for h in holes]


def _hole(at: tuple[float, float], letter: str, name: str, *, square: bool) -> list[str]:
    x, y = at
    pen = 'fill="#fff" stroke="#000"'
    body = []
    if square:
        side = 2.0 * _RADIUS + 2.4
        corner = f'x="{number(x - side / 2)}" y="{number(y - side / 2)}"'
        size = f'width="{number(side)}" height="{number(side)}"'
        body.append(f'<rect {corner} {size} {pen} stroke-width="0.9"/>')
    middle = f'cx="{number(x)}" cy="{number(y)}" r="{number(_RADIUS)}"'
    body.append(f'<circle {middle} {pen} stroke-width="0.4"/>')
    body.append(text_at(x, y + 1.7, letter, 4.8, weight="bold"))
    body.append(text_at(x, y + _RADIUS + 4.8, name, 3.2))
    return body
