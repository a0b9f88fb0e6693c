"""What is told about fastening at a step: clamp force, wrench, hand, holder, cautions."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from tests.machine.written import machine_from
from witnessmark.engineering.fastening.witness_marks import SHAPES, witness_mark
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.model import Machine, Place
from witnessmark.machine.workshop import Adapter, Workshop, Wrench
from witnessmark.planning.fastening_step import (
    HOLD_IT,
    FasteningText,
    fastening_text,
    hand_text,
    held_while_undone,
    slackening_text,
)
from witnessmark.planning.kit import unserved
from witnessmark.quantities.units import BY_NAME

PLACE = Place("w.yaml", 1, 1)
WRENCHES = (
    Wrench("click", "click wrench", PLACE, Fraction(10), Fraction(60)),
    Wrench("dial", "dial wrench", PLACE, Fraction(2), Fraction(20), shows_value=True),
)
WORKSHOP = Workshop("trial", "w.yaml", wrenches=WRENCHES)
FILE = """
parts: {{frame: {{fixed: true}}, cover: {{}}}}
joints:
  screws:
    kind: bolts
    holds: [cover]
    to: frame
    {0}
    out: {{strip: 1 min, refit: 1 min{1}}}
"""
M8 = "fasteners: [{thread: M8 x 30, class: 8.8}]"


def machine(*lines: str, way: str = "", after: str = "") -> Machine:
    return machine_from(FILE.format("\n    ".join(lines), way) + after)


def told(*lines: str, way: str = "", after: str = "") -> FasteningText:
    whole = machine(*lines, way=way, after=after)
    joint = whole.joints["screws"]
    return fastening_text(joint, joint.openings[-1].ways[0], whole, WORKSHOP)


def clamp_by_hand(torque: float, friction: float) -> float:
    """M8 under a hexagon head: VDI 2230, T = F (0.16 P + 0.58 d2 mu + Dkm/2 mu).

    Sizes from memory of ISO 724, ISO 4014 and ISO 273: P 1.25, d2 7.188, dw 11.63, dh 9 mm.
    """
    lever = 0.16 * 1.25 + 0.58 * 7.188 * friction + (11.63 + 9.0) / 4 * friction
    return torque / (lever / 1000)


def test_the_clamp_band_runs_over_the_friction_of_the_surface() -> None:
    (clamp,) = told(M8, "tightness: 25 N·m", "surface: dry").clamps
    assert clamp.low == pytest.approx(clamp_by_hand(25, 0.24), rel=0.01)
    assert clamp.high == pytest.approx(clamp_by_hand(25, 0.14), rel=0.01)
    assert clamp.low < clamp.nominal < clamp.high
    # ISO 898-1, proof load of M8 class 8.8.
    assert clamp.proof_load == pytest.approx(21_200, rel=0.005)


def test_every_size_is_told_once() -> None:
    mixed = (
        "fasteners: [{thread: M8 x 30, class: 8.8}, {thread: M8 x 50, class: 8.8}, "
        "{thread: M6 x 20, class: 8.8}]"
    )
    bolts = [c.bolt for c in told(mixed, "tightness: 9 N·m", "surface: dry").clamps]
    assert bolts == ["M8x1.25 8.8", "M6x1 8.8"]


@pytest.mark.parametrize(
    "lines",
    [
        (M8, "tightness: 25 N·m"),
        (M8, "tightness: 25 N·m", "surface: sealed"),
        ("fasteners: [{thread: M8}]", "tightness: 25 N·m", "surface: dry"),
        (M8, "tightness: seated", "surface: dry"),
    ],
)
def test_no_clamp_force_is_guessed(lines: tuple[str, ...]) -> None:
    assert told(*lines).clamps == ()


def test_before_an_angle_the_force_is_only_where_the_angle_begins() -> None:
    (clamp,) = told(M8, "tightness: 20 N·m + 90°", "surface: oiled").clamps
    assert "kN before the angle" in str(clamp)


def test_the_wrench_is_named_with_its_setting_in_newton_metres() -> None:
    found = told(M8, "tightness: 18 lbf·ft")
    assert found.wrench == "click wrench"
    assert found.setting is not None
    assert found.setting.unit is BY_NAME["N·m"]
    assert float(found.setting.si) == pytest.approx(24.405, abs=0.001)


def test_no_wrench_no_setting() -> None:
    found = told(M8, "tightness: 70 N·m")
    assert (found.wrench, found.setting) == (None, None)
    assert found.no_wrench == (
        "click wrench: 70 N·m is above its 60 N·m; dial wrench: 70 N·m is above its 20 N·m"
    )
    assert f"no wrench here serves it: {found.no_wrench}" in found.lines


CROWFOOT = Adapter("crow", "crowfoot 13 mm", PLACE, Fraction(1, 20))
LONG = Wrench(
    "long", "long wrench", PLACE, Fraction(10), Fraction(90), length=Fraction(2, 5),
    checked="2026-03-02",
)  # fmt: skip


def test_the_setting_with_the_chosen_adapter_stands_on_the_step() -> None:
    whole = machine(M8, "tightness: 27 N·m", way=", aids: [crowfoot 13 mm]")
    joint = whole.joints["screws"]
    workshop = Workshop("trial", "w.yaml", wrenches=(LONG,), adapters=(CROWFOOT,))
    found = fastening_text(joint, joint.openings[-1].ways[0], whole, workshop)
    # NAVEDTRA 14315: 27 x 400/(400 + 50) = 24 exactly.
    assert found.setting is not None
    assert float(found.setting.si) == pytest.approx(24.0, rel=1e-9)
    assert "long wrench with crowfoot 13 mm, set 24 N·m; check due 2027-03-02" in found.lines
    late = fastening_text(joint, joint.openings[-1].ways[0], whole, workshop, day=date(2027, 3, 3))
    assert late.wrench is None
    assert late.no_wrench == "long wrench: its check was due 2027-03-02"


def test_a_hand_is_an_arrow_with_a_viewpoint() -> None:
    screw_on = machine("hand: left", "viewpoint: from below", "tightness: seated")
    joint = screw_on.joints["screws"]
    assert hand_text(joint, loosen=False) == (
        "↺ anticlockwise tightens, seen from below (left-hand thread)"
    )
    assert hand_text(joint, loosen=True).startswith("↻ clockwise loosens")
    right = machine("tightness: seated").joints["screws"]
    assert hand_text(right, loosen=False).startswith("↻ clockwise tightens, seen from the head")
    assert hand_text(right, loosen=True).startswith("↺ anticlockwise loosens")


def test_a_left_hand_bolt_says_so_and_a_right_hand_one_does_not() -> None:
    left = told("fasteners: [{thread: M8 LH}]", "tightness: 25 N·m")
    assert left.hand is not None
    assert "left-hand" in left.hand
    assert left.hand in left.lines
    right = told(M8, "tightness: 25 N·m")
    assert right.hand is not None
    assert "right-hand" in right.hand
    assert right.hand not in right.lines


def test_at_a_critical_joint_the_hand_is_always_printed() -> None:
    found = told(M8, "tightness: 25 N·m", "critical: true")
    assert found.hand in found.lines


def test_the_mark_of_the_job_is_the_last_act() -> None:
    whole = machine(M8, "tightness: 25 N·m")
    joint = whole.joints["screws"]
    way = joint.openings[-1].ways[0]
    marked = fastening_text(joint, way, whole, WORKSHOP, mark=witness_mark("Yellow"))
    assert marked.lines[-1] == "mark it last: yellow, two strokes"
    assert told(M8, "tightness: 25 N·m").mark is None


def test_every_colour_of_mark_has_a_shape_of_its_own() -> None:
    assert len(set(SHAPES.values())) == len(SHAPES)
    with pytest.raises(RefusalError, match="choose white, yellow"):
        witness_mark("mauve")


def test_a_holder_holds_the_shaft_and_a_pin_never_does() -> None:
    crank = ("role: crank", "tightness: 25 N·m")
    assert told(*crank).holder == HOLD_IT
    assert told("tightness: 25 N·m").holder is None
    held = told(*crank, way=", aids: [crank holder, chalk]").holder
    assert held == "held by crank holder, never by a timing pin"


def test_a_holder_that_is_set_up_is_named() -> None:
    holder = (
        "temporary:\n  bar: {name: flywheel bar, kind: holder, "
        "fitted: {strip: 1 min, refit: 1 min}}\n"
    )
    found = told("role: crank", "tightness: 25 N·m", way=", needs: [bar fitted]", after=holder)
    assert found.holder == "held by flywheel bar, never by a timing pin"


def test_what_is_held_on_a_tensioner_is_a_setting_on_a_wrench_that_shows_it() -> None:
    run = (
        "runs:\n  drive: {{belt: cover, "
        "tensioner: {{kind: swinging, clamp: screws, setting: {} N·m}}}}\n"
    )
    assert told("tightness: 25 N·m", after=run.format(12)).tensioner == (
        "hold 12 N·m on the tensioner meanwhile: a setting, not a tightness (dial wrench)"
    )
    none = told("tightness: 25 N·m", after=run.format(40)).tensioner
    assert none is not None
    assert "no wrench here shows its value" in none


def said(*lines: str) -> str:
    return " ".join(told(*lines).cautions)


def test_cautions_stand_where_they_matter() -> None:
    assert said(M8, "role: cover", "tightness: 25 N·m", "surface: dry") == ""
    brake = said(M8, "role: brake", "tightness: 25 N·m", "surface: dry")
    assert "overloads the bolt" in brake
    assert "impact tool" in brake
    assert "overloads" not in said(M8, "role: brake", "tightness: 25 N·m", "surface: oiled")


def test_a_stretched_bolt_that_is_used_again_gets_its_caution() -> None:
    angled = (M8, "tightness: 20 N·m + 90°")
    assert "longer and weaker" in said(*angled)
    assert "longer" not in said(*angled, "single_use: true", "number: A-1")


def test_a_size_table_figure_says_so_everywhere() -> None:
    figure = "tightness: {is: 25 N·m, source: size table by J. Moss}"
    assert "Size table, not the maker's." in said(M8, "role: bracket", figure)


def test_a_torque_that_no_wrench_serves_is_warned_of() -> None:
    from types import SimpleNamespace as Bag

    from witnessmark.quantities.reading import Quantity

    torque = Quantity(Fraction(250), BY_NAME["N·m"])
    needs = (
        Bag(torque=torque, joints=("hub nut",), wrenches=(), adapter=None, why_none=None),
        Bag(torque=torque, joints=("a",), wrenches=("x",), adapter=None, why_none=None),
    )
    assert unserved(Bag(torques=needs)) == ("no wrench here serves 250 N·m (hub nut)",)


def test_an_impact_tool_named_at_any_joint_is_warned_of() -> None:
    plain = machine(M8, "role: cover", "tightness: 25 N·m", way=", tool: impact wrench")
    joint = plain.joints["screws"]
    found = fastening_text(joint, joint.openings[-1].ways[0], plain, WORKSHOP)
    assert any("fourfold" in words for words in found.cautions)


def test_while_a_shaft_bolt_is_undone_the_shaft_is_held_too() -> None:
    crank = machine(M8, "role: crank", "tightness: 25 N·m", way=", aids: [crank holder]")
    joint = crank.joints["screws"]
    way = joint.openings[-1].ways[0]
    assert held_while_undone(joint, way, crank) == "held by crank holder, never by a timing pin"
    cover = machine(M8, "role: cover", "tightness: 25 N·m").joints["screws"]
    assert held_while_undone(cover, cover.openings[-1].ways[0], crank) is None


@pytest.mark.parametrize(
    ("head", "face", "standard"),
    [
        # Bearing faces from memory of the standards named: DIN 6921 M10 19.6 mm, EN 1662 M8
        # 14.9 mm, ISO 4762 M8 12.33 mm, ISO 4014 M8 11.63 and M10 14.63 mm; ISO 273 holes.
        ("M10 hex 15 mm", 19.6, "DIN 6921"),
        ("M8 hex 10 mm", 14.9, "EN 1662"),
        ("M8 socket 6 mm", 12.33, "ISO 4762"),
        ("M8 hex 13 mm", 11.63, None),
        ("M8 hex 99 mm", 11.63, None),
        ("M8 flange hex 13 mm", 15.8, "EN 1665"),
        ("M10 hexalobular", 14.63, None),
    ],
)
def test_the_head_of_the_file_is_the_one_that_bears(
    head: str, face: float, standard: str | None
) -> None:
    thread, _, words = head.partition(" ")
    (clamp,) = told(
        f"fasteners: [{{thread: {thread}, class: 8.8, head: {words}}}]",
        "tightness: 25 N·m",
        "surface: dry",
    ).clamps
    pitch, diameter, hole = {"M8": (1.25, 7.188, 9.0), "M10": (1.5, 9.026, 11.0)}[thread]
    lever = 0.16 * pitch + 0.58 * diameter * 0.14 + (face + hole) / 4 * 0.14
    assert clamp.high == pytest.approx(25 / (lever / 1000), rel=0.002)
    assert (standard is not None) is (" head" in clamp.friction)
    assert standard is None or standard in clamp.friction


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("reverse", "slacken in the reverse order, a little at a time"),
        ("cross", "slacken across and across, a little at a time"),
        ("[2, 1]", "slacken in the order 2 1"),
    ],
)
def test_the_order_of_slackening_is_said_before_the_bolts_come_out(
    written: str, words: str
) -> None:
    two = "fasteners: [{hole: 1, thread: M8}, {hole: 2, thread: M8}]"
    joint = machine(two, "tightness: 25 N·m", f"slackening: {written}").joints["screws"]
    assert slackening_text(joint) == words
    assert slackening_text(machine(two, "tightness: 25 N·m").joints["screws"]) is None
