"""Compiling from where a job stands: what is open, what follows from it, what is struck out."""

# ruff: noqa: E501 - in the machine files below one thing stands on one line

from __future__ import annotations

from random import Random

import pytest

from tests.procedure.any_plan import any_plan
from tests.procedure.bench_helpers import (
    compiled_of,
    moved,
    needs_of,
    plan_by,
    planned,
    refusals,
    steps_of,
)
from witnessmark.procedure.compile import Compiled, CompileError

RIG = """\
parts:
  block: {name: block, fixed: true}
  hose: {name: hose, off: {strip: 1 min, refit: 1 min}}
  cover: {name: cover, off: {strip: 1 min, refit: 1 min, needs: [hose]}}
  fan: {name: fan, off: {strip: 1 min, refit: 1 min}}
  radiator: {name: radiator, off: {strip: 1 min, refit: 1 min}}
  pump:
    name: pump
    off:
      ways:
        above: {strip: 5 min, refit: 5 min, needs: [radiator]}
        below: {strip: 2 min, refit: 2 min, needs: [cover, tray]}
  tray: {name: tray, off: {strip: 1 min, refit: 1 min}}
assemblies:
  pack: {name: pack, parts: [fan, radiator], off: {strip: 2 min, refit: 2 min}}
joints:
  cover-bolts: {kind: bolts, holds: [cover], to: block, tightness: 9 N·m, out: {strip: 1 min, refit: 1 min}}
  hose-end: {kind: hose-end, holds: [hose], to: block, opens: [coolant], tightness: seated, out: {strip: 1 min, refit: 1 min}}
circuits:
  coolant: {name: coolant, fluid: coolant, capacity: 5 L, drained: {strip: 4 min, refit: 6 min}}
works:
  pump: {name: pump, goals: [pump off]}
  cover: {name: cover, goals: [cover off]}
"""  # fmt: skip


def started(compiled: Compiled) -> set[str]:
    return {opening.id for opening in compiled.problem.openings if opening.started}


def test_what_is_open_has_everything_open_that_it_cannot_be_open_without():
    compiled = compiled_of(RIG, "cover", state="open: [cover off]\n")
    assert started(compiled) == {
        "cover off", "cover-bolts out", "hose off", "hose-end out", "coolant drained",
    }  # fmt: skip


def test_what_nobody_said_is_reported_with_its_reason():
    compiled = compiled_of(RIG, "cover", state="open: [cover off]\n")
    opening = compiled.problem.openings
    assert {(opening[each.opening].id, each.says) for each in compiled.implied} == {
        ("cover-bolts out", "'cover off' is open: held by cover bolts"),
        ("hose off", "'cover off' is open: its way needs hose"),
        ("hose-end out", "'hose off' is open: held by hose end"),
        ("coolant drained", "'hose-end out' is open: it opens coolant"),
    }
    assert all(each.place.file == "rig.yaml" for each in compiled.implied)


def test_the_closing_of_all_that_is_open_is_still_due_and_replays():
    compiled = compiled_of(RIG, "cover", state="open: [cover off]\n")
    plan = planned(compiled)
    assert set(steps_of(compiled, plan)) == {
        "refit cover off", "refit cover-bolts out", "refit hose off", "refit hose-end out",
        "refit coolant drained",
    }  # fmt: skip
    assert refusals(compiled, plan) == []


def test_what_is_open_for_another_work_is_closed_too():
    compiled = compiled_of(RIG, "cover", state="open: [tray off]\n")
    assert "refit tray off" in steps_of(compiled, planned(compiled))


def test_a_closing_out_of_order_is_refused_from_a_state_too():
    compiled = compiled_of(RIG, "cover", state="open: [cover off]\n")
    plan = planned(compiled)
    early = moved(compiled, plan, "refit cover-bolts out", before="refit cover off")
    assert [rule for _, rule, _ in refusals(compiled, early)] == ["held"]


def test_the_way_something_was_opened_by_is_kept():
    compiled = compiled_of(RIG, "pump", state="open: [pump off]\nby: {pump off: below}\n")
    pump = compiled.problem.openings[compiled.index["pump", "off"]]
    assert pump.started_way == 1
    assert {"cover off", "tray off", "hose off"} <= started(compiled)
    assert "radiator off" not in started(compiled)
    assert refusals(compiled, planned(compiled)) == []


def test_of_several_ways_only_what_all_need_follows():
    compiled = compiled_of(RIG, "pump", state="open: [pump off]\n")
    assert started(compiled) == {"pump off"}


def test_the_closing_needs_its_way_clear_again_even_if_it_was_shut_meanwhile():
    compiled = compiled_of(RIG, "pump", state="open: [pump off]\n")
    pump = compiled.problem.openings[compiled.index["pump", "off"]]
    for way in pump.ways:
        assert set(way.needs) <= set(way.refit_needs)
    plan = planned(compiled)
    assert {"strip tray off", "strip cover off"} <= set(steps_of(compiled, plan)) or (
        "strip radiator off" in steps_of(compiled, plan)
        or "strip pack off" in steps_of(compiled, plan)
    )
    assert refusals(compiled, plan) == []


def test_a_choice_that_is_open_already_settles_what_follows():
    state = "open: [pump off, pack off]\nby: {pump off: above}\n"
    compiled = compiled_of(RIG, "pump", state=state)
    assert started(compiled) == {"pump off", "pack off"}
    assert refusals(compiled, planned(compiled)) == []


def test_one_removal_may_take_over_from_another_before_the_closing_needs_it():
    # The pump is out, past the radiator with its pack. The pack may go back first, as long
    # as the radiator itself is out again when the pump goes in.
    state = "open: [pump off, pack off]\nby: {pump off: above}\n"
    compiled = compiled_of(RIG, "pump", state=state)
    over = plan_by(
        compiled,
        ["refit pack off", "strip radiator off", "refit pump off", "refit radiator off"],
    )
    assert refusals(compiled, over) == []
    never = plan_by(compiled, ["refit pack off", "refit pump off"])
    assert [(step, rule) for step, rule, _ in refusals(compiled, never)] == [
        ("refit pack off", "way needs")
    ]


# What is behind the job

TWO_STEPS = """\
parts:
  block: {name: block, fixed: true}
  cover: {name: cover, off: {strip: 1 min, refit: 1 min}}
  pump: {name: pump, off: {strip: 1 min, refit: 1 min}}
joints:
  cover-bolts:
    kind: bolts
    holds: [cover]
    to: block
    tightness: 9 N·m
    single_use: true
    slack: {strip: 1 min, refit: 1 min}
    out: {strip: 1 min, refit: 1 min}
works:
  look:
    name: look
    goals: [cover off]
    steps:
      clean: {text: clean it, time: 5 min, needs: [cover off]}
      see: {text: look at it, time: 2 min, needs: [pump off], after: [clean]}
"""


def test_a_goal_that_was_open_and_is_shut_again_is_not_asked_for_again():
    compiled = compiled_of(RIG, "pump", state="been: [pump off]\n")
    assert compiled.problem.goals == ()
    assert planned(compiled).steps == ()


def test_a_step_that_is_done_is_left_out_and_what_came_after_it_no_longer_waits():
    compiled = compiled_of(TWO_STEPS, state="been: [cover off]\ndone: [look/clean]\n")
    assert [(block.id, block.after) for block in compiled.problem.blocks] == [("look/see", ())]
    plan = planned(compiled)
    assert steps_of(compiled, plan) == ["strip pump off", "do look/see", "refit pump off"]
    assert refusals(compiled, plan) == []


def test_a_step_that_is_left_opens_again_what_it_needs():
    compiled = compiled_of(TWO_STEPS, state="been: [cover off]\n")
    assert "strip cover off" in steps_of(compiled, planned(compiled))


def test_new_bolts_run_in_by_hand_need_not_come_out_again():
    slack = compiled_of(TWO_STEPS, state="open: [cover-bolts slack]\ndone: [look/clean, look/see]\n"
                        "been: [cover off]\n")  # fmt: skip
    assert "strip cover-bolts out" in steps_of(slack, planned(slack))
    new = compiled_of(TWO_STEPS, state="open: [cover-bolts slack]\ndone: [look/clean, look/see]\n"
                      "been: [cover off, cover-bolts out]\n")  # fmt: skip
    plan = planned(new)
    assert steps_of(new, plan) == ["refit cover-bolts slack"]
    assert refusals(new, plan) == []
    # Of bolts that were slackened and never out the replay still says so.
    old = compiled_of(TWO_STEPS, state="open: [cover-bolts slack]\ndone: [look/clean, look/see]\n"
                      "been: [cover off]\n")  # fmt: skip
    made = plan_by(old, ["refit cover-bolts slack"])
    assert [rule for _, rule, _ in refusals(old, made)] == ["single use"]


# Struck ways


def test_a_struck_way_is_gone():
    compiled = compiled_of(RIG, "pump", state="struck: [pump off/below]\n")
    pump = compiled.index["pump", "off"]
    assert [way.id for way in compiled.problem.openings[pump].ways] == ["above"]
    assert [way.id for way in compiled.openings[pump].ways] == ["above"]
    assert [(str(ref), way) for ref, way in compiled.struck] == [("pump off", "below")]


def test_when_every_way_is_struck_the_cause_can_be_named():
    compiled = compiled_of(RIG, "pump", state="struck: [pump off/below, pump off/above]\n")
    dead = "any way to pump off not struck out"
    assert dead in needs_of(compiled)["pump off"]
    assert [clear.id for clear in compiled.problem.clears if not clear.supporters] == [dead]
    assert any_plan(compiled.problem, Random(0)) is None


def test_a_part_that_only_assemblies_carry_off_must_be_said_by_its_assembly():
    text = """\
        parts:
          frame: {name: frame, fixed: true}
          coil: {name: coil}
          lid: {name: lid, off: {strip: 1 min, refit: 1 min, needs: [coil]}}
        assemblies:
          left: {name: left half, parts: [coil], off: {strip: 1 min, refit: 1 min}}
          right: {name: right half, parts: [coil], off: {strip: 1 min, refit: 1 min}}
        works:
          lid: {name: lid, goals: [lid off]}
    """
    with pytest.raises(CompileError) as refused:
        compiled_of(text, state="open: [coil]\n")
    assert str(refused.value) == (
        "state.yaml:3:8: state-needs-a-choice: 'coil' may be open in several ways: "
        "write 'left off' or 'right off'"
    )
    said = compiled_of(text, state="open: [left off, lid off]\n")
    assert started(said) == {"left off", "lid off"}


# Refused


@pytest.mark.parametrize(
    ("state", "expected"),
    [
        (
            "open: [covr off]\n",
            (
                "state.yaml:3:8: state-names-nothing: 'covr off' is nothing this machine can have "
                "open: did you mean 'cover'?"
            ),
        ),
        (
            "been: [covr off]\n",
            (
                "state.yaml:3:8: state-names-nothing: 'covr off' is nothing this machine can have "
                "open: did you mean 'cover'?"
            ),
        ),
        (
            "open: [pump off]\nby: {pump off: belw}\n",
            (
                "state.yaml:4:16: state-unknown-way: 'pump off' has no way 'belw': did you mean "
                "'below'?"
            ),
        ),
        (
            "by: {pump off: below}\n",
            (
                "state.yaml:3:6: state-way-of-shut: 'pump off' is given a way but is not open: "
                "add 'pump off' to `open`"
            ),
        ),
        (
            "open: [pump off]\nby: {pump off: above}\n",
            (
                "state.yaml:3:8: state-needs-a-choice: 'pump off' needs 'radiator', which may be "
                "open in several ways: add 'radiator off' or 'pack off' to `open`"
            ),
        ),
        (
            "open: [pump off]\nby: {pump off: below}\nstruck: [pump off/below]\n",
            (
                "state.yaml:5:10: state-struck-way-used: 'pump off' was opened by 'below', which is "
                "struck out: take it from one of the two lists"
            ),
        ),
    ],
)
def test_a_state_that_cannot_be_is_refused_with_its_place(state: str, expected: str):
    with pytest.raises(CompileError) as refused:
        compiled_of(RIG, "pump", state=state)
    assert str(refused.value) == expected
