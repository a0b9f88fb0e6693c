"""Two thousand random jobs answered as they were committed, and everything reached by them."""

from __future__ import annotations

import json

import pytest

from tests.ledger.vector_files import answer, packs, read_file, unlabelled
from witnessmark.ledger.event_types import EVENT_TYPES
from witnessmark.ledger.registers import NOT_BEFORE, REGISTERS
from witnessmark.procedure.rulebook import RULE_BOOK

AGAIN = "make them again: python -m tests.ledger.make_vectors"


@pytest.fixture(scope="module")
def content():
    return read_file()


def test_every_vector_is_answered_as_committed(content):
    assert len(content["vectors"]) >= 2000
    for number, each in enumerate(content["vectors"]):
        vector = unlabelled(each)
        got = answer(content["packs"][vector["pack"]], vector)
        wrong = [part for part in got if plain(got[part]) != vector["expected"][part]]
        assert wrong == [], f"vector {number}; if the rules have changed, {AGAIN}"


def test_their_packs_are_those_of_today(content):
    assert content["packs"] == packs(), AGAIN


def plain(value):
    return json.loads(json.dumps(value))


# What they reach


def expected(content):
    return [vector["expected"] for vector in content["vectors"]]


def test_they_reach_every_state_of_every_kind(content):
    reached = set()
    for vector in content["vectors"]:
        kinds = {o: row["kind"] for o, row in content["packs"][vector["pack"]]["objects"].items()}
        for object_, row in vector["expected"]["state"]["objects"].items():
            for cell in row["cells"].values():
                reached |= {(kinds.get(object_), entry["state"]) for entry in cell}
    at_all = {(kind.id, state.id) for kind in RULE_BOOK.kinds.values() for state in kind.states}
    assert at_all - reached == set()


def test_they_do_every_action(content):
    done = {e["action"] for v in content["vectors"] for e in v["events"] if e["type"] == "done"}
    assert set(RULE_BOOK.actions) - done == set()


def test_they_hold_every_type_of_event(content):
    assert set(EVENT_TYPES) - {e["type"] for v in content["vectors"] for e in v["events"]} == set()


def test_they_break_every_rule_that_can_be_broken_on_this_machine(content):
    broken = {row["rule"] for got in expected(content) for row in got["state"]["flags"]}
    bound = {
        row["check"]
        for pack in content["packs"].values()
        for rows in pack["tables"]["demands"].values()
        for row in rows
    }
    known = {row["id"] for pack in content["packs"].values() for row in pack["rules"]["checks"]}
    # A step's own rules are kept by the planner; while fitted and mark seen are judged on the way.
    assert (bound & known) - broken == set()


def test_every_gate_is_seen_shut_and_open_and_with_every_purpose(content):
    seen = {(g["gate"], g["clear"]) for got in expected(content) for g in got["gates"]}
    asked = {(g["gate"], g["purpose"]) for got in expected(content) for g in got["gates"]}
    asks_only = {"first-spanner"}  # nothing can be open before the first spanner
    for gate in RULE_BOOK.gates.values():
        assert (gate.id, True) in seen
        assert (gate.id, False) in seen or gate.id in asks_only
        assert {(gate.id, purpose) for purpose in gate.purposes} <= asked


def test_every_register_has_a_line_somewhere(content):
    filled = {name for got in expected(content) for name in got["registers"]}
    assert {*REGISTERS, NOT_BEFORE} - filled == set()


def test_every_kind_of_outstanding_item_occurs(content):
    kinds = {item["kind"] for got in expected(content) for item in got["outstanding"]}
    assert kinds == {
        "unread", "gap", "fork", "open", "conflict", "evidence", "figure", "missing photo", "flag",
        "tool", "dropped", "trouble", "measured", "doubt", "renew", "interruption", "gate",
        "to be seen", "litres",
    }  # fmt: skip


def test_odd_histories_occur(content):
    got = expected(content)
    for part in ("forks", "gaps", "unknown"):
        assert sum(1 for each in got if each[part]) >= 20
    assert sum(1 for each in got if each["state"]["conflicts"]) >= 100
    assert sum(1 for each in got if each["state"]["disputed"]) >= 3
