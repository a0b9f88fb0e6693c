"""What holds a part, and what frees it."""

# The files in here are as wide as people write them.
# ruff: noqa: E501


def test_a_part_is_held_by_a_joint_by_a_fastener_or_by_what_traps_it(said):
    """
    parts:
      frame: {fixed: true}
      cover: {off: {strip: 1 min, refit: 1 min}}
      bracket: {name: held by one of the cover's bolts}
      gasket: {trapped_by: [cover]}
    joints:
      screws:
        kind: bolts
        holds: [cover]
        to: frame
        fasteners: [{hole: 1}, {hole: 2, clamps: [cover, bracket]}]
        tightness: 9 N·m
        out: {strip: 1 min, refit: 1 min}
    """
    assert said == []


def test_a_belt_is_held_by_its_run(said):
    """
    parts: {belt: {kind: belt}}
    runs: {aux: {belt: belt}}
    """
    assert said == []


def test_what_a_part_is_held_to_does_not_hold_that_other_part(codes):
    """
    parts: {cover: {}, bracket: {}}
    joints:
      screws: {kind: bolts, holds: [cover], to: bracket, tightness: seated}
    """
    assert codes == ["part-not-held"]


def test_a_circle_of_three_names_each_in_turn(said):
    """
    parts:
      frame: {fixed: true}
      pipe: {off: {strip: 1 min, refit: 1 min, needs: [bracket]}}
      bracket: {off: {strip: 1 min, refit: 1 min, needs: [shield]}}
      shield: {off: {strip: 1 min, refit: 1 min, needs: [pipe]}}
    joints:
      all:
        kind: bolts
        holds: [pipe, bracket, shield]
        to: frame
        tightness: seated
        out: {strip: 1 min, refit: 1 min}
    """
    assert said == [
        (
            "m.yaml:3:10: never-free: no way leads to 'pipe off': 'pipe off' waits for 'bracket "
            "off', 'bracket off' waits for 'shield off', 'shield off' waits for 'pipe off': one of "
            "them must come first; take out the need that is not true, or give another way"
        )
    ]


def test_what_only_waits_for_a_circle_is_not_complained_about_again(codes):
    """
    parts:
      a: {trapped_by: [b], off: {strip: 1 min, refit: 1 min}}
      b: {trapped_by: [a], off: {strip: 1 min, refit: 1 min}}
      c: {trapped_by: [a], off: {strip: 1 min, refit: 1 min}}
      d: {trapped_by: [c], off: {strip: 1 min, refit: 1 min}}
    """
    assert codes == ["never-free"]


def test_another_way_or_an_assembly_breaks_a_circle(said):
    """
    parts:
      frame: {fixed: true}
      a:
        off:
          ways:
            above: {strip: 1 min, refit: 1 min, needs: [b]}
            below: {strip: 9 min, refit: 9 min}
        trapped_by: [frame]
      b: {trapped_by: [a], off: {strip: 1 min, refit: 1 min}}
      c: {trapped_by: [d], off: {strip: 1 min, refit: 1 min}}
      d: {trapped_by: [c], off: {strip: 1 min, refit: 1 min}}
    assemblies:
      pair: {parts: [c, d, frame], off: {strip: 1 min, refit: 1 min}}
    """
    assert said == []


def test_what_may_only_come_after_a_thing_cannot_be_needed_for_it(said):
    """
    parts:
      frame: {fixed: true}
      hub: {off: {strip: 1 min, refit: 1 min}}
      wheel: {off: {strip: 1 min, refit: 1 min}}
    joints:
      hub-nut:
        kind: bolts
        holds: [hub]
        to: frame
        tightness: 90 N·m
        out: {strip: 1 min, refit: 1 min, needs: [wheel], while_fitted: [wheel-bolts out]}
      wheel-bolts:
        kind: bolts
        holds: [wheel]
        to: hub
        tightness: 110 N·m
        out: {strip: 1 min, refit: 1 min}
    """
    assert said == [
        (
            "m.yaml:11:5: never-free: no way leads to 'hub-nut out': 'hub-nut out' waits for "
            "'wheel-bolts out', 'wheel-bolts out' may only come after 'hub-nut out': one of them "
            "must come first; take out the need that is not true, or give another way"
        )
    ]


def test_a_need_of_the_refit_alone_makes_no_circle_with_a_need_of_the_strip_alone(said):
    """
    parts: {frame: {fixed: true}}
    temporary:
      support: {kind: support, fitted: {strip: 1 min, refit: 1 min, refit_needs: [puller]}}
      puller: {kind: puller, fitted: {strip: 1 min, refit: 1 min, strip_needs: [support]}}
    """
    assert said == []


def test_a_clamp_that_only_slackens_lets_go_when_slack(said):
    """
    parts:
      frame: {fixed: true}
      belt: {off: {strip: 1 min, refit: 1 min}}
    joints:
      clamp:
        kind: bolts
        holds: [belt]
        to: frame
        tightness: 20 N·m
        slack: {strip: 1 min, refit: 1 min}
    """
    assert said == []


def test_every_trouble_is_told_once(said):
    """
    parts:
      a: {off: {strip: 1 min, refit: 1 min}}
      b: {off: {strip: 1 min, refit: 1 min}}
    joints:
      nut: {kind: bolts, holds: [a, b], tightness: seated}
    """
    assert [line.split(": ")[2] for line in said] == [
        "'a off' waits for 'nut out', and nothing says how that is reached",
        "'b off' waits for 'nut out', and nothing says how that is reached",
    ]


def test_a_hose_end_comes_off_before_the_part_it_is_pushed_onto(said):
    """
    parts:
      frame: {fixed: true}
      hose: {off: {strip: 1 min, refit: 1 min}}
      housing: {off: {strip: 1 min, refit: 1 min, needs: [end out]}}
      tank: {off: {ways: {up: {strip: 1 min, refit: 1 min, needs: [hose]}, down: {strip: 1 min, refit: 1 min, needs: [other out]}}}}
    joints:
      end: {kind: hose-end, holds: [hose], to: housing, tightness: seated, out: {strip: 1 min, refit: 1 min}}
      other: {kind: hose-end, holds: [hose], to: tank, tightness: seated, out: {strip: 1 min, refit: 1 min}}
      screws: {kind: clips, holds: [housing, tank], to: frame, tightness: seated, out: {strip: 1 min, refit: 1 min}}
    """
    assert said == []


def test_one_way_that_forgets_the_hose_is_enough_to_complain(codes):
    """
    parts:
      frame: {fixed: true}
      hose: {off: {strip: 1 min, refit: 1 min}}
      tank: {off: {ways: {up: {strip: 1 min, refit: 1 min, needs: [hose]}, down: {strip: 1 min, refit: 1 min}}}}
    joints:
      end: {kind: hose-end, holds: [hose], to: tank, tightness: seated, out: {strip: 1 min, refit: 1 min}}
      screws: {kind: clips, holds: [tank], to: frame, tightness: seated, out: {strip: 1 min, refit: 1 min}}
    """
    assert codes == ["hose-left-on"]
