"""Numbered labels: measured on the page by their paths, and read by a camera's rules."""

from __future__ import annotations

import pytest

from tests.papers.measured_pdf import measured
from tests.papers.reading_codes import read_code
from witnessmark.papers.bag_labels import MODULE
from witnessmark.papers.label_roll import (
    BLANKS,
    COLUMNS,
    GAP,
    LAST_NUMBER,
    MOST,
    ROWS,
    SHEET,
    LabelError,
    label_roll,
)
from witnessmark.papers.rendering import render_pdf

WITHIN = 0.05
"""Millimetres."""


def pages(first, count, kind):
    return measured(render_pdf("true-size", label_roll(first, count, kind)))


@pytest.fixture(scope="module")
def roll():
    return pages(97, 4, "roll")


@pytest.fixture(scope="module")
def sheets():
    return pages(5, 26, "sheet")


def inside(sheet, corner, size):
    x, y = corner
    return [
        bar
        for bar in sheet.bars
        if x <= bar[0] and bar[2] <= x + size[0] and y <= bar[1] and bar[3] <= y + size[1]
    ]


def code_of(bars):
    left, top = min(bar[0] for bar in bars), min(bar[1] for bar in bars)
    squares = [
        ((y0 - top) / MODULE, (x0 - left) / MODULE + k)
        for x0, y0, x1, _ in bars
        for k in range(round((x1 - x0) / MODULE))
    ]
    off = max(abs(v - round(v)) for square in squares for v in square) * MODULE
    dark = {(round(row), round(column)) for row, column in squares}
    return read_code(dark, 1 + max(row for row, _ in dark)), off


def sheet_corners():
    """Worked out here by hand: three of 62 mm with 2 mm between, 10 mm from the left edge."""
    top = (297.0 - 8 * 33.0 - 7 * 1.0) / 2
    for row in range(8):
        for column in range(3):
            yield 10.0 + column * 64.0, top + row * 34.0


def test_every_label_of_a_roll_is_a_page_of_its_own_at_true_size(roll):
    assert len(roll) == 4
    for page in roll:
        assert page.size == pytest.approx((62.0, 40.0), abs=WITHIN)


def test_labels_are_numbered_on_from_the_number_asked_for(roll):
    for number, page in enumerate(roll, 97):
        words, off = code_of(page.bars)
        assert words == f"bag {number}"
        assert off < WITHIN
        assert str(number) in [word for word, _, _ in page.words]


def test_the_code_keeps_its_white_edge_within_the_label(roll):
    for page in roll:
        assert 62.0 - max(bar[2] for bar in page.bars) >= 4 * MODULE - WITHIN
        assert min(bar[1] for bar in page.bars) >= 4 * MODULE - WITHIN


def test_there_is_a_line_to_write_on_for_each_thing_a_hand_adds(roll):
    for page in roll:
        lines = [stroke for stroke in page.strokes if stroke.length > 50.0]
        assert len(lines) == len(BLANKS)
        assert all(stroke.length == pytest.approx(56.0, abs=WITHIN) for stroke in lines)
        below = max(bar[3] for bar in page.bars)
        assert all(stroke.start[1] > below for stroke in lines)
        for words in BLANKS:
            assert words in page.text


def test_labels_on_a_sheet_stand_where_they_are_cut(sheets):
    first, second = sheets
    assert first.size == pytest.approx((210.0, 297.0), abs=WITHIN)
    numbers = iter(range(5, 31))
    for sheet, count in ((first, 24), (second, 2)):
        for corner, number in zip(list(sheet_corners())[:count], numbers, strict=False):
            words, off = code_of(inside(sheet, corner, SHEET))
            assert words == f"bag {number}"
            assert off < WITHIN


def test_every_code_on_a_sheet_stands_in_the_right_hand_corner_of_its_label(sheets):
    for corner in sheet_corners():
        bars = inside(sheets[0], corner, SHEET)
        assert max(bar[2] for bar in bars) == pytest.approx(
            corner[0] + 62.0 - 4 * MODULE, abs=WITHIN
        )
        assert min(bar[1] for bar in bars) == pytest.approx(corner[1] + 4 * MODULE, abs=WITHIN)


def test_a_sheet_keeps_off_the_edge_that_printers_leave_blank():
    wide = COLUMNS * SHEET[0] + (COLUMNS - 1) * GAP[0]
    high = ROWS * SHEET[1] + (ROWS - 1) * GAP[1]
    assert wide <= 210.0 - 2 * 10.0
    assert high <= 297.0 - 2 * 10.0


def test_the_last_number_fits_its_label():
    (page,) = pages(LAST_NUMBER, 1, "roll")
    words = {word: x for word, x, _ in page.words}
    assert words[str(LAST_NUMBER)] < min(bar[0] for bar in page.bars)
    assert code_of(page.bars)[0] == f"bag {LAST_NUMBER}"


@pytest.mark.parametrize(
    ("first", "count", "kind", "says"),
    [
        (0, 1, "roll", "numbered from 1"),
        (LAST_NUMBER, 2, "roll", "numbered from 1"),
        (1, 0, "roll", f"between 1 and {MOST}"),
        (1, MOST + 1, "sheet", f"between 1 and {MOST}"),
        (1, 1, "wall", "not on a 'wall'"),
    ],
)
def test_what_cannot_be_printed_is_refused_in_words(first, count, kind, says):
    with pytest.raises(LabelError, match=says):
        label_roll(first, count, kind)
