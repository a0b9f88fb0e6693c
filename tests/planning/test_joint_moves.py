"""Neighbours of a selection: one choice made otherwise, and all made whole again."""

from __future__ import annotations

from witnessmark.planning.choosing import Choices, prices_beyond
from witnessmark.planning.joint_core import core_of
from witnessmark.planning.joint_moves import neighbours
from witnessmark.procedure.plan import Saving
from witnessmark.procedure.problem import Clear, Opening, Problem, Room, Side, Way

FAR = 10_000


def way(name: str, minutes: int, **more) -> Way:
    return Way(name, minutes, minutes, **more)


def single(name: str, minutes: int = 10, **more) -> Opening:
    return Opening(name, (way("only", minutes, **more),))


def around(problem: Problem, choices: Choices, below: int = FAR) -> list[tuple[int, dict, dict]]:
    found = neighbours(core_of(problem, frozenset()), choices, below)
    return [(access, dict(each.ways), dict(each.supporters)) for access, each in found]


def test_another_way_brings_in_what_it_needs_and_lets_go_what_it_does_not():
    problem = Problem(
        (
            Opening("goal", (way("side", 10, needs=(1,)), way("above", 12, needs=(2,)))),
            single("panel", 5),
            single("lid", 7, needs=(3,)),
            Opening("catch", (way("slow", 9), way("quick", 2))),
        ),
        goals=(0,),
    )
    choices = Choices({0: 0, 1: 0}, {}, ())
    assert around(problem, choices) == [(2 * (12 + 7 + 2), {0: 1, 2: 0, 3: 1}, {})]


def test_those_not_below_the_limit_are_left_out():
    problem = Problem((Opening("goal", (way("side", 10), way("above", 12))),), goals=(0,))
    assert around(problem, Choices({0: 0}, {}, ()), below=24) == []
    assert len(around(problem, Choices({0: 0}, {}, ()), below=25)) == 1


def test_another_supporter_may_clear_the_way():
    problem = Problem(
        (single("whole", 10), single("lid", 11), single("inner", 5, needs=(3,))),
        clears=(Clear("cover", (0, 1)),),
        goals=(2,),
    )
    choices = Choices({0: 0, 2: 0}, {3: 0}, ())
    assert around(problem, choices) == [(2 * 16, {1: 0, 2: 0}, {3: 1})]


def test_what_is_needed_anew_is_cleared_by_what_is_cheapest():
    problem = Problem(
        (
            Opening("goal", (way("side", 10), way("above", 12, needs=(3,)))),
            single("whole", 9),
            single("lid", 4),
        ),
        clears=(Clear("cover", (1, 2)),),
        goals=(0,),
    )
    assert around(problem, Choices({0: 0}, {}, ())) == [(2 * 16, {0: 1, 2: 0}, {3: 2})]


def test_a_removal_for_room_may_be_left_out_and_its_savings_with_it():
    room = Room("elbow room", strip=((1, 20),))
    problem = Problem(
        (Opening("goal", (way("only", 30, rooms=(room,)),)), single("guard", 4)), goals=(0,)
    )
    choices = Choices({0: 0, 1: 0}, {}, (Saving(0, 0, Side.STRIP, 1),))
    found = neighbours(core_of(problem, frozenset()), choices, FAR)
    assert found == [(60, Choices({0: 0}, {}, ()))]


def test_another_way_counts_the_room_made_by_what_is_open_anyway():
    room = Room("elbow room", strip=((1, 20), (2, 25)))
    problem = Problem(
        (
            Opening("goal", (way("side", 30), way("above", 32, rooms=(room,)))),
            single("guard", 4),
            single("tray", 4),
        ),
        goals=(0, 1),
    )
    [(access, found)] = neighbours(
        core_of(problem, frozenset()), Choices({0: 0, 1: 0}, {}, ()), FAR
    )
    assert found.savings == (Saving(0, 0, Side.STRIP, 1),)
    assert access == 64 - 20 + 8


def test_what_is_asked_for_comes_along():
    problem = Problem(
        (
            Opening("goal", (way("side", 10), way("above", 12, needs=(1,)))),
            single("crack", 1),
            single("out", 2),
        ),
        goals=(0,),
        asks=((1, 2),),
    )
    assert around(problem, Choices({0: 0}, {}, ())) == [(2 * 15, {0: 1, 1: 0, 2: 0}, {})]


def test_a_way_whose_refit_cannot_be_had_is_no_neighbour():
    # The dearer way is refitted with something that waits for itself, or for nothing at all.
    for needs, clears in (((1,), ()), ((2,), (Clear("never", (1,)),))):
        stuck = single("stuck", needs=(1,))
        problem = Problem(
            (Opening("goal", (way("side", 10), way("above", 12, refit_needs=needs))), stuck),
            clears=clears,
            goals=(0,),
        )
        assert around(problem, Choices({0: 0}, {}, ())) == []


def test_a_price_adds_up_what_is_needed_besides():
    problem = Problem(
        (single("goal", 10, needs=(1, 3)), single("a", 5), single("b", 7)),
        clears=(Clear("either", (1, 2)),),
    )
    ways = lambda a: range(len(problem.openings[a].ways))  # noqa: E731
    assert prices_beyond(problem, (), ways) == {0: (40, 0), 1: (10, 0), 2: (14, 0)}
    assert prices_beyond(problem, (1,), ways)[0] == (20, 0)
