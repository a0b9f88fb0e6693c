"""`calc fill`: a machine file's circuit in the order it is emptied, filled and proved."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from witnessmark.cli.calc import calc

MACHINES = Path(__file__).parents[2] / "demo/machines"
GULL, GENSET = str(MACHINES / "gull-20.yaml"), str(MACHINES / "brack-genset-12.yaml")


def run(*words: str):
    return CliRunner().invoke(calc, ["fill", *words])


def found(*words: str) -> dict:
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def test_every_step_stands_in_order_with_what_it_waits_for():
    answer = found(GULL, "--circuit", "coolant")
    assert [step["id"] for step in answer["steps"]] == [
        "stop",
        "release",
        "drain",
        "cap",
        "close",
        "fill",
        "bleed",
        "compare",
        "run-up",
        "re-check",
    ]
    waits = {step["id"]: step["wait_minutes"] for step in answer["steps"] if step["wait_minutes"]}
    # Half an hour by the teaching task sheet; six and twenty minutes by the file.
    assert waits == {"release": 30.0, "cap": 6.0, "re-check": 20.0}
    assert all(step["not_before"] for step in answer["steps"][1:])


def test_what_is_due_is_what_it_holds_less_what_stays():
    answer = found(GULL, "--circuit", "coolant")
    assert (answer["capacity_L"], answer["stays_behind_L"], answer["due_L"]) == (8.6, 1.9, 6.7)
    assert found(GENSET, "--circuit", "fuel")["due_L"] is None


def test_it_is_drained_to_below_the_lowest_joint_opened():
    both = ["--opened", "top-hose-engine-end", "--opened", "bottom-hose-pump-end"]
    answer = found(GULL, "--circuit", "coolant", *both)
    drain = next(step for step in answer["steps"] if step["id"] == "drain")
    assert "down to below 180 mm above the drain" in drain["what"]


def test_what_comes_out_below_the_lowest_joint_is_due_beside_what_comes_out_wholly():
    both = ["--opened", "top-hose-engine-end", "--opened", "bottom-hose-pump-end"]
    answer = found(GULL, "--circuit", "coolant", *both)
    assert (answer["drained_below"], answer["due_below_L"]) == ("bottom-hose-pump-end", 5.6)
    fill = next(step for step in answer["steps"] if step["id"] == "fill")
    assert (
        "about 5.6 L when drained to below 180 mm only, about 6.7 L when drained wholly"
        in (fill["not_before"])
    )
    unknown = found(GULL, "--circuit", "coolant", "--opened", "thermostat-housing-bolts")
    assert (unknown["drained_below"], unknown["due_below_L"]) == (None, None)


def test_no_height_is_said_when_one_joint_opened_has_none():
    joints = ["--opened", "top-hose-engine-end", "--opened", "thermostat-housing-bolts"]
    steps = found(GULL, "--circuit", "coolant", *joints)["steps"]
    assert not any("down to below" in step["what"] for step in steps)


def test_a_joint_above_the_level_asks_for_relieving_only():
    answer = found(GENSET, "--circuit", "fuel", "--opened", "injector-unions")
    assert answer["state"] == "relieved"
    assert "drain" not in [step["id"] for step in answer["steps"]]
    assert found(GENSET, "--circuit", "fuel", "--opened", "fuel-filter-thread")["state"] == (
        "drained"
    )


def test_what_must_not_run_dry_is_primed_before_anything_runs():
    ids = [step["id"] for step in found(GENSET, "--circuit", "fuel")["steps"]]
    assert ids.index("bleed") < ids.index("prime") < ids.index("run-up")


def test_half_of_what_came_out_going_in_is_trapped_air():
    litres = ["--out", "6.4 L", "--in", "3.2 L", "--off", "0.3 L"]
    answer = found(GULL, "--circuit", "coolant", *litres)
    assert answer["missing_L"] == pytest.approx(3.2)
    assert "do not start" in run(GULL, "--circuit", "coolant", *litres).output


def test_cautions_say_hot_and_poisonous_for_coolant_only():
    words = " ".join(found(GULL, "--circuit", "coolant")["cautions"])
    assert "scalds" in words
    assert "poisonous" in words
    assert "scalds" not in " ".join(found(GENSET, "--circuit", "oil")["cautions"])


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ([GULL], 2, "say which circuit with --circuit; the file has: gearbox-oil, coolant"),
        ([GULL, "--circuit", "oil"], 1, "there is no circuit 'oil'"),
        ([GULL, "--circuit", "coolant", "--opened", "crank-bolt"], 1, "is no joint that opens"),
        ([GULL, "--circuit", "coolant", "--out", "3 L"], 2, "needs --out, --in and --off"),
        ([GENSET, "--circuit", "intake", "--out", "1 L"], 2, "is not refilled"),
        ([GULL, "--circuit", "coolant", "--out", "3 kg"], 2, "kg"),
        (["nowhere.yaml"], 2, "there is no such file"),
    ],
)
def test_what_cannot_be_told_is_refused_in_words(words, code, said):
    result = run(*words)
    assert result.exit_code == code, result.output
    assert said in result.output
