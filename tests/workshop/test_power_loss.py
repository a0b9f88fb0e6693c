"""A loss of power takes nothing that was acknowledged, and would with the weaker setting."""

from __future__ import annotations

import pytest

from tests.workshop.power_loss import OneFile, lose_power
from tests.workshop.small_workshop import SmallWorkshop
from witnessmark.workshop.starting import start

COMMITS = 150


@pytest.fixture
def secret(sqlite_place):
    start(sqlite_place, tables_are_ready=True)
    from django.db import connections

    from witnessmark.workshop import people

    SmallWorkshop()
    secret = people.pair("phone-new", "a phone", "ben")
    connections.close_all()
    return secret


@pytest.mark.slow
def test_with_the_workshops_own_settings_nothing_is_lost(sqlite_place, secret, tmp_path):
    found = lose_power(sqlite_place.folder, secret, COMMITS, tmp_path)
    assert found.settings == "wal 2"
    assert len(set(found.acknowledged)) == COMMITS
    assert found.complete, "the record does not give the files that were written"
    assert (found.lost, found.lost_by_chance, found.broken) == (0, 0, 0)


@pytest.mark.slow
def test_with_the_weaker_setting_events_are_lost(sqlite_place, secret, tmp_path):
    found = lose_power(sqlite_place.folder, secret, COMMITS, tmp_path, weaker="NORMAL")
    assert found.settings == "wal 1"
    assert len(set(found.acknowledged)) == COMMITS
    assert found.complete
    assert found.lost > 0
    assert found.lost_by_chance > 0


def test_only_what_was_synced_is_sure():
    file = OneFile()
    file.waiting = [(0, b"kept")]
    file.sync()
    file.waiting = [(2, b"lost"), (1, None)]
    assert file.after_loss(None) == b"kept"
    file.sync()
    assert file.after_loss(None) == b"k"
