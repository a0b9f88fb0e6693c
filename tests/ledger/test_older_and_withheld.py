"""What was written once stays readable, and what was deleted stays provable."""

from __future__ import annotations

import json

import pytest

from tests.ledger.devices import Device
from tests.ledger.older_events import AS_READ, BEFORE_THE_FIRST, first_step, frozen
from tests.ledger.packs import nobody
from witnessmark.ledger.canonical import NotCanonicalError
from witnessmark.ledger.commitments import commitment, keeps_word
from witnessmark.ledger.event_types import EVENT_TYPES, VERSION, is_known
from witnessmark.ledger.events import event_bytes, read_event
from witnessmark.ledger.fold import fold
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.rebase import changes
from witnessmark.ledger.upcasting import STEPS, upcast

SALT = bytes(range(16))


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_frozen_events_of_every_version_are_still_read(version):
    for row in frozen(version):
        event = read_event(row["bytes"].encode(), row["id"])
        assert event["v"] == version
        read = upcast(event)
        assert read["v"] == VERSION
        assert is_known(read["type"], read["v"])
        assert event_bytes(event).decode() == row["bytes"]


def test_the_frozen_events_are_of_every_type_and_every_version_has_its_step():
    assert {json.loads(row["bytes"])["type"] for row in frozen(VERSION)} == EVENT_TYPES.keys()
    assert STEPS.keys() == set(range(1, VERSION))


def written():
    device = Device("phone-1")
    return device.holds[device.write(object="cover", values={"what": "play"})]


def test_steps_follow_one_another_and_never_move_an_event():
    def renamed(event):
        event["values"] = {"of": event["values"]["what"]}
        event["seq"] = 99
        return event

    def marked(event):
        return {**event, "object": event["object"] + "-front"}

    event = written()
    before = dict(event)
    read = upcast(event, {1: renamed, 2: marked}, 3)
    assert read == {**before, "v": 3, "object": "cover-front", "values": {"of": "play"}}
    assert event == before


def test_the_graph_reads_every_event_as_this_edition_does_and_folds_it_so():
    older = {"older": BEFORE_THE_FIRST}
    graph = Graph(older, lambda event: upcast(event, {0: first_step}))
    assert graph.events == {"older": AS_READ}
    assert graph.unknown == []
    assert older == {"older": {**AS_READ, "v": 0, "action": None, "values": {"made_tight": "make"}}}
    state = fold(nobody(), graph)
    assert state.strange["cover-bolts"]["state"] == "made"
    with pytest.raises(LookupError, match="version 0 cannot be read"):
        Graph(older)


def test_a_version_without_a_step_is_an_error_and_a_newer_one_is_left_alone():
    with pytest.raises(LookupError, match="version 1 cannot be read"):
        upcast(written(), {}, 2)
    newer = {**written(), "v": VERSION + 1}
    assert upcast(newer) == newer


def test_a_commitment_holds_one_text_and_one_salt():
    promised = commitment(SALT, "Mrs Ames, plate AB12")
    assert keeps_word(promised, SALT, "Mrs Ames, plate AB12")
    assert not keeps_word(promised, SALT, "Mrs Ames, plate AB13")
    assert not keeps_word(promised, SALT[::-1], "Mrs Ames, plate AB12")
    assert not keeps_word(promised, b"", "Mrs Ames, plate AB12")


def test_a_commitment_wants_salt_and_a_plain_text():
    with pytest.raises(ValueError, match="16 is the least"):
        commitment(b"pepper", "x")
    with pytest.raises(NotCanonicalError):
        commitment(SALT, "e\u0301")


def test_what_a_move_to_another_pack_changes_is_listed():
    before = {"objects": {"cover": {"pieces": 4}, "belt": {}, "pin": {}}, "plan": {"steps": []}}
    after = {"objects": {"cover": {"pieces": 5}, "belt": {}, "hose": {}}, "plan": {"steps": [1]}}
    assert changes(before, after) == [
        {"part": "objects", "id": "cover", "how": "changed"},
        {"part": "objects", "id": "hose", "how": "new"},
        {"part": "objects", "id": "pin", "how": "gone"},
        {"part": "plan", "id": None, "how": "changed"},
    ]
    assert changes(before, before) == []
    assert [row["how"] for row in changes({}, after)] == ["new"] * 4
