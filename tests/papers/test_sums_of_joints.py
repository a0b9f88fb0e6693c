"""The sums of critical joints on paper: the maker's figure first, two charts, what is missing.

Expected forces come from the published formulas written out here, not from the code under
test. Friction ranges: VDI 2230 class B, oiled, 0.08 to 0.16, and class C, dry, 0.14 to 0.24
(from memory). M16x1.5, ISO 724: d2 = 15.026 mm; hexagon head ISO 4014 of 24 mm across flats
bears on 22.5 mm outside, medium hole ISO 273 of 17.5 mm.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest

from tests.papers.job_papers import printed, squeezed
from witnessmark.machine.bolting import each_bolt
from witnessmark.papers.bolt_charts import angle_chart, surface_chart
from witnessmark.papers.joint_sums import joint_sums
from witnessmark.papers.sheaf import paper_named

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def content(gull_job):
    return joint_sums(gull_job)


@pytest.fixture(scope="module")
def crank(gull_job):
    joint = gull_job.machine.joints["crank-bolt"]
    ((fastener, sums),) = each_bolt(joint)
    return joint, fastener, sums


def texts(svg: str) -> list[str]:
    return [t.text or "" for t in ET.fromstring(svg).iter(f"{SVG}text")]  # noqa: S314 - our own


def polylines(svg: str):
    for each in ET.fromstring(svg).iter(f"{SVG}polyline"):  # noqa: S314 - our own
        yield [tuple(map(float, point.split(","))) for point in each.get("points").split()]


def force_by_hand(torque: float, friction: float) -> float:
    """F = M / (P/2pi + 0.577 d2 mu + D_Km/2 mu), VDI 2230 equation for the tightening torque."""
    pitch, d2, bearing = 1.5e-3, 15.026e-3, (22.5e-3 + 17.5e-3) / 2
    return torque / (pitch / (2 * math.pi) + 0.577 * d2 * friction + bearing / 2 * friction)


def test_it_is_among_the_papers_of_a_job_with_critical_joints(gull_job, content):
    paper = paper_named(gull_job, "sums")
    assert (paper.template, paper.content) == ("sums", content)


def test_every_critical_joint_made_by_torque_stands_with_figure_source_and_surface(
    gull_job, content
):
    made = dict.fromkeys(step.object_id for step in gull_job.steps if step.tightness)
    joints = [gull_job.machine.joints[id_] for id_ in made if id_ in gull_job.machine.joints]
    wanted = [j for j in joints if j.critical and j.tightness.tightness.torque is not None]
    assert [row["name"] for row in content["joints"]] == [j.name for j in wanted]
    words = printed("sums", content)
    for joint in wanted:
        assert squeezed(f"{joint.tightness.tightness} {joint.surface}") in words
        assert squeezed(f"figure: {joint.tightness.source}") in words
    assert squeezed("a calculated torque is not a specification") in words


def test_the_band_before_the_angle_is_that_of_the_formula(content):
    """Within 1 %: the formula by hand leaves out the product of thread slope and friction."""
    (row,) = [row for row in content["joints"] if row["name"] == "crank bolt"]
    (words,) = row["clamps"]
    found = re.fullmatch(
        r"M16x1.5 10.9: clamps ([\d.]+) to ([\d.]+) kN before the angle, .*"
        r"\(friction 0.08 to 0.16\)",
        words,
    )
    low, high = (force_by_hand(110.0, friction) / 1000 for friction in (0.16, 0.08))
    assert float(found[1]) == pytest.approx(low, rel=0.01)
    assert float(found[2]) == pytest.approx(high, rel=0.01)


def test_the_surface_of_the_joint_is_named_among_the_wedges(crank):
    joint, _, sums = crank
    chart = surface_chart(sums, joint.surface, 110.0, "crank")
    words = texts(chart.svg)
    for name in ("oiled", "dry", "anti-seize", "110 N·m"):
        assert name in words
    assert "oiled" in chart.note
    other = surface_chart(sums, "my own wax", 110.0, "crank")
    assert "my own wax" in texts(other.svg)


def test_names_of_surfaces_stay_on_the_drawing(crank):
    _, _, sums = crank
    svg = surface_chart(sums, "threadlocked", 110.0, "crank").svg
    wide = float(ET.fromstring(svg).get("viewBox").split()[2])  # noqa: S314 - our own
    for each in ET.fromstring(svg).iter(f"{SVG}text"):  # noqa: S314 - our own
        if each.text == "threadlocked":
            size = float(each.get("font-size"))
            assert float(each.get("x")) + 0.58 * size * len(each.text) < wide


def test_the_angle_chart_starts_at_the_snug_forces_and_levels_off_at_yield(crank):
    joint, fastener, sums = crank
    chart = angle_chart(fastener, sums, joint.tightness.tightness, "crank")
    curves = [line for line in polylines(chart.svg) if len(line) == 3]
    assert len(curves) >= 3
    by_hand = [force_by_hand(110.0, friction) for friction in (0.16, 0.12, 0.08)]
    zero = max(line[0][1] for line in polylines(chart.svg))
    rises = sorted(zero - line[0][1] for line in curves if 0 < zero - line[0][1] < 60)
    ratio = rises[-1] / rises[0]
    assert ratio == pytest.approx(by_hand[2] / by_hand[0], rel=0.02)
    assert "aluminium" in chart.note
    assert "steel" in chart.note


def test_what_the_file_does_not_say_is_named_and_no_chart_is_drawn(crank):
    joint, fastener, sums = crank
    tightness = joint.tightness.tightness
    chart = angle_chart(replace(fastener, clamped=None), sums, tightness, "crank")
    assert chart.svg == ""
    assert chart.note == ("No angle chart: the file does not give how thick what it clamps is.")
    short = replace(fastener, clamped=Fraction(52, 1000))
    chart = angle_chart(short, sums, tightness, "crank")
    assert chart.svg == ""
    assert "does not reach through what it clamps" in chart.note


def test_a_joint_without_class_says_why_it_has_no_charts(content):
    (row,) = [row for row in content["joints"] if row["name"] == "tensioner clamp nut"]
    assert row["charts"] == []
    assert row["without"] == [
        "No charts: the file gives no class, thread or surface for this bolt."
    ]


def test_a_job_without_critical_joints_has_no_such_paper(gull_job):
    steps = tuple(step for step in gull_job.steps if step.tightness is None)
    assert joint_sums(replace(gull_job, steps=steps)) is None
