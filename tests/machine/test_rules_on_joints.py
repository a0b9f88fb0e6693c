"""How tight, which hand, in which order, how long."""

from __future__ import annotations

import pytest

from tests.machine.written import check_text

JOINT = """
viewpoint: facing the pulley end
parts: {{frame: {{fixed: true}}, cover: {{}}}}
joints:
  screws:
    holds: [cover]
    to: frame
    {0}
"""


def codes_of(*lines: str) -> list[str]:
    return [found.code for found in check_text(JOINT.format("\n    ".join(lines)))]


@pytest.mark.parametrize("how", ["9 N·m", "seated", "clicked", "hand-tight", "60 N·m + 90°"])
def test_a_torque_or_a_final_word_is_a_tightness(how: str) -> None:
    assert codes_of("kind: bolts", f"tightness: {how}") == []


def test_finger_tight_is_not_final() -> None:
    assert "unreadable-quantity" in codes_of("kind: bolts", "tightness: finger-tight")


def test_passes_without_a_tightness_end_at_the_last_one() -> None:
    assert codes_of("kind: bolts", "stages: [5 N·m, 9 N·m]") == []


def test_passes_of_torque_may_be_followed_by_the_angle_of_the_whole() -> None:
    assert codes_of("kind: bolts", "stages: [20 N·m, 40 N·m]", "tightness: 40 N·m + 90°") == []
    assert codes_of("kind: bolts", "stages: [20 N·m]", "tightness: seated") == [
        "stages-end-elsewhere"
    ]


def test_a_hand_is_only_asked_of_what_screws_on() -> None:
    assert codes_of("kind: clips", "tightness: clicked") == []
    assert codes_of("kind: screw-on", "tightness: seated", "hand: left") == []
    assert codes_of("kind: screw-on", "tightness: seated") == ["no-thread-hand"]


def test_what_is_used_once_needs_a_number_not_only_a_price() -> None:
    lines = ("kind: bolts", "tightness: 9 N·m", "single_use: true")
    assert codes_of(*lines, "price: 2.10") == ["no-part-line"]
    assert codes_of(*lines, "number: A-1") == []


@pytest.mark.parametrize(
    ("fastener", "expected"),
    [
        ("{thread: M8 x 30, clamped: 12 mm, hole_depth: 18 mm}", []),
        ("{thread: M8 x 30, clamped: 12 mm, hole_depth: 17.9 mm}", ["bolt-bottoms"]),
        ("{thread: M8 x 30, clamped: 12 mm, hole_depth: 9 mm, blind: false}", []),
        ("{thread: M8 x 30, clamped: 30 mm}", ["bolt-too-short"]),
        ("{thread: M8 x 30, hole_depth: 28 mm}", ["bolt-bottoms"]),
        ("{thread: M8, clamped: 30 mm, hole_depth: 5 mm}", []),
        ("{thread: M8 x 30, hole_thread: M8x1.25}", []),
        ("{thread: M8 x 30, hole_thread: M8x1}", ["thread-clash"]),
        ("{thread: M8 x 30, hole_thread: M8 LH}", ["thread-clash"]),
        ("{thread: 5/16-18 UNC, hole_thread: M8}", ["thread-clash"]),
        ("{thread: 3/8-16 UNC x 1 1/4, clamped: 20 mm, hole_depth: 11 mm}", ["bolt-bottoms"]),
        ("{thread: 3/8-16 UNC x 1 1/4, clamped: 20 mm, hole_depth: 12 mm}", []),
    ],
)
def test_a_bolt_suits_its_hole(fastener: str, expected: list[str]) -> None:
    assert codes_of("kind: bolts", "tightness: 9 N·m", f"fasteners: [{fastener}]") == expected


def test_an_order_names_every_hole_once() -> None:
    holes = "fasteners: [{hole: 1}, {hole: 2}, {hole: 3}]"
    both = ("kind: bolts", "tightness: 9 N·m", holes)
    assert codes_of(*both, "order: [2, 1, 3]", "slackening: reverse") == []
    assert codes_of(*both, "order: spiral", "slackening: [3, 1, 2]") == []
    assert codes_of(*both, "order: [2, 1]") == ["hole-left-out"]
    assert codes_of(*both, "order: [2, 1, 3, 3]") == ["hole-twice"]
    assert codes_of(*both, "order: [2, 1, 3, 4]") == ["unknown-hole"]
    assert codes_of(*both, "order: zigzag") == ["unknown-word"]
