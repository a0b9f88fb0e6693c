"""Which bolts of a joint, as its file gives them, must not change holes."""

from __future__ import annotations

from tests.machine.written import machine_from
from witnessmark.machine.model import Joint
from witnessmark.machine.swapping import group_swaps, is_mixed, mixed_groups

FILE = """
parts: {{frame: {{fixed: true}}, cover: {{}}}}
joints:
  screws:
    kind: bolts
    holds: [cover]
    to: frame
    tightness: seated
    fasteners: [{0}]
"""
SHORT = "{{hole: {}, thread: M8 x 25, clamped: 10 mm, hole_depth: 18 mm}}"
LONG = "{{hole: {}, thread: M8 x 37, clamped: 22 mm, hole_depth: 18 mm}}"


def joint(*fasteners: str) -> Joint:
    return machine_from(FILE.format(", ".join(fasteners))).joints["screws"]


def test_a_long_bolt_in_a_short_hole_bottoms_and_says_by_how_much() -> None:
    # 37 mm long, 10 mm clamped, 18 mm deep: 37 - 10 - 18 = 9 mm early.
    group = group_swaps(joint(SHORT.format(1), SHORT.format(2), LONG.format(7)))
    assert set(group.report.dangerous_swaps) == {("1", "7"), ("2", "7")}
    assert group.report.harmless_swaps == (("1", "2"),)
    assert group.report.mark_first == ("7",)
    assert group.report.left_after == (0,)
    why = " ".join(group.why("1", "7"))
    assert "12 mm too long in hole 1: bottoms 9 mm early, nothing clamped" in why
    # 25 - 22 = 3 mm of thread where M8 wants 8.
    assert "12 mm too short in hole 7: only 3 mm of thread in use, 8 mm needed" in why


def test_each_danger_is_told_once_for_all_its_holes() -> None:
    group = group_swaps(joint(SHORT.format(1), SHORT.format(2), LONG.format(7)))
    assert [(size, holes) for size, holes, _ in group.dangers()] == [
        ("M8x1.25 x 37", ("1", "2")),
        ("M8x1.25 x 25", ("7",)),
    ]


def test_another_pitch_jams() -> None:
    fine = "{hole: 2, thread: M8x1 x 25, clamped: 10 mm, hole_depth: 18 mm}"
    group = group_swaps(joint(SHORT.format(1), fine))
    assert "jams or strips" in group.why("1", "2")[0]


def test_a_through_hole_does_not_bottom() -> None:
    through = SHORT.format(1).replace("}", ", blind: false}")
    group = group_swaps(joint(through, LONG.format(2)))
    assert all("bottoms" not in words for words in group.why("1", "2"))


def test_what_the_file_does_not_say_is_not_judged() -> None:
    group = group_swaps(joint(SHORT.format(1), "{hole: 2, thread: M8 x 40}"))
    assert group.left_out == ("hole 2: clamped and hole_depth not given",)
    assert group.report.dangerous_swaps == ()


def test_alike_bolts_are_counted_one_by_one_and_are_not_mixed() -> None:
    four = joint("{count: 4, thread: M8 x 25, clamped: 10 mm, hole_depth: 18 mm}")
    assert not is_mixed(four)
    report = group_swaps(four).report
    assert len(report.harmless_swaps) == 6
    assert report.dangerous_swaps == ()


def test_only_joints_of_several_lengths_or_threads_are_mixed() -> None:
    machine = machine_from(FILE.format(f"{SHORT.format(1)}, {LONG.format(2)}"))
    assert [each.id for each in mixed_groups(machine)] == ["screws"]
