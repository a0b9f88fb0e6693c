"""Sheets of a large drawing leave nothing out and share their marks."""

from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.papers.tiles import OVERLAP, registration_marks, tiling

SIZES = st.tuples(st.floats(1.0, 1500.0), st.floats(1.0, 1500.0))


@settings(deadline=None)
@given(size=SIZES, share=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)))
def test_whatever_is_no_wider_than_the_overlap_stands_whole_on_one_sheet(size, share):
    tiles = tiling(size)
    left, top = (max(0.0, whole - OVERLAP) * part for whole, part in zip(size, share, strict=True))
    right, bottom = min(left + OVERLAP, size[0]), min(top + OVERLAP, size[1])
    wide, high = tiles.seen
    corners = [tiles.corner(c, r) for c in range(tiles.columns) for r in range(tiles.rows)]
    assert any(
        x - 1e-6 <= left
        and right <= x + wide + 1e-6
        and y - 1e-6 <= top
        and bottom <= y + high + 1e-6
        for x, y in corners
    )


@settings(deadline=None)
@given(size=SIZES)
def test_every_mark_stands_on_a_neighbour_too(size):
    tiles = tiling(size)
    sheets = {
        (c, r): {(round(x, 6), round(y, 6)) for x, y in registration_marks(tiles, c, r)}
        for c in range(tiles.columns)
        for r in range(tiles.rows)
    }
    for (c, r), marks in sheets.items():
        beside = [sheets.get((c + i, r + j), set()) for i, j in ((1, 0), (-1, 0), (0, 1), (0, -1))]
        assert marks == marks & set().union(*beside)
        assert bool(marks) == (tiles.count > 1)


@settings(deadline=None)
@given(size=SIZES)
def test_a_drawing_that_fits_a_sheet_is_not_cut(size):
    tiles = tiling(size)
    assert (tiles.count == 1) == any(
        size[0] <= wide and size[1] <= high for wide, high in ((190.0, 231.0), (277.0, 144.0))
    )
