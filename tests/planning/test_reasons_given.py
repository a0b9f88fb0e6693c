"""Why each opening is in a plan, and what optional removals buy."""

from __future__ import annotations

import pytest

from tests.planning.random_problems import seeded_problem
from witnessmark.planning.planner import make_plan
from witnessmark.planning.reasons import ReasonKind, reason_for, reasons_in, room_choices
from witnessmark.procedure.plan import Plan, Saving
from witnessmark.procedure.problem import Block, Clear, Opening, Problem, Room, Side, Way


def single(name: str, minutes: int = 10, **more) -> Opening:
    return Opening(name, (Way("only", minutes, minutes, **more),))


def plan_of(problem: Problem) -> Plan:
    plan = make_plan(problem).plan
    assert plan is not None
    return plan


def test_a_chain_of_needs_is_told_up_to_what_the_work_wants():
    problem = Problem(
        (single("belt", needs=(1,)), single("cover", needs=(2,)), single("bolts")), goals=(0,)
    )
    reason = reason_for(problem, plan_of(problem), 2)
    assert reason.kind is ReasonKind.NEED
    assert reason.text == "cover needs it"
    assert reason.story == "cover needs it; belt needs cover; the work wants belt"
    assert [link.opening for link in reason.chain] == [2, 1, 0]


def test_a_supporter_says_what_it_clears_and_for_whom():
    problem = Problem(
        (single("whole cover", 5), single("lid", 9), single("pin", needs=(3,))),
        clears=(Clear("cover clear", (0, 1)),),
        goals=(2,),
    )
    reason = reason_for(problem, plan_of(problem), 0)
    assert reason.kind is ReasonKind.SUPPORTER
    assert reason.text == "it clears cover clear for pin"


def test_a_wanted_clear_fact_is_named():
    problem = Problem((single("lid"),), clears=(Clear("inside clear", (0,)),), goals=(1,))
    reason = reason_for(problem, plan_of(problem), 0)
    assert reason.kind is ReasonKind.GOAL
    assert reason.text == "it clears inside clear, which the work wants"


def test_a_step_of_the_work_may_be_the_reason():
    problem = Problem((single("lid"),), blocks=(Block("look inside", 5, needs=(0,)),))
    reason = reason_for(problem, plan_of(problem), 0)
    assert reason.kind is ReasonKind.BLOCK
    assert reason.text == "look inside needs it"


def test_what_is_asked_for_names_who_asks():
    problem = Problem((single("crack"), single("out")), goals=(0,), asks=((0, 1),))
    reason = reason_for(problem, plan_of(problem), 1)
    assert reason.kind is ReasonKind.ASK
    assert reason.text == "crack asks for it"


def test_what_is_open_already_is_there_to_be_closed():
    started = Opening("lid", (Way("only", 10, 10),), started=True)
    problem = Problem((started,))
    reason = reason_for(problem, plan_of(problem), 0)
    assert reason.kind is ReasonKind.STARTED
    assert reason.text == "it is open already and has to be closed"


def test_room_says_for_whom_and_what_it_saves():
    room = Room("elbow room", strip=((1, 25),), refit=((1, 10),))
    problem = Problem(
        (
            Opening("pump", (Way("only", 30, 30, rooms=(room,)),)),
            single("fan", 5, needs=(2,)),
            single("fan bolts", 3),
        ),
        goals=(0,),
    )
    plan = plan_of(problem)
    assert reason_for(problem, plan, 1).text == "it makes room for pump: saves 3.5 min"
    bolts = reason_for(problem, plan, 2)
    assert bolts.kind is ReasonKind.NEED
    assert (
        bolts.story == "fan needs it; fan makes room for pump: saves 3.5 min; the work wants pump"
    )


def test_names_are_those_the_caller_gives():
    problem = Problem((single("belt", needs=(1,)), single("cover")), goals=(0,))
    names = {0: "the timing belt", 1: "the upper cover"}
    assert reason_for(problem, plan_of(problem), 1, names.__getitem__).text == (
        "the timing belt needs it"
    )


def test_what_nothing_needs_is_there_for_the_going_about():
    problem = Problem((single("goal"), single("lid")), goals=(0,))
    plan = Plan({0: 0, 1: 0})
    assert reason_for(problem, plan, 1).kind is ReasonKind.CHANGEOVER


def test_an_opening_not_in_the_plan_has_no_reason():
    problem = Problem((single("goal"), single("lid")), goals=(0,))
    with pytest.raises(KeyError):
        reason_for(problem, plan_of(problem), 1)


def test_every_opening_of_any_plan_has_a_reason_that_ends():
    for seed in range(300):
        problem = seeded_problem(seed)
        plan = make_plan(problem).plan
        if plan is None:
            continue
        reasons = reasons_in(problem, plan)
        assert set(reasons) == set(plan.ways), seed
        for opening, reason in reasons.items():
            assert reason.chain[0].opening == opening, seed
            assert reason.chain[-1].user is None, seed
            assert reason == reason_for(problem, plan, opening), seed


# Optional removals

ROOMY = Problem(
    (
        Opening(
            "pump",
            (
                Way(
                    "only",
                    30,
                    30,
                    rooms=(
                        Room("above", strip=((1, 20), (3, 12)), refit=((1, 15),)),
                        Room("below", strip=((4, 5),)),
                    ),
                ),
            ),
        ),
        single("fan", 5, needs=(2,)),
        single("fan bolts", 3),
        single("hose", 8),
        single("tray", 40),
    ),
    goals=(0,),
)


def test_a_removal_taken_says_what_it_saves_and_what_it_costs():
    choices = {choice.removal: choice for choice in room_choices(ROOMY, plan_of(ROOMY))}
    fan = choices[1]
    assert fan.taken
    assert not fan.needed_anyway
    assert fan.room == "above"
    assert fan.serves == (0,)
    assert (fan.saves, fan.costs, fan.net) == (35, 16, 19)


def test_a_removal_not_taken_says_what_it_would_lose():
    choices = {choice.removal: choice for choice in room_choices(ROOMY, plan_of(ROOMY))}
    tray = choices[4]
    assert not tray.taken
    assert (tray.saves, tray.costs, tray.net) == (5, 80, -75)
    # The hose would make the same room as the fan, which saves more: nothing is left for it.
    assert (choices[3].saves, choices[3].costs) == (0, 16)


def test_a_removal_needed_anyway_costs_nothing():
    room = Room("above", strip=((1, 20),))
    problem = Problem(
        (Opening("pump", (Way("only", 30, 30, rooms=(room,)),)), single("fan", 5)), goals=(0, 1)
    )
    [fan] = room_choices(problem, plan_of(problem))
    assert fan.taken
    assert fan.needed_anyway
    assert (fan.saves, fan.costs) == (20, 0)


def test_a_removal_that_cannot_be_had_is_not_offered():
    room = Room("above", strip=((1, 20),))
    problem = Problem(
        (
            Opening("pump", (Way("only", 30, 30, rooms=(room,)),)),
            single("fan", 5, needs=(2,)),
            single("bolts", 5, needs=(1,)),
        ),
        goals=(0,),
    )
    assert room_choices(problem, plan_of(problem)) == ()


def test_a_removal_open_at_the_start_saves_on_refit_alone():
    room = Room("above", strip=((1, 20),), refit=((1, 12),))
    pump = Opening("pump", (Way("only", 30, 30, rooms=(room,)),), started=True)
    fan = Opening("fan", (Way("only", 5, 5),), started=True)
    problem = Problem((pump, fan))
    plan = plan_of(problem)
    assert plan.savings == (Saving(0, 0, Side.REFIT, 1),)
    [choice] = room_choices(problem, plan)
    assert (choice.taken, choice.saves, choice.costs) == (True, 12, 0)
