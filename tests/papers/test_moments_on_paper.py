"""Moments as papers print them: those of a phone whose clock is wrong, too."""

from __future__ import annotations

import pytest

from witnessmark.papers.job_printing import Printing

PRINTING = Printing(job="job", title="Belt", now=0, book_number=1, book_digest="0" * 64)


def test_a_moment_is_printed_as_a_wall_clock_shows_it():
    assert PRINTING.when(1_795_632_720_000) == "25 Nov 2026, 18:52"


@pytest.mark.parametrize("wall", [2**53 - 1, -(2**53) + 1, 1_795_632_720_000_000])
def test_a_clock_that_is_wrong_beyond_any_calendar_stops_no_paper(wall):
    assert PRINTING.when(wall) == "by a clock that is wrong"
