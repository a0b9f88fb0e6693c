"""An event is refused for its form only, and says where and why."""

from __future__ import annotations

import pytest

from tests.ledger.devices import Device
from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.ledger.event_types import EVENT_TYPES
from witnessmark.ledger.events import (
    FIELDS,
    LARGEST_EVENT,
    EventRefusedError,
    check_event,
    event_bytes,
    event_id,
    read_event,
    read_stored,
)


@pytest.fixture
def event():
    device = Device("phone-1")
    return device.holds[device.write(note="eleven, three lengths, tray two")]


def test_an_event_reads_back_from_its_bytes(event):
    data = event_bytes(event)
    assert read_event(data, event_id(event)) == event
    assert read_stored(data, event_id(event)) == event
    assert event_id(event) == digest(data)


@pytest.mark.parametrize("field", sorted(FIELDS))
def test_every_field_must_be_there(event, field):
    del event[field]
    with pytest.raises(EventRefusedError) as caught:
        check_event(event)
    assert caught.value.where == field


WRONG = {
    "v": [0, "1", True, None, 1.0],
    "type": ["", None, 7, "x" * 41],
    "job": ["", "Job", "a b", "x" * 65, None, 7],
    "device": ["../phone", None],
    "seq": [0, -1, "1", True, None],
    "prev": ["abc", 7, "A" * 64],
    "seen": [None, ["x"], ["b" * 64, "a" * 64], ["a" * 64, "a" * 64], "a" * 64],
    "person": [None, "", "Ada Smith"],
    "clock": [None, [1], [1, -1], [1, 2, 3], ["1", 2], 5],
    "wall": [None, "now", 1.5],
    "action": ["", 7],
    "object": ["", 7, "x" * 129],
    "values": [None, [], "x"],
    "photos": [None, ["x"], ["a" * 64] * 65],
    "note": ["", 7, "x" * 4_001],
    "pack": ["x", 7],
}


@pytest.mark.parametrize(("field", "value"), [(f, v) for f, each in WRONG.items() for v in each])
def test_every_field_must_be_of_its_kind(event, field, value):
    with pytest.raises(EventRefusedError) as caught:
        check_event({**event, field: value})
    assert caught.value.where == field


def test_the_wrong_values_cover_every_field():
    assert WRONG.keys() == FIELDS.keys()


def test_another_field_is_refused(event):
    with pytest.raises(EventRefusedError, match="extra: an event has no such field"):
        check_event({**event, "extra": 1})


def test_only_the_first_of_a_device_follows_none(event):
    with pytest.raises(EventRefusedError, match="prev"):
        check_event({**event, "seq": 2})
    with pytest.raises(EventRefusedError, match="prev"):
        check_event({**event, "prev": "a" * 64})


@pytest.mark.parametrize("type_", [row for row in EVENT_TYPES.values() if row.needs])
def test_a_type_names_what_it_needs(event, type_):
    filled = {"action": "gate", "object": "cover", "pack": "a" * 64}
    check_event({**event, "type": type_.id, **{f: filled[f] for f in type_.needs}})
    for field in type_.needs:
        with pytest.raises(EventRefusedError) as caught:
            check_event({**event, "type": type_.id})
        assert caught.value.where in type_.needs, field


def test_an_unknown_type_is_taken(event):
    check_event({**event, "type": "levitated"})


def test_a_newer_version_is_taken_with_other_fields_and_without_some(event):
    newer = {**event, "v": 2, "mood": "good"}
    del newer["wall"]
    check_event(newer)
    del newer["seq"]
    with pytest.raises(EventRefusedError, match="seq: missing"):
        check_event(newer)


def test_bytes_that_are_not_what_the_id_promises_are_refused(event):
    data = event_bytes(event)
    with pytest.raises(EventRefusedError, match="id: the bytes are not those"):
        read_event(data.replace(b"three", b"seven"), event_id(event))
    with pytest.raises(EventRefusedError, match="id: the bytes are not those"):
        read_stored(data.replace(b"three", b"seven"), event_id(event))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data[:-1],
        lambda data: data[: len(data) // 2],
        lambda _: b"",
        lambda data: data.replace(b"three", b"thre\xff"),
        lambda data: data.replace(b'"wall":', b'"wall":NaN,"w":'),
        lambda data: data.replace(b'"values":{}', b'"values":{"x":1.5}'),
        lambda data: data.replace(b'"v":1', b'"v": 1'),
        lambda _: b"[]",
        lambda _: b"null",
        lambda data: data + b" " * 10_000_000,
        lambda data: data.replace(b"three", b"three" * 2_000_000),
        lambda _: b"[" * 60_000,
    ],
)
def test_spoilt_bytes_are_refused_in_words(event, spoil):
    with pytest.raises(EventRefusedError) as caught:
        read_event(spoil(event_bytes(event)))
    assert caught.value.why


def test_an_event_has_a_largest_size(event):
    values = {"x": "y" * LARGEST_EVENT}
    with pytest.raises(EventRefusedError, match="is the most"):
        event_bytes({**event, "values": values})


def test_what_cannot_be_canonical_is_refused(event):
    with pytest.raises(EventRefusedError, match="decimals are text"):
        event_bytes({**event, "values": {"torque": 12.5}})
    assert b'"12.5"' in event_bytes({**event, "values": {"torque": "12.5"}})
    assert canonical_bytes(event) == event_bytes(event)
