"""The page on papers says what the code does."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.cli.root import command
from witnessmark.papers.label_roll import COLUMNS, ROLL, ROWS
from witnessmark.papers.record_evidence import MOST_PHOTOS
from witnessmark.papers.sheaf import paper_titles
from witnessmark.papers.state_card import MOST_NAMES
from witnessmark.workshop.one_paper import MEMORY, SECONDS
from witnessmark.workshop.paper_names import NAMED_AS_USUAL
from witnessmark.workshop.press import PATIENCE, WAITING

PAGE = (Path(__file__).parents[2] / "docs" / "papers.md").read_text(encoding="utf-8")
NUMBERS = {2: "two", 6: "six"}


def test_every_paper_of_a_job_has_its_address():
    for name in NAMED_AS_USUAL:
        assert f"`/jobs/JOB/papers/{name}.pdf`" in PAGE


def test_every_paper_of_a_plan_is_named(gull_job):
    for name in [each["name"] for each in paper_titles(gull_job)]:
        kind = next((k for k in ("bolt-board", "angle-disc") if name.startswith(k)), name)
        assert f"`{kind}-JOINT`" in PAGE or f"`{kind}`" in PAGE or kind == "job-card"


@pytest.mark.parametrize("name", ["handover", "record", "labels", "papers"])
def test_the_commands_it_names_are_there(name):
    assert name in command.commands_at
    assert f"witnessmark {name}" in PAGE


@pytest.mark.parametrize(
    "words",
    [
        f"{NUMBERS[MOST_NAMES]} things at the most",
        f"{MOST_PHOTOS} at the most",
        f"{ROLL[0]:.0f} mm by {ROLL[1]:.0f} mm",
        f"{COLUMNS * ROWS} labels on A4",
        f"{MEMORY // 1024**3} GB of address space",
        f"given up after {PATIENCE:.0f} seconds",
        f"{NUMBERS[WAITING]} may wait",
    ],
)
def test_the_figures_it_gives_are_those_of_the_code(words):
    assert words in PAGE
    assert SECONDS == 60
    assert "a minute of the processor" in PAGE


def test_it_says_which_papers_name_the_customer_when_nobody_says():
    assert [name for name, named in NAMED_AS_USUAL.items() if named] == ["record"]
    assert "When nobody says, they stand on the record only." in PAGE
