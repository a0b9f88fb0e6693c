"""The commands that plan: what they print, what they answer, how they refuse."""

import json
import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

import witnessmark.cli
from witnessmark.cli.root import command

ROOT = Path(__file__).parents[2]
GULL = str(ROOT / "demo/machines/gull-20.yaml")
TARN = str(ROOT / "demo/machines/tarn-two-stage.yaml")
SCHEMA = json.loads(
    (Path(witnessmark.cli.__file__).parent / "plan-answer.schema.json").read_text("utf-8")
)


def run(*arguments: str):
    return CliRunner().invoke(command, list(arguments))


def answer(*arguments: str):
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_works_lists_ids_and_names():
    assert answer("works", TARN)[0] == {
        "id": "valve-plates",
        "name": "Inspect the valve plates of both stages",
    }


def test_plan_answers_by_its_schema():
    jsonschema.validate(answer("plan", TARN, "--work", "valve-plates"), SCHEMA)


def test_several_plans_answer_by_the_schema_and_stay_within_the_margin():
    given = answer("plan", TARN, "--work", "valve-plates", "--plans", "3", "--margin", "20 min")
    jsonschema.validate(given, SCHEMA)
    totals = [plan["minutes"]["total"] for plan in given["plans"]]
    assert 1 < len(totals) <= 3
    assert totals == sorted(totals)
    assert totals[-1] <= totals[0] + 20
    orders = [[step["id"] for step in plan["operations"]] for plan in given["plans"]]
    assert len({tuple(sorted(order)) for order in orders}) == len(orders)


def test_minutes_add_up():
    given = answer("plan", GULL, "--work", "aux-belt")
    parts = given["minutes"]
    assert parts["total"] == pytest.approx(
        parts["strip"] + parts["work"] + parts["refit"] + parts["spoils"] + parts["changeover"]
    )
    assert parts["total"] == given["total"]["minutes"]
    steps = sum(step["minutes"] for step in given["operations"])
    assert steps == pytest.approx(parts["strip"] + parts["work"] + parts["refit"])


def test_the_screen_never_says_optimal_and_names_the_file_as_measure():
    shown = run("plan", GULL, "--work", "timing-belt").output
    assert "by the minutes and prices in this file" in shown
    assert "optimal" not in shown.lower()


def test_a_torque_is_shown_in_both_units():
    shown = run("plan", GULL, "--work", "aux-belt").output
    assert "160 N·m = 118 lbf·ft, dry" in shown
    assert "stages 80 N·m, 160 N·m; order cross" in shown


def test_an_unknown_work_is_refused_with_the_nearest():
    result = run("plan", GULL, "--work", "timing-bolt")
    assert result.exit_code == 2
    assert "there is no work 'timing-bolt'. Did you mean 'timing-belt'?" in result.output


def test_a_missing_file_is_refused():
    result = run("plan", "nowhere.yaml", "--work", "timing-belt")
    assert result.exit_code == 2
    assert "nowhere.yaml: there is no such file" in result.output


def test_no_work_names_the_works_of_the_file():
    result = run("plan", TARN)
    assert result.exit_code == 2
    assert "valve-plates" in result.output


def test_a_margin_that_is_no_time_is_refused():
    result = run("plan", TARN, "--work", "valve-plates", "--plans", "2", "--margin", "10 bar")
    assert result.exit_code == 2
    assert "--margin: '10 bar' is a pressure" in result.output


def test_a_broken_machine_file_is_refused_with_its_lines(tmp_path):
    broken = tmp_path / "broken.yaml"
    broken.write_text("witnessmark: 1\nmachine: x\nname: X\nparts: [1, 2\n", encoding="utf-8")
    result = run("plan", str(broken), "--work", "a")
    assert result.exit_code == 1
    assert f"{broken}:" in result.output
    assert "Traceback" not in result.output


def test_planning_from_a_half_done_job_skips_what_is_open(tmp_path):
    state = tmp_path / "state.yaml"
    state.write_text(
        "state: 1\nmachine: gull-20\n"
        "open: [jacked-corner fitted, wheel-bolts slack, wheel-bolts out, offside-wheel off]\n",
        encoding="utf-8",
    )
    given = answer("plan", GULL, "--work", "aux-belt", "--from", str(state))
    strips = {step["object"] for step in given["operations"] if step["phase"] == "strip"}
    refits = {step["object"] for step in given["operations"] if step["phase"] == "refit"}
    assert "offside-wheel" not in strips
    assert "offside-wheel" in refits
    whole = answer("plan", GULL, "--work", "aux-belt")
    assert given["minutes"]["total"] < whole["minutes"]["total"]


def test_a_struck_way_makes_another_one_taken_or_says_why_not(tmp_path):
    state = tmp_path / "state.yaml"
    state.write_text("state: 1\nmachine: gull-20\nstruck: [aux-belt off/only]\n", encoding="utf-8")
    result = run("plan", GULL, "--work", "aux-belt", "--from", str(state))
    assert result.exit_code == 1
    assert "No plan: proven impossible." in result.output
    assert "aux-drive.yaml:" in result.output


def test_explain_says_why_a_thing_is_in_the_plan():
    given = answer("explain", GULL, "crank-damper", "--work", "timing-belt")
    assert given["in_plan"]
    assert any("look-at-damper" in line for line in given["lines"])
    assert given["without_minutes"] is None


def test_explain_says_what_a_removal_for_room_buys():
    given = answer("explain", GULL, "alternator-bracket-pipe", "--work", "timing-belt")
    assert given["in_plan"]
    assert any("makes room" in line or "would make room" in line for line in given["lines"])
    assert given["without_minutes"] >= 0


def test_explain_says_why_a_thing_is_left_alone():
    given = answer("explain", GULL, "gearbox", "--work", "timing-belt")
    assert not given["in_plan"]
    assert given["lines"][0] == "gearbox stays as it is."


def test_explain_names_the_nearest_object():
    result = run("explain", GULL, "crank-dampr", "--work", "timing-belt")
    assert result.exit_code == 2
    assert "Did you mean 'crank-damper'?" in result.output


def test_kit_says_what_is_lacking():
    given = answer("kit", GULL, "--work", "timing-belt")["kit"]
    assert {"id": "crank-bolt", "pieces": 1, "number": "HP-21412"}.items() <= next(
        line for line in given["fasteners"] if line["id"] == "crank-bolt"
    ).items()
    owned = {tool["name"]: tool["owned"] for tool in given["special_tools"]}
    assert owned["crank pin HP-33"] is True
    assert owned["crank holder HP-31"] is False
    litres = {fluid["id"]: fluid["litres"] for fluid in given["fluids"]}
    assert litres["coolant"] == pytest.approx(6.7)


@pytest.mark.parametrize(
    "name", ["check", "works", "plan", "explain", "kit", "papers", "demo", "calc"]
)
def test_every_command_has_help_that_reads_well(name):
    result = run(name, "--help")
    assert result.exit_code == 0
    assert result.output.splitlines()[2].strip().endswith((".", "proof"))


def test_the_same_file_gives_the_same_plan_under_any_hash_seed():
    def plan_under(seed: str) -> str:
        shown = subprocess.run(
            [sys.executable, "-m", "witnessmark", "plan", GULL, "--work", "timing-belt", "--json"],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        given = json.loads(shown)
        del given["seconds"]
        return json.dumps(given)

    assert plan_under("1") == plan_under("77")
