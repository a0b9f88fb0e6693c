"""Choosing on machines too large for exhaustive search: against HiGHS, and repeatable."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from benchmarks.machines import Family, machine
from tests.planning.oracle_access import least_access
from witnessmark.planning.orderability import Conflict, arcs, settle
from witnessmark.planning.selection import Outcome, Selection, prepare, select, select_prepared
from witnessmark.procedure.plan import Plan, cost_of
from witnessmark.procedure.problem import Problem

ROOT = Path(__file__).parents[2]

SERIES = [
    *((Family.REALISTIC, size, seed) for size in (60, 150) for seed in range(6)),
    *((Family.HARD, size, seed) for size in (60, 120) for seed in range(5)),
    *((Family.PATHOLOGICAL, size, seed) for size in (50, 90) for seed in range(5)),
]


@cache
def made(family: Family, size: int, seed: int) -> Problem:
    return machine(size, family, seed)


def assert_orderable(problem: Problem, found: Selection) -> None:
    precedence = arcs(problem, found.ways, found.supporters, found.savings)
    assert not isinstance(settle(precedence), Conflict)
    assert cost_of(problem, Plan(found.ways, found.supporters, found.savings)).access == found.cost


@pytest.mark.parametrize(("family", "size", "seed"), SERIES)
def test_choosing_agrees_with_an_integer_programme(family, size, seed):
    problem = made(family, size, seed)
    found = select(problem)
    least = least_access(problem).cost
    assert found.outcome is (Outcome.IMPOSSIBLE if least is None else Outcome.BEST)
    assert found.cost == least
    if least is not None:
        assert_orderable(problem, found)


@pytest.mark.parametrize(("family", "size", "seed"), SERIES[::5])
def test_a_smaller_budget_gives_a_lower_bound_and_a_dearer_selection(family, size, seed):
    problem = made(family, size, seed)
    best = select(problem)
    if best.cost is None:
        return
    budget = 100
    while budget < best.work:
        found = select(problem, budget=budget)
        assert not found.proven or found.cost == best.cost
        assert found.bound <= best.cost
        if found.cost is not None:
            assert found.outcome in (Outcome.FOUND, Outcome.BEST)
            assert found.cost >= best.cost
            assert_orderable(problem, found)
        budget *= 3


@pytest.mark.parametrize("seed", range(3))
def test_a_prepared_machine_gives_the_same_answer_with_and_without_bans(seed):
    problem = made(Family.HARD, 60, seed)
    prepared = prepare(problem)
    first = select(problem)
    bans = frozenset(sorted(first.ways.items())[:1])
    assert select_prepared(prepared) == first
    assert select_prepared(prepared, bans=bans) == select(problem, bans=bans)
    assert select_prepared(prepared) == first


def test_the_same_machine_gives_the_same_answer_under_any_hash_seed():
    script = (
        "from benchmarks.machines import Family, machine\n"
        "from witnessmark.planning.selection import select\n"
        "for family in Family:\n"
        "    for seed in range(4):\n"
        "        print(select(machine(60, family, seed)))\n"
    )
    answers = {
        subprocess.run(
            [sys.executable, "-c", script],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for hash_seed in ("0", "1", "20", "300")
    }
    assert len(answers) == 1
    assert answers.pop().count("Selection(") == 4 * len(Family)


@pytest.mark.parametrize(("size", "units"), [(500, 200_000), (2_000, 1_000_000)])
def test_a_realistic_machine_is_solved_within_a_number_of_work_units(size, units):
    # A time limit would depend on the computer; a unit takes about a microsecond.
    for seed in range(2):
        found = select(machine(size, Family.REALISTIC, seed), budget=units)
        assert found.outcome is Outcome.BEST
