"""Whatever breaks the page off between a tap and its sending, what was tapped is kept."""

from __future__ import annotations

import pytest

from tests.bench.bare import PAGE, load
from tests.bench.killing import break_off

ROUNDS = 10


@pytest.mark.slow
def test_ten_reloads_closed_tabs_and_killed_browsers_lose_and_double_nothing(
    shared_server, job, phone
):
    found = break_off(load(phone("phone", lasting=True, path=PAGE)), shared_server, job, ROUNDS)
    assert found.rounds == {"reload": 4, "close": 3, "kill": 3}
    assert len(found.answered) == ROUNDS
    assert found.lost == set()
    assert found.doubled == 0
    assert (found.gaps, found.forks) == (0, 0)
    assert found.before_sending >= ROUNDS / 2
