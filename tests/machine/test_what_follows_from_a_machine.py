"""What follows from a machine file without being typed."""

# The files in here are as wide as people write them.
# ruff: noqa: E501

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.machine.written import machine_from
from witnessmark.machine.acts import Act, ActError, Verb, fact_of, read_act
from witnessmark.machine.derived import (
    Because,
    Derived,
    Fact,
    Fault,
    OrderKind,
    Unresolved,
    bar_asks,
    clear_of,
    fact_for,
)
from witnessmark.machine.model import FactRef, ObjectKind, Place
from witnessmark.machine.states import OPENINGS, REST, SYNONYMS, depth_of, state_named

HERE = Place("m.yaml", 1, 1)

MACHINE = """
parts:
  engine: {fixed: true}
  cover: {off: {strip: 1 min, refit: 1 min}}
  bracket: {off: {strip: 1 min, refit: 1 min}}
  seal: {trapped_by: [cover], off: {strip: 1 min, refit: 1 min}}
  pump: {trapped_by: [bracket], moved: {strip: 1 min, refit: 1 min}}
  wheel: {off: {strip: 1 min, refit: 1 min}}
assemblies:
  front: {parts: [cover, seal, pump], off: {strip: 2 min, refit: 2 min}}
joints:
  screws:
    kind: bolts
    holds: [cover]
    to: engine
    fasteners: [{hole: 1}, {hole: 2, clamps: [cover, bracket]}]
    tightness: 9 N·m
    out: {strip: 1 min, refit: 1 min}
  inner: {kind: clips, holds: [seal], to: cover, tightness: clicked, out: {strip: 1 min, refit: 1 min}}
  stay: {kind: bolts, holds: [bracket], to: pump, tightness: 9 N·m, slack: {strip: 1 min, refit: 1 min}}
  hose:
    kind: hose-end
    holds: [pump]
    to: engine
    tightness: seated
    opens: [coolant]
    slack: {strip: 1 min, refit: 1 min}
    out: {strip: 1 min, refit: 1 min}
  nut:
    kind: bolts
    holds: [wheel]
    to: engine
    tightness: 90 N·m
    single_use: true
    number: N-1
    slack: {strip: 1 min, refit: 1 min}
    out: {strip: 1 min, refit: 1 min}
circuits:
  coolant:
    fluid: coolant
    drain: tap
    fill: slowly
    level: 300 mm
    heights: {hose: 299 mm}
    relieved: {strip: 1 min, refit: 1 min}
    drained: {strip: 4 min, refit: 8 min}
shafts:
  crank:
    unproven: {strip: 2 min, refit: 6 min}
    mark: {text: notch, seen_with: [cover], seen_only_before: [wheel off]}
    disturbed_by: [nut slack]
make_safe: {bare: {}}
locks:
  pin: {hole: block, holds: [crank], in: {strip: 1 min, refit: 1 min}}
bars:
  not-against-the-pin: {never: nut slack, while: [pin in]}
  held: {never: cover, unless: [bracket off]}
  no-turning: {never: turn crank, while: [pin in], unless: [wheel off]}
  no-pressure: {never: pressurise coolant, while: [hose out]}
  no-start: {never: start, while: [coolant drained], unless: [pin in]}
  no-lowering: {never: lower, while: [wheel off], evidence: nobody below}
works:
  job:
    steps:
      turn: {text: turn, time: 1 min, acts: [turn crank 2]}
      run: {text: run, time: 1 min, acts: [start]}
      look: {text: look, time: 1 min}
"""

DERIVED = Derived(machine_from(MACHINE))


def fact(text: str) -> Fact:
    name, _, state = text.partition(" ")
    return DERIVED.resolve(FactRef(name, state or None, HERE))


def reasons(found) -> set[tuple[str, Because, str]]:
    return {(str(each.fact), each.because, each.by) for each in found}


def test_a_part_without_a_state_is_out_of_the_way_when_off_or_carried_off():
    assert fact("cover") == clear_of("cover")
    assert [str(each) for each in DERIVED.supporters(fact("cover"))] == ["cover off", "front off"]
    assert [str(each) for each in DERIVED.supporters(fact("pump"))] == ["front off"]
    assert DERIVED.supporters(fact("cover off")) == (fact("cover off"),)


def test_anything_else_without_a_state_means_its_deepest_opening():
    assert fact("hose") == fact("hose out")
    assert fact("stay") == fact("stay slack")
    assert fact("coolant") == fact("coolant drained")
    assert fact("front") == fact("front off")


def test_a_shaft_is_named_for_its_proof():
    free = MACHINE.replace(
        "    mark: {text", "    free: {strip: 1 min, refit: 1 min}\n    mark: {text"
    )
    derived = Derived(machine_from(free))
    assert str(derived.resolve(FactRef("crank", None, HERE))) == "crank unproven"
    assert str(derived.resolve(FactRef("crank", "free", HERE))) == "crank free"


def test_trade_words_are_the_same_fact():
    assert fact("hose cracked") == fact("hose slack") == fact("hose backed off")
    assert fact("pump aside") == fact("pump part-way") == fact("pump moved")


@pytest.mark.parametrize(
    ("text", "fault", "kind"),
    [
        ("nobody off", Fault.UNKNOWN_OBJECT, None),
        ("cover sideways", Fault.UNKNOWN_STATE, ObjectKind.PART),
        ("cover fitted", Fault.REST, ObjectKind.PART),
        ("pin out", Fault.REST, ObjectKind.LOCK),
        ("engine", Fault.NOT_DESCRIBED, ObjectKind.PART),
        ("pump off", Fault.NOT_DESCRIBED, ObjectKind.PART),
        ("stay out", Fault.NOT_DESCRIBED, ObjectKind.JOINT),
        ("bare", Fault.NOT_DESCRIBED, ObjectKind.MAKE_SAFE),
    ],
)
def test_a_fact_that_refers_to_nothing_says_why(text: str, fault: Fault, kind) -> None:
    with pytest.raises(Unresolved) as trouble:
        fact(text)
    assert (trouble.value.fault, trouble.value.kind) == (fault, kind)


def test_a_part_needs_out_what_holds_it_and_away_what_traps_it():
    assert reasons(DERIVED.needs(fact("seal off"))) == {
        ("inner out", Because.HELD, "inner"),
        ("cover", Because.TRAPPED, "cover"),
    }


def test_a_fastener_holds_what_it_clamps_besides():
    assert DERIVED.holding("bracket") == ("screws", "stay")
    assert reasons(DERIVED.needs(fact("bracket off"))) == {
        ("screws out", Because.HELD, "screws"),
        ("stay slack", Because.HELD, "stay"),  # it has no deeper opening
    }


def test_an_assembly_needs_out_what_crosses_its_edge_and_away_what_traps_it_from_outside():
    front = DERIVED.machine.assemblies["front"]
    assert DERIVED.crossing(front) == ("screws", "stay", "hose")  # `inner` stays made
    assert DERIVED.trappers(front) == ("bracket",)
    assert reasons(DERIVED.needs(fact("front off"))) == {
        ("screws out", Because.CROSSES, "screws"),
        ("stay slack", Because.CROSSES, "stay"),
        ("hose out", Because.CROSSES, "hose"),
        ("bracket", Because.TRAPPED, "bracket"),
        ("bracket off", Because.BAR, "held"),
    }


def test_the_first_opening_of_a_joint_opens_its_circuit():
    assert reasons(DERIVED.needs(fact("hose slack"))) == {
        ("coolant drained", Because.OPENS, "coolant")
    }
    assert DERIVED.needs(fact("hose out")) == ()


def test_above_the_level_relieving_is_enough():
    above = Derived(machine_from(MACHINE.replace("299 mm", "300 mm")))
    slack = fact_for(ObjectKind.JOINT, "hose", "slack")
    assert reasons(above.needs(slack)) == {("coolant relieved", Because.OPENS, "coolant")}


def test_what_disturbs_a_shaft_and_what_pins_it_happens_while_it_is_unproven():
    assert reasons(DERIVED.needs(fact("nut slack"))) == {
        ("crank unproven", Because.DISTURBS, "crank")
    }
    assert reasons(DERIVED.needs(fact("pin in"))) == {("crank unproven", Because.PINS, "crank")}


def test_a_mark_is_read_with_its_cover_off_and_its_wheel_on():
    assert ("cover", Because.MARK, "crank") in reasons(DERIVED.needs(fact("crank unproven")))
    assert ("wheel off", Because.MARK, "crank") in reasons(
        DERIVED.while_fitted(fact("crank unproven"))
    )


def test_a_single_use_joint_that_is_slackened_comes_out():
    assert DERIVED.asks() == ((fact("nut slack"), fact("nut out")),)


def effects(bar: str) -> set[tuple[OrderKind, str, str]]:
    found = DERIVED.bar_effects(DERIVED.machine.bars[bar])
    return {
        (e.kind, str(e.bound) if isinstance(e.bound, Fact) else "/".join(e.bound), str(e.other))
        for e in found
    }


def test_what_may_not_be_opened_while_something_is_open_comes_before_it():
    assert effects("not-against-the-pin") == {(OrderKind.WHILE_FITTED, "nut slack", "pin in")}
    assert ("pin in", Because.BAR, "not-against-the-pin") in reasons(
        DERIVED.while_fitted(fact("nut slack"))
    )


def test_what_may_not_be_opened_unless_something_is_open_needs_it_however_it_is_opened():
    assert effects("held") == {
        (OrderKind.NEEDS, "cover off", "bracket off"),
        (OrderKind.NEEDS, "front off", "bracket off"),
    }


def test_a_bar_on_turning_binds_marks_and_proof_and_every_step_that_turns():
    assert effects("no-turning") == {
        (OrderKind.WHILE_FITTED, "crank unproven", "pin in"),
        (OrderKind.NEEDS, "crank unproven", "wheel off"),
        (OrderKind.BEFORE, "job/turn", "pin in"),
        (OrderKind.NEEDS, "job/turn", "wheel off"),
    }
    assert reasons(DERIVED.step_before("job", "turn")) == {("pin in", Because.BAR, "no-turning")}
    assert reasons(DERIVED.step_needs("job", "turn")) == {("wheel off", Because.BAR, "no-turning")}
    assert DERIVED.step_before("job", "look") == ()


def test_a_bar_on_pressure_binds_the_closing_of_the_circuit():
    assert effects("no-pressure") == {(OrderKind.WHILE_FITTED, "coolant relieved", "hose out")}


def test_a_bar_on_starting_binds_the_steps_that_start():
    assert effects("no-start") == {
        (OrderKind.BEFORE, "job/run", "coolant drained"),
        (OrderKind.NEEDS, "job/run", "pin in"),
    }


def test_a_bar_that_only_asks_compiles_into_nothing():
    bar = DERIVED.machine.bars["no-lowering"]
    assert DERIVED.bar_effects(bar) == ()
    assert bar_asks(bar)
    assert not bar_asks(DERIVED.machine.bars["no-start"])


def test_openings_are_given_shallowest_first_in_the_order_of_the_file():
    assert [str(each) for each in DERIVED.all_openings()][:8] == [
        "cover off",
        "bracket off",
        "seal off",
        "pump moved",
        "wheel off",
        "front off",
        "screws out",
        "inner out",
    ]
    assert DERIVED.first_opening("coolant") == fact("coolant relieved")
    assert DERIVED.opening(clear_of("cover")) is None
    assert DERIVED.carriers("seal") == ("front",)
    assert DERIVED.first_opening("engine") is None
    assert DERIVED.first_opening("nobody") is None


def test_references_to_nothing_are_passed_over_in_silence():
    read = """
parts: {cover: {trapped_by: [nobody], off: {strip: 1 min, refit: 1 min}}}
joints: {hose: {kind: clips, holds: [gone], opens: [air], tightness: seated, out: {strip: 1 min, refit: 1 min}}}
locks: {pin: {hole: x, holds: [ghost], in: {strip: 1 min, refit: 1 min}}}
bars: {a: {never: turn ghost, while: [phantom]}, b: {never: turn, while: [pin in]}, c: {never: ghost in, while: [pin in]}}
"""
    derived = Derived(machine_from(read))
    assert [each.fact for each in derived.needs(fact_for(ObjectKind.PART, "cover", "off"))] == [
        clear_of("nobody")
    ]
    assert all(derived.bar_effects(bar) == () for bar in derived.machine.bars.values())


# States and acts


def test_every_kind_has_its_rest_and_its_depths():
    assert set(REST) == set(OPENINGS) == set(SYNONYMS) == set(ObjectKind)
    for kind in ObjectKind:
        assert depth_of(kind, REST[kind]) == 0
        assert [depth_of(kind, state) for state in OPENINGS[kind]] == list(
            range(1, len(OPENINGS[kind]) + 1)
        )
        for word, state in SYNONYMS[kind].items():
            assert state_named(kind, word.upper()) == state
        assert state_named(kind, "inside out") is None
    with pytest.raises(ValueError, match="not in tuple"):
        depth_of(ObjectKind.PART, "sideways")


@pytest.mark.parametrize(
    ("text", "act"),
    [
        ("turn crank", Act(Verb.TURN, "crank")),
        ("turn crank 2", Act(Verb.TURN, "crank", Fraction(2))),
        ("turn crank 1/2 turn", Act(Verb.TURN, "crank", Fraction(1, 2))),
        ("crank", Act(Verb.CRANK)),
        ("start", Act(Verb.START)),
        ("lower", Act(Verb.LOWER)),
        ("pressurise air", Act(Verb.PRESSURISE, "air")),
        ("bolt in to turn", Act(Verb.IN_TO_TURN, "bolt")),
        ("pin in", Act(Verb.SET, "pin", state="in")),
        ("hose backed off", Act(Verb.SET, "hose", state="backed off")),
        ("cover", Act(Verb.SET, "cover")),
    ],
)
def test_acts_are_read_as_people_write_them(text: str, act: Act) -> None:
    assert read_act(text) == act


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "an act is empty"),
        ("turn", "'turn' does not say which shaft"),
        ("turn crank 2 rounds", "'turn crank 2 rounds' does not say which shaft"),
        ("turn crank two", "'two' is not a number"),
        ("pressurise", "'pressurise' does not say which circuit"),
        ("pressurise the air", "'pressurise the air' does not say which circuit"),
        ("start engine", "'start engine' says too much"),
    ],
)
def test_an_act_that_cannot_be_read_says_what_is_wrong(text: str, what: str) -> None:
    with pytest.raises(ActError) as trouble:
        read_act(text)
    assert trouble.value.what == what
    assert trouble.value.hint


def test_only_setting_a_thing_reaches_a_fact():
    assert fact_of(read_act("pin in"), HERE) == FactRef("pin", "in", HERE)
    assert fact_of(read_act("turn crank"), HERE) is None
