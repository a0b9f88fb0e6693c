"""Plans of the size real jobs have: valid, within the gap, and always the same."""

from __future__ import annotations

import os
import subprocess
import sys
from fractions import Fraction

import pytest

from benchmarks.ordering import machine
from witnessmark.planning.planner import make_plan
from witnessmark.planning.selection import Outcome
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import cost_of

MOST_GAP = Fraction(9, 100)


@pytest.mark.parametrize("seed", range(6))
def test_a_job_of_real_size_is_planned_within_the_gap(seed):
    problem = machine(seed, parts=50)
    result = make_plan(problem)
    assert result.plan is not None
    assert result.outcome in (Outcome.BEST, Outcome.FOUND)
    assert not check_plan(problem, result.plan)
    cost = cost_of(problem, result.plan)
    assert (cost.access, cost.changeover, cost.total) == (
        result.access_cost,
        result.changeover_cost,
        result.total_cost,
    )
    assert result.access_proven
    assert result.gap is not None
    assert result.gap <= MOST_GAP
    assert result.changeover_bound <= cost.changeover


def test_the_same_plan_under_any_hash_seed():
    program = (
        "from benchmarks.ordering import machine\n"
        "from witnessmark.planning.planner import make_plan\n"
        "for seed in (1, 2):\n"
        "    result = make_plan(machine(seed, parts=30))\n"
        "    print(result.plan, result.total_bound, result.work)\n"
    )
    printed = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1", "2024")
    }
    assert len(printed) == 1
    assert "Plan(" in printed.pop()
