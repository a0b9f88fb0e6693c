"""A job is intact, withheld or broken; a lost phone's gap or fork breaks nothing."""

from __future__ import annotations

import pytest

from tests.ledger.devices import Device
from witnessmark.ledger.chains import verify
from witnessmark.ledger.commitments import commitment
from witnessmark.ledger.events import event_bytes
from witnessmark.ledger.graph import Graph, merged

SALT = bytes(range(16))
PLATE = commitment(SALT, "AB12")


def stored(events):
    return [(id_, event_bytes(event)) for id_, event in events.items()]


@pytest.fixture
def events():
    """Two phones of which the first came back from an older copy of itself: a fork."""
    one, other = Device("phone-1"), Device("phone-2")
    one.write()
    one.write(note="three lengths")
    other.hear(one)
    other.write()
    one.lose_last()
    one.write(note="written twice")
    return merged(one.holds, other.holds)


def test_all_there_is_intact_with_a_fork(events):
    assert len(Graph(events).forks) == 1
    assert verify(stored(events), {PLATE: (SALT, "AB12")}).says == "intact"


@pytest.mark.parametrize("number", range(4))
def test_a_gap_breaks_nothing(events, number):
    left = stored(events)
    del left[number]
    assert verify(left, {}).says == "intact"


def test_a_deleted_text_is_withheld(events):
    verdict = verify(stored(events), {PLATE: None})
    assert (verdict.says, verdict.withheld, verdict.faults) == ("withheld", (PLATE,), ())


def test_another_text_is_broken_even_beside_a_deleted_one(events):
    other = commitment(SALT, "somebody")
    verdict = verify(stored(events), {PLATE: (SALT, "AB13"), other: None})
    assert verdict.says == "broken"
    assert [fault.event for fault in verdict.faults] == [PLATE]
    assert verdict.withheld == (other,)


@pytest.mark.parametrize("number", range(4))
def test_any_byte_changed_is_broken_and_named(events, number):
    rows = stored(events)
    id_, data = rows[number]
    for place in (0, len(data) // 2, len(data) - 1):
        spoilt = bytearray(data)
        spoilt[place] ^= 1
        verdict = verify([*rows[:number], (id_, bytes(spoilt)), *rows[number + 1 :]], {})
        assert verdict.says == "broken"
        assert [fault.event for fault in verdict.faults] == [id_]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"device": "phone-9"}, "follows an event of another device"),
        ({"seq": 7}, "number 7 follows 1"),
        ({"job": "job-2"}, "names an event of another job"),
    ],
)
def test_what_no_phone_writes_is_broken(fields, says):
    phone = Device("phone-1")
    phone.write()
    wrong = phone.write(**fields)
    verdict = verify(stored(phone.holds), {})
    assert verdict.says == "broken"
    assert [(fault.event, fault.says) for fault in verdict.faults] == [(wrong, says)]
