"""An answer at once: sound, never below its bound, and as good as a proof where it says so."""

from __future__ import annotations

import pytest

from benchmarks.machines import Family, machine
from benchmarks.ordering import machine as workshop_job
from tests.planning.test_alternatives_plans import BY_THE_LID, TWO_ROUTES
from witnessmark.planning.planner import make_plan, plan_again
from witnessmark.planning.promptly import AT_ONCE, is_proven, plan_at_once
from witnessmark.planning.selection import Outcome
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import cost_of


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("kind", ["job", Family.REALISTIC, Family.PATHOLOGICAL])
def test_with_sixty_openings_the_answer_is_sound_and_honest_about_its_bound(kind, seed):
    problem = workshop_job(seed, parts=20) if kind == "job" else machine(60, kind, seed)
    found = plan_at_once(problem, {}, least_gain=0)
    assert found.plan is not None
    assert check_plan(problem, found.plan) == ()
    assert found.total_cost == cost_of(problem, found.plan).total
    longer = make_plan(problem, budget=200_000)
    assert longer.total_cost is not None
    assert found.total_bound <= longer.total_cost
    if is_proven(found):
        assert found.total_cost == found.total_bound <= longer.total_cost


def test_more_is_spent_where_little_finds_nothing():
    problem = machine(60, Family.PATHOLOGICAL, 2)
    poor = plan_again(problem, {}, least_gain=0, budget=AT_ONCE)
    assert poor.outcome is Outcome.OUT_OF_WORK
    found = plan_at_once(problem, {}, least_gain=0)
    assert found.plan is not None
    assert check_plan(problem, found.plan) == ()


def test_what_nothing_reaches_is_proven_at_once():
    result = plan_at_once(TWO_ROUTES, {}, least_gain=0, bans=frozenset({(0, 0), (0, 1)}))
    assert result.plan is None
    assert is_proven(result)
    assert result.causes


def test_a_route_kept_for_a_small_gain_is_not_called_the_shortest():
    kept = plan_again(TWO_ROUTES, BY_THE_LID, least_gain=5)
    best = make_plan(TWO_ROUTES)
    assert best.total_cost is not None
    assert kept.total_cost is not None
    assert kept.total_cost > best.total_cost
    assert kept.total_bound <= best.total_cost
    assert kept.outcome is Outcome.FOUND
    assert not is_proven(kept)
