"""The rule book's own tables: whole, closed, plain, and of one mind with the machine file."""

from __future__ import annotations

import json
import string

import pytest

from witnessmark.machine.states import OPENINGS, REST, SYNONYMS
from witnessmark.procedure.rulebook import RULE_BOOK, UnknownToTheBookError, plain
from witnessmark.procedure.rules.actions import ACTIONS, EVIDENCE
from witnessmark.procedure.rules.checks import CHECKS
from witnessmark.procedure.rules.gates import GATES
from witnessmark.procedure.rules.objects import KINDS
from witnessmark.procedure.rules.shapes import Event, Half, State, Wanted


def test_the_kinds_are_those_of_the_machine_file():
    assert set(RULE_BOOK.kinds) == {kind.value for kind in REST}


@pytest.mark.parametrize("kind", list(REST))
def test_rest_and_openings_are_those_of_the_machine_file(kind):
    book = RULE_BOOK.kinds[kind.value]
    assert book.states[0].id == REST[kind]
    assert tuple(state.id for state in book.states if state.opening) == OPENINGS[kind]


@pytest.mark.parametrize("kind", list(REST))
def test_every_other_word_of_the_trade_means_a_state_of_the_same_depth(kind):
    for word, state in SYNONYMS[kind].items():
        if (kind.value, word) in RULE_BOOK.states:
            assert RULE_BOOK.depth(kind.value, word) == RULE_BOOK.depth(kind.value, state)


# The table of states in the semantics (S2), by hand.
DEPTHS = {
    "part": {"fitted": 0, "moved": 1, "off": 2},
    "assembly": {"fitted": 0, "moved": 1, "off": 2},
    "joint": {
        "made": 0, "slack": 1, "cracked": 1, "backed off": 1, "finger-tight": 1, "nipped": 1,
        "part-tightened": 1, "in to turn": 1, "unknown": 1, "out": 2,
    },
    "circuit": {"ready": 0, "filled": 1, "relieved": 1, "held back": 1, "drained": 2, "dirty": 3},
    "shaft": {"proven": 0, "unproven": 1, "held": 2, "free": 2},
    "lock": {"out": 0, "in": 1},
    "temporary": {"away": 0, "fitted": 1},
    "make-safe": {"normal": 0, "safe": 1},
}  # fmt: skip


def test_the_states_and_their_depths_are_those_of_the_semantics():
    assert {kind.id: {state.id: state.depth for state in kind.states} for kind in KINDS} == DEPTHS


def test_ids_are_used_once():
    for table in (KINDS, ACTIONS, CHECKS, EVIDENCE, GATES):
        ids = [row.id for row in table]
        assert len(ids) == len(set(ids))


def test_every_action_goes_between_known_states():
    for action in ACTIONS:
        if action.kind == "machine":
            continue
        for state in (*action.sources, action.target):
            assert (action.kind, state) in RULE_BOOK.states, action.id


def test_strip_leads_away_from_rest_and_refit_towards_it():
    for action in ACTIONS:
        for source in action.sources:
            here, there = (RULE_BOOK.depth(action.kind, s) for s in (source, action.target))
            if action.half is Half.REFIT:
                # Nipping up and tightening by stages stay at the same depth.
                assert there <= here, action.id
            elif action.half is Half.STRIP:
                assert there >= here, action.id


def test_every_state_can_be_reached_from_rest_and_left_for_rest_again():
    for kind in KINDS:
        steps = {
            (source, action.target)
            for action in ACTIONS
            if action.kind == kind.id
            for source in action.sources
        }
        everything = {state.id for state in kind.states}
        assert _reached(kind.states[0].id, steps) == everything, kind.id
        back = {(there, here) for here, there in steps}
        assert _reached(kind.states[0].id, back) == everything, kind.id


def _reached(start: str, steps: set[tuple[str, str]]) -> set[str]:
    found, todo = {start}, [start]
    while todo:
        here = todo.pop()
        for source, target in steps:
            if source == here and target not in found:
                found.add(target)
                todo.append(target)
    return found


def test_every_opening_has_a_strip_action_and_a_refit_action():
    for kind in KINDS:
        levels = [kind.states[0].id, *(state.id for state in kind.states if state.opening)]
        for number, state in enumerate(levels[1:], start=1):
            for below in {levels[number - 1], levels[0]}:
                assert RULE_BOOK.transition(kind.id, below, state, Half.STRIP), (kind.id, state)
                assert RULE_BOOK.transition(kind.id, state, below, Half.REFIT), (kind.id, state)


def test_a_compound_action_passes_through_actions_that_lead_the_same_way():
    for action in ACTIONS:
        if not action.through:
            continue
        for source in action.sources:
            state = source
            for id_ in action.through:
                part = RULE_BOOK.actions[id_]
                assert part.kind == action.kind
                assert state in part.sources, (action.id, id_)
                state = part.target
            assert state == action.target


def test_every_action_asks_only_known_evidence_and_passes_only_known_gates():
    for action in ACTIONS:
        for asked in (
            *action.evidence,
            *action.critical_evidence,
            *action.renewal_evidence,
            *action.setting_evidence,
        ):
            assert asked in RULE_BOOK.evidence, action.id
        for gate in action.gates:
            assert gate in RULE_BOOK.gates, action.id


def test_all_evidence_is_asked_by_somebody():
    asked = {
        each
        for action in ACTIONS
        for each in (
            *action.evidence,
            *action.critical_evidence,
            *action.renewal_evidence,
            *action.setting_evidence,
        )
    }
    assert {evidence.id for evidence in EVIDENCE} == asked


def test_a_critical_joint_asks_stage_wrench_and_photo():
    for id_ in ("tighten", "make"):
        assert RULE_BOOK.actions[id_].critical_evidence == ("stage", "wrench", "photo of the marks")


def test_every_check_can_be_said():
    places = {"other", "wanted", "state", "by"}
    for check in CHECKS:
        for text in (check.because, check.says):
            named = {name for _, name, _, _ in string.Formatter().parse(text) if name}
            assert named <= places, check.id
        assert check.events
        assert check.wanted in (Wanted.OPEN, Wanted.SHUT)
        # What lasts is about openings, and a thing cannot last shut.
        assert not check.lasting or (
            check.wanted is Wanted.OPEN and {Event.STRIP, Event.REFIT} <= set(check.events)
        )


def test_every_gate_names_known_states_of_known_kinds():
    for gate in GATES:
        for clearance in gate.clear_when:
            for state in clearance.states:
                assert (clearance.kind, state) in RULE_BOOK.states, gate.id


def test_only_cranking_cannot_be_passed():
    assert [gate.id for gate in GATES if not gate.passable] == ["cranking"]


def test_a_gate_falls_at_actions_of_the_book_or_at_points_of_the_job():
    points = {
        "begin", "end", "last refit", "interruption", "position under", "position left under",
    }  # fmt: skip
    for gate in GATES:
        assert set(gate.falls) <= points | set(RULE_BOOK.actions), gate.id
        at_actions = {action.id for action in ACTIONS if gate.id in action.gates}
        assembled = {f"assembly-{each}" for each in gate.falls}
        assert at_actions <= set(gate.falls) | assembled, gate.id


def test_only_what_nobody_has_proved_may_be_left_to_a_duty():
    left = [(kind.id, s.id) for kind in KINDS for s in kind.states if s.may_outlive]
    assert left == [("circuit", "filled")]


def test_the_book_is_plain_data_and_survives_json():
    data = RULE_BOOK.as_data()
    assert json.loads(json.dumps(data)) == data
    assert [kind["id"] for kind in data["kinds"]] == [kind.id for kind in KINDS]
    rows = {"kinds", "actions", "checks", "evidence", "gates", "litres", "roles"}
    assert {"version", *rows} == set(data)


def test_a_rule_table_holds_nothing_but_plain_data():
    with pytest.raises(TypeError, match="cannot stand in a rule table"):
        plain(1.5)
    with pytest.raises(TypeError):
        plain(State)


def test_an_unknown_state_is_an_error_and_not_rest():
    with pytest.raises(UnknownToTheBookError, match="a joint has no state 'tight'"):
        RULE_BOOK.depth("joint", "tight")


def test_no_transition_means_none():
    assert RULE_BOOK.transition("part", "off", "fitted", Half.STRIP) is None
    assert RULE_BOOK.transition("lock", "in", "in", Half.STRIP) is None


@pytest.mark.parametrize(
    ("pieces", "whole"),
    [
        (["made", "made"], "made"),
        (["out", "out", "out"], "out"),
        (["nipped", "nipped"], "nipped"),
        (["made", "nipped"], "slack"),
        (["made", "out"], "slack"),
        (["out", "slack"], "slack"),
        (["nipped", "finger-tight", "made"], "slack"),
        (["made", "unknown"], "unknown"),
        (["out", "unknown", "made"], "unknown"),
    ],
)
def test_a_joint_is_made_or_out_only_if_every_piece_is(pieces, whole):
    assert RULE_BOOK.together("joint", pieces) == whole


def test_a_joint_without_pieces_has_no_state():
    with pytest.raises(ValueError, match="no pieces"):
        RULE_BOOK.together("joint", [])


def test_the_state_of_the_whole_is_at_rest_exactly_when_all_pieces_are():
    states = [state.id for state in RULE_BOOK.kinds["joint"].states]
    for first in states:
        for second in states:
            whole = RULE_BOOK.together("joint", [first, second])
            at_rest = RULE_BOOK.is_rest("joint", first) and RULE_BOOK.is_rest("joint", second)
            assert RULE_BOOK.is_rest("joint", whole) is at_rest
            assert (whole == "out") is (first == second == "out")
