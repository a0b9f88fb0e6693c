"""The page docs/drives-and-timing.md: its commands run and its table misses no published row."""

from __future__ import annotations

import csv
import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from witnessmark.cli.root import command

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "drives-and-timing.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^witnessmark (calc .+)$", PAGE, re.MULTILINE)
PUBLISHED = ROOT / "tests" / "published"


@pytest.mark.parametrize("line", COMMANDS, ids=range(len(COMMANDS)))
def test_every_command_on_the_page_runs(line: str) -> None:
    result = CliRunner().invoke(command, shlex.split(line))
    assert result.exit_code == 0, result.output
    assert result.stdout


def test_the_page_shows_every_drive_command() -> None:
    assert {line.split()[1] for line in COMMANDS} == {"belt", "route", "timing", "clearance"}


@pytest.mark.parametrize(
    "file",
    [
        "belts/worked_examples.csv",
        "belts/standards.csv",
        "timing/worked_examples.csv",
        "timing/valve_events.csv",
        "timing/cam_laws.csv",
        "timing/facts.csv",
    ],
)
def test_every_published_row_is_in_the_table(file: str) -> None:
    with (PUBLISHED / file).open(encoding="utf-8", newline="") as rows:
        wanted = {row["id"] for row in csv.DictReader(rows)}
    told = set(re.findall(r"[A-Z][A-Za-z0-9-]+", PAGE.split("## What has been checked")[1]))
    assert wanted <= told


@pytest.mark.parametrize(
    ("file", "words"),
    [
        ("belts/imperial_pitch_lengths.csv", "imperial_pitch_lengths.csv, all 29"),
        ("timing/slider_crank_grid.csv", "slider_crank_grid.csv, all 32"),
    ],
)
def test_the_counts_of_whole_tables_are_right(file: str, words: str) -> None:
    count = len((PUBLISHED / file).read_text(encoding="utf-8").splitlines()) - 1
    assert words in PAGE
    assert words.endswith(str(count))
