"""The browser writes, seals and reads chains as the shared vectors and the Python side say."""

from __future__ import annotations

import json

import pytest

from tests.ledger.make_chain_vectors import FILE
from witnessmark.ledger.event_types import VERSION

RUNNER = "runner/chains_runner.js"
VECTORS = json.loads(FILE.read_bytes())
FROZEN = FILE.parent / "events"


@pytest.fixture
def call(browser):
    return lambda function, *args: browser.call(RUNNER, function, *args)


def test_clocks_tick_as_worked_out_by_hand(call):
    assert call("ticks", VECTORS["ticks"]) == [row[2] for row in VECTORS["ticks"]]
    assert call("latest", VECTORS["latest"]) == [row[1] for row in VECTORS["latest"]]


def test_an_entry_is_written_again_from_what_its_phone_held(call):
    rows = VECTORS["written"]
    wanted = [{"id": row["id"], "bytes": row["bytes"], "prev": True} for row in rows]
    assert call("written", rows) == wanted


def test_a_chain_written_on_from_its_end_has_no_gap_and_its_clock_never_stands(call):
    got = call("onAndOn", 30)
    assert got == {"seq": 30, "clock": [1000, 29], "others": [], "faults": []}


def test_seals_are_the_digests_of_salt_and_text(call):
    rows = VECTORS["sealed"]
    assert call("sealed", rows) == [
        {"seal": row["seal"], "salt": row["salt"], "keeps": True, "others": [False] * 3}
        for row in rows
    ]


def test_a_seal_wants_salt_and_a_plain_text(call):
    assert call("unsealed", "00" * 15, "x") == "RangeError"
    assert call("unsealed", "00" * 16, "e\u0301") == "NotCanonicalError"


def test_faults_are_named(call):
    cases = VECTORS["faulty"]
    got = call("faults", cases)
    assert [each["faults"] for each in got] == [case["faults"] for case in cases]
    assert [each["read"] for each in got] == [len(case["stored"]) for case in cases]


def test_bytes_that_are_not_those_of_their_id_are_a_fault(call):
    id_, text = VECTORS["faulty"][0]["stored"][0]
    cut = [{"stored": [[id_, text[:-1]], ["0" * 64, text]]}]
    says = "its bytes are not those its id was made from"
    assert call("faults", cut) == [{"read": 0, "faults": [[id_, says], ["0" * 64, says]]}]


def test_frozen_entries_of_every_version_are_still_read(call):
    for version in range(1, VERSION + 1):
        rows = json.loads((FROZEN / f"version-{version}.json").read_bytes())
        texts = [row["bytes"] for row in rows]
        assert len(texts) > 20
        read = call("upcasted", texts)
        assert [json.loads(text)["v"] for text in read] == [VERSION] * len(texts)
        if version == VERSION:
            assert read == texts


def test_every_version_has_its_step_and_no_step_moves_an_entry(call):
    assert call("steps") == {"version": VERSION, "steps": list(range(1, VERSION))}
    event = {**json.loads(VECTORS["written"][1]["bytes"]), "values": {"what": "play"}}
    got = call("climbed", event)
    assert got["read"] == {**event, "v": 3, "object": "cover-front", "values": {"of": "play"}}
    assert got["same"] is True
    assert got["gap"] == "RangeError"
    assert got["newer"] == got["was"]
