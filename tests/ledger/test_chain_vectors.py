"""Clocks, chains and seals come to what the shared vectors say; the browser runs the same file."""

from __future__ import annotations

import json

from tests.ledger.make_chain_vectors import FILE, make
from witnessmark.ledger.canonical import digest
from witnessmark.ledger.chains import read_chains
from witnessmark.ledger.clock import latest_of, tick
from witnessmark.ledger.commitments import commitment, keeps_word

VECTORS = json.loads(FILE.read_bytes())


def test_the_file_is_what_the_phones_of_the_tests_write():
    assert json.loads(json.dumps(make())) == VECTORS


def test_clocks_tick_as_worked_out_by_hand():
    for latest, wall, after in VECTORS["ticks"]:
        assert tick(tuple(latest), wall) == tuple(after)
    for clocks, latest in VECTORS["latest"]:
        assert latest_of(map(tuple, clocks)) == tuple(latest)


def test_entries_have_their_digests_and_hang_together():
    rows = VECTORS["written"]
    assert [digest(row["bytes"].encode()) for row in rows] == [row["id"] for row in rows]
    events, faults = read_chains((row["id"], row["bytes"].encode()) for row in rows)
    assert (len(events), faults) == (len(rows), [])


def test_seals_are_the_digests_of_salt_and_text():
    for row in VECTORS["sealed"]:
        salt = bytes.fromhex(row["salt"])
        assert commitment(salt, row["says"]) == row["seal"]
        assert keeps_word(row["seal"], salt, row["says"])


def test_faults_are_named():
    for case in VECTORS["faulty"]:
        _, faults = read_chains((id_, text.encode()) for id_, text in case["stored"])
        assert [[each.event, each.says] for each in faults] == case["faults"], case["it"]
