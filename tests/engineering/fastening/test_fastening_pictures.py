"""The pictures, measured on their own axes: what is drawn is what was given."""

from __future__ import annotations

import itertools
import re
from xml.etree import ElementTree as ET

import pytest

from witnessmark.engineering.fastening.orders import Spot, tightening_order
from witnessmark.engineering.fastening.pictures import (
    AngleCurve,
    SurfaceWedge,
    angle_picture,
    order_picture,
    torque_picture,
)
from witnessmark.engineering.refusal import RefusalError

SVG = "{http://www.w3.org/2000/svg}"
LOW = AngleCurve(10_000, 400.0, 28_000)
MIDDLE = AngleCurve(12_000, 400.0, 30_000)
HIGH = AngleCurve(14_000, 400.0, 32_000)


class Chart:
    """A drawing read back: its words, lines, and the scale of its axes from their ticks."""

    def __init__(self, drawing: str) -> None:
        self.root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
        self.words = [
            (e.text or "", float(e.get("x", "0")), float(e.get("y", "0")), e.get("text-anchor"))
            for e in self.root.iter(f"{SVG}text")
        ]
        self.lines = [
            [tuple(map(float, p.split(","))) for p in (e.get("points") or "").split()]
            for e in self.root.iter(f"{SVG}polyline")
        ]
        numbers = [w for w in self.words if re.fullmatch(r"\d+(\.\d+)?", w[0])]
        foot = max(y for _, _, y, _ in numbers)
        self.across = sorted((float(t), x) for t, x, y, a in numbers if a == "middle" and y == foot)
        self.up = sorted((float(t), y - 1.1) for t, x, y, a in numbers if a == "end")

    def value(self, point: tuple[float, ...]) -> tuple[float, float]:
        """A place on the paper in the units of the axes."""
        return self._read(self.across, point[0]), self._read(self.up, point[1])

    def _read(self, ticks: list[tuple[float, float]], place: float) -> float:
        (first, start), (last, end) = ticks[0], ticks[-1]
        return first + (place - start) / (end - start) * (last - first)

    def thick(self, width: str) -> list[list[tuple[float, ...]]]:
        """The lines of one width."""
        return [
            [tuple(map(float, p.split(","))) for p in (e.get("points") or "").split()]
            for e in self.root.iter(f"{SVG}polyline")
            if e.get("stroke-width") == width
        ]


def test_force_rises_with_the_angle_and_stays_at_yield() -> None:
    chart = Chart(angle_picture(LOW, MIDDLE, HIGH, 90.0, "made"))
    (middle,) = chart.thick("0.7")
    start, bend, end = map(chart.value, middle)
    assert start == pytest.approx((0.0, 12.0), abs=0.05)
    assert bend == pytest.approx((45.0, 30.0), abs=0.1)
    assert end[1] == pytest.approx(30.0, abs=0.05)
    assert end[0] > 90.0


def test_the_angle_asked_for_is_marked_on_the_middle_line() -> None:
    chart = Chart(angle_picture(LOW, MIDDLE, HIGH, 90.0, "made"))
    (spot,) = chart.root.iter(f"{SVG}circle")
    at = chart.value((float(spot.get("cx", "0")), float(spot.get("cy", "0"))))
    assert at == pytest.approx((90.0, 30.0), abs=0.1)
    assert any(text == "90°" for text, *_ in chart.words)


def test_the_band_is_drawn_and_said() -> None:
    drawing = angle_picture(LOW, MIDDLE, HIGH, 30.0, "made")
    chart = Chart(drawing)
    upper, lower = chart.thick("0.25")[:2]
    assert chart.value(upper[0])[1] == pytest.approx(14.0, abs=0.05)
    assert chart.value(lower[0])[1] == pytest.approx(10.0, abs=0.05)
    assert "At 30° the clamp force is 22 to 26 kN." in drawing
    assert "Yield begins at 45° after snug at the middle friction." in drawing


def test_one_friction_has_no_band_and_no_class_no_yield() -> None:
    plain = AngleCurve(12_000, 400.0, None)
    drawing = angle_picture(plain, plain, plain, 90.0, "made")
    assert "yield" not in drawing.lower()
    assert "<polygon" not in drawing
    assert "At 90° the clamp force is 48 kN." in drawing


def test_each_surface_is_a_wedge_from_nothing_with_its_name() -> None:
    wedges = [SurfaceWedge("oiled", 1.0e-3, 1.5e-3), SurfaceWedge("dry", 1.4e-3, 2.2e-3)]
    chart = Chart(torque_picture(wedges, "made", most_force=20_000, proof_load=21_200, torque=25.0))
    slopes = []
    for line in chart.thick("0.4"):
        if len(line) == 2:
            (x0, y0), (x1, y1) = map(chart.value, line)
            assert (x0, y0) == pytest.approx((0.0, 0.0), abs=0.05)
            slopes.append(y1 / x1 / 1000.0)
    assert sorted(slopes) == pytest.approx([1.0e-3, 1.4e-3, 1.5e-3, 2.2e-3], rel=0.005)
    texts = [text for text, *_ in chart.words]
    assert {"oiled", "dry", "proof load 21.2 kN", "25 N·m"} <= set(texts)


def test_names_of_wedges_do_not_stand_on_each_other() -> None:
    wedges = [SurfaceWedge(name, 1.0e-3, 1.1e-3) for name in ("a", "b", "c", "d")]
    chart = Chart(torque_picture(wedges, "made", most_force=20_000))
    heights = sorted(y for text, _, y, _ in chart.words if text in "abcd")
    assert all(b - a > 3.0 for a, b in itertools.pairwise(heights))


SPOTS = tuple(
    Spot(str(n), x, y) for n, x, y in ((1, 0, 0), (2, 140, 6), (3, 150, 90), (4, 70, 110))
)


def test_the_order_is_drawn_where_the_holes_sit_with_numbers() -> None:
    order = tightening_order(SPOTS)
    drawing = order_picture(SPOTS, order, "made")
    chart = Chart.__new__(Chart)
    chart.root = ET.fromstring(drawing)  # noqa: S314 - our own drawing
    circles = [
        (float(e.get("cx", "0")), float(e.get("cy", "0"))) for e in chart.root.iter(f"{SVG}circle")
    ]
    by_name = dict(zip(order.names, circles, strict=True))
    places = {s.name: (s.x, s.y) for s in SPOTS}
    scale = (by_name["2"][0] - by_name["1"][0]) / 140.0
    assert scale > 0.0
    for name, (x, y) in places.items():
        assert by_name[name][0] - by_name["1"][0] == pytest.approx(scale * x, abs=0.01)
        assert by_name[name][1] - by_name["1"][1] == pytest.approx(-scale * y, abs=0.01)
    words = [e.text for e in chart.root.iter(f"{SVG}text")]
    for place, name in enumerate(order.names, start=1):
        at = words.index(str(place), 1 + 2 * (place - 1))
        assert words[at + 1] == name


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(RefusalError, match="above zero"):
        angle_picture(LOW, MIDDLE, HIGH, 0.0, "made")
    with pytest.raises(RefusalError, match="no surface"):
        torque_picture([], "made", most_force=1.0)
    with pytest.raises(RefusalError, match="each hole once"):
        order_picture(SPOTS[:3], tightening_order(SPOTS), "made")


def test_words_of_the_user_cannot_break_the_drawing() -> None:
    spots = (Spot("<b>", 0, 0), Spot('"&', 10, 0))
    drawing = order_picture(spots, tightening_order(spots), "a < b & c")
    assert ET.fromstring(drawing) is not None  # noqa: S314 - our own drawing
