"""The angle disc measured on its paths: 0.1°, and what it says."""

import math

import pytest

from tests.papers.measured_pdf import measured
from witnessmark.machine.model import Fastener, Joint, JointKind, SourcedTightness
from witnessmark.papers.angle_disc import RADIUS, angle_disc, wants_angle_disc
from witnessmark.papers.rendering import render_pdf
from witnessmark.quantities.threads import read_thread
from witnessmark.quantities.tightness import read_tightness

DEGREES = 0.1
PLACE = None


def made_joint(tightness: str, **more) -> Joint:
    thread = read_thread(more.pop("thread", "M12x1.5 x 80"))
    head = more.pop("head", "hex 18 mm")
    return Joint(
        id="made",
        name="made bolts",
        place=PLACE,
        kind=JointKind.BOLTS,
        holds=(),
        fasteners=(Fastener(place=PLACE, count=4, thread=thread, head=head),),
        tightness=SourcedTightness(read_tightness(tightness), "made up", PLACE),
        **more,
    )


def disc(joint: Joint):
    (sheet,) = measured(render_pdf("true-size", angle_disc(joint, "made machine")))
    (edge,) = [r for r in sheet.rounds if abs(r.diameter - 2 * RADIUS) < 0.05]
    return sheet, edge


def bearing(stroke, edge) -> float:
    """Direction of a radial line, with the clock from the top; it must point at the middle."""
    far = max((stroke.start, stroke.end), key=lambda point: math.dist(point, (edge.x, edge.y)))
    near = stroke.start if far == stroke.end else stroke.end
    found = [math.degrees(math.atan2(x - edge.x, edge.y - y)) % 360.0 for x, y in (near, far)]
    assert abs((found[0] - found[1] + 180.0) % 360.0 - 180.0) < DEGREES
    return found[1]


def thick(sheet, edge, width: float) -> list[float]:
    return [
        bearing(s, edge)
        for s in sheet.strokes
        if abs(s.width - width) < 0.02 and math.dist(s.end, (edge.x, edge.y)) <= RADIUS + 0.05
    ]


def same_angles(found, wanted) -> bool:
    return len(found) == len(wanted) and all(
        abs((a - b + 180.0) % 360.0 - 180.0) < DEGREES for a, b in zip(found, wanted, strict=True)
    )


@pytest.mark.parametrize(
    ("tightness", "ends"),
    [
        ("110 N·m + 60°", [60.0]),
        ("40 N·m + 90° + 45°", [90.0, 135.0]),
        ("20 N·m + 180° + 180° + 30°", [180.0, 360.0, 390.0]),
    ],
)
def test_start_and_stage_ends_stand_where_the_chain_puts_them(tightness, ends):
    sheet, edge = disc(made_joint(tightness))
    assert same_angles(thick(sheet, edge, 1.0), [0.0])
    assert same_angles(thick(sheet, edge, 0.8), ends)


def test_a_left_hand_thread_counts_the_other_way():
    sheet, edge = disc(made_joint("40 N·m + 90° + 45°", thread="M12x1.5 x 80 LH"))
    assert same_angles(thick(sheet, edge, 0.8), [270.0, 225.0])
    assert "against the clock (left-hand thread)" in sheet.text


def test_every_degree_has_its_mark():
    sheet, edge = disc(made_joint("110 N·m + 60°"))
    marks = sorted(
        round(bearing(s, edge), 3)
        for s in sheet.strokes
        if s.length < 10.0 and abs(max(_far(s, edge)) - RADIUS) < 0.05
    )
    assert len(marks) == 360
    nearest = sorted(mark if mark < 359.5 else mark - 360.0 for mark in marks)
    assert all(abs(mark - degree) < DEGREES for degree, mark in enumerate(nearest))


def _far(stroke, edge):
    return [math.dist(point, (edge.x, edge.y)) for point in (stroke.start, stroke.end)]


def test_the_figure_at_each_tenth_degree_stands_at_its_mark():
    sheet, edge = disc(made_joint("110 N·m + 60°"))
    for words, x, y in sheet.words:
        far = math.dist((x, y), (edge.x, edge.y))
        if words.isdigit() and abs(far - (RADIUS - 12.5)) < 1.0:
            turned = math.degrees(math.atan2(x - edge.x, edge.y - y)) % 360.0
            assert turned == pytest.approx(int(words), abs=1.0)


def test_the_smallest_ring_to_cut_clears_the_corners_of_the_head():
    sheet, edge = disc(made_joint("110 N·m + 60°", head="hex 18 mm"))
    rings = [r.diameter for r in sheet.rounds if math.dist((r.x, r.y), (edge.x, edge.y)) < 0.05]
    corners = 18.0 / math.cos(math.radians(30.0))
    assert min(rings) >= corners


def test_the_disc_says_against_what_it_is_read(gull_job):
    sheet, _ = disc(gull_job.machine.joints["crank-bolt"])
    words = " ".join(sheet.text.split())
    assert "Read the bolt head against the clamped part, never against the block" in words
    assert "110 N·m" in words
    assert "Figure: invented for the demonstration" in words


def test_the_disc_has_the_rule_of_100_mm():
    sheet, _ = disc(made_joint("110 N·m + 60°"))
    assert [s.length for s in sheet.strokes if abs(s.length - 100.0) < 1.0] == [
        pytest.approx(100.0, abs=0.05)
    ]


def test_a_torque_alone_wants_no_disc():
    joint = made_joint("25 N·m")
    assert not wants_angle_disc(joint)
    with pytest.raises(ValueError, match="no stage by angle"):
        angle_disc(joint, "made machine")
