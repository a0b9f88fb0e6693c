"""Pictures of what a bolt does: force against angle, torque against force, tightening order.

Drawn in black and grey with a word at every line, so that nothing hangs on colour. Each
function gives a whole SVG drawing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from witnessmark.engineering.fastening.orders import Spot, TighteningOrder
from witnessmark.engineering.refusal import RefusalError, require_above_zero
from witnessmark.engineering.svg import document, number, text_at

WIDE, HIGH = 170.0, 120.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 20.0, 145.0, 16.0, 102.0
_WORDS = 3.2
_GREY = "#d8d8d8"

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class AngleCurve:
    """Clamp force over angle at one friction [N, degrees, N].

    `yield_force` is None when no class was given. Beyond it the force is drawn level; a
    real bolt hardens a little.
    """

    snug_force: float
    force_per_degree: float
    yield_force: float | None

    def force(self, angle: float) -> float:
        """Clamp force at an angle after snug [N]."""
        elastic = self.snug_force + angle * self.force_per_degree
        return elastic if self.yield_force is None else min(elastic, self.yield_force)

    def bend(self) -> float | None:
        """Angle at which yield begins [degrees]; None when no yield force is known."""
        if self.yield_force is None:
            return None
        return (self.yield_force - self.snug_force) / self.force_per_degree


@dataclass(frozen=True, slots=True)
class SurfaceWedge:
    """The torque that a clamp force takes on one surface: N·m per newton, low to high."""

    surface: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class _Frame:
    """Axes of a chart: what the right and the top end stand for."""

    across: float
    up: float

    def at(self, x: float, y: float) -> Point:
        return (
            _LEFT + (_RIGHT - _LEFT) * x / self.across,
            _BOTTOM - (_BOTTOM - _TOP) * y / self.up,
        )


def angle_picture(
    low: AngleCurve, nominal: AngleCurve, high: AngleCurve, angle: float, title: str
) -> str:
    """Draw clamp force against angle: the friction band, its middle, and yield.

    Parameters
    ----------
    low, nominal, high : AngleCurve
        At the highest, the middle and the lowest friction: least to most force.
    angle : float
        The turn asked for, after snug. [degrees]
    title : str
        Stands above the picture.

    Returns
    -------
    str
        An SVG drawing; angle across, clamp force up.

    Raises
    ------
    RefusalError
        If the angle is not above zero.
    """
    require_above_zero(angle, "the angle")
    end = _round_up(1.25 * angle)
    curves = (low, nominal, high)
    top = max(max(c.force(end), c.yield_force or 0.0) for c in curves)
    frame = _Frame(end, _round_up(1.08 * top / 1000.0) * 1000.0)
    body = _axes(frame, "angle after snug, °", "clamp force, kN", 1.0, 1e-3)
    upper, lower = _line(frame, high, end), _line(frame, low, end)
    if upper != lower:
        body.insert(0, _area([*upper, *reversed(lower)]))
        body += [_path(upper, 0.25), _path(lower, 0.25)]
    middle = _line(frame, nominal, end)
    body.append(_path(middle, 0.7))
    body += _yield_line(frame, nominal, end)
    body += _asked_for(frame, nominal, angle)
    said = f"At {angle:g}° the clamp force is {_range(low.force(angle), high.force(angle))}."
    bend = nominal.bend()
    if bend is not None:
        said += f" Yield begins at {bend:.0f}° after snug at the middle friction."
    body.append(text_at(_LEFT, HIGH - 3.0, said, _WORDS, anchor="start"))
    return _drawn(title, said, body)


def _line(frame: _Frame, curve: AngleCurve, end: float) -> list[Point]:
    bend = curve.bend()
    stops = [0.0, *([bend] if bend is not None and 0.0 < bend < end else []), end]
    return [frame.at(angle, curve.force(angle)) for angle in stops]


def _yield_line(frame: _Frame, curve: AngleCurve, end: float) -> list[str]:
    if curve.yield_force is None:
        return []
    start, stop = frame.at(0.0, curve.yield_force), frame.at(end, curve.yield_force)
    words = f"yield, turning: {curve.yield_force / 1000.0:.3g} kN"
    return [
        _path([start, stop], 0.35, dash="2 1.2"),
        text_at(start[0] + 1.5, start[1] - 1.5, words, _WORDS, anchor="start"),
    ]


def _asked_for(frame: _Frame, curve: AngleCurve, angle: float) -> list[str]:
    foot, spot = frame.at(angle, 0.0), frame.at(angle, curve.force(angle))
    return [
        _path([foot, spot], 0.25, dash="0.8 0.8"),
        f'<circle cx="{number(spot[0])}" cy="{number(spot[1])}" r="1.2"/>',
        text_at(foot[0] + 1.0, foot[1] - 2.0, f"{angle:g}°", _WORDS, anchor="start"),
    ]


def torque_picture(
    wedges: Sequence[SurfaceWedge],
    title: str,
    *,
    most_force: float,
    proof_load: float | None = None,
    torque: float | None = None,
) -> str:
    """Draw torque against clamp force for several surfaces, each a wedge with its name.

    Parameters
    ----------
    wedges : sequence of SurfaceWedge
        One for each surface.
    title : str
        Stands above the picture.
    most_force : float
        Where the clamp force axis ends, about. [N]
    proof_load : float, optional
        Drawn as a line when the class is known. [N]
    torque : float, optional
        The torque asked about, drawn as a line. [N·m]

    Returns
    -------
    str
        An SVG drawing; clamp force across, torque up.

    Raises
    ------
    RefusalError
        If there is no surface, or a figure is not above zero.
    """
    require_above_zero(most_force, "the clamp force")
    if not wedges:
        raise RefusalError("there is no surface to draw", "name at least one")
    across = _round_up(max(1.1 * most_force, 1.1 * (proof_load or 0.0)) / 1000.0) * 1000.0
    up = _round_up(max(max(w.high for w in wedges) * across, 1.1 * (torque or 0.0)))
    frame = _Frame(across, up)
    body = _axes(frame, "clamp force, kN", "torque, N·m", 1e-3, 1.0)
    dashes = (None, "3 1.2", "1 1", "4 1 1 1", "6 2", "2 3")
    for place, wedge in enumerate(wedges):
        body += _wedge(frame, wedge, dashes[place % len(dashes)], light=place % 2 == 0)
    body += _names(frame, wedges)
    if proof_load is not None:
        foot, head = frame.at(proof_load, 0.0), frame.at(proof_load, up)
        words = f"proof load {proof_load / 1000.0:.3g} kN"
        body.append(_path([foot, head], 0.35, dash="2 1.2"))
        body.append(text_at(head[0] - 1.0, head[1] + 3.5, words, _WORDS, anchor="end"))
    if torque is not None:
        start, stop = frame.at(0.0, torque), frame.at(across, torque)
        body.append(_path([start, stop], 0.35, dash="0.8 0.8"))
        body.append(
            text_at(start[0] + 1.5, start[1] - 1.2, f"{torque:.4g} N·m", _WORDS, anchor="start")
        )
    said = "Torque against clamp force: " + "; ".join(
        f"{w.surface} {_range(w.low * most_force, w.high * most_force, 'N·m')}" for w in wedges
    )
    said += f" for {most_force / 1000.0:.3g} kN."
    foot_words = "Between the two lines of a surface any friction of its range may be met."
    body.append(text_at(_LEFT, HIGH - 3.0, foot_words, _WORDS, anchor="start"))
    return _drawn(title, said, body)


def _wedge(frame: _Frame, wedge: SurfaceWedge, dash: str | None, *, light: bool) -> list[str]:
    corner = frame.at(0.0, 0.0)
    low = frame.at(frame.across, wedge.low * frame.across)
    high = frame.at(frame.across, wedge.high * frame.across)
    fill = "#e8e8e8" if light else "#bdbdbd"
    return [
        _area([corner, high, low], fill, 0.6),
        _path([corner, low], 0.4, dash=dash),
        _path([corner, high], 0.4, dash=dash),
    ]


def _names(frame: _Frame, wedges: Sequence[SurfaceWedge]) -> list[str]:
    """Put the names beside the right ends of the wedges, kept apart from each other."""
    body: list[str] = []
    before = math.inf
    for wedge in sorted(wedges, key=lambda w: w.low + w.high):
        middle = frame.at(frame.across, (wedge.low + wedge.high) / 2.0 * frame.across)
        y = min(middle[1], before - 1.3 * _WORDS)
        before = y
        body.append(text_at(middle[0] + 1.2, y + 1.0, wedge.surface, _WORDS, anchor="start"))
    return body


def order_picture(spots: Sequence[Spot], order: TighteningOrder, title: str) -> str:
    """Draw the holes where they sit, each with its place in the order and its name.

    Parameters
    ----------
    spots : sequence of Spot
        The holes; y counts upwards.
    order : TighteningOrder
        The order of the same holes.
    title : str
        Stands above the picture.

    Returns
    -------
    str
        An SVG drawing, not to size.

    Raises
    ------
    RefusalError
        If the order does not name the same holes.
    """
    if sorted(order.names) != sorted(spot.name for spot in spots):
        raise RefusalError("the order does not name each hole once", "order the same holes")
    xs, ys = [s.x for s in spots], [s.y for s in spots]
    room_x, room_y = WIDE - 36.0, _BOTTOM - _TOP - 10.0
    spread_x, spread_y = max(xs) - min(xs), max(ys) - min(ys)
    scale = (
        min(
            room / spread
            for room, spread in ((room_x, spread_x), (room_y, spread_y))
            if spread > 0.0
        )
        if max(spread_x, spread_y) > 0.0
        else 1.0
    )
    middle = ((max(xs) + min(xs)) / 2.0, (max(ys) + min(ys)) / 2.0)
    centre = (WIDE / 2.0, (_TOP + _BOTTOM) / 2.0)
    at = {
        s.name: (centre[0] + scale * (s.x - middle[0]), centre[1] - scale * (s.y - middle[1]))
        for s in spots
    }
    radius = min(6.0, 0.42 * _nearest(list(at.values())))
    body = [_path([at[one], at[other]], 0.3, colour="#999") for one, other in pairwise(order.names)]
    for place, name in enumerate(order.names, start=1):
        body += _numbered(at[name], radius, place, name)
    said = f"Order: {', '.join(order.names)} ({order.why}). Not to size."
    body.append(
        text_at(
            _LEFT,
            HIGH - 3.0,
            f"Large: place in the order; small: hole. {order.why[:1].upper()}{order.why[1:]}.",
            _WORDS,
            anchor="start",
        )
    )
    return _drawn(title, said, body)


def _nearest(points: Sequence[Point]) -> float:
    gaps = [math.dist(a, b) for i, a in enumerate(points) for b in points[i + 1 :]]
    return min(gaps, default=20.0)


def _numbered(at: Point, radius: float, place: int, name: str) -> list[str]:
    x, y = at
    return [
        (
            f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" fill="#fff" '
            'stroke="#000" stroke-width="0.5"/>'
        ),
        text_at(x, y + 0.15 * radius, str(place), 0.95 * radius, weight="bold"),
        text_at(x, y + 0.82 * radius, name, 0.5 * radius),
    ]


def _drawn(title: str, said: str, body: list[str]) -> str:
    head = text_at(_LEFT, 9.0, title, 4.6, anchor="start", weight="bold")
    return document((0.0, 0.0, WIDE, HIGH), title, said, [head, *body])


def _axes(
    frame: _Frame, across_words: str, up_words: str, across_by: float, up_by: float
) -> list[str]:
    """Draw both axes with their ticks; `by` turns the frame's units into printed ones."""
    corner = frame.at(0.0, 0.0)
    body = [
        _path([frame.at(0.0, frame.up), corner, frame.at(frame.across, 0.0)], 0.4),
        text_at(_RIGHT, _BOTTOM + 10.0, across_words, _WORDS, anchor="end"),
        text_at(_LEFT - 6.0, _TOP - 2.0, up_words, _WORDS, anchor="start"),
    ]
    for value in _ticks(frame.across * across_by):
        x, y = frame.at(value / across_by, 0.0)
        body.append(_path([(x, y), (x, y + 1.2)], 0.3))
        body.append(text_at(x, y + 5.0, f"{value:g}", _WORDS))
    for value in _ticks(frame.up * up_by):
        x, y = frame.at(0.0, value / up_by)
        body.append(_path([(x, y), (x - 1.2, y)], 0.3))
        body.append(text_at(x - 2.2, y + 1.1, f"{value:g}", _WORDS, anchor="end"))
    return body


def _step(end: float) -> float:
    """Give a round step that makes four to nine ticks up to an end."""
    power = 10.0 ** math.floor(math.log10(end))
    for share in (0.1, 0.2, 0.5, 1.0, 2.0):
        if end / (share * power) <= 9.0 + 1e-9:
            return share * power
    return 5.0 * power


def _ticks(end: float) -> list[float]:
    step = _step(end)
    return [round(step * place, 9) for place in range(math.floor(end / step + 1e-9) + 1)]


def _round_up(value: float) -> float:
    """Round up to half a step, so that an axis does not end far above what it shows."""
    half = _step(value) / 2.0
    return math.ceil(value / half - 1e-9) * half


def _range(low: float, high: float, unit: str = "kN") -> str:
    by = 1e-3 if unit == "kN" else 1.0
    first, last = f"{low * by:.3g}", f"{high * by:.3g}"
    return f"{first} {unit}" if first == last else f"{first} to {last} {unit}"


def _path(
    points: Sequence[Point], width: float, *, dash: str | None = None, colour: str = "#000"
) -> str:
    places = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<polyline points="{places}" fill="none" stroke="{colour}" '
        f'stroke-width="{number(width)}"{dashed}/>'
    )


def _area(points: Sequence[Point], fill: str = _GREY, opacity: float = 1.0) -> str:
    places = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return f'<polygon points="{places}" fill="{fill}" fill-opacity="{number(opacity)}"/>'
