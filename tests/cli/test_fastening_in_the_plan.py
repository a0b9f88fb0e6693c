"""Fastening as the plan command tells it: in JSON, on the screen, on the card."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from witnessmark.cli.root import command

MACHINE = """
witnessmark: 1
machine: trial
source: invented for this test
parts: {frame: {fixed: true}, hub: {off: {strip: 1 min, refit: 1 min}}}
joints:
  hub-nut:
    name: hub nut
    kind: bolts
    holds: [hub]
    to: frame
    role: wheel
    hand: left
    viewpoint: from outside
    fasteners: [{thread: M16x1.5, class: 10.9}]
    tightness: 150 N·m
    surface: dry
    out: {strip: 1 min, refit: 1 min}
works: {hub: {name: hub off, goals: [hub off]}}
"""
WORKSHOP = """
workshop: 1
name: trial
wrenches: {click: {name: click wrench, from: 20 N·m, to: %s N·m}}
"""


def run(folder: Path, largest: int, *more: str) -> str:
    (folder / "m.yaml").write_text(MACHINE, encoding="utf-8")
    (folder / "workshop.yaml").write_text(WORKSHOP % largest, encoding="utf-8")
    result = CliRunner().invoke(command, ["plan", str(folder / "m.yaml"), "--work", "hub", *more])
    assert result.exit_code == 0, result.output
    return result.output


def test_json_tells_clamp_wrench_hand_and_cautions(tmp_path: Path) -> None:
    answer = json.loads(run(tmp_path, 200, "--json"))
    (told,) = [each["fastening"] for each in answer["operations"] if each["fastening"]]
    assert (told["wrench"], told["setting_Nm"]) == ("click wrench", 150.0)
    assert told["hand"] == "↺ anticlockwise tightens, seen from outside (left-hand thread)"
    (clamp,) = told["clamp"]
    for end in ("low", "nominal", "high"):
        force, share = clamp["clamp_force_N"][end], clamp["share_of_proof_load"][end]
        assert share == pytest.approx(force / clamp["proof_load_N"])
    # ISO 898-1: M16x1.5 of class 10.9 has a proof load of 139 kN (from memory).
    assert clamp["proof_load_N"] == pytest.approx(139_000, rel=0.005)
    assert any("impact tool" in words for words in told["cautions"])
    assert answer["warnings"] == []


def test_a_wrench_list_that_cannot_serve_is_warned_of(tmp_path: Path) -> None:
    answer = json.loads(run(tmp_path, 100, "--json"))
    assert answer["warnings"] == ["no wrench here serves 150 N·m (hub nut)"]
    assert "Warning: no wrench here serves 150 N·m (hub nut)" in run(tmp_path, 100)


def test_the_screen_tells_which_way_to_turn_at_both_halves(tmp_path: Path) -> None:
    words = run(tmp_path, 200)
    assert "↻ clockwise loosens, seen from outside" in words
    assert "↺ anticlockwise tightens, seen from outside" in words
    assert "% of proof load" in words
