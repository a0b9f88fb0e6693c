"""Compiling: works and their steps, places, tools, people, rooms, money and risk."""

# ruff: noqa: E501 - in the machine files below one thing stands on one line

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.procedure.bench_helpers import (
    WORKSHOP,
    block_of,
    compiled_of,
    machine_of,
    planned,
    refusals,
)
from witnessmark.procedure.compile import CompileError, compile_problem
from witnessmark.procedure.problem import ANYWHERE, BARE_HANDS, GROUND
from witnessmark.procedure.tools import plain_tool, tool_for_head, tools_of

SHOP = """\
parts:
  lid: {name: lid, off: {strip: 1 min, refit: 1 min}}
  gland: {name: gland, trapped_by: [lid]}
  filter: {name: filter, off: {strip: 1 min, refit: 1 min}}
  wheel: {name: wheel, off: {strip: 1 min, refit: 1 min}}
works:
  big:
    name: big
    goals: [lid off]
    calls: [small, other]
    steps:
      first: {text: first, needs: [lid], time: 2 min, people: 2, position: front, tool: pliers}
      second: {text: second, after: [first], before: [lid off], time: 1 min}
  small:
    name: small
    goals: [filter]
    renews: [filter, gland]
    calls: [other]
    steps:
      third: {text: third, time: 1 min, tool: hands}
  other: {name: other, goals: [wheel off], calls: [small]}
"""


def test_called_works_come_along_and_each_is_done_once():
    compiled = compiled_of(SHOP, "big")
    assert [work.id for work in compiled.works] == ["big", "small", "other"]
    assert [block.id for block in compiled.problem.blocks] == [
        "big/first",
        "big/second",
        "small/third",
    ]


def test_works_asked_for_together_share_what_they_share():
    assert compiled_of(SHOP, "small", "big", "small").works == tuple(
        compiled_of(SHOP, "small").machine.works[id_] for id_ in ("small", "big", "other")
    )


def test_goals_are_what_the_works_want_and_what_they_renew():
    compiled = compiled_of(SHOP, "big")
    problem = compiled.problem
    assert {problem.fact_id(fact) for fact in problem.goals} == {
        "lid off",
        "filter off",
        "wheel off",
    }
    asked = {(goal.work, goal.why, problem.fact_id(goal.fact)) for goal in compiled.goals}
    assert ("small", "goal", "filter off") in asked
    assert ("small", "renewed", "filter off") in asked
    # The gland has no way of its own: it comes loose with what traps it.
    assert ("small", "renewed", "lid off") in asked


def test_a_step_counts_everybody_and_keeps_its_place_tool_and_order():
    problem = compiled_of(SHOP, "big").problem
    first, second, third = problem.blocks
    assert first.cost == 40
    assert problem.changeovers.positions[first.position] == "front"
    assert problem.changeovers.tools[first.tool] == "pliers"
    assert (second.after, second.position, second.tool) == ((0,), ANYWHERE, ANYWHERE)
    assert third.tool == BARE_HANDS


def test_a_steps_needs_and_befores_are_kept():
    compiled = compiled_of(SHOP, "big")
    assert block_of(compiled, "big/first") == ({"lid off"}, set())
    assert block_of(compiled, "big/second") == (set(), {"lid off"})
    assert compiled.blocks[0].work.id == "big"
    assert compiled.blocks[0].step.id == "first"


def test_a_work_nobody_described_is_refused_with_the_nearest():
    with pytest.raises(CompileError) as refused:
        compiled_of(SHOP, "smal")
    assert str(refused.value) == (
        "rig.yaml:1:1: plan-unknown-work: there is no work 'smal': did you mean 'small'?"
    )


def test_a_step_after_no_step_is_refused():
    machine = machine_of(SHOP)
    work = machine.works["big"]
    unknown = replace(work.steps[1].after[0], id="frist")
    steps = (work.steps[0], replace(work.steps[1], after=(unknown,)))
    broken = replace(machine, works={**machine.works, "big": replace(work, steps=steps)})
    with pytest.raises(CompileError) as refused:
        compile_problem(broken, ["big"], WORKSHOP)
    (complaint,) = refused.value.complaints
    assert (complaint.code, complaint.what, complaint.to_do) == (
        "plan-unknown-step",
        "'second' comes after 'frist', which is no step of 'big'",
        "did you mean 'first'?",
    )


# Places and tools

PLACES = """\
parts:
  lid: {{name: lid, off: {{strip: 1 min, refit: 1 min, {way}}}}}
  plate: {{name: plate, off: {{strip: 1 min, refit: 1 min, position: under}}}}
joints:
  screws:
    kind: bolts
    holds: [lid]
    tightness: 9 N·m
    fasteners:
      - {{count: 2, thread: M6x1 x 20, head: hex socket 5 mm}}
      - {{count: 3, thread: M6x1 x 20, head: hex 10 mm}}
    out: {{strip: 1 min, refit: 1 min{joint}}}
works:
  lid: {{name: lid, goals: [lid off, plate off]}}
"""


def places(way: str = "position: front", joint: str = ""):
    return PLACES.format(way=way, joint=joint)


def test_a_visit_starts_on_the_ground_and_positions_follow_in_the_order_of_the_file():
    positions = compiled_of(places()).problem.changeovers.positions
    assert positions == ("on the ground", "front", "under")
    assert positions[GROUND] == WORKSHOP.first_position


def test_moves_are_the_workshops_either_way_round_and_otherwise_its_common_figure():
    workshop = replace(
        WORKSHOP, moves={"front": {"under": 20}, "on the ground": {"front": 5}}, position_change=11
    )
    compiled = compiled_of(places(), workshop=workshop)
    assert compiled.problem.changeovers.matrix == ((0, 5, 11), (5, 0, 20), (11, 20, 0))
    assert compiled.problem.changeovers.tool_change == WORKSHOP.tool_change


def test_a_position_named_as_the_workshops_first_is_the_ground():
    workshop = replace(WORKSHOP, first_position="front")
    problem = compiled_of(places(), workshop=workshop).problem
    assert problem.changeovers.positions == ("front", "under")
    assert problem.openings[0].ways[0].position == GROUND


def test_a_joints_tool_is_that_of_most_of_its_heads():
    compiled = compiled_of(places())
    way = compiled.problem.openings[compiled.index["screws", "out"]].ways[0]
    assert compiled.problem.changeovers.tools[way.tool] == "socket 10 mm"
    assert compiled.openings[compiled.index["screws", "out"]].ways[0].tool == "socket 10 mm"
    assert tools_of(compiled.machine.joints["screws"]) == ("socket 10 mm", "key 5 mm")


def test_a_tool_that_is_named_wins():
    compiled = compiled_of(places(joint=", tool: spanner  10 mm"))
    way = compiled.problem.openings[compiled.index["screws", "out"]].ways[0]
    assert compiled.problem.changeovers.tools[way.tool] == "spanner 10 mm"


def test_hands_are_the_bare_hands_and_no_tool_is_whatever_is_in_them():
    by_hand = compiled_of(places(way="tool: by hand"))
    assert by_hand.problem.openings[0].ways[0].tool == BARE_HANDS
    assert compiled_of(places()).problem.openings[0].ways[0].tool == ANYWHERE


@pytest.mark.parametrize(
    ("head", "tool"),
    [
        ("hex 10 mm", "socket 10 mm"),
        ("Hex 3/8 in", "socket 3/8 in"),
        ("12-point 14 mm", "socket 14 mm"),
        ("hex socket 6 mm", "key 6 mm"),
        ("internal hex 8 mm", "key 8 mm"),
        ("star T30", "star bit T30"),
        ("hexalobular T25", "star bit T25"),
        ("external star E10", "star socket E10"),
        ("spline M10", "bit M10"),
        ("square 10 mm", "bit 10 mm"),
        ("slot", "screwdriver"),
        ("cross 2", "screwdriver 2"),
        ("wing", "bare hands"),
        ("three-lobed 4", "driver for three-lobed 4"),
    ],
)
def test_heads_and_the_tools_that_fit_them(head: str, tool: str):
    assert tool_for_head(head) == tool


def test_one_tool_has_one_spelling():
    assert plain_tool("socket   10  mm") == "socket 10 mm"
    assert plain_tool("Hands") == "bare hands"


# Minutes, people, money and risk

WAY = """\
parts:
  lid: {{name: lid, off: {{ways: {{left: {{strip: 3 min, refit: 4 min{left}}}, right: {{strip: 9 min, refit: 9 min}}}}}}}}
  clip: {{name: clip, price: 2.50}}
  gasket: {{name: gasket, number: G-1}}
works:
  lid: {{name: lid, goals: [lid off]}}
"""  # fmt: skip


def left_way(text: str, **shop: object):
    compiled = compiled_of(WAY.format(left=text), workshop=replace(WORKSHOP, **shop))
    return compiled, compiled.problem.openings[0].ways[0]


def test_ways_keep_their_names_and_minutes():
    compiled, way = left_way("")
    assert [(w.id, w.strip, w.refit) for w in compiled.problem.openings[0].ways] == [
        ("left", 30, 40),
        ("right", 90, 90),
    ]
    assert [w.id for w in compiled.openings[0].ways] == ["left", "right"]
    assert way.spoils == 0


def test_two_people_count_twice_and_waits_do_not_count():
    _, way = left_way(", people: 2, wait_strip: 30 min, wait_refit: 1 h")
    assert (way.strip, way.refit) == (60, 80)


def test_spoilt_parts_are_turned_into_tenths_at_the_workshops_rate_and_rounded_up():
    # 2.50 at 54 an hour: 2.50 / 54 h = 27.78 tenths of a minute, so 28.
    _, way = left_way(", spoils: {clip: always}", rate_per_hour=Fraction(54))
    assert way.spoils == 28
    _, whole = left_way(", spoils: {clip: maybe}", rate_per_hour=Fraction(50))
    assert whole.spoils == 30  # exactly: nothing to round


def test_a_part_without_a_price_counts_nothing_and_is_named():
    compiled, way = left_way(", spoils: {clip: always, gasket: always}")
    assert way.spoils == 25
    assert compiled.unpriced == ("gasket",)


def test_without_a_rate_money_buys_no_time():
    _, way = left_way(", spoils: {clip: always}", rate_per_hour=Fraction(0))
    assert way.spoils == 0


def test_a_risk_counts_the_minutes_the_workshop_gives_its_word():
    _compiled, way = left_way(", risk: may shear", risk_minutes={"may shear": 60})
    assert way.spoils == 60
    assert compiled_of(WAY.format(left=", risk: may crack")).problem.openings[0].ways[0].spoils == 0


# Rooms

ROOM = """\
parts:
  frame: {{name: frame, fixed: true}}
  fan: {{name: fan, off: {{strip: 1 min, refit: 1 min}}}}
  pipe: {{name: pipe, moved: {{strip: 1 min, refit: 1 min}}}}
  pump: {{name: pump, off: {{ways: {{above: {{strip: 6 min, refit: 8 min{people}}}, below: {{strip: 9 min, refit: 9 min}}}}}}}}
assemblies:
  pack: {{name: pack, parts: [fan, frame], off: {{strip: 3 min, refit: 3 min}}}}
rooms:
  room:
    name: room
    for: pump off
    {way}
    made_by:
      fan: {{strip: 2 min, refit: 3 min}}
      pipe moved: {{strip: {pipe}, refit: 0 min}}
works:
  pump: {{name: pump, goals: [pump off]}}
"""  # fmt: skip


def room(*, people: str = "", way: str = "way: above", pipe: str = "1 min"):
    return compiled_of(ROOM.format(people=people, way=way, pipe=pipe))


def named_room(compiled, way: int):
    pump = compiled.problem.openings[compiled.index["pump", "off"]]
    return [
        (
            r.id,
            *({compiled.problem.openings[p].id: s for p, s in side} for side in (r.strip, r.refit)),
        )
        for r in pump.ways[way].rooms
    ]


def test_a_room_is_made_by_a_removal_or_by_an_assembly_that_carries_it_off():
    above = named_room(room(), 0)
    assert above == [
        ("room", {"fan off": 20, "pack off": 20, "pipe moved": 10}, {"fan off": 30, "pack off": 30})
    ]
    assert named_room(room(), 1) == []


def test_a_room_for_every_way_is_made_for_every_way():
    compiled = room(way="# every way")
    assert named_room(compiled, 0) == named_room(compiled, 1) != []


def test_two_people_are_both_saved_the_time():
    assert named_room(room(people=", people: 2"), 0)[0][1]["fan off"] == 40


def test_removals_that_only_make_room_are_compiled_so_that_they_can_be_weighed():
    assert ("pipe", "moved") in room().index


def test_a_room_that_saves_more_than_its_job_takes_is_refused():
    with pytest.raises(CompileError) as refused:
        room(pipe="7 min")
    (complaint,) = refused.value.complaints
    assert (complaint.code, complaint.what, complaint.to_do) == (
        "plan-saving-too-large",
        "the rooms made for 'pump off' save more than its strip takes by 'above'",
        "no removal saves more time than the job takes",
    )


def test_a_planned_job_with_a_room_replays():
    compiled = room()
    assert refusals(compiled, planned(compiled)) == []
