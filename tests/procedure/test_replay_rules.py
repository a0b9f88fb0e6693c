"""The replay, rule by rule: a plan that is sound is accepted, and each break is named."""

# ruff: noqa: E501 - in the machine files below one thing stands on one line

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.procedure.bench_helpers import (
    compiled_of,
    moved,
    moved_after,
    plan_by,
    planned,
    refusals,
    step_id,
    steps_of,
    without,
)
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.compile import Compiled
from witnessmark.procedure.plan import Plan, Step, StepKind
from witnessmark.procedure.replay import replay

RIG = """\
parts:
  block: {name: block, fixed: true}
  pan: {name: pan, off: {strip: 1 min, refit: 1 min}}
  gasket: {name: gasket, trapped_by: [pan], off: {strip: 1 min, refit: 1 min}}
  fan: {name: fan, off: {strip: 1 min, refit: 1 min}}
  radiator: {name: radiator, off: {strip: 1 min, refit: 1 min}}
  belt: {name: belt, off: {strip: 1 min, refit: 1 min, needs: [radiator, pan]}}
  arm: {name: arm, moved: {strip: 1 min, refit: 1 min}, off: {strip: 1 min, refit: 1 min, position: under}}
  guard: {name: guard, off: {strip: 1 min, refit: 1 min, strip_needs: [jack fitted], refit_needs: [arm moved]}}
assemblies:
  pack: {name: cooling pack, parts: [fan, radiator], off: {strip: 0.5 min, refit: 0.5 min}}
joints:
  pan-bolts: {kind: bolts, holds: [pan], to: block, tightness: 9 N·m, out: {strip: 1 min, refit: 1 min}}
  brackets: {kind: bolts, holds: [radiator], to: block, tightness: 9 N·m, out: {strip: 1 min, refit: 1 min}}
  fan-bolts: {kind: bolts, holds: [fan], to: radiator, tightness: 9 N·m, out: {strip: 9 min, refit: 9 min}}
  line: {kind: hose-end, holds: [arm], to: block, opens: [air], tightness: seated, out: {strip: 1 min, refit: 1 min, needs: [battery safe]}}
circuits:
  air: {name: air, fluid: air, refilled: false, relieved: {strip: 1 min, refit: 1 min}}
shafts:
  crank: {name: crank, run: timing, turns: 2, unproven: {strip: 1 min, refit: 1 min}, proof: two turns}
  cam: {name: cam, run: timing, mark: {text: slot, seen_with: [guard]}, unproven: {strip: 1 min, refit: 1 min}, proof: slot level}
runs:
  timing: {name: run, timing: true, belt: belt, pulleys: {crank: {teeth: 20, shaft: crank}, cam: {teeth: 40, shaft: cam}}}
locks:
  cam-pin: {name: cam pin, hole: head, holds: [cam], in: {strip: 1 min, refit: 1 min}}
temporary:
  jack: {name: jack, kind: support, fitted: {strip: 1 min, refit: 1 min}}
  holder: {name: crank holder, kind: holder, holds: [crank], fitted: {strip: 1 min, refit: 1 min}}
make_safe:
  battery: {name: battery, safe: {strip: 1 min, refit: 1 min}}
bars:
  standing: {never: lower, while: [jack fitted]}
works:
  all:
    name: all
    goals: [gasket off, belt off, arm off, guard off, cam-pin in, holder fitted]
    steps:
      check: {text: check it, needs: [gasket off], before: [arm off], time: 1 min}
      turn: {text: turn it, before: [belt off], time: 1 min, acts: [turn crank 2]}
      down: {text: let it down, after: [turn], time: 1 min, acts: [lower, start]}
"""  # fmt: skip


@pytest.fixture(scope="module")
def rig() -> Compiled:
    return compiled_of(RIG)


@pytest.fixture(scope="module")
def plan(rig: Compiled) -> Plan:
    """Give one fixed order."""
    order = """
        strip jack fitted, strip guard off, strip crank unproven, strip cam unproven,
        strip cam-pin in, strip holder fitted, strip brackets out, strip pack off,
        strip pan-bolts out, strip pan off, strip gasket off, do all/check, strip belt off,
        strip battery safe, strip air relieved, strip line out, strip arm moved, strip arm off,
        refit arm off, refit line out, refit air relieved, refit battery safe, refit belt off,
        refit gasket off, refit pan off, refit pan-bolts out, refit pack off,
        refit brackets out, refit holder fitted, refit cam-pin in, do all/turn,
        refit crank unproven, refit cam unproven, refit guard off, refit arm moved,
        refit jack fitted, do all/down
    """
    return plan_by(rig, (each.strip() for each in order.replace("\n", " ").split(",")))


@pytest.mark.parametrize("seed", range(20))
def test_a_sound_plan_is_accepted_step_by_step(rig: Compiled, seed: int):
    assert replay(rig, planned(rig, seed)) == ()


def test_the_fixed_order_is_sound_too(rig: Compiled, plan: Plan):
    assert check_plan(rig.problem, plan) == ()
    assert replay(rig, plan) == ()


BREAKS = {
    "a part with its joint made": (
        lambda c, p: moved(c, p, "strip pan off", before="strip pan-bolts out"),
        [("strip pan off", "held", "take off pan: still held by pan bolts, made")],
    ),
    "a joint made with its part still off": (
        lambda c, p: moved(c, p, "refit pan-bolts out", before="refit pan off"),
        [("refit pan-bolts out", "held", "refit and tighten pan bolts: pan is still off")],
    ),
    "a trapped part before what traps it": (
        lambda c, p: moved(c, p, "strip gasket off", before="strip pan off"),
        [("strip gasket off", "trapped", "take off gasket: still trapped by pan, fitted")],
    ),
    "what traps it before the trapped part": (
        lambda c, p: moved_after(c, p, "refit gasket off", after="refit pan off"),
        [("refit pan off", "trapped", "refit pan: gasket is still off")],
    ),
    "an assembly still joined to the rest": (
        lambda c, p: moved(c, p, "strip pack off", before="strip brackets out"),
        [
            (
                "strip pack off",
                "crosses",
                "take off cooling pack, whole: still joined to the rest by brackets, made",
            )
        ],
    ),
    "what is in the way, by whichever removal": (
        lambda c, p: moved_after(c, p, "strip pack off", after="strip belt off"),
        [
            (
                "strip belt off",
                "way needs",
                "take off belt: it needs radiator out of the way; it is fitted",
            )
        ],
    ),
    "what is in the way put back too soon": (
        lambda c, p: moved(c, p, "refit pack off", before="refit belt off"),
        [("refit pack off", "way needs", "refit cooling pack, whole: belt is still off")],
    ),
    "a stored pressure opened": (
        lambda c, p: moved_after(c, p, "strip air relieved", after="strip line out"),
        [("strip line out", "opens", "undo line: it opens air, which is filled, bled and checked")],
    ),
    "a make-safe left out": (
        lambda c, p: without(c, p, "strip battery safe", "refit battery safe"),
        [
            ("strip line out", "way needs", "undo line: it needs battery made safe; it is normal"),
            (
                "refit line out",
                "way needs",
                "refit and tighten line: it needs battery made safe; it is normal",
            ),
        ],
    ),
    "a make-safe undone too soon": (
        lambda c, p: moved(c, p, "refit battery safe", before="refit line out"),
        [("refit battery safe", "way needs", "bring battery back to normal: line is still out")],
    ),
    "a make-safe never undone": (
        lambda c, p: without(c, p, "refit battery safe"),
        [("the plan", "rest", "battery is left made safe")],
    ),
    "a depth jumped over": (
        lambda c, p: moved(c, p, "strip arm off", before="strip arm moved"),
        [
            ("strip arm off", "state", "take off arm: it is fitted"),
            ("strip arm moved", "state", "move arm aside: it is off"),
            ("refit arm off", "state", "bring arm back, still aside: it is moved"),
        ],
    ),
    "a depth jumped over on the way back": (
        lambda c, p: moved(c, p, "refit arm moved", before="refit arm off"),
        [
            ("refit arm moved", "state", "put arm back: it is off"),
            ("refit arm off", "state", "bring arm back, still aside: it is fitted"),
            ("the plan", "rest", "arm is left moved"),
        ],
    ),
    "what the strip alone needs": (
        lambda c, p: moved_after(c, p, "strip jack fitted", after="strip guard off"),
        [
            (
                "strip guard off",
                "way needs to strip",
                "take off guard: it needs jack fitted; it is away",
            )
        ],
    ),
    "what the refit alone needs": (
        lambda c, p: moved(c, p, "refit arm moved", before="refit guard off"),
        [
            (
                "refit guard off",
                "way needs to refit",
                "refit guard: it needs arm moved; it is fitted",
            )
        ],
    ),
    "the mark of a cam read through its guard": (
        lambda c, p: moved(c, p, "refit guard off", before="refit cam unproven"),
        [
            (
                "refit cam unproven",
                "mark seen with",
                "prove cam: the mark is read with guard off; it is fitted",
            )
        ],
    ),
    "a belt taken off a proven shaft": (
        lambda c, p: moved_after(c, p, "strip crank unproven", after="strip belt off"),
        [
            ("strip belt off", "disturbs", "take off belt: crank may move, which counts as proven"),
            ("strip crank unproven", "state", "set crank to its mark: it is unproven, belt on"),
            (
                "strip crank unproven",
                "turning locked",
                "set crank to its mark: crank holder is fitted and locks what would turn",
            ),
        ],
    ),
    "a pin put into a proven shaft": (
        lambda c, p: moved(c, p, "strip cam-pin in", before="strip cam unproven"),
        [("strip cam-pin in", "pins", "put cam pin in: it holds cam, which counts as proven")],
    ),
    "a proof with the pin of a shaft that turns along": (
        lambda c, p: moved_after(c, p, "refit cam-pin in", after="refit crank unproven"),
        [
            (
                "do all/turn",
                "turning locked",
                "'turn crank 2': cam pin is in and locks what would turn",
            ),
            (
                "refit crank unproven",
                "turning locked",
                "prove crank: cam pin is in and locks what would turn",
            ),
        ],
    ),
    "a proof with the holder on": (
        lambda c, p: moved_after(c, p, "refit holder fitted", after="refit crank unproven"),
        [
            (
                "do all/turn",
                "turning locked",
                "'turn crank 2': crank holder is fitted and locks what would turn",
            ),
            (
                "refit crank unproven",
                "turning locked",
                "prove crank: crank holder is fitted and locks what would turn",
            ),
        ],
    ),
    "a turn after the proofs": (
        lambda c, p: moved_after(c, p, "do all/turn", after="refit cam unproven"),
        [
            ("do all/turn", "proof", "'turn crank 2' undoes the proof of crank"),
            ("do all/turn", "proof", "'turn crank 2' undoes the proof of cam"),
            ("do all/down", "running unproven", "'start': crank is unproven, belt on"),
            ("do all/down", "running unproven", "'start': cam is unproven, belt on"),
            ("the plan", "rest", "crank is left unproven, belt on: step 33 undid its proof"),
            ("the plan", "rest", "cam is left unproven, belt on: step 33 undid its proof"),
        ],
    ),
    "let down on the jack and started unproven": (
        lambda c, p: moved(c, p, "do all/down", before="refit cam unproven"),
        [
            ("do all/down", "barred while", "'lower': standing forbids it while jack is fitted"),
            ("do all/down", "running unproven", "'start': cam is unproven, belt on"),
        ],
    ),
    "a step before what it needs, and during what it may not": (
        lambda c, p: moved(c, p, "do all/check", before="strip gasket off"),
        [("do all/check", "step needs", "'check it': it needs gasket off; it is fitted")],
    ),
    "a step during what it may not be done in": (
        lambda c, p: moved_after(c, p, "do all/check", after="strip arm off"),
        [("do all/check", "step before", "'check it': it is not done while arm is off")],
    ),
    "a pin never taken out": (
        lambda c, p: without(c, p, "refit cam-pin in"),
        [
            (
                "do all/turn",
                "turning locked",
                "'turn crank 2': cam pin is in and locks what would turn",
            ),
            (
                "refit crank unproven",
                "turning locked",
                "prove crank: cam pin is in and locks what would turn",
            ),
            ("refit cam unproven", "pins", "prove cam: cam pin is still in"),
            ("do all/down", "running locked", "'start': cam pin is in"),
            ("the plan", "rest", "cam pin is left in"),
        ],
    ),
    "a goal and a step left out": (
        lambda c, p: without(
            c, p, "strip gasket off", "refit gasket off", "do all/check", "do all/down"
        ),
        [
            ("the plan", "plan", "'check it' is left out"),
            ("the plan", "plan", "'let it down' is left out"),
            ("the plan", "plan", "the goal 'gasket off' is never reached"),
        ],
    ),
}


@pytest.mark.parametrize("what", BREAKS)
def test_it_is_refused(what: str, rig: Compiled, plan: Plan):
    breaking, expected = BREAKS[what]
    assert refusals(rig, breaking(rig, plan)) == expected


@pytest.mark.parametrize("left", ["cam-pin in", "crank unproven", "cam unproven", "air relieved",
                                  "battery safe", "jack fitted", "holder fitted"])  # fmt: skip
def test_a_lock_proof_fill_or_make_safe_whose_closing_is_deleted_is_refused(
    left: str, rig: Compiled, plan: Plan
):
    object_ = left.split(maxsplit=1)[0]
    found = refusals(rig, without(rig, plan, f"refit {left}"))
    names = rig.tables.names
    assert any(rule == "rest" and words.startswith(names[object_]) for _, rule, words in found)


@pytest.mark.parametrize("left", ["crank unproven", "cam unproven", "air relieved",
                                  "battery safe"])  # fmt: skip
def test_a_proof_fill_or_make_safe_deleted_whole_is_refused_where_it_is_missed(
    left: str, rig: Compiled, plan: Plan
):
    found = refusals(rig, without(rig, plan, f"strip {left}", f"refit {left}"))
    assert {"disturbs", "pins", "opens", "way needs"} & {rule for _, rule, _ in found}


# A single-use joint

BOLT = """parts:
  block: {name: block, fixed: true}
  lid: {name: lid, off: {strip: 1 min, refit: 1 min, needs: [bolt slack]}}
joints:
  bolt:
    name: bolt
    kind: bolts
    holds: [block]
    tightness: 80 N·m + 90°
    single_use: true
    number: B-1
    slack: {strip: 1 min, refit: 1 min}
    out: {strip: 1 min, refit: 1 min}
works:
  lid: {name: lid, goals: [lid off]}
"""


def test_a_single_use_bolt_that_was_only_slackened_is_refused():
    compiled = compiled_of(BOLT)
    plan = planned(compiled)
    assert refusals(compiled, plan) == []
    assert refusals(compiled, without(compiled, plan, "strip bolt out", "refit bolt out")) == [
        (
            "refit bolt slack",
            "single use",
            "tighten bolt: single use; once slackened it comes out, and new ones go in",
        )
    ]


def test_a_single_use_bolt_that_was_out_when_the_visit_began_counts_as_renewed():
    compiled = compiled_of(BOLT, state="open: [bolt out]\n")
    assert refusals(compiled, planned(compiled)) == []


def test_parts_that_go_on_together_are_off_together():
    compiled = compiled_of("""
        parts:
          sprocket: {name: sprocket, fitted_with: [chain], off: {strip: 1 min, refit: 1 min}}
          chain: {name: chain, off: {strip: 1 min, refit: 1 min}}
        works:
          sprocket: {name: sprocket, goals: [sprocket off]}
    """)
    alone = plan_by(compiled, ["strip sprocket off", "refit sprocket off"])
    assert refusals(compiled, alone) == [
        ("the plan", "together", "sprocket goes on together with chain, which stays on")
    ]
    assert refusals(compiled, planned(compiled)) == []


# What a plan may not look like at all


def test_steps_that_name_nothing_are_refused_and_never_an_error(rig: Compiled, plan: Plan):
    wild = (Step(StepKind.STRIP, 999), Step(StepKind.BLOCK, -1), Step(StepKind.REFIT, 999))
    found = replay(rig, replace(plan, steps=(*plan.steps, *wild)))
    assert [(fault.step, fault.rule, fault.says) for fault in found] == [
        (len(plan.steps) + 1, "plan", "strip number 999 names nothing"),
        (len(plan.steps) + 2, "plan", "block number -1 names nothing"),
        (len(plan.steps) + 3, "plan", "refit number 999 names nothing"),
    ]


def test_an_opening_without_a_way_is_refused(rig: Compiled, plan: Plan):
    pan = rig.index["pan", "off"]
    ways = {index: way for index, way in plan.ways.items() if index != pan}
    says = {fault.says for fault in replay(rig, replace(plan, ways=ways))}
    assert {"take off pan: no way is chosen", "refit pan: no way is chosen"} <= says
    assert "take off gasket: still trapped by pan, fitted" in says


def test_a_step_done_twice_is_refused(rig: Compiled, plan: Plan):
    turn = next(step for step in plan.steps if step_id(rig, step) == "do all/check")
    twice = list(plan.steps)
    twice.insert(twice.index(turn), turn)
    assert refusals(rig, replace(plan, steps=tuple(twice))) == [
        ("do all/check", "plan", "'check it' is done a second time")
    ]


def test_an_empty_plan_reaches_nothing(rig: Compiled):
    says = [words for _, _, words in refusals(rig, Plan(ways={}))]
    assert "the goal 'belt off' is never reached" in says
    assert "'turn it' is left out" in says


def test_a_fault_says_what_was_open_just_before_its_step(rig: Compiled, plan: Plan):
    (fault,) = replay(rig, moved(rig, plan, "strip pan off", before="strip pan-bolts out"))
    assert "pan off" not in fault.state
    assert "guard off" in fault.state
    number = steps_of(rig, plan).index("strip pan-bolts out") + 1
    assert fault.step == number
    place = rig.machine.joints["pan-bolts"].place
    assert str(fault) == f"step {number}: take off pan: still held by pan bolts, made ({place})"
