"""What a picture's file holds beside the picture: where another kind of file could hide.

Phones write much there that is wanted (when, which way up, a small film), so it is not refused
as such; refused is what another program would take for a page, a program, a paper or an
archive. The compressed picture itself is not looked through: chance would find anything in it.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Callable, Iterator

_ANOTHER_KIND = re.compile(
    rb"<script|<!doctype|<html>|<html\s|<\?php|%pdf-|#!/|<svg\s", re.IGNORECASE
)

_ARCHIVE_ENDS, _ARCHIVE_ENDS_WITHIN = b"PK\x05\x06", 65_557
"""A zip archive is read from its end: this record lies in the last so many bytes."""

_END_OF_IMAGE = 0xD9
_MARKER = re.compile(rb"\xff[^\x00\xff\xd0-\xd7]", re.DOTALL)


def is_another_kind_too(data: bytes, kind: str) -> bool:
    """Tell whether a whole picture's file would also be taken for a file of another kind."""
    if _ARCHIVE_ENDS in data[-_ARCHIVE_ENDS_WITHIN:]:
        return True
    return any(_ANOTHER_KIND.search(part) for part in _PARTS[kind](data))


def _beside_jpeg(data: bytes) -> Iterator[bytes]:
    """Give the segments that are no scan, and what follows the end (ITU-T T.81, annex B)."""
    at = 2
    while found := _MARKER.search(data, at):
        marker, start = data[found.start() + 1], found.end()
        if marker == _END_OF_IMAGE:
            yield data[start:]
            return
        length = int.from_bytes(data[start : start + 2], "big")
        yield data[start : start + length]
        at = start + max(length, 2)  # after a start of scan the search runs over the scan


def _beside_png(data: bytes) -> Iterator[bytes]:
    """Give the chunks that are no picture, and what follows the end (PNG, section 5)."""
    at = 8
    while at + 8 <= len(data):
        length, name = struct.unpack(">I4s", data[at : at + 8])
        if name not in {b"IDAT", b"fdAT"}:
            yield data[at + 8 : at + 8 + length]
        at += 12 + length
        if name == b"IEND":
            break
    yield data[at:]


def _beside_webp(data: bytes) -> Iterator[bytes]:
    """Give the chunks that are no picture, and what follows the end (RFC 9649, section 2)."""
    end = 8 + int.from_bytes(data[4:8], "little")
    at = 12
    while at + 8 <= min(end, len(data)):
        name, length = struct.unpack("<4sI", data[at : at + 8])
        if name not in {b"VP8 ", b"VP8L", b"ALPH", b"ANMF"}:
            yield data[at + 8 : at + 8 + length]
        at += 8 + length + length % 2
    yield data[end:]


_PARTS: dict[str, Callable[[bytes], Iterator[bytes]]] = {
    "JPEG": _beside_jpeg,
    "PNG": _beside_png,
    "WEBP": _beside_webp,
}
