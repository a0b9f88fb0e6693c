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
wrenches:
  click: {name: click wrench, from: 20 N·m, to: %s N·m, length: 450 mm, checked: 2026-03-02}
adapters: {crowfoot: {name: crowfoot 24 mm, length: 50 mm}}
"""
IN_DATE = ("--on", "2026-06-01")


def run(folder: Path, largest: int, *more: str, aids: str = "") -> str:
    more = more if "--on" in more else (*more, *IN_DATE)
    (folder / "m.yaml").write_text(
        MACHINE.replace("refit: 1 min}\nw", f"refit: 1 min{aids}}}\nw"), encoding="utf-8"
    )
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
    assert answer["warnings"] == [
        "no wrench here serves 150 N·m (hub nut): click wrench: 150 N·m is above its 100 N·m"
    ]
    assert "Warning: no wrench here serves 150 N·m (hub nut)" in run(tmp_path, 100)


def test_a_wrench_overdue_on_the_day_of_the_work_does_not_serve(tmp_path: Path) -> None:
    due = json.loads(run(tmp_path, 200, "--json", "--on", "2027-03-02"))
    (told,) = [each["fastening"] for each in due["operations"] if each["fastening"]]
    assert (told["wrench"], told["check_due"]) == ("click wrench", "2027-03-02")
    late = json.loads(run(tmp_path, 200, "--json", "--on", "2027-03-03"))
    (told,) = [each["fastening"] for each in late["operations"] if each["fastening"]]
    assert (told["wrench"], told["setting_Nm"], told["check_due"]) == (None, None, None)
    assert told["no_wrench"] == "click wrench: its check was due 2027-03-02"
    assert late["warnings"] == [f"no wrench here serves 150 N·m (hub nut): {told['no_wrench']}"]


def test_the_setting_with_the_adapter_of_the_way(tmp_path: Path) -> None:
    answer = json.loads(run(tmp_path, 200, "--json", aids=", aids: [crowfoot 24 mm]"))
    (told,) = [each["fastening"] for each in answer["operations"] if each["fastening"]]
    assert told["adapter"] == "crowfoot 24 mm"
    # NAVEDTRA 14315: 150 x 450/(450 + 50).
    assert told["setting_Nm"] == pytest.approx(135.0)
    (need,) = answer["kit"]["torques"]
    assert (need["adapter"], need["setting"]) == ("crowfoot 24 mm", "135 N·m")
    assert {"name": "crowfoot 24 mm", "owned": True}.items() <= answer["kit"]["tools"][0].items()


def test_the_witness_mark_is_chosen_for_the_job(tmp_path: Path) -> None:
    answer = json.loads(run(tmp_path, 200, "--json", "--mark", "yellow"))
    mark = {"colour": "yellow", "shape": "two strokes"}
    assert answer["witness_mark"] == mark
    (told,) = [each["fastening"] for each in answer["operations"] if each["fastening"]]
    assert told["mark"] == mark
    assert json.loads(run(tmp_path, 200, "--json"))["witness_mark"] is None
    words = run(tmp_path, 200, "--mark", "yellow")
    assert "mark it last: yellow, two strokes" in words


def test_a_mark_in_no_known_colour_is_refused(tmp_path: Path) -> None:
    run(tmp_path, 200)
    file = str(tmp_path / "m.yaml")
    result = CliRunner().invoke(command, ["plan", file, "--work", "hub", "--mark", "mauve"])
    assert result.exit_code == 2
    assert "--mark: there is no mark in 'mauve': choose white, yellow" in result.stderr


def test_check_finds_the_wrench_list_beside_the_machine(tmp_path: Path) -> None:
    run(tmp_path, 100)
    file, garage = str(tmp_path / "m.yaml"), str(tmp_path / "workshop.yaml")
    for files in ([file], [file, garage]):
        result = CliRunner().invoke(command, ["check", *files])
        assert result.exit_code == 0
        (line,) = result.stdout.splitlines()
        assert "no-wrench: warning: no wrench of the list serves 150 N·m at 'hub-nut'" in line
    run(tmp_path, 200)
    assert CliRunner().invoke(command, ["check", file]).stdout == ""
    late = CliRunner().invoke(command, ["check", file, "--on", "2027-03-03"])
    assert "its check was due 2027-03-02" in late.stdout


def test_the_screen_tells_which_way_to_turn_at_both_halves(tmp_path: Path) -> None:
    words = run(tmp_path, 200)
    assert "↻ clockwise loosens, seen from outside" in words
    assert "↺ anticlockwise tightens, seen from outside" in words
    assert "% of proof load" in words


def test_the_screen_says_where_the_figure_comes_from(tmp_path: Path) -> None:
    words = run(tmp_path, 200)
    assert "150 N·m = 111 lbf·ft, dry" in words
    assert "figure: invented for this test" in words
