"""Other plans worth showing, and planning again from where a job stands."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.random_problems import seeded_problem
from witnessmark.planning.planner import make_plan, make_plans, plan_again, route_of
from witnessmark.planning.selection import Outcome
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.problem import Opening, Problem, Room, Way


def way(name: str, minutes: int, **more) -> Way:
    return Way(name, minutes, minutes, **more)


def single(name: str, minutes: int = 10, **more) -> Opening:
    return Opening(name, (way("only", minutes, **more),))


THREE_WAYS = Problem(
    (Opening("goal", (way("above", 10), way("below", 12), way("behind", 30))),), goals=(0,)
)


def chosen(plans) -> list[dict[int, int]]:
    return [dict(each.plan.ways) for each in plans]


def test_different_plans_are_given_cheapest_first():
    plans = make_plans(THREE_WAYS, count=3, margin=100)
    assert chosen(plans) == [{0: 0}, {0: 1}, {0: 2}]
    assert [each.total_cost for each in plans] == [20, 24, 60]


def test_no_more_plans_than_asked_for():
    assert len(make_plans(THREE_WAYS, count=2, margin=100)) == 2
    assert len(make_plans(THREE_WAYS, count=1, margin=100)) == 1


def test_plans_beyond_the_margin_are_not_shown():
    assert chosen(make_plans(THREE_WAYS, count=3, margin=4)) == [{0: 0}, {0: 1}]
    assert chosen(make_plans(THREE_WAYS, count=3, margin=3)) == [{0: 0}]


def test_doing_without_a_removal_that_pays_is_another_plan():
    room = Room("elbow room", strip=((1, 25),))
    problem = Problem(
        (Opening("goal", (way("only", 30, rooms=(room,)),)), single("guard", 5)), goals=(0,)
    )
    assert chosen(make_plans(problem, count=3, margin=50)) == [{0: 0, 1: 0}, {0: 0}]


def test_where_there_is_only_one_way_there_is_only_one_plan():
    assert len(make_plans(Problem((single("goal"),), goals=(0,)), count=3, margin=500)) == 1


def test_struck_out_ways_are_in_none_of_the_plans():
    plans = make_plans(THREE_WAYS, count=3, margin=100, bans=frozenset({(0, 1)}))
    assert chosen(plans) == [{0: 0}, {0: 2}]


def test_where_there_is_no_plan_the_one_answer_says_why():
    [answer] = make_plans(
        Problem((single("a", needs=(1,)), single("b", needs=(0,))), goals=(0,)), margin=10
    )
    assert answer.outcome is Outcome.IMPOSSIBLE
    assert answer.plan is None


@pytest.mark.parametrize("seed", range(0, 90, 3))
def test_plans_of_random_problems_are_valid_different_and_within_the_margin(seed):
    problem = seeded_problem(seed)
    plans = make_plans(problem, count=3, margin=30)
    if plans[0].plan is None:
        assert make_plan(problem).plan is None
        return
    assert plans[0].total_cost == make_plan(problem).total_cost
    totals = [each.total_cost for each in plans]
    assert totals == sorted(totals)
    assert totals[-1] <= totals[0] + 30
    assert len({frozenset(ways.items()) for ways in chosen(plans)}) == len(plans)
    assert not any(check_plan(problem, each.plan) for each in plans)


def test_a_second_strike_finds_what_one_cannot():
    # The best and the next best by different routes; the third only when both are struck.
    problem = Problem(
        (
            Opening("a", (way("1", 10), way("2", 11))),
            Opening("b", (way("1", 10), way("2", 12))),
        ),
        goals=(0, 1),
    )
    plans = make_plans(problem, count=4, margin=100)
    assert chosen(plans) == [{0: 0, 1: 0}, {0: 1, 1: 0}, {0: 0, 1: 1}, {0: 1, 1: 1}]


def test_only_so_many_candidates_are_planned_in_full():
    openings = tuple(Opening(f"goal {i}", (way("1", 10), way("2", 11))) for i in range(12))
    plans = make_plans(Problem(openings, goals=tuple(range(12))), count=2, margin=5)
    assert [each.total_cost for each in plans] == [240, 242]


# Planning again

TWO_ROUTES = Problem(
    (
        Opening("goal", (way("by the side", 10, needs=(1,)), way("from above", 10, needs=(2,)))),
        single("side panel", 10),
        single("lid", 12),
    ),
    goals=(0,),
)
BY_THE_LID = {"goal": "from above", "lid": "only"}


def test_the_route_is_kept_for_a_small_gain_and_left_for_a_large_one():
    kept = plan_again(TWO_ROUTES, BY_THE_LID, least_gain=5)
    assert kept.plan is not None
    assert kept.plan.ways == {0: 1, 2: 0}
    left = plan_again(TWO_ROUTES, BY_THE_LID, least_gain=4)
    assert left.plan is not None
    assert left.plan.ways == {0: 0, 1: 0}


def test_the_route_of_a_plan_can_be_kept_from_another_state():
    plan = make_plan(TWO_ROUTES, bans=frozenset({(0, 0)})).plan
    assert plan is not None
    route = route_of(TWO_ROUTES, plan)
    assert route == BY_THE_LID
    goal, side, lid = TWO_ROUTES.openings
    # The side panel is off already, by whom nobody knows; it only has to go back.
    standing = replace(TWO_ROUTES, openings=(goal, replace(side, started=True), lid))
    kept = plan_again(standing, route, least_gain=1000)
    assert kept.plan is not None
    assert kept.plan.ways == {0: 1, 1: 0, 2: 0}
    assert not check_plan(standing, kept.plan)


def test_what_is_stripped_already_stays_so_and_is_closed():
    goal, side, lid = TWO_ROUTES.openings
    standing = replace(TWO_ROUTES, openings=(goal, side, replace(lid, started=True, started_way=0)))
    result = plan_again(standing, BY_THE_LID, least_gain=0)
    assert result.plan is not None
    assert result.plan.ways == {0: 1, 2: 0}
    assert [step.index for step in result.plan.steps] == [0, 0, 2]


def test_the_same_plan_found_twice_is_shown_once():
    # Without the way by the side, and without the side panel: the lid either way.
    plans = make_plans(TWO_ROUTES, count=3, margin=100)
    assert chosen(plans) == [{0: 0, 1: 0}, {0: 1, 2: 0}]


def test_a_route_that_trouble_has_struck_out_is_left():
    result = plan_again(TWO_ROUTES, BY_THE_LID, least_gain=1000, bans=frozenset({(0, 1)}))
    assert result.plan is not None
    assert result.plan.ways == {0: 0, 1: 0}


def test_a_route_is_gone_on_with_where_more_is_wanted_now():
    more = replace(TWO_ROUTES, goals=(0, 1))
    result = plan_again(more, BY_THE_LID, least_gain=1000)
    assert result.plan is not None
    assert result.plan.ways == {0: 1, 1: 0, 2: 0}


def test_there_may_be_no_plan_from_where_the_job_stands():
    result = plan_again(TWO_ROUTES, BY_THE_LID, least_gain=5, bans=frozenset({(0, 0), (0, 1)}))
    assert result.outcome is Outcome.IMPOSSIBLE
