"""Large machines of the benchmark: sound, and chosen on as the integer programme does."""

from __future__ import annotations

from collections import Counter

import pytest

from benchmarks.machines import HABITS, Family, machine
from tests.planning.oracle_access import least_access
from witnessmark.planning.selection import Outcome, select
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import Plan, cost_of
from witnessmark.procedure.problem import faults_in

COMPARED = [
    *((Family.REALISTIC, size, seed) for size in (60, 100, 150, 250) for seed in range(8)),
    *((Family.HARD, size, seed) for size in (60, 100, 150) for seed in range(5)),
    *((Family.PATHOLOGICAL, size, seed) for size in (60, 90) for seed in range(5)),
]


@pytest.mark.slow
@pytest.mark.parametrize("part", range(8))
def test_selection_and_integer_programme_agree_on_larger_machines(part):
    for family, size, seed in COMPARED[part::8]:
        problem = machine(size, family, seed)
        selection = select(problem)
        name = f"{family} {size} {seed}"
        least = least_access(problem).cost
        assert selection.cost == least, name
        assert selection.outcome is (Outcome.IMPOSSIBLE if least is None else Outcome.BEST), name
        if least is not None:
            assert selection.bound == least, name
            unordered = Plan(selection.ways, selection.supporters, selection.savings)
            faults = [fault.says for fault in check_plan(problem, unordered)]
            assert [says for says in faults if not says.endswith("is left out")] == [], name
            assert cost_of(problem, unordered).access == least, name


def test_the_machines_compared_are_solved_in_every_kind_of_way():
    """Savings counted, dearer ways taken, clear facts used: not only the usual way."""
    found: Counter[str] = Counter()
    for family, size, seed in COMPARED[::3]:
        problem = machine(size, family, seed)
        selection = select(problem)
        found["savings"] += bool(selection.savings)
        found["other ways"] += any(selection.ways.values())
        found["assemblies"] += any(
            problem.openings[q].id.startswith("assembly") for q in selection.supporters.values()
        )
        found["while fitted"] += any(
            b in selection.ways
            for a, w in selection.ways.items()
            for b in problem.openings[a].ways[w].while_fitted
        )
        found["asks"] += any(a in selection.ways for a, _ in problem.asks)
    assert min(found[kind] for kind in ("savings", "other ways", "while fitted", "asks")) >= 5
    assert found["assemblies"] >= 1


@pytest.mark.parametrize("family", list(Family))
def test_a_machine_has_its_size_and_the_shares_of_its_family(family):
    problem = machine(1_500, family, 1)
    habits = HABITS[family]
    ways = [way for opening in problem.openings for way in opening.ways]
    several = sum(len(opening.ways) > 1 for opening in problem.openings)
    assert len(problem.openings) == 1_500
    assert len(problem.goals) == 4
    assert faults_in(problem) == []
    assert abs(several / 1_500 - habits.other_ways / 100) < 0.05
    assert abs(sum(bool(way.rooms) for way in ways) / len(ways) - habits.room / 100) < 0.05
    assert sum(opening.below is not None for opening in problem.openings) > 100
    assert any(len(clear.supporters) > 1 for clear in problem.clears)
    assert any(way.while_fitted for way in ways)
    assert problem.asks


def test_a_machine_is_the_same_for_ever_and_five_thousand_openings_are_made():
    assert machine(200, Family.HARD, 3) == machine(200, Family.HARD, 3)
    assert machine(200, Family.HARD, 3) != machine(200, Family.HARD, 4)
    assert len(machine(5_000, Family.REALISTIC, 0).openings) == 5_000


def test_a_machine_too_small_for_its_targets_is_refused():
    with pytest.raises(ValueError, match="at least ten openings for each target"):
        machine(30, Family.REALISTIC, 0)
