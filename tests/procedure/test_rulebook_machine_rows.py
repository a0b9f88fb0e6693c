"""The rows one machine adds to the rule book: plain data, and of one mind with `Derived`."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.procedure.bench_helpers import WORKSHOP, compiled_of, machine_of, needs_of
from tests.procedure.random_machines import Drawing
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Machine
from witnessmark.machine.reading import read_machine
from witnessmark.procedure.compile import CompileError, compile_problem
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.shapes import Wanted
from witnessmark.procedure.tables import tables_for

YAML = Path(__file__).parents[2] / "docs" / "worked-example.yaml"


def example() -> Machine:
    result = read_machine(lambda _: YAML.read_bytes(), "docs/worked-example.yaml")
    assert result.value is not None
    return result.value


def test_the_rows_are_plain_data_and_survive_json():
    data = tables_for(example()).as_data()
    assert json.loads(json.dumps(data)) == data


def test_the_rows_of_the_worked_example_for_its_pin_bolt_and_shaft():
    demands = tables_for(example()).as_data()["demands"]
    assert demands["crank-pin in"] == [
        {
            "check": "pins",
            "wanted": "open",
            "of": "crankshaft unproven",
            "openings": [["crankshaft", "unproven"]],
            "by": "crankshaft",
            "place": "docs/worked-example.yaml:105:3",
            "why": "",
        }
    ]
    assert [(row["check"], row["openings"]) for row in demands["turn crankshaft"]] == [
        ("turning locked", [["crank-pin", "in"]]),
        ("turning without bolt", [["crank-bolt", "out"]]),
    ]
    assert {row["check"] for row in demands["start"]} == {
        "running locked",
        "running unproven",
        "running dry",
    }


def test_which_shafts_lose_their_proof_when_what_is_opened():
    assert tables_for(example()).disturbs == {
        ("belt", "off"): ("crankshaft",),
        ("tensioner-clamp", "slack"): ("crankshaft",),
        ("crank-bolt", "slack"): ("crankshaft",),
    }


@settings(max_examples=100, deadline=None)
@given(st.integers(min_value=0, max_value=10**9))
def test_whatever_follows_from_the_machine_is_in_the_rows(seed: int):
    machine = machine_of(Drawing(seed).text())
    derived = Derived(machine)
    tables = tables_for(machine, derived)
    for fact in derived.all_openings():
        rows = tables.of((fact.object, fact.state))
        for need in derived.needs(fact):
            allowed = {(s.object, s.state) for s in derived.supporters(need.fact)}
            # Two bars may ask for the same opening in two ways of writing it: one row.
            wanted = [
                row for row in rows if row.wanted is Wanted.OPEN and {*row.openings} <= allowed
            ]
            assert wanted, (fact, need)
        for other in derived.while_fitted(fact):
            shut = [row.openings for row in rows if row.wanted is Wanted.SHUT]
            assert ((other.fact.object, other.fact.state),) in shut
    for demands in tables.demands.values():
        for demand in demands:
            assert RULE_BOOK.checks[demand.check].wanted is demand.wanted
            assert demand.place.file == "rig.yaml"


def test_the_same_machine_compiles_to_the_same_problem_under_any_hash_seed():
    text = Drawing(7).text()
    script = (
        "import sys\n"
        "from tests.procedure.bench_helpers import WORKSHOP, machine_of\n"
        "from witnessmark.procedure.compile import compile_problem\n"
        "compiled = compile_problem(machine_of(sys.stdin.read()), ['work'], WORKSHOP)\n"
        "print(compiled.problem, compiled.openings, compiled.clears)\n"
    )
    answers = {
        subprocess.run(
            [sys.executable, "-c", script],
            input=text,
            capture_output=True,
            text=True,
            check=True,
            cwd=Path(__file__).parents[2],
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(answers) == 1


# Files that the checks would refuse must still not break the compiler.

ODD = """\
parts:
  lid: {name: lid, off: {strip: 1 min, refit: 1 min}}
  plate: {name: plate, off: {strip: 1 min, refit: 1 min}}
shafts:
  crank: {name: crank, unproven: {strip: 1 min, refit: 1 min}, proof: turn it}
bars:
  odd: {never: lid off, unless: [plate]}
works:
  lid: {name: lid, goals: [lid off], steps: {look: {text: look, time: 1 min}}}
"""


def test_a_bar_nobody_can_read_brings_nothing():
    machine = machine_of(ODD)
    odd = replace(machine.bars["odd"], never="turn")
    tables = tables_for(replace(machine, bars={"odd": odd}))
    assert tables.of(("lid", "off")) == ()


def test_a_state_without_any_way_is_passed_over():
    machine = machine_of(ODD)
    plate = machine.parts["plate"]
    bare = replace(plate, openings=(replace(plate.openings[0], ways=()),))
    parts = {**machine.parts, "plate": bare}
    compiled = compile_problem(replace(machine, parts=parts), ["lid"], WORKSHOP)
    assert needs_of(compiled) == {"lid off": {"plate"}}
    assert [clear.supporters for clear in compiled.problem.clears] == [()]


@pytest.mark.parametrize(
    ("act", "what", "to_do"),
    [
        ("turn", "'turn' does not say which shaft", "write 'turn SHAFT' or 'turn SHAFT TURNS'"),
        ("hood off", "'hood' in 'hood off' names nothing", "describe it, or write its id"),
        ("turn lid", "'turn lid' does not name a shaft", "write the id of a shaft"),
        ("pressurise lid", "'pressurise lid' does not name a circuit", "write the id of a circuit"),
        ("lid in to turn", "'lid in to turn' does not name a joint", "write the id of a joint"),
        ("lid ajar", "'lid ajar' names no state of 'lid'", "write a described state"),
        ("lid moved", "'lid moved' names no state of 'lid'", "write a described state"),
    ],
)
def test_an_act_nobody_can_do_is_refused_with_its_place(act: str, what: str, to_do: str):
    machine = machine_of(ODD)
    work = machine.works["lid"]
    step = replace(work.steps[0], acts=(act,), act_places=())
    works = {"lid": replace(work, steps=(step,))}
    with pytest.raises(CompileError) as refused:
        compile_problem(replace(machine, works=works), ["lid"], WORKSHOP)
    assert str(refused.value) == f"{step.place}: plan-act-unreadable: {what}: {to_do}"


def test_an_act_without_a_state_means_the_deepest_one():
    machine = machine_of(ODD)
    work = machine.works["lid"]
    step = replace(work.steps[0], acts=("plate", "plate fitted"), act_places=())
    works = {"lid": replace(work, steps=(step,))}
    compiled = compile_problem(replace(machine, works=works), ["lid"], WORKSHOP)
    block = compiled.problem.blocks[0]
    assert [compiled.problem.openings[b].id for b in block.before] == ["plate off"]


def test_what_is_renewed_without_any_way_out_is_left_to_the_kit():
    compiled = compiled_of("""
        parts:
          lid: {name: lid, off: {strip: 1 min, refit: 1 min}}
          badge: {name: badge}
        works:
          lid: {name: lid, goals: [lid off], renews: [badge]}
    """)
    assert [goal.why for goal in compiled.goals] == ["goal"]
