"""Works and their steps; sources and limits of figures."""

from __future__ import annotations


def test_a_work_that_calls_itself_is_a_circle(said):
    """
    works:
      job: {calls: [job]}
    """
    assert said == [
        "m.yaml:2:3: work-circle: works call one another in a circle: job -> job: take one call out"
    ]


def test_two_works_may_call_the_same_third(said):
    """
    works:
      a: {calls: [b, c]}
      b: {calls: [d]}
      c: {calls: [d]}
      d: {steps: {look: {text: look, time: 1 min}}}
    """
    assert said == []


def test_a_long_chain_of_calls_is_followed_to_its_end():
    from tests.machine.written import check_text

    calls = "\n".join(f"  w{n}: {{calls: [w{n + 1}]}}" for n in range(3000))
    found = check_text(f"works:\n{calls}\n  w3000: {{calls: [w0]}}\n")
    assert [each.code for each in found] == ["work-circle"]
    assert found[0].what.endswith("-> w22 -> w23 -> ... (3002 in all)")


def test_a_step_may_come_before_what_its_needs_do_not_keep_open(said):
    """
    parts:
      frame: {fixed: true, moved: {strip: 1 min, refit: 1 min}}
      body: {fixed: true, moved: {strip: 1 min, refit: 1 min}}
    works:
      job:
        steps:
          a: {text: x, time: 1 min, needs: [frame moved], before: [body moved]}
          b: {text: x, time: 1 min, needs: [body moved], before: [frame moved], after: [a]}
    """
    assert said == []


def test_a_bar_can_make_a_step_impossible(codes):
    """
    parts: {frame: {fixed: true, moved: {strip: 1 min, refit: 1 min}}}
    works:
      job:
        steps:
          a: {text: x, time: 1 min, needs: [frame moved], acts: [start]}
    bars:
      quiet: {never: start, while: [frame moved]}
    """
    assert codes == ["step-never"]


def test_a_figure_has_its_own_source_or_that_of_its_file(said):
    """
    witnessmark: 1
    machine: trial
    parts:
      frame:
        fixed: true
        mass: {is: 40 kg, source: weighed}
        inspect:
          face: {measure: flatness, at_most: 0.05 mm}
    joints:
      screws: {kind: bolts, holds: [frame], tightness: seated}
      studs: {kind: bolts, holds: [frame], tightness: 30 N·m}
    """
    assert [line.split(": ")[0] + " " + line.split(": ")[3] for line in said] == [
        "m.yaml:8:42 nobody says where 0.05 mm comes from",
        "m.yaml:11:51 nobody says where 30 N·m comes from",
    ]


def test_a_source_said_at_the_end_of_the_file_counts_for_all_of_it(said):
    """
    witnessmark: 1
    machine: trial
    parts: {frame: {fixed: true, mass: 40 kg}}
    source: weighed
    """
    assert said == []


def test_every_kind_of_figure_is_asked_for_its_source(codes):
    """
    witnessmark: 1
    machine: trial
    parts: {frame: {fixed: true, mass: 1 kg, inspect: {a: {at_least: 1 mm, at_most: 2 mm}}}}
    joints: {j: {kind: bolts, holds: [frame], tightness: 9 N·m, stages: [9 N·m], least_clamp: 2 kN}}
    circuits: {c: {fluid: x, capacity: 2 L, stays_behind: 1 L, level: 1 mm, heights: {j: 1 mm}}}
    runs: {r: {mass: 100 g/m, tensioner: {kind: t, clamp: j, setting: 5 N·m}}}
    materials: {m: {amount: 3 mL}}
    works: {w: {steps: {s: {text: x, time: 1 min, measure: {what: x, at_least: 1, at_most: 2}}}}}
    """
    assert codes == ["figure-without-source"] * 15


def test_limits_of_different_things_clash(codes):
    """
    parts:
      frame: {fixed: true, inspect: {lip: {at_least: 3 mm, at_most: 2 bar}}}
    """
    assert codes == ["limits-clash"]


def test_equal_limits_do_not_clash(codes):
    """
    parts:
      frame: {fixed: true, inspect: {teeth: {at_least: 147, at_most: 147}}}
    """
    assert codes == []
