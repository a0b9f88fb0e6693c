"""Compiling: shafts and what disturbs them, pins and holders, marks, bars, steps that turn."""

# ruff: noqa: E501 - in the machine files below one thing stands on one line

from __future__ import annotations

import pytest

from tests.procedure.bench_helpers import (
    block_of,
    compiled_of,
    needs_of,
    planned,
    refusals,
    while_fitted_of,
)
from witnessmark.procedure.compile import CompileError

RUN = """\
parts:
  block: {name: block, fixed: true}
  pointer: {name: pointer, off: {strip: 1 min, refit: 1 min}}
  flap: {name: flap, off: {strip: 1 min, refit: 1 min}}
  tensioner: {name: tensioner, fixed: true}
  belt: {name: belt, off: {strip: 1 min, refit: 1 min}}
  drive: {name: belt drive, off: {strip: 1 min, refit: 1 min}}
joints:
  clamp: {kind: bolts, holds: [tensioner], to: block, tightness: 20 N·m, slack: {strip: 1 min, refit: 1 min}}
  crank-bolt: {kind: bolts, holds: [drive], to: block, tightness: 90 N·m, out: {strip: 1 min, refit: 1 min}}
  cam-bolt: {kind: bolts, holds: [drive], to: block, tightness: 60 N·m, out: {strip: 1 min, refit: 1 min}}
shafts:
  crank:
    name: crank
    run: timing
    turned_by: crank-bolt
    turns: 2
    mark: {text: notch on line, seen_only_before: [pointer off], seen_with: [flap]}
    disturbed_by: [cam-bolt out]
    unproven: {strip: 1 min, refit: 1 min}
    proof: two turns
  cam: {name: cam, run: timing, unproven: {strip: 1 min, refit: 1 min}, proof: slot level}
  fan: {name: fan shaft, run: auxiliary, unproven: {strip: 1 min, refit: 1 min}, proof: runs true}
runs:
  timing:
    name: timing run
    timing: true
    belt: belt
    pulleys: {crank: {teeth: 20, shaft: crank}, cam: {teeth: 40, shaft: cam}}
    tensioner: {kind: eccentric, clamp: clamp}
  auxiliary: {name: auxiliary run, belt: drive}
locks:
  crank-pin: {name: crank pin, hole: block, holds: [crank], in: {strip: 1 min, refit: 1 min}}
  cam-pin: {name: cam pin, hole: head, holds: [cam], in: {strip: 1 min, refit: 1 min, needs: [flap]}}
temporary:
  holder: {name: crank holder, kind: holder, holds: [crank], fitted: {strip: 1 min, refit: 1 min}}
"""

ALL = RUN + """\
works:
  all: {name: all, goals: [belt off, clamp slack, crank-bolt out, cam-bolt out, crank-pin in, cam-pin in, holder fitted, pointer off]}
"""  # fmt: skip


def test_the_belt_and_the_tensioners_clamp_disturb_every_shaft_of_a_timing_run():
    needs = needs_of(compiled_of(ALL))
    assert needs["belt off"] == {"crank unproven", "cam unproven"}
    assert needs["clamp slack"] == {"crank unproven", "cam unproven"}


def test_the_belt_of_another_run_disturbs_nothing():
    needs = needs_of(compiled_of(RUN + "works: {drive: {name: drive, goals: [drive off]}}\n"))
    assert needs["drive off"] == {"crank-bolt out", "cam-bolt out"}


def test_the_bolt_a_shaft_is_turned_by_disturbs_it_and_so_does_what_the_file_says():
    needs = needs_of(compiled_of(ALL))
    assert needs["crank-bolt out"] == {"crank unproven"}
    assert needs["cam-bolt out"] == {"crank unproven"}


def test_a_pin_goes_in_only_while_its_own_shaft_is_unproven():
    needs = needs_of(compiled_of(ALL))
    assert needs["crank-pin in"] == {"crank unproven"}
    assert needs["cam-pin in"] == {"cam unproven", "flap off"}


def test_marks_are_set_and_proved_with_what_carries_them_on_and_what_hides_them_off():
    compiled = compiled_of(ALL)
    assert needs_of(compiled)["crank unproven"] == {"flap off"}
    assert "pointer off" in while_fitted_of(compiled)["crank unproven"]


def test_a_proof_that_turns_the_run_has_every_lock_and_holder_of_the_run_away():
    # The crank's own pin needs the crank unproven, which says the same: only the pin of the
    # cam, which turns with it, and the holder are left to say.
    before = while_fitted_of(compiled_of(ALL))
    assert before == {"crank unproven": {"pointer off", "cam-pin in", "holder fitted"}}


def test_an_order_that_a_need_says_already_is_not_said_twice():
    # A pin needs its own shaft unproven; a bar against turning with it in adds nothing.
    bar = "bars: {pinned: {never: turn crank, while: [crank-pin in]}}\n"
    assert while_fitted_of(compiled_of(ALL + bar)) == while_fitted_of(compiled_of(ALL))


def test_a_bar_against_turning_one_shaft_binds_the_proof_that_turns_it_along():
    bar = "bars: {slip: {never: turn cam, unless: [pointer off, crank unproven]}}\n"
    compiled = compiled_of(ALL + bar)
    assert needs_of(compiled)["crank unproven"] == {"flap off", "pointer off"}
    assert needs_of(compiled)["cam unproven"] == {"pointer off", "crank unproven"}


def test_a_bar_that_wants_a_shaft_unproven_to_be_turned_is_met_by_its_own_marks_and_proof():
    compiled = compiled_of(
        RUN
        + """\
bars: {slip: {never: turn cam, unless: [crank unproven]}}
works: {all: {name: all, goals: [crank unproven]}}
"""
    )
    plan = planned(compiled)
    assert refusals(compiled, plan) == []


# Bars

BARRED = """\
parts:
  block: {{name: block, fixed: true}}
  pipe: {{name: pipe, off: {{strip: 1 min, refit: 1 min}}}}
  head: {{name: head, off: {{strip: 1 min, refit: 1 min}}}}
  plugs: {{name: plugs, off: {{strip: 1 min, refit: 1 min}}}}
circuits:
  air: {{name: air, fluid: air, refilled: false, relieved: {{strip: 1 min, refit: 1 min}}}}
shafts:
  crank: {{name: crank, turns: 1, unproven: {{strip: 1 min, refit: 1 min}}, proof: one turn}}
make_safe:
  battery: {{name: battery off, safe: {{strip: 1 min, refit: 1 min}}}}
bars:
  rule: {{{bar}}}
works:
  all:
    name: all
    goals: [pipe off, head off, plugs off, air relieved, crank unproven, battery safe]
    steps:
      look: {{text: look at it, time: 1 min}}
      act: {{text: do it, time: 1 min, acts: [{acts}]}}
"""


def barred(bar: str, acts: str = ""):
    return compiled_of(BARRED.format(bar=bar, acts=acts))


def test_never_opening_unless_open_is_a_need():
    compiled = barred("never: pipe off, unless: [air relieved, battery safe]")
    assert needs_of(compiled)["pipe off"] == {"air relieved", "battery safe"}


def test_never_opening_while_open_puts_it_before():
    compiled = barred("never: head off, while: [pipe off]")
    assert while_fitted_of(compiled) == {"head off": {"pipe off"}}
    assert needs_of(compiled)["head off"] == set()


def test_never_turning_while_open_puts_marks_and_proof_around_it():
    compiled = barred("never: turn crank, while: [head off]", acts="turn crank 1")
    assert while_fitted_of(compiled) == {"crank unproven": {"head off"}}
    needs, before = block_of(compiled, "all/act")
    assert (needs, before) == ({"crank unproven"}, {"head off"})


def test_never_turning_unless_open_is_needed_by_marks_proof_and_steps():
    compiled = barred("never: turn crank, unless: [plugs off]", acts="turn crank 1")
    assert needs_of(compiled)["crank unproven"] == {"plugs off"}
    assert block_of(compiled, "all/act") == ({"crank unproven", "plugs off"}, set())


def test_never_pressurising_while_open_closes_that_first():
    compiled = barred("never: pressurise air, while: [pipe off]", acts="pressurise air")
    assert while_fitted_of(compiled) == {"air relieved": {"pipe off"}}
    assert block_of(compiled, "all/act") == (set(), {"pipe off"})


@pytest.mark.parametrize("act", ["lower", "crank", "start"])
def test_an_act_on_the_whole_machine_binds_the_steps_that_do_it(act: str):
    compiled = barred(f"never: {act}, while: [pipe off], unless: [battery safe]", acts=act)
    needs, before = block_of(compiled, "all/act")
    assert needs == {"battery safe"}
    assert "pipe off" in before
    assert block_of(compiled, "all/look") == (set(), set())


def test_cranking_and_starting_find_locks_holders_and_pullers_out_and_shafts_proven():
    text = (
        RUN
        + """\
circuits:
  oil: {name: oil, fluid: oil, capacity: 4 L, drained: {strip: 1 min, refit: 1 min}}
works:
  all:
    name: all
    goals: [crank-pin in, cam-pin in, holder fitted, fan unproven, oil drained]
    steps:
      crank: {text: crank, time: 1 min, acts: [crank]}
      start: {text: start, time: 1 min, acts: [start]}
"""
    )
    locked = {"crank-pin in", "cam-pin in", "holder fitted"}
    unproven = {"crank unproven", "cam unproven", "fan unproven"}
    compiled = compiled_of(text)
    assert block_of(compiled, "all/crank") == (set(), locked | unproven)
    assert block_of(compiled, "all/start") == (set(), locked | unproven | {"oil drained"})


def test_every_bar_that_compiles_gives_its_reason():
    compiled = barred("never: pipe off, unless: [air relieved], why: It is under pressure")
    (rule,) = compiled.openings[compiled.index["pipe", "off"]].derived
    assert rule.says == "the bar rule forbids it unless air relieved: It is under pressure"
    assert (rule.by, rule.check) == ("rule", "barred unless")


# Steps that turn


def turning(step: str) -> str:
    return (
        RUN
        + f"""\
works:
  all:
    name: all
    goals: [belt off, clamp slack, crank-pin in, cam-pin in, holder fitted, crank-bolt out]
    steps:
      turn: {{text: turn, time: 1 min, {step}}}
"""
    )


def test_a_turn_moves_the_whole_run_and_finds_every_lock_of_it_out_and_the_bolt_made():
    compiled = compiled_of(turning("acts: [turn crank 2]"))
    assert block_of(compiled, "all/turn") == (
        {"crank unproven", "cam unproven"},
        {"crank-pin in", "cam-pin in", "holder fitted", "crank-bolt out"},
    )


def test_with_the_belt_off_a_turn_moves_only_its_own_shaft():
    compiled = compiled_of(turning("needs: [belt off], acts: [turn crank 1/4]"))
    assert block_of(compiled, "all/turn") == (
        {"belt off", "crank unproven"},
        {"crank-pin in", "holder fitted", "crank-bolt out"},
    )


def test_a_bolt_put_in_to_turn_must_be_found_out():
    acts = "acts: [crank-bolt in to turn, turn crank 2, crank-bolt out]"
    needs, before = block_of(compiled_of(turning(acts)), "all/turn")
    assert needs == {"crank unproven", "cam unproven", "crank-bolt out"}
    assert before == {"crank-pin in", "cam-pin in", "holder fitted"}


def test_a_bolt_put_in_to_turn_by_hand_needs_nothing_its_tightening_needs():
    text = turning("acts: [crank-bolt in to turn, turn crank 2, crank-bolt out]").replace(
        "tightness: 90 N·m, out: {strip: 1 min, refit: 1 min}",
        "tightness: 90 N·m, out: {strip: 1 min, refit: 1 min, needs: [flap]}",
    )
    compiled = compiled_of(text)
    assert needs_of(compiled)["crank-bolt out"] == {"crank unproven", "flap off"}
    assert "flap off" not in block_of(compiled, "all/turn")[0]


def test_a_holder_taken_away_to_turn_and_put_back_must_be_found_fitted():
    acts = "acts: [holder away, turn crank 2, holder fitted]"
    needs, before = block_of(compiled_of(turning(acts)), "all/turn")
    assert needs == {"crank unproven", "cam unproven", "holder fitted"}
    assert before == {"crank-pin in", "cam-pin in", "crank-bolt out"}


def test_a_pin_put_in_to_probe_brings_what_its_way_needs():
    acts = "acts: [cam-pin in, cam-pin out]"
    needs, before = block_of(compiled_of(turning(acts)), "all/turn")
    assert needs == {"cam unproven", "flap off"}
    assert before == {"cam-pin in"}


@pytest.mark.parametrize(
    ("acts", "code", "what", "to_do"),
    [
        (
            "[crank-pin in]",
            "plan-step-not-as-found",
            "step 'turn' leaves 'crank-pin' in and not as it found it",
            "undo it within the step; what stays open belongs in the goals or needs",
        ),
        (
            "[crank-bolt in to turn, turn crank 2]",
            "plan-step-not-as-found",
            "step 'turn' leaves 'crank-bolt' in to turn and not as it found it",
            "undo it within the step; what stays open belongs in the goals or needs",
        ),
        (
            "[crank-pin in, turn crank 2, crank-pin out]",
            "plan-act-against-rule",
            "step 'turn' would 'turn crank 2' while its own 'crank-pin' is in",
            "change the order of its acts (rule 'turning locked', from 'crank-pin')",
        ),
        (
            "[flap fitted, cam-pin in, cam-pin out, flap off]",
            "plan-act-against-rule",
            "step 'turn' would 'cam-pin in' while its own 'flap' is fitted",
            "change the order of its acts (rule 'way needs', from 'flap')",
        ),
    ],
)
def test_acts_that_cannot_be_done_are_refused(acts: str, code: str, what: str, to_do: str):
    with pytest.raises(CompileError) as refused:
        compiled_of(turning(f"acts: {acts}"))
    complaint = refused.value.complaints[0]
    assert (complaint.code, complaint.what, complaint.to_do) == (code, what, to_do)
    assert complaint.place.file == "rig.yaml"
