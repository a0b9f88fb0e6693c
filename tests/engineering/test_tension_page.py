"""The page docs/tension-and-coolant.md: its commands run and its table misses no row."""

from __future__ import annotations

import csv
import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from witnessmark.cli.root import command
from witnessmark.engineering.coolant import Glycol, freezing, mass_percent

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "tension-and-coolant.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^witnessmark (calc .+)$", PAGE, re.MULTILINE)
PUBLISHED = ROOT / "tests" / "published"


@pytest.mark.parametrize("line", COMMANDS, ids=range(len(COMMANDS)))
def test_every_command_on_the_page_runs(line: str, tmp_path: Path) -> None:
    """The recording on the page is the real string of row AU01."""
    words = shlex.split(line)
    stands_for = {
        "pluck.wav": str(PUBLISHED / "signal" / "audio" / "Carbon_A5.wav"),
        "spectrum.svg": str(tmp_path / "spectrum.svg"),
    }
    result = CliRunner().invoke(command, [stands_for.get(word, word) for word in words])
    assert result.exit_code == 0, result.output
    assert result.stdout


def test_the_page_shows_every_command_of_its_subject() -> None:
    assert {line.split()[1] for line in COMMANDS} == {"tension", "span", "coolant", "fill"}


@pytest.mark.parametrize(
    "file",
    [
        "belt_tension/worked_examples.csv",
        "belt_tension/mass_per_length.csv",
        "signal/worked_examples.csv",
        "signal/standard_pitches.csv",
        "signal/audio_samples.csv",
        "coolant/worked_examples.csv",
    ],
)
def test_every_published_row_is_in_the_table(file: str) -> None:
    with (PUBLISHED / file).open(encoding="utf-8", newline="") as rows:
        wanted = {row["id"] for row in csv.DictReader(rows)}
    told = set(re.findall(r"[A-Z]{2}\d+", PAGE.split("## What has been checked")[1]))
    assert wanted <= told


@pytest.mark.parametrize("name", ["freezing_point.csv", "properties.csv", "boiling_point.csv"])
def test_the_counts_of_whole_tables_are_right(name: str) -> None:
    count = len((PUBLISHED / "coolant" / name).read_text(encoding="utf-8").splitlines()) - 1
    assert f"{name}, all {count} |" in PAGE


def test_the_figures_in_the_text_are_those_of_the_sums() -> None:
    assert f"{mass_percent(Glycol.ETHYLENE, 50):.1f} % by mass" in PAGE
    half = freezing(Glycol.ETHYLENE, 50)
    assert f"{half.high - half.low:.1f} K apart at 50 % by mass" in PAGE
    apart = []
    for mass in range(15, 58):
        figures = [f.value for f in freezing(Glycol.PROPYLENE, mass).figures]
        apart.append(abs(figures[1] - figures[2]))
    assert f"up to {max(apart):.1f} K for propylene glycol" in PAGE
