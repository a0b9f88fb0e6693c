"""Reads a square code back from its dark squares, without its maker's help.

Layout, masks and block counts of versions 1 to 6 at level M: ISO/IEC 18004 (from memory).
Errors are not mended: a printed file has none.
"""

from __future__ import annotations

DATA_AND_BLOCKS = {1: (16, 1), 2: (28, 1), 3: (44, 1), 4: (64, 2), 5: (86, 2), 6: (108, 4)}
MASKS = (
    lambda i, j: (i + j) % 2,
    lambda i, _: i % 2,
    lambda _, j: j % 3,
    lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2,
    lambda i, j: i * j % 2 + i * j % 3,
    lambda i, j: (i * j % 2 + i * j % 3) % 2,
    lambda i, j: ((i + j) % 2 + i * j % 3) % 2,
)


def read_code(dark: set[tuple[int, int]], size: int) -> str:
    """Give the words of a code from its dark squares (row, column)."""
    version = (size - 17) // 4
    level = ((8, 0) in dark) << 1 | ((8, 1) in dark)
    assert level ^ 0b10 == 0b00, "not level M"
    mask = (((8, 2) in dark) << 2 | ((8, 3) in dark) << 1 | ((8, 4) in dark)) ^ 0b101
    bits = [
        ((i, j) in dark) ^ (MASKS[mask](i, j) == 0)
        for i, j in _walk(size)
        if not _fixed(i, j, size)
    ]
    data, blocks = DATA_AND_BLOCKS[version]
    words = [_number(bits[8 * k : 8 * k + 8]) for k in range(data)]
    stream = [word for block in range(blocks) for word in words[block::blocks]]
    flat = [word >> (7 - k) & 1 for word in stream for k in range(8)]
    assert _number(flat[:4]) == 0b0100, "not in bytes"
    count = _number(flat[4:12])
    return bytes(_number(flat[12 + 8 * k : 20 + 8 * k]) for k in range(count)).decode()


def _number(bits) -> int:
    return int("".join("1" if bit else "0" for bit in bits), 2)


def _walk(size: int):
    """Two columns at a time from the right, up and down in turn, past the timing column."""
    columns = [*range(size - 1, 6, -2), 5, 3, 1]
    for turn, column in enumerate(columns):
        rows = range(size - 1, -1, -1) if turn % 2 == 0 else range(size)
        for row in rows:
            yield row, column
            yield row, column - 1


def _fixed(i: int, j: int, size: int) -> bool:
    finders = (i < 9 and (j < 9 or j >= size - 8)) or (i >= size - 8 and j < 9)
    aligned = size > 21 and abs(i - (size - 7)) <= 2 and abs(j - (size - 7)) <= 2
    return finders or aligned or 6 in (i, j)
