"""Circuits can be drained and filled; no room saves more than there is to save."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations


def test_a_circuit_no_joint_opens_needs_neither_drain_nor_fill(said):
    """
    circuits: {oil: {fluid: oil, capacity: 4 L, stays_behind: 0.2 L}}
    """
    assert said == []


def test_a_circuit_with_drain_and_fill_is_in_order(said):
    """
    parts: {frame: {fixed: true}, hose: {}}
    joints:
      end: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [coolant]}
    circuits:
      coolant:
        fluid: coolant
        drain: tap below the radiator
        cap: plug in the hose
        fill: slowly at the header tank
        check: level when cold
        drained: {strip: 5 min, refit: 9 min}
    """
    assert said == []


def test_air_is_relieved_and_neither_drained_nor_filled(said):
    """
    parts: {frame: {fixed: true}, pipe: {}}
    joints:
      union: {kind: hose-end, holds: [pipe], to: frame, tightness: 30 N·m, opens: [air]}
    circuits:
      air: {fluid: air, refilled: false, cap: caps, check: soap, relieved: {strip: 2 min, refit: 0 min}}
    """
    assert said == []


def test_a_joint_above_the_level_may_be_opened_when_only_relieved(codes):
    """
    parts: {frame: {fixed: true}, hose: {}}
    joints:
      high: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [coolant]}
      low: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [coolant]}
    circuits:
      coolant:
        fluid: coolant
        level: 400 mm
        heights: {high: 400 mm, low: 399 mm}
        cap: plug in the hose
        fill: at the header tank
        check: level when cold
        relieved: {strip: 5 min, refit: 9 min}
    """
    assert codes == ["only-relieved"]


def test_the_lower_a_joint_lies_the_more_comes_out_below_it(codes):
    """
    parts: {frame: {fixed: true}, hose: {}}
    joints:
      high: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [water]}
      middle: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [water]}
      low: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [water]}
      level-with-low: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [water]}
      hidden: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [water]}
    circuits:
      water:
        fluid: water
        capacity: 9 L
        stays_behind: 1 L
        heights: {high: 400 mm, middle: 300 mm, low: 20 mm, level-with-low: 20 mm}
        comes_out: {high: 2 L, middle: 1.9 L, low: 8 L, level-with-low: 7.9 L, hidden: 8.1 L}
        drain: tap
        cap: plug in the hose
        fill: at the header tank
        check: level when cold
        drained: {strip: 5 min, refit: 9 min}
    """
    assert codes == ["comes-out-order", "comes-out-no-height", "comes-out-too-much"]


def test_a_drained_circuit_of_air_needs_no_fill(said):
    """
    circuits:
      air: {fluid: air, refilled: false, drain: cock, drained: {strip: 1 min, refit: 0 min}}
    """
    assert said == []


def test_oil_fuel_and_intake_air_opened_on_the_way_are_capped_and_checked(codes):
    """
    parts: {frame: {fixed: true}, hose: {}, line: {}, filter: {}}
    joints:
      duct: {kind: clips, holds: [hose], to: frame, tightness: seated, opens: [intake]}
      union: {kind: clips, holds: [line], to: frame, tightness: seated, opens: [fuel]}
      thread: {kind: clips, holds: [filter], to: frame, tightness: seated, opens: [oil]}
    circuits:
      intake: {fluid: air, refilled: false, check: look inside, relieved: {strip: 1 min, refit: 1 min}}
      fuel: {fluid: diesel, refilled: false, cap: caps, relieved: {strip: 1 min, refit: 1 min}}
      oil: {fluid: oil, drain: plug, fill: filler, drained: {strip: 1 min, refit: 1 min}}
    """
    assert codes == ["no-cap", "no-check", "no-cap", "no-check"]


def test_a_joint_above_the_level_still_loses_some_to_top_up(codes):
    """
    parts: {frame: {fixed: true}, hose: {}}
    joints:
      high: {kind: hose-end, holds: [hose], to: frame, tightness: seated, opens: [coolant]}
    circuits:
      coolant: {fluid: coolant, level: 40 mm, heights: {high: 90 mm}, cap: plug, check: level, relieved: {strip: 5 min, refit: 9 min}}
    """
    assert codes == ["no-top-up"]


def test_a_circuit_drained_by_itself_has_no_open_ends_but_is_checked(codes):
    """
    circuits: {oil: {fluid: oil, drain: plug, fill: filler, drained: {strip: 1 min, refit: 1 min}}}
    """
    assert codes == ["no-check"]


FOR_ROOM = """
parts:
  frame: {fixed: true, moved: {ways: {up: {strip: 5 min, refit: 3 min}, down: {strip: 2 min, refit: 2 min}}}}
  fan: {trapped_by: [frame], off: {strip: 1 min, refit: 1 min}}
"""


def test_of_several_removals_for_one_room_only_the_greatest_saving_counts(said):
    """
    parts:
      frame: {fixed: true, moved: {strip: 5 min, refit: 5 min}}
      engine: {fixed: true, moved: {strip: 5 min, refit: 5 min}}
      body: {fixed: true, moved: {strip: 5 min, refit: 5 min}}
    rooms:
      front: {for: engine moved, made_by: {frame moved: {strip: 4 min}, body moved: {strip: 5 min}}}
    """
    assert said == []


def test_savings_of_two_rooms_add_up_on_each_side_apart(said):
    """
    parts:
      frame: {fixed: true, moved: {strip: 5 min, refit: 5 min}}
      engine: {fixed: true, moved: {strip: 5 min, refit: 5 min}}
      body: {fixed: true, moved: {strip: 5 min, refit: 5 min}}
    rooms:
      front: {for: engine moved, made_by: {frame moved: {strip: 3 min, refit: 2 min}}}
      back: {for: engine moved, made_by: {body moved: {strip: 2.1 min, refit: 3 min}}}
    """
    assert said == [
        (
            "m.yaml:6:3: saving-above-cost: room saves 5.1 min of the strip of 'engine moved', which "
            "takes only 5 min: lower the saving or check the time"
        )
    ]


def test_a_room_for_one_way_is_held_against_that_way_only(said):
    """
    parts:
      frame: {fixed: true, moved: {strip: 5 min, refit: 5 min}}
      engine:
        fixed: true
        moved: {ways: {up: {strip: 5 min, refit: 3 min}, down: {strip: 2 min, refit: 2 min}}}
    rooms:
      above: {for: engine moved, way: up, made_by: {frame moved: {strip: 4 min, refit: 3 min}}}
    """
    assert said == []
