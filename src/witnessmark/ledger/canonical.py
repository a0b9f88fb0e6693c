"""The one form in which events and packs are written, so that all devices hash the same bytes.

JSON in UTF-8 with nothing left open: no white space, keys in the order of their Unicode code
points, only the escapes that JSON insists on, whole numbers that a double holds exactly, text
in normal form C. There are no fractions: decimals are strings.
"""

from __future__ import annotations

import re
from hashlib import sha256
from typing import Any
from unicodedata import is_normalized

import msgspec

DEEPEST = 32
"""How deep lists and objects may lie in one another."""

LARGEST = 2**53 - 1
"""The largest whole number that every language holds exactly."""

Plain = Any
"""None, bool, int, str, and lists and dicts (with text as keys) of these."""

_SHORT = {b"b": b"08", b"t": b"09", b"n": b"0a", b"f": b"0c", b"r": b"0d"}
_ESCAPE = re.compile(rb"\\(.)")


class NotCanonicalError(ValueError):
    """A value or bytes that have no canonical form; the text says why."""


def canonical_bytes(value: Plain) -> bytes:
    """Write a value in the canonical form.

    Raises
    ------
    NotCanonicalError
        If the value holds what has no such form: fractions, whole numbers too large, half a
        character, text not in normal form C, anything nested too deep.
    """
    _check(value, 0)
    written = msgspec.json.encode(value, order="sorted")
    return _ESCAPE.sub(_long_escape, written) if b"\\" in written else written


def read_canonical(data: bytes) -> Plain:
    """Read bytes that must be canonical: refused if writing them again gives others.

    Raises
    ------
    NotCanonicalError
        If the bytes are no JSON, or not in this form.
    """
    try:
        value = msgspec.json.decode(data)
    except UnicodeDecodeError:
        raise NotCanonicalError("these bytes are not UTF-8") from None
    except RecursionError:
        raise NotCanonicalError(f"nested deeper than {DEEPEST}") from None
    except msgspec.DecodeError as error:
        raise NotCanonicalError(f"these bytes are not JSON: {error}") from None
    if canonical_bytes(value) != data:
        raise NotCanonicalError("these bytes are not in the one canonical form")
    return value


def digest(data: bytes) -> str:
    """Give the SHA-256 of bytes (FIPS 180-4) in lower-case hex."""
    return sha256(data).hexdigest()


def _check(value: object, depth: int) -> None:
    if isinstance(value, str):
        _check_text(value)
    elif value is None or isinstance(value, bool):
        return
    elif isinstance(value, int):
        if not -LARGEST <= value <= LARGEST:
            raise NotCanonicalError(f"{value} is beyond 2^53: write it as text")
    elif isinstance(value, dict | list):
        if depth >= DEEPEST:
            raise NotCanonicalError(f"nested deeper than {DEEPEST}")
        _check_inside(value, depth + 1)
    elif isinstance(value, float):
        raise NotCanonicalError(f"{value} is no whole number: decimals are text")
    else:
        raise NotCanonicalError(f"a {type(value).__name__} has no canonical form")


def _check_inside(value: dict[object, object] | list[object], depth: int) -> None:
    if isinstance(value, dict):
        for key in value:
            if not isinstance(key, str):
                raise NotCanonicalError("keys are text")
            _check_text(key)
        value = list(value.values())
    for each in value:
        _check(each, depth)


def _check_text(text: str) -> None:
    if text.isascii():
        return
    if not is_normalized("NFC", text):
        raise NotCanonicalError(f"{text[:40]!r} is not in Unicode's normal form C")
    try:
        text.encode()
    except UnicodeEncodeError:
        raise NotCanonicalError("half a character (a lone surrogate)") from None


def _long_escape(match: re.Match[bytes]) -> bytes:
    r"""Write control characters in the one long way: `\\u000a`, not `\\n`."""
    short = _SHORT.get(match[1])
    return match[0] if short is None else b"\\u00" + short
