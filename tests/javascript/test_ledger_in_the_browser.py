"""The JavaScript side answers every vector as the rules and the Python side do."""

from __future__ import annotations

import gzip
import json

import pytest

from tests.ledger.older_events import AS_READ, BEFORE_THE_FIRST, frozen
from tests.ledger.short_words import cases, faults, vector_of
from tests.ledger.vector_files import GENERATED, answer, read_file
from witnessmark.ledger.event_types import EVENT_TYPES, VERSION
from witnessmark.ledger.upcasting import upcast

RUNNER = "runner/ledger_runner.js"
CASES = cases()


@pytest.fixture(scope="module")
def packs():
    return read_file()["packs"]


def as_json(plain):
    return json.loads(json.dumps(plain))


@pytest.fixture(scope="module")
def by_hand(browser, packs):
    """Every case with its vector, the events it names and what the browser answers."""
    made = [vector_of(case, packs) for case in CASES]
    got = browser.call(RUNNER, "answers", "/static", packs, [vector for vector, _ in made])
    return [(case, *each, answered) for case, each, answered in zip(CASES, made, got, strict=True)]


def test_every_case_written_by_hand(by_hand, packs):
    broken = {}
    for case, vector, named, got in by_hand:
        pack = packs[vector["pack"]]
        broken[case["it"]] = faults(case["then"], got, named, pack, vector["asks"])
    assert {it: said for it, said in broken.items() if said} == {}


def test_both_sides_give_the_very_same_answer(by_hand, packs):
    for _, vector, _, got in by_hand:
        assert got == as_json(answer(packs[vector["pack"]], vector))


def test_every_generated_vector(browser):
    browser.laid_out["/vectors.json"] = gzip.decompress(GENERATED.read_bytes())
    said = browser.call(RUNNER, "differences", "/static", "/vectors.json")
    assert said["found"] == []
    assert said["count"] >= 2000


def test_both_sides_know_the_same_types_of_event(browser):
    assert browser.call(RUNNER, "eventTypes", "/static") == {
        "version": VERSION,
        "needs": {row.id: list(row.needs) for row in EVENT_TYPES.values()},
    }


def test_events_of_every_version_and_of_one_before_the_first_are_read(browser):
    rows = [row for version in range(1, VERSION + 1) for row in frozen(version)]
    said = browser.call(RUNNER, "readOlder", "/static", rows, BEFORE_THE_FIRST)
    assert said["frozen"] == [upcast(json.loads(row["bytes"])) for row in rows]
    assert said["older"] == AS_READ
    assert said["unchanged"] is True
    assert said["refused"] == "events of version 0 cannot be read by this edition"
