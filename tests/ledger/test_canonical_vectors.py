"""The shared vectors of the canonical form, as every edition in every language must find them.

The texts in the file are held against a writer that shares nothing with the code, so that the
file itself cannot drift; the JavaScript side runs the same file.
"""

from __future__ import annotations

import base64
import hashlib
import json
import unicodedata
from pathlib import Path

import pytest

from tests.ledger.test_canonical_bytes import by_the_rules
from witnessmark.ledger.canonical import (
    NotCanonicalError,
    canonical_bytes,
    digest,
    read_canonical,
)

VECTORS = json.loads((Path(__file__).parent / "vectors" / "canonical.json").read_bytes())


def by_name(rows):
    return pytest.mark.parametrize("row", [pytest.param(row, id=row["name"]) for row in rows])


@by_name(VECTORS["written"])
def test_a_value_has_this_text_and_digest(row):
    data = canonical_bytes(row["value"])
    assert data.decode() == row["text"] == by_the_rules(row["value"])
    assert digest(data) == row["sha256"] == hashlib.sha256(row["text"].encode()).hexdigest()
    assert read_canonical(data) == row["value"]


@by_name(VECTORS["refused values"])
def test_a_value_has_no_canonical_form(row):
    with pytest.raises(NotCanonicalError):
        canonical_bytes(json.loads(row["json"]))


@by_name(VECTORS["refused bytes"])
def test_bytes_are_refused(row):
    with pytest.raises(NotCanonicalError):
        read_canonical(base64.b64decode(row["base64"]))


def test_the_vectors_hold_what_is_easily_got_wrong():
    texts = "".join(row["text"] for row in VECTORS["written"])
    assert any(ord(each) > 0xFFFF for each in texts)
    assert "\\u000a" in texts
    assert any("12.5" in row["text"] for row in VECTORS["written"])
    keys = next(row for row in VECTORS["written"] if "UTF-16" in row["name"])["value"]
    assert sorted(keys) != sorted(keys, key=lambda key: key.encode("utf-16-be"))
    assert unicodedata.normalize("NFC", texts) == texts
