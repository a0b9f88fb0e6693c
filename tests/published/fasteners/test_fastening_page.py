"""The page docs/fastening.md names every table with its rows, and its commands run."""

from __future__ import annotations

import json
import re
import shlex

import pytest
from click.testing import CliRunner

from tests.published.fasteners.rows import HERE, examples, rows
from witnessmark.cli.calc import calc

PAGE = (HERE.parents[2] / "docs" / "fastening.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"^witnessmark calc (.+)$", PAGE, flags=re.MULTILINE)


def test_every_table_stands_on_the_page_with_its_number_of_rows() -> None:
    listed = {
        name: int(count)
        for name, count in re.findall(r"^\| `(\w+)` \| [^|]+ \| (\d+) \|", PAGE, flags=re.MULTILINE)
    }
    assert listed == {path.stem: len(rows(path.stem)) for path in HERE.glob("*.csv")}
    assert f"The {len(examples())} worked examples" in PAGE


def test_every_table_is_used_by_a_test() -> None:
    tests = "".join(p.read_text(encoding="utf-8") for p in HERE.glob("test_*.py"))
    unused = {p.stem for p in HERE.glob("*.csv") if f'"{p.stem}"' not in tests}
    assert unused == set()


@pytest.mark.parametrize("command", COMMANDS)
def test_commands_on_the_page_run(command) -> None:
    result = CliRunner().invoke(calc, shlex.split(command))
    assert result.exit_code == 0, result.output
    assert result.output


def test_every_fastening_command_and_key_is_on_the_page() -> None:
    named = {shlex.split(c)[0] for c in COMMANDS}
    assert named == {
        "torque",
        "preload",
        "angle",
        "wrench",
        "engagement",
        "thread",
        "convert",
        "order",
        "size-table",
    }
    for command in COMMANDS:
        result = CliRunner().invoke(calc, [*shlex.split(command), "--json"])
        for name in json.loads(result.stdout):
            assert f"`{name}" in PAGE, f"{name} of {command}"
