"""What no phone can have written is a fault, by name; a gap or fork is none.

That a deleted text is withheld and another text broken is tested where texts are kept, in the
workshop.
"""

from __future__ import annotations

import pytest

from tests.ledger.devices import Device
from witnessmark.ledger.chains import read_chains
from witnessmark.ledger.events import event_bytes
from witnessmark.ledger.graph import Graph, merged


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
    assert read_chains(stored(events)) == (events, [])


@pytest.mark.parametrize("number", range(4))
def test_a_gap_breaks_nothing(events, number):
    gone = list(events)[number]
    left = {id_: event for id_, event in events.items() if id_ != gone}
    assert read_chains(stored(left)) == (left, [])


@pytest.mark.parametrize("number", range(4))
def test_any_byte_changed_is_broken_and_named(events, number):
    rows = stored(events)
    id_, data = rows[number]
    for place in (0, len(data) // 2, len(data) - 1):
        spoilt = bytearray(data)
        spoilt[place] ^= 1
        _, faults = read_chains([*rows[:number], (id_, bytes(spoilt)), *rows[number + 1 :]])
        assert [fault.event for fault in faults] == [id_]


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
    _, faults = read_chains(stored(phone.holds))
    assert [(fault.event, fault.says) for fault in faults] == [(wrong, says)]
