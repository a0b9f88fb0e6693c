"""Job times are whole tenths of a minute."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.quantities.duration import minutes_text, read_tenths
from witnessmark.quantities.reading import QuantityError


@pytest.mark.parametrize(
    ("text", "tenths"),
    [("4 min", 40), ("0.5 min", 5), ("1 h 20", 800), ("2 h", 1200), ("30 s", 5), ("0 min", 0)],
)
def test_times_are_read_into_tenths(text, tenths) -> None:
    assert read_tenths(text) == tenths


@pytest.mark.parametrize(
    ("text", "says"),
    [("1 s", "finer than a tenth"), ("-1 min", "below zero"), ("1001 h", "thousand hours"),
     ("4 mm", "a time is wanted")],
)  # fmt: skip
def test_times_that_cannot_be_are_refused(text, says) -> None:
    with pytest.raises(QuantityError, match=says):
        read_tenths(text)


@given(st.integers(0, 600_000))
def test_a_printed_time_reads_back_to_itself(tenths) -> None:
    text = minutes_text(tenths)
    if text.endswith("min") and "." in text and " h " in text:
        whole, minutes = text.split(" h ")
        assert int(whole) * 600 + round(float(minutes.split()[0]) * 10) == tenths
    else:
        assert read_tenths(text) == tenths
