"""One value, one form: held against RFC 8785's rules as far as they agree, written again here."""

from __future__ import annotations

import hashlib
import json
import unicodedata
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.ledger.canonical import (
    DEEPEST,
    LARGEST,
    NotCanonicalError,
    canonical_bytes,
    digest,
    read_canonical,
)

texts = st.text(st.characters(exclude_categories=["Cs"])).map(
    lambda text: unicodedata.normalize("NFC", text)
)
values = st.recursive(
    st.none() | st.booleans() | st.integers(-LARGEST, LARGEST) | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=20,
)


def by_the_rules(value: Any) -> str:
    """Write a value character by character; shares nothing with the code."""
    if isinstance(value, str):
        return '"' + "".join(map(escaped, value)) + '"'
    if isinstance(value, dict):
        rows = (f"{by_the_rules(key)}:{by_the_rules(value[key])}" for key in sorted(value))
        return "{" + ",".join(rows) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(by_the_rules, value)) + "]"
    return json.dumps(value)


def escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    return f"\\u{ord(character):04x}" if ord(character) < 0x20 else character


@given(values)
def test_values_are_written_by_the_rules(value):
    assert canonical_bytes(value) == by_the_rules(value).encode()


@given(values)
def test_what_is_written_is_read_back(value):
    assert read_canonical(canonical_bytes(value)) == value


@given(values)
def test_any_json_reader_reads_it(value):
    assert json.loads(canonical_bytes(value)) == value


def test_keys_go_by_code_point_and_not_by_utf_16_unit():
    keys = {"\ue000": 1, "\uffff": 2, "\U00010000": 3, "z": 4}
    assert list(json.loads(canonical_bytes(keys))) == ["z", "\ue000", "\uffff", "\U00010000"]


def test_control_characters_have_one_long_escape():
    every = "".join(map(chr, range(0x20)))
    assert canonical_bytes(every).decode() == '"' + "".join(map(escaped, every)) + '"'


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (1.0, "decimals are text"),
        (float("nan"), "decimals are text"),
        (2**53, "beyond 2"),
        (-(2**53), "beyond 2"),
        ("e\u0301", "normal form C"),
        ({"e\u0301": 1}, "normal form C"),
        ("\ud83d", "half a character"),
        ({1: 2}, "keys are text"),
        ((1, 2), "tuple"),
        (b"bytes", "bytes"),
    ],
)
def test_what_has_no_form_is_refused(value, why):
    with pytest.raises(NotCanonicalError, match=why):
        canonical_bytes(value)


def nested(depth: int) -> list[Any]:
    value: list[Any] = []
    for _ in range(depth - 1):
        value = [value]
    return value


def test_nesting_has_an_end():
    assert read_canonical(canonical_bytes(nested(DEEPEST))) == nested(DEEPEST)
    with pytest.raises(NotCanonicalError, match="nested deeper"):
        canonical_bytes(nested(DEEPEST + 1))


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "not JSON"),
        (b'{"a":1', "not JSON"),
        (b"NaN", "not JSON"),
        (b'"\xff"', "not UTF-8"),
        (b"[" * 100_000, "nested deeper"),
        (b'{"a":1,"a":1}', "one canonical form"),
        (b'{"b":1,"a":2}', "one canonical form"),
        (b'{"a": 1}', "one canonical form"),
        (b"-0", "one canonical form"),
        (b'"\\n"', "one canonical form"),
        (b'"\\u000A"', "one canonical form"),
        (b'"\\u0041"', "one canonical form"),
        (b'"\\/"', "one canonical form"),
        (b"\xef\xbb\xbf1", "not JSON"),
        (b"1e3", "decimals are text"),
        (b"1.0", "decimals are text"),
        (b"99999999999999999999", "beyond 2"),
    ],
)
def test_bytes_in_another_form_are_refused(data, why):
    with pytest.raises(NotCanonicalError, match=why):
        read_canonical(data)


def test_digests_are_sha_256():
    # FIPS 180-4, example "abc" (value from memory), and Python's own library.
    abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert digest(b"abc") == abc == hashlib.sha256(b"abc").hexdigest()
