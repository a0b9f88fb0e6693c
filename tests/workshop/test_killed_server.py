"""A server killed in the middle of writing loses nothing that it acknowledged."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.workshop.crashing import crash
from tests.workshop.small_workshop import SmallWorkshop
from witnessmark.workshop.starting import start

ROUNDS = 20


@pytest.mark.slow
def test_twenty_kills_lose_and_double_nothing(sqlite_place):
    start(sqlite_place, tables_are_ready=True)
    from django.db import connections

    from witnessmark.workshop import models, people
    from witnessmark.workshop.verifying import verify

    SmallWorkshop()
    secrets = {f"p{n}": people.pair(f"p{n}", "a phone", "ben") for n in range(8)}
    connections.close_all()
    found = crash(sqlite_place.folder, secrets, ROUNDS)
    assert found.wrong == []
    assert found.inside >= ROUNDS / 2
    assert len(found.acknowledged) > 8 * 3
    stored = Counter(models.Event.objects.values_list("id", flat=True))
    assert found.acknowledged - set(stored) == set()
    entered = Counter(models.Arrival.objects.values_list("event_id", flat=True))
    assert max(entered.values()) == 1
    assert set(entered) == set(stored)
    assert verify().word == "intact"
    # Of the processor, as other tests run beside this one; the benchmark says it by the clock.
    assert found.restart_processor < 2
