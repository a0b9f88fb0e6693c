"""Valve events moved by errors, and the valve-timing picture."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET

import pytest

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.events import ValveEvents
from witnessmark.engineering.timing.picture import draw_valve_timing

SVG = "{http://www.w3.org/2000/svg}"
EVENTS = ValveEvents(20, 35, 35, 10)


def picture(**options: object) -> ET.Element:
    drawing = draw_valve_timing(EVENTS, title="Valves & more", **options)
    return ET.fromstring(drawing)  # noqa: S314 (our own drawing, not a stranger's)


def test_an_early_inlet_cam_opens_and_shuts_its_valve_early() -> None:
    moved = EVENTS.moved(18, 0)
    assert (moved.inlet_opens, moved.inlet_closes) == (38, 17)
    assert moved.inlet_duration == EVENTS.inlet_duration
    assert moved.overlap == EVENTS.overlap + 18


def test_a_late_exhaust_cam_shuts_its_valve_late() -> None:
    moved = EVENTS.moved(0, -18)
    assert (moved.exhaust_opens, moved.exhaust_closes) == (17, 28)
    assert moved.exhaust_duration == EVENTS.exhaust_duration


def test_valves_that_do_not_overlap_have_a_negative_overlap() -> None:
    assert ValveEvents(-5, 30, 30, -5).overlap == -10


@pytest.mark.parametrize(
    "events", [(200, 0, 0, 0), (math.nan, 0, 0, 0), (-180, 0, 30, 10), (180, 180, 30, 10)]
)
def test_impossible_events_are_refused(events: tuple[float, float, float, float]) -> None:
    with pytest.raises(RefusalError):
        ValveEvents(*events)


def ends_of_arcs(svg: ET.Element) -> list[tuple[float, float, float]]:
    """Radius and crank angles of start and end of every arc, top dead centre nought."""
    arcs = []
    for path in svg.iter(f"{SVG}path"):
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
        (x1, y1), (x2, y2) = numbers[:2], numbers[-2:]
        angles = [math.degrees(math.atan2(x, -y)) for x, y in ((x1, y1), (x2, y2))]
        arcs.append((math.hypot(x1, y1), *angles))
    return arcs


def test_the_arcs_begin_and_end_at_the_events() -> None:
    inlet, exhaust = ends_of_arcs(picture())[1:3]  # the first arc is the crank's arrow
    assert inlet[0] > exhaust[0]
    # Printed to a thousandth of a millimetre on a radius of 46 mm or more.
    assert inlet[1:] == pytest.approx((-20, -180 + 35), abs=0.002)
    assert exhaust[1:] == pytest.approx((180 - 35, 10), abs=0.002)


def test_events_as_found_are_drawn_broken_beside_the_rings() -> None:
    svg = picture(as_found=EVENTS.moved(18, -18))
    broken = [p for p in svg.iter(f"{SVG}path") if p.get("stroke-dasharray")]
    assert len(broken) == 2
    words = " ".join(t.text or "" for t in svg.iter(f"{SVG}text"))
    assert "as found: inlet 38° before top to 17° after bottom" in words


def test_every_event_is_named_and_the_sides_of_dead_centre_are_in_words() -> None:
    words = [t.text or "" for t in picture(injection_before_tdc=-5).iter(f"{SVG}text")]
    for event in ("inlet opens", "inlet shuts", "exhaust opens", "exhaust shuts"):
        assert event in words
    assert "F: injection or spark 5° after top" in words
    late = draw_valve_timing(ValveEvents(-5, 30, 30, -6), title="late")
    assert "inlet 5° after top" in late
    assert "6° before top" in late


def test_the_picture_has_title_and_description() -> None:
    svg = picture()
    assert svg.find(f"{SVG}title").text == "Valves & more"
    assert "overlap 30°" in svg.find(f"{SVG}desc").text
