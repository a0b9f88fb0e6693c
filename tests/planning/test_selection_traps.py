"""Mistakes a planner of this kind makes easily, each with a problem that shows it.

Where a mistake is a shortcut ("drop the dominated way first"), the test takes the shortcut
itself and shows that it changes the answer: a planner that took it would fail here.
"""

from __future__ import annotations

from dataclasses import replace

from tests.planning.small_problems import chosen, machine, way
from witnessmark.planning.relaxation import relax
from witnessmark.planning.selection import Outcome, select
from witnessmark.procedure.problem import Opening, Problem

BELT_AND_BOLT = machine(
    # The bolt is cracked while the belt holds; the belt comes off while the bolt is in.
    bolt=[way(10, while_fitted="belt"), way(12)],
    belt=way(5, while_fitted="bolt"),
    goals="bolt belt",
)


def without_dominated_ways(problem: Problem) -> Problem:
    """Drop ways that are dearer and need no less, whatever they are done while fitted."""

    def kept(opening: Opening) -> Opening:
        ways = [
            way
            for way in opening.ways
            if not any(
                other.cost < way.cost and set(other.needs) <= set(way.needs)
                for other in opening.ways
            )
        ]
        return replace(opening, ways=tuple(ways))

    return replace(problem, openings=tuple(map(kept, problem.openings)))


def test_a_way_is_not_dominated_by_one_that_must_come_before_something():
    found = select(BELT_AND_BOLT)
    assert (found.cost, chosen(BELT_AND_BOLT, found)) == (17, {"bolt": 1, "belt": 0})
    assert select(without_dominated_ways(BELT_AND_BOLT)).outcome is Outcome.IMPOSSIBLE


def test_what_comes_first_is_decided_before_dearer_ways_are_dropped():
    # With its second way dropped, the bolt would always come before the belt, and the belt
    # would be said to need it: the lift has to wait for what is really left.
    problem = machine(
        bolt=[way(10, while_fitted="belt"), way(12)],
        belt=way(5),
        guard=way(1, needs="bolt"),
        pump=[way(20, needs="guard"), way(8, while_fitted="bolt", needs="belt")],
        goals="bolt pump",
    )
    # Pump by its second way: belt, then pump, then bolt, which is thus cracked too late by
    # its first way (belt off before it): 5 + 8 + 12 against 1 + 20 + 10.
    found = select(problem)
    assert (found.cost, chosen(problem, found)) == (25, {"bolt": 1, "belt": 0, "pump": 1})
    mistaken = select(without_dominated_ways(problem))
    assert mistaken.cost == 31


def test_a_free_opening_is_not_taken_at_once_when_it_asks_for_something():
    problem = machine(
        clip=way(0),
        seal=way(50),
        hose=[way(10, needs="clip"), way(12)],
        asks=[("clip", "seal")],
        goals="hose",
    )
    found = select(problem)
    assert (found.cost, chosen(problem, found)) == (12, {"hose": 1})
    taken_at_once = replace(problem, goals=(*problem.goals, 0))
    assert select(taken_at_once).cost == 60


def test_a_free_opening_is_not_taken_at_once_when_something_comes_before_it():
    # The bolt is cracked while the clip is fitted, and got at with the hose off.
    problem = machine(
        clip=way(0),
        hose=[way(10, needs="clip"), way(12)],
        bolt=way(7, needs="hose", while_fitted="clip"),
        goals="bolt",
    )
    found = select(problem)
    assert (found.cost, chosen(problem, found)) == (19, {"hose": 1, "bolt": 0})
    # Done at once, the clip is off before the bolt, which is too late for the bolt.
    clip = replace(problem.openings[0], started=True)
    taken_at_once = replace(problem, openings=(clip, *problem.openings[1:]))
    assert select(taken_at_once).outcome is Outcome.IMPOSSIBLE


def test_a_branch_without_a_pair_does_not_force_what_the_pair_comes_before():
    # Left and right must each come first, so one way of the lid that needs both is out;
    # the best that is left opens only the left, which a branch that forces right misses.
    problem = machine(
        left=way(1, while_fitted="right"),
        right=way(1, while_fitted="left"),
        lid=[way(0, needs="left right"), way(5, needs="left"), way(7, needs="right")],
        goals="lid",
    )
    found = select(problem)
    assert (found.cost, chosen(problem, found)) == (6, {"left": 0, "lid": 1})


def test_savings_count_on_each_side_by_itself():
    # Wheel and liner save on either side; only one of them can stay open throughout.
    problem = machine(
        wheel=way(3),
        pump=way(30, refit=30, strip_room={"wheel": 10}, refit_room={"wheel": 12}),
        goals="pump",
    )
    found = select(problem)
    assert found.cost == 3 + 60 - 22
    assert len(found.savings) == 2


def test_the_least_cost_of_what_is_asked_for_is_booked_deepest_first():
    # Cracked, then out, then thrown away: all of it is the price of cracking.
    problem = machine(
        cracked=way(1),
        out=way(10, needs="cracked"),
        spent=way(100, needs="out"),
        hose=[way(0, needs="cracked"), way(50)],
        asks=[("cracked", "out"), ("out", "spent")],
        goals="hose",
    )
    relaxation = relax(problem)
    cost = {name: relaxation.cost[relaxation.way_of(name, 0)] for name in range(3)}
    assert cost == {0: 111, 1: 0, 2: 0}
    assert select(problem).cost == 50


def test_asks_are_booked_once_when_two_ask_for_the_same():
    problem = machine(
        first=way(1),
        second=way(2, needs="first"),
        out=way(10, needs="first second"),
        asks=[("first", "out"), ("second", "out")],
        goals="first",
    )
    assert select(problem).cost == 13


def test_a_way_needing_what_must_still_be_fitted_is_dead_even_through_others():
    problem = machine(
        belt=way(5),
        cover=way(4, needs="belt"),
        bolt=[way(1, needs="cover", while_fitted="belt"), way(40)],
        goals="bolt",
    )
    found = select(problem)
    assert (found.cost, chosen(problem, found)) == (40, {"bolt": 1})


def test_a_chain_of_needs_for_different_halves_is_no_proof_that_a_way_is_dead():
    # The bolt needs the cover off throughout, the cover the guard off to strip, the guard
    # the belt off to refit; yet the bolt is cracked while the belt holds: guard, cover,
    # bolt and belt come off in this order, guard, belt, bolt and cover go back.
    problem = machine(
        belt=way(5),
        guard=way(3, refit_needs="belt"),
        cover=way(4, strip_needs="guard"),
        bolt=[way(1, needs="cover", while_fitted="belt"), way(40)],
        goals="bolt",
    )
    found = select(problem)
    assert (found.cost, chosen(problem, found)) == (
        13,
        {"belt": 0, "guard": 0, "cover": 0, "bolt": 0},
    )


def test_what_an_ask_brings_is_not_too_dear_because_nothing_cheap_needs_it():
    # Only a very dear way of the hose needs the bolt out; but who cracks it must take it out.
    # All three stand in a circle, so nothing in R says so.
    problem = machine(
        cracked=way(100),
        out=[way(1000, needs="cracked"), way(5000, needs="cracked hose")],
        hose=[way(0, needs="cracked"), way(100_000, needs="out"), way(1110)],
        asks=[("cracked", "out")],
        goals="hose",
    )
    found = select(problem)
    assert (found.cost, chosen(problem, found)) == (1100, {"cracked": 0, "out": 0, "hose": 0})


def test_a_plan_far_dearer_than_what_is_looked_for_first_is_found():
    problem = machine(
        bolt=[way(10, while_fitted="belt"), way(900)],
        belt=[way(5, while_fitted="bolt"), way(700)],
        goals="bolt belt",
    )
    found = select(problem)
    assert (found.cost, found.bound, found.proven) == (710, 710, True)
