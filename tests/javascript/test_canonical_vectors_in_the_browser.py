"""The browser finds the shared vectors of the canonical form as Python does."""

from __future__ import annotations

import json
from pathlib import Path

RUNNER = "runner/canonical_runner.js"
FILE = Path(__file__).parents[1] / "ledger" / "vectors" / "canonical.json"
VECTORS = json.loads(FILE.read_bytes())


def test_values_have_the_texts_and_digests_of_the_vectors(browser):
    rows = VECTORS["written"]
    answers = browser.call(RUNNER, "write", [json.dumps(row["value"]) for row in rows])
    assert answers == [{"text": row["text"], "digest": row["sha256"]} for row in rows]


def test_values_without_a_form_are_refused(browser):
    rows = VECTORS["refused values"]
    answers = browser.call(RUNNER, "write", [row["json"] for row in rows])
    assert {row["name"]: answer for row, answer in zip(rows, answers, strict=True)} == {
        row["name"]: {"refused": "NotCanonicalError"} for row in rows
    }


def test_bytes_in_another_form_are_refused(browser):
    rows = VECTORS["refused bytes"]
    answers = browser.call(RUNNER, "read", [row["base64"] for row in rows])
    assert {row["name"]: answer for row, answer in zip(rows, answers, strict=True)} == {
        row["name"]: {"refused": "NotCanonicalError"} for row in rows
    }
