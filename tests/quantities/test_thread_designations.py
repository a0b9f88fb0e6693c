"""Threads are read as they stand on drawings, bags and bolts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.quantities.reading import QuantityError
from witnessmark.quantities.thread_series import (
    COARSE_PITCH,
    FINE_WHITWORTH_TPI,
    PIPE_THREADS,
    UNIFIED_TPI,
    WHITWORTH_TPI,
)
from witnessmark.quantities.threads import read_thread

MM = Fraction(1, 1000)
INCH = Fraction(254, 10_000)


@pytest.mark.parametrize(
    ("text", "shown", "series"),
    [
        ("M8", "M8x1.25", "coarse"),
        ("m8", "M8x1.25", "coarse"),
        ("M8x1.25", "M8x1.25", "coarse"),
        ("M8x1", "M8x1", "fine"),
        ("M8 × 1.25 × 45", "M8x1.25 x 45", "coarse"),
        ("M8 x 45", "M8x1.25 x 45", "coarse"),
        ("M12x1.25x60 LH", "M12x1.25 x 60 LH", "fine"),
        ("M1.6", "M1.6x0.35", "coarse"),
        ("3/8-16 UNC", "3/8-16 UNC", "UNC"),
        ("3/8-16", "3/8-16 UNC", "UNC"),
        ("3/8 UNF", "3/8-24 UNF", "UNF"),
        ("1 1/8-7UNC", "1 1/8-7 UNC", "UNC"),
        ("1-1/8-12 UNF", "1 1/8-12 UNF", "UNF"),
        ("1-8", "1-8 UNC", "UNC"),
        ("1-14", "1-14 UN", "UN"),
        ("#10-32", "#10-32 UNF", "UNF"),
        ("10-32", "#10-32 UNF", "UNF"),
        ("No. 8-32", "#8-32 UNC", "UNC"),
        ("3/8-16 UNC x 1 1/2 in", "3/8-16 UNC x 1.5 in", "UNC"),
        ("G 1/4", "G 1/4", "G"),
        ("G1 1/4", "G 1 1/4", "G"),
        ("1/4 BSW", "BSW 1/4", "BSW"),
        ("BSF 5/16 LH", "BSF 5/16 LH", "BSF"),
    ],
)
def test_designations_are_read_and_printed_in_one_spelling(text, shown, series) -> None:
    thread = read_thread(text)
    assert str(thread) == shown
    assert thread.series == series
    assert read_thread(str(thread)) == thread


def test_sizes_are_exact_metres() -> None:
    thread = read_thread("M8x1.25 x 45")
    assert (thread.nominal, thread.pitch, thread.length) == (8 * MM, Fraction(5, 4) * MM, 45 * MM)
    assert read_thread("3/8-16").pitch == INCH / 16
    assert read_thread("#10-24").nominal == Fraction(190, 1000) * INCH
    assert read_thread("G 1/4").pitch == INCH / 19
    assert read_thread("M10x1.25 LH").left_hand


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("M8x6", "does not suit M8"),
        ("M8x0", "does not suit M8"),
        ("M13", "has no coarse pitch"),
        ("#7-32", "is not a number size"),
        ("1/4-28 UNC", "UNC of this size has 20"),
        ("7/16-13 UNF", "UNF of this size has 20"),
        ("15/16 UNC", "has no UNC pitch"),
        ("G 7/16", "not a standard size"),
        ("BSF 1/16", "not a standard size"),
        ("3/8", "is not a thread"),
        ("M8x1.25 x 0", "not above zero"),
        ("1/4-0", "check size and threads per inch"),
        ("M" + "8" * 80, "is not a thread"),
    ],
)
def test_what_is_no_thread_is_refused_in_words(text, says) -> None:
    with pytest.raises(QuantityError, match=says):
        read_thread(text)


@given(st.sampled_from(sorted(COARSE_PITCH)))
def test_every_coarse_size_needs_no_pitch(size) -> None:
    assert read_thread(f"M{size}") == read_thread(f"M{size}x{COARSE_PITCH[size]}")


def test_every_listed_inch_size_reads_by_series_and_by_pitch() -> None:
    for size, pitches in UNIFIED_TPI.items():
        for series, per_inch in zip(("UNC", "UNF", "UNEF"), pitches, strict=True):
            if per_inch is not None:
                by_series = read_thread(f"{size} {series}")
                assert by_series == read_thread(f"{size}-{per_inch}")
                assert by_series.series == series
    for table, word in (
        (PIPE_THREADS, "G"), (WHITWORTH_TPI, "BSW"), (FINE_WHITWORTH_TPI, "BSF"),
    ):  # fmt: skip
        for size in table:
            assert read_thread(f"{word} {size}").pitch is not None
