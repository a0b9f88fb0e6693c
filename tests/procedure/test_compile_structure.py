"""Compiling: what holds parts, what carries them off, circuits, choices and levels."""

# ruff: noqa: E501 - in the machine files below one thing stands on one line

from __future__ import annotations

from random import Random

import pytest

from tests.procedure.any_plan import any_plan
from tests.procedure.bench_helpers import (
    compiled_of,
    needs_of,
    planned,
    refusals,
    while_fitted_of,
)
from witnessmark.procedure.compile import CompileError

COVER = """\
parts:
  block: {name: block, fixed: true}
  bracket: {name: bracket, off: {strip: 1 min, refit: 1 min}}
  cover: {name: cover, off: {strip: 1 min, refit: 1 min}}
  gasket: {name: gasket, kind: gasket, trapped_by: [cover], off: {strip: 1 min, refit: 1 min}}
joints:
  cover-bolts:
    kind: bolts
    holds: [cover]
    to: block
    tightness: 9 N·m
    fasteners:
      - {count: 3, thread: M6x1 x 20, head: hex 10 mm}
      - {count: 1, thread: M6x1 x 30, head: hex 10 mm, clamps: [cover, bracket]}
    out: {strip: 2 min, refit: 2 min}
works:
  gasket: {name: gasket, goals: [gasket off]}
  bracket: {name: bracket, goals: [bracket off]}
"""


def test_a_part_needs_every_joint_that_holds_it_and_what_traps_it():
    assert needs_of(compiled_of(COVER, "gasket")) == {
        "cover off": {"cover-bolts out"},
        "gasket off": {"cover off"},
        "cover-bolts out": set(),
    }


def test_a_part_that_one_fastener_clamps_is_held_by_that_joint():
    assert needs_of(compiled_of(COVER, "bracket")) == {
        "bracket off": {"cover-bolts out"},
        "cover-bolts out": set(),
    }


def test_only_what_the_works_can_reach_is_compiled():
    both = compiled_of(COVER)
    assert set(needs_of(both)) == {"cover off", "gasket off", "cover-bolts out", "bracket off"}
    assert [work.id for work in both.works] == ["gasket", "bracket"]


def test_openings_keep_the_order_of_the_file():
    assert [opening.id for opening in compiled_of(COVER).problem.openings] == [
        "bracket off",
        "cover off",
        "gasket off",
        "cover-bolts out",
    ]


PACK = """\
parts:
  frame: {name: frame, fixed: true}
  fan: {name: fan, off: {strip: 1 min, refit: 1 min}}
  radiator: {name: radiator, off: {strip: 1 min, refit: 1 min}}
  foam: {name: foam, trapped_by: [radiator], off: {strip: 1 min, refit: 1 min}}
  lid: {name: lid, off: {strip: 1 min, refit: 1 min}}
  seal: {name: seal, trapped_by: [lid], off: {strip: 1 min, refit: 1 min}}
  alternator: {name: alternator, off: {strip: 1 min, refit: 1 min, needs: [radiator]}}
assemblies:
  pack:
    name: cooling pack
    parts: [radiator, fan, foam, seal]
    off: {strip: 1 min, refit: 1 min}
joints:
  fan-bolts: {kind: bolts, holds: [fan], to: radiator, tightness: 5 N·m, out: {strip: 1 min, refit: 1 min}}
  brackets: {kind: bolts, holds: [radiator], to: frame, tightness: 9 N·m, out: {strip: 1 min, refit: 1 min}}
  lid-clips: {kind: clips, holds: [lid], to: frame, tightness: clicked, out: {strip: 1 min, refit: 1 min}}
works:
  alternator: {name: alternator, goals: [alternator off]}
  foam: {name: foam, goals: [foam off]}
  pack: {name: pack, goals: [pack]}
"""


def test_an_assembly_needs_the_joints_across_its_edge_and_what_traps_its_parts_from_outside():
    compiled = compiled_of(PACK, "pack")
    needs = needs_of(compiled)
    assert needs["pack off"] == {"brackets out", "lid off"}
    assert "fan-bolts out" not in needs


def test_a_part_out_of_the_way_is_a_choice_between_its_removal_and_its_assembly():
    compiled = compiled_of(PACK, "alternator")
    problem = compiled.problem
    assert needs_of(compiled)["alternator off"] == {"radiator"}
    (clear,) = problem.clears
    assert {problem.openings[i].id for i in clear.supporters} == {"radiator off", "pack off"}
    assert compiled.clears[0].object_id == "radiator"
    assert compiled.fact_name(len(problem.openings)) == "radiator out of the way"


def test_an_assembly_that_carries_off_a_part_with_what_traps_it_frees_nothing():
    assert needs_of(compiled_of(PACK, "foam"))["foam off"] == {"radiator off"}


def test_a_part_with_one_way_out_is_no_choice():
    compiled = compiled_of(COVER, "gasket")
    assert compiled.problem.clears == ()
    assert needs_of(compiled)["gasket off"] == {"cover off"}


def test_a_joint_that_only_slackens_lets_go_when_it_is_slack():
    compiled = compiled_of("""
        parts:
          block: {name: block, fixed: true}
          belt: {name: belt, off: {strip: 1 min, refit: 1 min}}
        joints:
          tension: {kind: press-fit, holds: [belt], to: block, tightness: seated, slack: {strip: 1 min, refit: 1 min}}
        works:
          belt: {name: belt, goals: [belt off]}
    """)  # fmt: skip
    assert needs_of(compiled)["belt off"] == {"tension slack"}


def test_what_nothing_can_open_is_named_as_the_cause():
    compiled = compiled_of("""
        parts:
          block: {name: block, fixed: true}
          sensor: {name: sensor, off: {strip: 1 min, refit: 1 min}}
        joints:
          press: {kind: press-fit, holds: [sensor], to: block, tightness: seated}
        works:
          sensor: {name: sensor, goals: [sensor off]}
    """)
    assert needs_of(compiled) == {"sensor off": {"press out"}}
    (clear,) = compiled.problem.clears
    assert (clear.id, clear.supporters) == ("press out", ())
    assert any_plan(compiled.problem, Random(0)) is None


CIRCUIT = """\
parts:
  block: {{name: block, fixed: true}}
  top-hose: {{name: top hose, off: {{strip: 1 min, refit: 1 min}}}}
  low-hose: {{name: low hose, off: {{strip: 1 min, refit: 1 min}}}}
joints:
  top-end: {{kind: hose-end, holds: [top-hose], to: block, opens: [coolant], tightness: seated, out: {{strip: 1 min, refit: 1 min}}}}
  low-end: {{kind: hose-end, holds: [low-hose], to: block, opens: [coolant], tightness: seated, slack: {{strip: 1 min, refit: 1 min, tool: pliers}}, out: {{strip: 1 min, refit: 1 min, tool: hook}}}}
circuits:
  coolant:
    name: coolant
    fluid: coolant
    capacity: 6 L
    {heights}
    relieved: {{strip: 1 min, refit: 1 min}}
    drained: {{strip: 5 min, refit: 8 min}}
works:
  hoses: {{name: hoses, goals: [top-hose off, low-hose off]}}
"""


def test_a_joint_needs_the_circuit_it_opens_drained():
    needs = needs_of(compiled_of(CIRCUIT.format(heights="drain: at the bottom")))
    assert needs["top-end out"] == {"coolant drained"}
    assert needs["low-end slack"] == {"coolant drained"}  # cracking a hose lets it out already
    assert needs["low-end out"] == {"low-end slack"}


def test_a_joint_at_or_above_the_level_needs_it_only_relieved():
    heights = "{level: 500 mm, heights: {top-end: 500 mm, low-end: 100 mm}}"[1:-1]
    text = CIRCUIT.format(heights=heights.replace(", heights", "\n    heights"))
    needs = needs_of(compiled_of(text))
    assert needs["top-end out"] == {"coolant relieved"}
    assert needs["low-end slack"] == {"coolant drained"}
    assert needs["coolant drained"] == {"coolant relieved"}


# Levels

LEVELS = """\
parts:
  block: {{name: block, fixed: true}}
  belt: {{name: belt, off: {{strip: 1 min, refit: 1 min{belt}}}}}
  wheel: {{name: wheel, off: {{strip: 1 min, refit: 1 min}}}}
  lid: {{name: lid, off: {{strip: 1 min, refit: 1 min}}}}
joints:
  wheel-bolt:
    kind: bolts
    holds: [wheel]
    to: block
    tightness: 40 N·m
    {more}
    fasteners: [{{count: 1, thread: M10x1.5 x 40, head: hex 15 mm}}]
    slack: {{strip: 0.5 min, refit: 1 min, needs: [lid]{slack}}}
    out: {{strip: 1.5 min, refit: 2 min{out}}}
works:
  wheel: {{name: wheel, goals: [wheel off, belt off]}}
"""


def levels(*, belt: str = "", more: str = "where: front", slack: str = "", out: str = "") -> str:
    return LEVELS.format(belt=belt, more=more, slack=slack, out=out)


def test_two_states_nothing_tells_apart_are_taken_in_one_go():
    compiled = compiled_of(levels(out=", position: front, needs: [belt]"))
    index = compiled.index["wheel-bolt", "out"]
    opening, info = compiled.problem.openings[index], compiled.openings[index]
    assert compiled.index["wheel-bolt", "slack"] == index
    assert opening.id == "wheel-bolt out"
    assert opening.below is None
    assert (opening.ways[0].strip, opening.ways[0].refit) == (20, 30)
    assert needs_of(compiled)["wheel-bolt out"] == {"lid off", "belt off"}
    assert info.states == ("slack", "out")
    assert info.is_final
    assert info.ways[0].position is not None
    assert info.ways[0].position.id == "front"


def test_states_stay_apart_when_something_needs_the_shallow_one():
    compiled = compiled_of(levels(belt=", needs: [wheel-bolt slack]"))
    assert needs_of(compiled)["belt off"] == {"wheel-bolt slack"}
    assert needs_of(compiled)["wheel-bolt out"] == {"wheel-bolt slack"}
    out = compiled.openings[compiled.index["wheel-bolt", "out"]]
    assert out.below == ("wheel-bolt", "slack")
    assert not out.is_final


@pytest.mark.parametrize(
    ("slack", "out"),
    [
        (", position: front", ", position: under"),
        (", tool: long bar", ""),
        (", people: 2", ""),
        (", while_fitted: [belt off]", ""),
        (", strip_needs: [belt]", ""),
        (", risk: may shear", ", risk: may round"),
    ],
)
def test_states_stay_apart_when_their_ways_differ(slack: str, out: str):
    compiled = compiled_of(levels(slack=slack, out=out))
    assert compiled.index["wheel-bolt", "slack"] != compiled.index["wheel-bolt", "out"]


def test_states_stay_apart_when_a_bar_orders_only_the_shallow_one():
    bar = "bars:\n  rule: {never: wheel-bolt slack, while: [belt off]}\n"
    compiled = compiled_of(levels() + bar)
    assert while_fitted_of(compiled) == {"wheel-bolt slack": {"belt off"}}
    deep = "bars:\n  rule: {never: wheel-bolt out, while: [belt off]}\n"
    together = compiled_of(levels() + deep)
    assert while_fitted_of(together) == {"wheel-bolt out": {"belt off"}}
    assert together.index["wheel-bolt", "slack"] == together.index["wheel-bolt", "out"]


def test_an_order_both_states_have_does_not_keep_them_apart():
    both = ", while_fitted: [belt off]"
    compiled = compiled_of(levels(slack=both, out=both))
    assert compiled.index["wheel-bolt", "slack"] == compiled.index["wheel-bolt", "out"]
    assert while_fitted_of(compiled) == {"wheel-bolt out": {"belt off"}}


def test_a_state_file_that_speaks_of_an_object_keeps_its_states_apart():
    compiled = compiled_of(levels(), state="open: [wheel-bolt slack]\n")
    slack = compiled.problem.openings[compiled.index["wheel-bolt", "slack"]]
    out = compiled.problem.openings[compiled.index["wheel-bolt", "out"]]
    assert (slack.started, out.started) == (True, False)


def test_a_single_use_joint_that_is_slackened_comes_out():
    text = levels(
        belt=", needs: [wheel-bolt slack]", more="{single_use: true, number: A-1}"[1:-1]
        .replace(", number", "\n    number"),
    )  # fmt: skip
    compiled = compiled_of(text)
    pair = (compiled.index["wheel-bolt", "slack"], compiled.index["wheel-bolt", "out"])
    assert compiled.problem.asks == (pair,)


def test_a_single_use_joint_taken_in_one_go_asks_nothing():
    text = levels(more="single_use: true\n    number: A-1")
    compiled = compiled_of(text)
    assert compiled.problem.asks == ()
    assert refusals(compiled, planned(compiled)) == []


def test_parts_that_go_on_together_ask_for_each_other():
    compiled = compiled_of("""
        parts:
          sprocket: {name: sprocket, fitted_with: [chain], off: {strip: 1 min, refit: 1 min}}
          chain: {name: chain, off: {strip: 1 min, refit: 1 min}}
        works:
          sprocket: {name: sprocket, goals: [sprocket off]}
    """)
    assert set(compiled.problem.asks) == {(0, 1), (1, 0)}


def test_a_fact_that_names_nothing_is_refused_with_its_place():
    with pytest.raises(CompileError) as refused:
        compiled_of("""
            parts:
              lid: {name: lid, off: {strip: 1 min, refit: 1 min, needs: [pipe]}}
              pipe: {name: pipe, moved: {strip: 1 min, refit: 1 min}}
            works:
              lid: {name: lid, goals: [lid off]}
        """)
    assert str(refused.value) == (
        "rig.yaml:8:62: plan-fact-names-nothing: 'pipe' cannot be opened: not described: "
        "describe that state of 'pipe' with a way, or write another"
    )
