"""Choosing and ordering at once: where the cheapest selection is not the cheapest plan."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.planning.oracle_total import least_total
from tests.planning.random_problems import seeded_problem
from witnessmark.planning.joint_core import core_of, task_of_core
from witnessmark.planning.joint_setups import with_setups
from witnessmark.planning.planner import make_plan
from witnessmark.planning.selection import Outcome, select
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import cost_of
from witnessmark.procedure.problem import (
    ANYWHERE,
    Block,
    Changeovers,
    Clear,
    Opening,
    Problem,
    Room,
    Way,
)

FRONT, UNDER, BENCH = 1, 2, 3
SOCKET, KEY = 1, 2
PLACES = Changeovers(
    ("ground", "front", "under", "bench"),
    tuple(tuple(0 if i == j else 5 for j in range(4)) for i in range(4)),
    ("bare hands", "socket", "key"),
    2,
)


def way(name: str, minutes: int, *, at: int = FRONT, tool: int = ANYWHERE, **more) -> Way:
    return Way(name, minutes, minutes, position=at, tool=tool, **more)


def single(name: str, minutes: int = 10, *, at: int = FRONT, **more) -> Opening:
    return Opening(name, (way("only", minutes, at=at, **more),))


def test_a_dearer_way_where_one_stands_anyway_beats_a_cheaper_one_elsewhere():
    goal = Opening("goal", (way("from under", 10, at=UNDER), way("from the front", 12)))
    other = single("other")
    problem = Problem((goal, other), goals=(0, 1), changeovers=PLACES)
    assert select(problem).ways[0] == 0
    result = make_plan(problem)
    assert result.outcome is Outcome.BEST
    assert result.plan is not None
    assert result.plan.ways[0] == 1
    assert result.access_cost == 44
    assert result.access_bound == 40
    assert result.access_proven
    assert result.total_cost == result.total_bound == 54
    assert result.gap == 0


def test_a_tool_used_for_one_way_only_counts_too():
    socket = Way("with the socket", 11, 10, position=FRONT, tool=SOCKET)
    goal = Opening("goal", (way("with the key", 10, tool=KEY), socket))
    other = single("other", tool=SOCKET)
    result = make_plan(Problem((goal, other), goals=(0, 1), changeovers=PLACES))
    assert result.plan is not None
    assert result.plan.ways[0] == 1


def test_a_supporter_where_one_stands_anyway_is_preferred():
    problem = Problem(
        openings=(single("whole", 10, at=UNDER), single("lid", 11), single("inner", needs=(3,))),
        clears=(Clear("cover", (0, 1)),),
        goals=(2,),
        changeovers=PLACES,
    )
    result = make_plan(problem)
    assert result.plan is not None
    assert result.plan.supporters == {3: 1}
    assert result.outcome is Outcome.BEST


def test_room_that_saves_less_than_the_way_to_it_costs_is_not_made():
    room = Room("elbow room", strip=((1, 8),), refit=((1, 8),))
    problem = Problem(
        openings=(Opening("goal", (way("only", 30, rooms=(room,)),)), single("guard", 5, at=UNDER)),
        goals=(0,),
        changeovers=PLACES,
    )
    assert 1 in select(problem).ways
    result = make_plan(problem)
    assert result.plan is not None
    assert 1 not in result.plan.ways
    assert result.outcome is Outcome.BEST
    assert result.total_cost == 70


def test_a_saving_is_given_up_where_counting_it_costs_a_visit():
    # Two things under, one at the front; to count the tenth saved on one by the other,
    # the other must come first, but it waits for the front.
    room = Room("elbow room", strip=((2, 1),))
    problem = Problem(
        openings=(
            Opening("goal", (way("only", 10, at=UNDER, rooms=(room,)),)),
            single("front", 10, needs=(0,)),
            single("other", 10, at=UNDER),
        ),
        goals=(1, 2),
        changeovers=PLACES,
    )
    result = make_plan(problem)
    assert result.outcome is Outcome.BEST
    assert result.total_cost == least_total(problem).cost


def test_going_by_way_of_something_nobody_needs_may_pay_where_straight_is_dearer():
    places = Changeovers(("ground", "front", "under"), ((0, 1, 20), (1, 0, 1), (20, 1, 0)))
    problem = Problem(
        openings=(single("goal", 10, at=UNDER), single("lid", 1, at=FRONT)),
        goals=(0,),
        changeovers=places,
    )
    result = make_plan(problem)
    assert result.outcome is Outcome.BEST
    assert result.plan is not None
    assert 1 in result.plan.ways
    assert result.total_cost == least_total(problem).cost == 20 + 2 + 4


def test_blocks_count_towards_the_total_and_their_places_are_gone_to():
    problem = Problem(
        openings=(single("goal"),),
        goals=(0,),
        blocks=(Block("measure", 30, needs=(0,), position=BENCH),),
        changeovers=PLACES,
    )
    result = make_plan(problem)
    assert result.total_cost == 20 + 30 + 4 * 5
    assert result.changeover_cost == result.changeover_bound == 20


def test_banned_ways_are_not_used():
    goal = Opening("goal", (way("quick", 10), way("slow", 30)))
    problem = Problem((goal,), goals=(0,), changeovers=PLACES)
    result = make_plan(problem, bans=frozenset({(0, 0)}))
    assert result.plan is not None
    assert result.plan.ways == {0: 1}
    assert make_plan(problem, bans=frozenset({(0, 0), (0, 1)})).outcome is Outcome.IMPOSSIBLE


def test_nothing_wanted_is_a_plan_with_nothing_in_it():
    result = make_plan(Problem((single("goal"),), changeovers=PLACES))
    assert result.outcome is Outcome.BEST
    assert result.plan is not None
    assert result.plan.steps == ()
    assert result.total_cost == 0
    assert result.gap == Fraction(0)


def test_an_impossible_problem_has_no_plan_and_no_gap():
    around = (single("a", needs=(1,)), single("b", needs=(0,)))
    problem = Problem(around, goals=(0,), changeovers=PLACES)
    result = make_plan(problem)
    assert result.outcome is Outcome.IMPOSSIBLE
    assert result.plan is None
    assert result.total_cost is None
    assert result.gap is None


def test_without_work_units_nothing_is_claimed():
    result = make_plan(Problem((single("goal"),), goals=(0,), changeovers=PLACES), budget=0)
    assert result.outcome is Outcome.OUT_OF_WORK
    assert result.plan is None


@pytest.mark.parametrize("budget", [20, 100, 500, 3000])
def test_with_few_work_units_what_is_claimed_still_holds(budget):
    for seed in range(120):
        problem = seeded_problem(seed)
        full, short = make_plan(problem), make_plan(problem, budget=budget)
        if short.plan is None:
            assert short.outcome is Outcome.OUT_OF_WORK or full.plan is None, seed
            assert full.total_cost is None or short.total_bound <= full.total_cost, seed
        else:
            assert not check_plan(problem, short.plan), seed
            assert full.total_cost is not None, seed
            assert short.total_cost is not None, seed
            assert short.total_bound <= full.total_cost <= short.total_cost, seed
            assert short.outcome is not Outcome.BEST or short.total_cost == full.total_cost, seed


@pytest.mark.parametrize("seed", range(7000, 7300, 50))
def test_the_total_is_what_exhaustive_search_finds(seed):
    for each in range(seed, seed + 50):
        problem = seeded_problem(each, (1, 6))
        least = least_total(problem).cost
        result = make_plan(problem)
        assert result.total_cost == least, each
        assert result.outcome is (Outcome.IMPOSSIBLE if least is None else Outcome.BEST), each


def test_the_core_bound_holds_for_every_plan():
    """Least access, blocks and least change-overs of the core never exceed the optimum."""
    from witnessmark.planning.ordering import USUAL, least_changeovers
    from witnessmark.planning.ordering_bounds import fares_of
    from witnessmark.planning.work import Meter

    looked_at = 0
    for seed in range(500):
        problem = seeded_problem(seed)
        plan = make_plan(problem).plan
        if plan is None:
            continue
        core = core_of(problem, frozenset())
        task, _ = task_of_core(core)
        closed = Changeovers(
            problem.changeovers.positions,
            fares_of(problem.changeovers).between,
            problem.changeovers.tools,
            problem.changeovers.tool_change,
        )
        least = least_changeovers(task, [False] * len(task), closed, Meter(), USUAL)
        assert least <= cost_of(problem, plan).changeover, seed
        forced = {a for a in range(len(problem.openings)) if core.forced >> a & 1}
        assert forced <= set(plan.ways), seed
        looked_at += 1
    assert looked_at > 250


def test_first_uses_of_places_are_priced_once():
    # Two ways under and none of them forced: the detour is paid once for both.
    openings = tuple(
        Opening(f"goal {i}", (way("under", 10, at=UNDER), way("front", 14))) for i in range(3)
    )
    problem = Problem((*openings, single("other")), goals=(0, 1, 2, 3), changeovers=PLACES)
    core = core_of(problem, frozenset())
    task, _ = task_of_core(core)
    priced = with_setups(core, task)
    assert priced is not None
    assert [o.id for o in priced.problem.openings[4:]] == ["first time at under"]
    assert priced.problem.openings[4].ways[0].cost == 5
    again = select(priced.problem)
    assert again.cost == 60 + 5 + 20
    assert priced.without(again).ways == {0: 0, 1: 0, 2: 0, 3: 0}


def test_clear_facts_keep_their_meaning_when_first_uses_are_added():
    problem = Problem(
        openings=(
            single("whole", 10, at=UNDER),
            single("lid", 30),
            single("inner", 5, needs=(3,)),
        ),
        clears=(Clear("cover", (0, 1)),),
        goals=(2,),
        blocks=(Block("look", 1, needs=(3,), position=FRONT),),
        changeovers=PLACES,
    )
    core = core_of(problem, frozenset())
    task, _ = task_of_core(core)
    priced = with_setups(core, task)
    assert priced is not None
    choices = priced.without(select(priced.problem))
    assert choices.supporters == {3: 0}
    assert choices.ways == {0: 0, 2: 0}


def test_places_every_plan_goes_to_are_not_priced():
    core = core_of(Problem((single("goal"),), goals=(0,), changeovers=PLACES), frozenset())
    task, _ = task_of_core(core)
    assert with_setups(core, task) is None
