"""The route drawing says in marks and words what the path says in numbers."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET

import pytest

from witnessmark.engineering.belts.drawing import describe_route, draw_route
from witnessmark.engineering.belts.path import belt_path
from witnessmark.engineering.belts.pulleys import Face, Pulley

SVG = "{http://www.w3.org/2000/svg}"
LAYOUT = [
    Pulley("crank", 0, 0, 0.15),
    Pulley("pump <water & oil>", 0.3, 0, 0.05),
    Pulley("idler", 0.15, 0.11, 0.06, face=Face.BACK),
    Pulley("alternator", 0.15, 0.3, 0.075),
]


def parsed(drawing: str) -> ET.Element:
    return ET.fromstring(drawing)  # noqa: S314 (our own drawing, not a stranger's)


def drawn(**options: object) -> ET.Element:
    return parsed(draw_route(belt_path(LAYOUT), title="Auxiliary belt", **options))


def words(svg: ET.Element) -> list[str]:
    return [text.text or "" for text in svg.iter(f"{SVG}text")]


def outline_length(path: str) -> float:
    """Length of a path of lines and circular arcs, from its own letters."""
    numbers = re.findall(r"([MLA]) ([-\d. ]+)", path)
    at = (0.0, 0.0)
    total = 0.0
    for letter, rest in numbers:
        values = [float(v) for v in rest.split()]
        end = (values[-2], values[-1])
        if letter == "L":
            total += math.dist(at, end)
        elif letter == "A":
            radius, large = values[0], values[3] == 1
            half = math.asin(min(1.0, math.dist(at, end) / 2 / radius))
            total += radius * (math.tau - 2 * half if large else 2 * half)
        at = end
    return total


def test_the_drawn_belt_is_as_long_as_the_path() -> None:
    path = belt_path(LAYOUT)
    outline = next(iter(drawn().iter(f"{SVG}path")))
    # Coordinates are printed to a thousandth of a millimetre, at some twenty places.
    assert outline_length(outline.get("d", "")) == pytest.approx(path.length * 1000, abs=0.05)


def test_every_pulley_is_drawn_numbered_named_and_its_face_shown() -> None:
    svg = drawn()
    circles = list(svg.iter(f"{SVG}circle"))
    assert len(circles) == 4
    assert [c.get("stroke-dasharray") is not None for c in circles] == [False, False, True, False]
    assert {"1", "2", "3B", "4"} <= set(words(svg))
    assert {p.name for p in LAYOUT} <= set(words(svg))


def test_there_is_an_arrow_on_every_span_and_in_every_pulley() -> None:
    assert len(list(drawn().iter(f"{SVG}polygon"))) == 8


def test_the_arrow_on_a_span_points_along_the_belt() -> None:
    path = belt_path([Pulley("a", 0, 0, 0.1), Pulley("b", 1, 0, 0.1)])
    svg = parsed(draw_route(path, title="two"))
    arrow = list(svg.iter(f"{SVG}polygon"))[-2]  # first span, drawn before the second
    tip, one, other = (tuple(map(float, p.split(","))) for p in arrow.get("points", "").split())
    # Clockwise from above: the first span, over the top, runs from a to b, to the right.
    assert path.spans[0].heading.real == pytest.approx(1)
    assert tip[0] > (one[0] + other[0]) / 2
    assert tip[1] == pytest.approx(-50)


def test_the_viewpoint_is_said_or_said_to_be_missing() -> None:
    assert any("Seen from: pulley end" in w for w in words(drawn(viewpoint="pulley end")))
    assert any("viewpoint not stated" in w for w in words(drawn()))


def test_title_and_description_are_there_for_reading_aloud() -> None:
    svg = drawn()
    assert svg.find(f"{SVG}title").text == "Auxiliary belt"
    assert svg.find(f"{SVG}desc").text == describe_route(belt_path(LAYOUT))
    assert "3 idler: back, turns clockwise" in describe_route(belt_path(LAYOUT))


def test_the_tensioner_is_named_and_joined_to_its_pivot() -> None:
    svg = drawn(pivot=(0.25, 0.2), tensioner=2)
    assert "idler (tensioner)" in words(svg)
    assert len(list(svg.iter(f"{SVG}line"))) == 1


def test_everything_lies_within_the_view() -> None:
    svg = drawn(pivot=(0.6, 0.5), tensioner=2)
    left, top, width, height = map(float, svg.get("viewBox", "").split())
    for text in svg.iter(f"{SVG}text"):
        assert left <= float(text.get("x", "")) <= left + width
        assert top <= float(text.get("y", "")) <= top + height
    for circle in svg.iter(f"{SVG}circle"):
        x, y, r = (float(circle.get(k, "")) for k in ("cx", "cy", "r"))
        assert left <= x - r
        assert x + r <= left + width
        assert top <= y - r
        assert y + r <= top + height


def test_crossed_spans_are_drawn_apart_from_where_they_meet() -> None:
    path = belt_path([Pulley("a", 0, 0, 0.1), Pulley("b", 1, 0, 0.1)], crossed=True)
    svg = parsed(draw_route(path, title="crossed"))
    tips = [p.get("points", "").split()[0] for p in svg.iter(f"{SVG}polygon")][-2:]
    assert tips[0] != tips[1]


def test_the_same_path_gives_the_same_bytes() -> None:
    path = belt_path(LAYOUT)
    assert draw_route(path, title="x") == draw_route(path, title="x")
