"""The valve-timing picture: two rings about the crank circle, drawn as SVG.

Top dead centre is at the top and the crank runs clockwise. The outer ring is the inlet
valve, the inner the exhaust valve; a cam out of time is drawn beside its ring as a broken
line. Words and shapes carry everything, colour nothing.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from witnessmark.engineering import svg

if TYPE_CHECKING:
    from witnessmark.engineering.timing.events import ValveEvents

INLET_RADIUS = 62.0
EXHAUST_RADIUS = 46.0
ASIDE = 5.0
TEXT = 4.0


def draw_valve_timing(
    events: ValveEvents,
    *,
    title: str,
    as_found: ValveEvents | None = None,
    injection_before_tdc: float | None = None,
) -> str:
    """Draw valve events.

    Parameters
    ----------
    events : ValveEvents
        The events as they should be. [crank degrees]
    title : str
        What the picture shows.
    as_found : ValveEvents or None
        The events with the errors found, drawn broken beside them.
    injection_before_tdc : float or None
        Start of injection or the spark, before top dead centre. [crank degrees]

    Returns
    -------
    str
        An SVG document, in millimetres.
    """
    captions = _captions(title, events, as_found, injection_before_tdc)
    body = [
        _line(0, -74, 0, -30),
        _line(0, 30, 0, 74),
        '<circle cx="0" cy="0" r="30" fill="none" stroke="#000" stroke-width="0.4"/>',
        svg.arc((0, 0), 24, -150, 120, 'stroke="#000" stroke-width="0.5"'),
        svg.arrowhead(24 * math.cos(math.radians(-30)), -12, 60, 4),
        svg.text_at(0, -77, "top dead centre", TEXT),
        svg.text_at(0, 80.5, "bottom dead centre", TEXT),
        svg.text_at(0, 2, "crank turns", TEXT),
        *_ring(events, 2.4, ""),
    ]
    if as_found is not None:
        body.extend(_ring(as_found, 1.0, ' stroke-dasharray="3 2"', aside=ASIDE))
    if injection_before_tdc is not None:
        angle = math.radians(-90 - injection_before_tdc)
        x, y = math.cos(angle), math.sin(angle)
        body.append(_line(30 * x, 30 * y, 39 * x, 39 * y))
        body.append(svg.text_at(43 * x, 43 * y + TEXT / 3, "F", TEXT, weight="bold"))
    for line, words in enumerate(captions):
        weight = "bold" if line == 0 else "normal"
        body.append(svg.text_at(-100, 92 + 5.5 * line, words, TEXT, anchor="start", weight=weight))
    height = 92 + 5.5 * len(captions) + 88
    return svg.document((-104, -88, 208, height), title, ". ".join(captions), body)


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    return (
        f'<line x1="{svg.number(x1)}" y1="{svg.number(y1)}" x2="{svg.number(x2)}" '
        f'y2="{svg.number(y2)}" stroke="#000" stroke-width="0.4"/>'
    )


def _ring(events: ValveEvents, width: float, dashes: str, *, aside: float = 0.0) -> list[str]:
    """Draw both valves' open arcs with their events; crank angle 0 is at the top."""
    style = f'stroke="#000" stroke-width="{svg.number(width)}"{dashes}'
    parts = []
    for radius, opens, duration, names in (
        (INLET_RADIUS, -events.inlet_opens, events.inlet_duration, ("inlet opens", "inlet shuts")),
        (
            EXHAUST_RADIUS,
            180 - events.exhaust_opens,
            events.exhaust_duration,
            ("exhaust opens", "exhaust shuts"),
        ),
    ):
        parts.append(svg.arc((0, 0), radius + aside, opens - 90, duration, style))
        if aside:
            continue
        for angle, name in ((opens, names[0]), (opens + duration, names[1])):
            parts.extend(_event(angle, radius, name))
    return parts


def _event(angle: float, radius: float, name: str) -> list[str]:
    """Mark one event with a tick and its words outside both rings."""
    turn = math.radians(angle - 90)
    x, y = math.cos(turn), math.sin(turn)
    out = INLET_RADIUS + 9
    anchor = "start" if x > 0 else "end"
    return [
        _line((radius - 3) * x, (radius - 3) * y, out * x, out * y),
        svg.text_at((out + 1) * x, (out + 1) * y + TEXT / 3, name, TEXT, anchor=anchor),
    ]


def _captions(
    title: str, events: ValveEvents, as_found: ValveEvents | None, injection: float | None
) -> list[str]:
    lines = [title, "Outer ring inlet, inner ring exhaust; crank degrees.", _events_words(events)]
    if as_found is not None:
        lines.append(f"Broken line, as found: {_events_words(as_found)}")
    if injection is not None:
        lines.append(f"F: injection or spark {_side(injection, 'before top')}")
    return lines


def _events_words(events: ValveEvents) -> str:
    return (
        f"inlet {_side(events.inlet_opens, 'before top')} to "
        f"{_side(events.inlet_closes, 'after bottom')}, "
        f"exhaust {_side(events.exhaust_opens, 'before bottom')} to "
        f"{_side(events.exhaust_closes, 'after top')}, overlap {events.overlap:g}°"
    )


def _side(degrees: float, words: str) -> str:
    """Say an event, turning a negative figure to the other side of dead centre."""
    if degrees < 0:
        words = (
            words.replace("before", "after")
            if "before" in words
            else (words.replace("after", "before"))
        )
    return f"{abs(degrees):g}° {words}"
