"""What machines look like: how deep they are, and how much there is to choose."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchmarks.machines import Family, machine
from benchmarks.shapes import demonstration, depths, middle, shape_of
from tests.planning.small_problems import machine as small
from tests.planning.small_problems import way

HOSE = small(
    guard=way(1),
    belt=[way(5, needs="guard"), way(20)],
    clip=[way(1, needs="hose"), way(2, needs="belt", while_fitted="guard")],
    hose=way(3, needs="clip"),
    goals="hose",
)


def test_depth_counts_what_must_come_off_one_after_another_the_shortest_way():
    assert depths(HOSE) == {0: 1, 1: 1, 2: 2, 3: 3}


def test_a_shape_tells_depth_and_shares():
    shape = shape_of("hose", HOSE)
    assert (shape.openings, shape.depth_most, shape.goal_depth) == (4, 3, 3)
    assert shape.ways == 6 / 4
    assert (shape.several_ways, shape.rooms) == (50, 0)
    assert shape.while_fitted == pytest.approx(100 / 6)
    assert shape.chosen == 75


def test_the_middle_of_shapes_is_taken_figure_by_figure():
    one = shape_of("hose", HOSE)
    shapes = [replace(one, goal_depth=depth, ways=10 - depth) for depth in (1, 9, 4)]
    assert middle("three", shapes) == replace(one, name="three", goal_depth=4, ways=6)


def test_the_machines_of_the_demonstration_are_measured():
    shapes = demonstration()
    assert len(shapes) == 3
    assert all(1 < shape.goal_depth <= shape.depth_most <= shape.openings for shape in shapes)


def test_machines_grown_the_two_ways_differ_once_there_are_many_zones():
    for size, same in ((100, True), (1_000, False)):
        wide, deep = (machine(size, family, 2) for family in (Family.REALISTIC, Family.DEEPER))
        assert (wide == deep) is same
