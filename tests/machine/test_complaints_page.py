"""The page of complaints says what the catalogue says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from witnessmark.machine.catalogue import CATALOGUE, WARNINGS

PAGE = (Path(__file__).parents[2] / "docs" / "complaints.md").read_text("utf-8")


def shown(sentence: str) -> str:
    """A sentence of the catalogue as the page has it: facts in capitals."""
    plain = sentence.replace("*", "\\*").replace("{{", "\0").replace("}}", "\1")
    named = re.sub(r"\{(\w+)\}", lambda match: match[1].upper().replace("_", " "), plain)
    return named.replace("\0", "{").replace("\1", "}")


@pytest.mark.parametrize("code", CATALOGUE)
def test_every_complaint_stands_on_the_page(code: str) -> None:
    what, to_do = map(shown, CATALOGUE[code])
    warning = " (warning)" if code in WARNINGS else ""
    assert f"| `{code}`{warning} | {what} | {to_do} |\n" in PAGE


def test_the_page_has_no_complaint_that_is_never_made() -> None:
    assert set(re.findall(r"^\| `([a-z0-9-]+)`", PAGE, re.MULTILINE)) == set(CATALOGUE)
