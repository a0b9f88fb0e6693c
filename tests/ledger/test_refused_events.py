"""A frozen corpus of bytes that are no event: each refused, saying where; never a traceback."""

from __future__ import annotations

import base64
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.ledger.devices import Device
from witnessmark.ledger.canonical import digest
from witnessmark.ledger.events import EventRefusedError, event_bytes, read_event

CORPUS = json.loads((Path(__file__).parent / "vectors" / "events" / "refused.json").read_bytes())
PHONE = Device("phone-1")
GOOD = event_bytes(PHONE.holds[PHONE.write(note="tray two")])


@pytest.mark.parametrize("row", [pytest.param(row, id=row["name"]) for row in CORPUS])
def test_it_is_refused_where_it_is_wrong(row):
    with pytest.raises(EventRefusedError) as caught:
        read_event(base64.b64decode(row["base64"]), row["id"])
    assert caught.value.where == row["where"]
    assert caught.value.why


@pytest.mark.parametrize("megabytes", [1, 10])
def test_a_note_of_megabytes_is_refused_unread(megabytes):
    data = GOOD.replace(b"tray two", b"x" * (megabytes * 1_000_000))
    with pytest.raises(EventRefusedError, match="is the most"):
        read_event(data)


@given(st.integers(0, len(GOOD) - 1), st.binary(max_size=8))
def test_any_bytes_written_over_an_event_are_refused_or_another_event(place, over):
    data = GOOD[:place] + over + GOOD[place + len(over) :]
    try:
        event = read_event(data)
    except EventRefusedError:
        return
    assert event_bytes(event) == data
    if data != GOOD:
        with pytest.raises(EventRefusedError, match="id: the bytes are not those"):
            read_event(data, digest(GOOD))
