"""`witnessmark swaps`: what it prints, what it answers, what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from witnessmark.cli.root import command

GULL = str(Path(__file__).parents[2] / "demo" / "machines" / "gull-20.yaml")


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(command, ["swaps", *arguments])
    return result.exit_code, result.output


def test_it_says_which_swaps_are_dangerous_and_what_to_mark() -> None:
    code, words = run(GULL, "upper-cover-bolts")
    assert code == 0
    # Holes 1, 2 and 5 take 25 mm bolts, 3 and 4 take 40 mm: 3 x 2 pairs are dangerous.
    assert "6 dangerous swaps, 4 harmless" in words
    assert "15 mm too long: bottoms 11 mm early, nothing clamped" in words
    assert "mark first" in words


def test_json_gives_every_mixed_joint() -> None:
    code, text = run(GULL, "--json")
    answer = json.loads(text)
    assert code == 0
    groups = {group["joint"]: group for group in answer["groups"]}
    upper = groups["upper-cover-bolts"]
    assert len(upper["dangerous_swaps"]) == 6
    assert upper["mark_first"][-1]["dangerous_left"] == 0
    assert all(swap["why"] for group in groups.values() for swap in group["dangerous_swaps"])
    assert [group["wrong_at_home"] for group in groups.values()] == [[]] * len(groups)


def test_an_unknown_joint_is_refused_with_the_nearest() -> None:
    code, words = run(GULL, "uper-cover-bolts")
    assert code == 2
    assert "did you mean 'upper-cover-bolts'?" in words


def test_alike_bolts_are_nothing_to_mix_up() -> None:
    code, words = run(GULL, "crank-bolt")
    assert code == 0
    assert "all bolts are alike" in words
