"""The browser takes and refuses the same events as the Python side, for the same field."""

from __future__ import annotations

import json

from witnessmark.ledger.events import EventRefusedError, event_id

RUNNER = "runner/ledger_runner.js"
ID = "ab" * 32
GOOD = {
    "v": 1, "type": "done", "job": "job-1", "device": "phone-1", "seq": 2, "prev": ID, "seen": [],
    "person": "ann", "clock": [1, 0], "wall": -5, "action": "undo", "object": "cover-bolts",
    "values": {}, "photos": [], "note": None, "pack": None,
}  # fmt: skip
WRONG = [
    {}, {"v": 0}, {"v": True}, {"v": "1"}, {"type": ""}, {"type": "x" * 41}, {"type": "hologram"},
    {"job": "Job"}, {"job": ""}, {"job": "j" * 65}, {"device": "a b"}, {"seq": 0}, {"seq": 1},
    {"seq": 1, "prev": None}, {"prev": None}, {"prev": ID.upper()}, {"seen": [ID, ID]},
    {"seen": ["b" * 64, "a" * 64]}, {"seen": ["a" * 64, "b" * 64]}, {"seen": None},
    {"person": None}, {"person": "ann\n"}, {"clock": [1]}, {"clock": [1, -1]}, {"clock": "1"},
    {"clock": [True, 0]}, {"wall": None}, {"wall": True}, {"action": ""}, {"action": None},
    {"action": "a" * 65}, {"object": "o" * 128}, {"object": "o" * 129}, {"object": 3},
    {"object": "\U0001f527" * 128}, {"values": []}, {"values": None}, {"values": {"a": [{}]}},
    {"photos": ["x"]}, {"photos": [ID] * 65}, {"photos": [ID, ID]}, {"note": ""},
    {"note": "n" * 4000}, {"note": "n" * 4001}, {"note": "\U0001f527" * 4000},
    {"note": "e\u0301"}, {"values": {"a": "e\u0301"}}, {"pack": "x"}, {"pack": ID},
    {"extra": 1}, {"v": 2, "extra": 1}, {"v": 2, "values": [1]}, {"v": 2, "seq": 0},
    {"type": "begin"}, {"type": "noted", "object": None}, {"type": "gate", "action": None},
    {"values": {str(n): "x" * 1000 for n in range(70)}},
]  # fmt: skip


def refused_for(event) -> str | None:
    try:
        event_id(event)
    except EventRefusedError as error:
        return error.where
    return None


def test_both_sides_refuse_the_same_for_the_same_field(browser):
    events = [{**GOOD, **change} for change in WRONG]
    events += [{key: GOOD[key] for key in GOOD if key != field} for field in GOOD]
    events += [{**{key: GOOD[key] for key in GOOD if key != field}, "v": 2} for field in GOOD]
    here = [refused_for(event) for event in events]
    there = browser.call(RUNNER, "refusals", "/static", [json.dumps(each) for each in events])
    assert there == here
    assert here.count(None) >= 10
    assert {field for field in here if field} >= set(GOOD)


def test_what_is_no_object_is_refused(browser):
    texts = ["null", "[]", "3", '"event"', "true"]
    there = browser.call(RUNNER, "refusals", "/static", texts)
    assert there == ["event"] * 5 == [refused_for(json.loads(text)) for text in texts]
