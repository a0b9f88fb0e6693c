"""The selection benchmark: what it measures, what it refuses, what it writes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from benchmarks import __main__ as command
from benchmarks import selection as benchmark
from benchmarks.machines import Family


def test_one_machine_is_solved_both_ways_and_compared():
    measured = benchmark.measure(Family.REALISTIC, 60, 1)
    assert (measured.family, measured.openings, measured.seed) == ("R", 60, 1)
    assert measured.proven
    assert measured.highs_proven
    assert measured.outcome == "proven best"
    assert measured.cost > 0
    assert measured.ours_ms > 0
    assert measured.highs_ms > 0


def test_an_answer_that_differs_is_an_error(monkeypatch):
    right = benchmark.least_access
    monkeypatch.setattr(
        benchmark,
        "least_access",
        lambda problem, limit: replace(right(problem, limit), cost=right(problem, limit).cost + 1),
    )
    with pytest.raises(benchmark.DisagreementError, match="R 60 seed 1: ours "):
        benchmark.measure(Family.REALISTIC, 60, 1)


def test_figures_are_printed_side_by_side_and_written(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(benchmark, "SERIES", ((Family.REALISTIC, 60, 2), (Family.HARD, 60, 1)))
    monkeypatch.setattr(benchmark, "LIMITS_MS", {(Family.REALISTIC, 60): 100_000.0})
    written = tmp_path / "selection.json"
    assert command.main(["selection", "--json", str(written)]) == 0
    printed = capsys.readouterr().out
    assert "2 of 2 proven, 2 compared and equal" in printed
    assert "2 within 100000 ms" in printed
    report = json.loads(written.read_text(encoding="utf-8"))
    assert [each["seed"] for each in report["instances"]] == [0, 1, 0]
    assert [each["compared_with_highs"] for each in report["series"]] == [2, 1]
    assert report["series"][0]["within_limit"] == 2
    assert report["series"][1]["limit_ms"] is None


def test_a_benchmark_that_does_not_exist_is_refused_with_a_list(capsys):
    with pytest.raises(SystemExit) as stopped:
        command.main(["speed"])
    assert stopped.value.code == 2
    assert "selection" in capsys.readouterr().err
