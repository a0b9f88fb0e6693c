"""The semantics page tells the truth about the rule book and the compiler's complaints."""

from __future__ import annotations

import re
from pathlib import Path

from witnessmark.procedure.rules.checks import CHECKS
from witnessmark.procedure.rules.gates import GATES
from witnessmark.procedure.rules.objects import KINDS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "semantics.md").read_text(encoding="utf-8")


def table(title: str) -> list[list[str]]:
    """Give the rows of the first table below a heading, without its head."""
    below = PAGE.split(f"\n## {title}\n")[1].split("\n## ")[0]
    rows = [line for line in below.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in rows[2:]]


def test_it_lists_every_kind_with_every_state_at_its_depth():
    shown = {
        row[0]: [[word.strip() for word in cell.split(",") if word.strip()] for cell in row[1:5]]
        for row in table("Objects and their states")
    }
    assert shown == {
        kind.id: [[state.id for state in kind.states if state.depth == depth] for depth in range(4)]
        for kind in KINDS
    }
    assert {row[0]: row[5] for row in table("Objects and their states")} == {
        kind.id: kind.keeps for kind in KINDS
    }


def test_it_names_every_state_a_machine_file_describes():
    opened = {state.id for kind in KINDS for state in kind.states if state.opening}
    sentence = re.search(r"describes how to reach (.+)\. The other words", PAGE)
    assert sentence is not None
    assert set(re.findall(r"`([^`]+)`", sentence[1])) == opened


def test_it_explains_every_check():
    shown = [
        name.strip()
        for row in table("What follows without being written")
        for name in row[0].split(",")
    ]
    assert shown == [check.id for check in CHECKS]


def test_it_lists_every_gate_and_whether_it_may_be_passed():
    assert [(row[0], row[2]) for row in table("Gates")] == [
        (gate.id, "yes" if gate.passable else "no") for gate in GATES
    ]


def test_it_lists_every_complaint_of_the_compiler_and_no_other():
    listed = {row[0].strip("`") for row in table("Complaints of the compiler")}
    sources = (ROOT / "src" / "witnessmark" / "procedure").glob("*.py")
    said = {
        code
        for path in sources
        for code in re.findall(r'"((?:plan|state)-[a-z-]+)"', path.read_text(encoding="utf-8"))
    }
    assert listed == said
