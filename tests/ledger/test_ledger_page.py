"""The page on the ledger says what the code does."""

from __future__ import annotations

import re
from pathlib import Path

from witnessmark.ledger.canonical import DEEPEST
from witnessmark.ledger.event_types import EVENT_TYPES
from witnessmark.ledger.events import (
    FIELDS,
    LARGEST_EVENT,
    LONGEST_NOTE,
    MOST_HEADS,
    MOST_PHOTOS,
    event_id,
    read_event,
)

PAGE = (Path(__file__).parents[2] / "docs" / "ledger.md").read_text(encoding="utf-8")


def table(heading):
    rows = PAGE.split(f"### {heading}\n")[1].split("\n### ")[0]
    return [
        [cell.strip() for cell in line[2:-2].split("|")]
        for line in rows.splitlines()
        if line.startswith("| `")
    ]


def test_the_entry_shown_is_one_and_has_the_id_shown():
    shown = re.search(r"```json\n(.*)\n```", PAGE)
    id_ = re.search(r"\(id `([0-9a-f]{64})`\)", PAGE)
    assert event_id(read_event(shown[1].encode(), id_[1])) == id_[1]


def test_every_key_of_an_entry_is_explained():
    explained = [key for row in table("An entry") for key in re.findall(r"`(\w+)`", row[0])]
    assert sorted(explained) == sorted(FIELDS)


def test_every_type_is_listed_with_what_it_must_fill():
    assert table("The types") == [
        [f"`{row.id}`", row.says, ", ".join(f"`{field}`" for field in row.needs)]
        for row in EVENT_TYPES.values()
    ]


def test_the_limits_are_those_of_the_code():
    assert f"at most {DEEPEST} deep" in PAGE
    assert f"At most {LARGEST_EVENT // 1024} kB" in PAGE
    assert f"at most {LONGEST_NOTE:,} characters" in PAGE
    assert f"knew, at most {MOST_HEADS}" in PAGE
    assert f"photos, at most {MOST_PHOTOS}" in PAGE
