"""One small problem for each rule of choosing, solved by hand."""

from __future__ import annotations

import pytest

from tests.planning.small_problems import NamedBlock, chosen, machine, saved, way
from witnessmark.planning.selection import Outcome, select
from witnessmark.procedure.plan import Plan, cost_of


def assert_best(problem, cost, ways):
    found = select(problem)
    assert found.outcome is Outcome.BEST
    assert (found.cost, found.bound, found.proven) == (cost, cost, True)
    assert chosen(problem, found) == ways
    plan = Plan(found.ways, found.supporters, found.savings)
    assert cost_of(problem, plan).access == cost
    return found


# Needs (V1, V2)


def test_nothing_wanted_is_nothing_opened():
    assert_best(machine(cover=way(5)), 0, {})


def test_what_is_needed_comes_off_too():
    problem = machine(cover=way(5), belt=way(7, needs="cover"), goals="belt")
    assert_best(problem, 12, {"cover": 0, "belt": 0})


def test_strip_refit_and_spoilt_parts_all_count():
    problem = machine(gasket=way(5, refit=8, spoils=20), goals="gasket")
    assert_best(problem, 33, {"gasket": 0})


def test_the_cheapest_way_with_its_needs_is_taken_and_not_the_cheapest_way():
    problem = machine(
        wheel=way(20),
        pump=[way(10, needs="wheel"), way(25)],
        goals="pump",
    )
    assert_best(problem, 25, {"pump": 1})


def test_a_need_of_two_goals_counts_once_and_makes_the_shared_way_pay():
    # Alone each is cheaper from below (25); together one wheel serves both (20 + 10 + 10).
    problem = machine(
        wheel=way(20),
        pump=[way(10, needs="wheel"), way(25)],
        hose=[way(10, needs="wheel"), way(25)],
        goals="pump hose",
    )
    assert_best(problem, 40, {"wheel": 0, "pump": 0, "hose": 0})


def test_ways_that_need_each_other_in_a_circle_do_not_hold_each_other_up():
    problem = machine(
        left=[way(1, needs="right"), way(30)],
        right=[way(1, needs="left"), way(40)],
        goals="left right",
    )
    assert_best(problem, 31, {"left": 1, "right": 0})


def test_what_is_needed_to_strip_and_to_refit_only_comes_off_too():
    problem = machine(
        guard=way(3),
        tray=way(4),
        shaft=way(10, strip_needs="guard", refit_needs="tray"),
        goals="shaft",
    )
    assert_best(problem, 17, {"guard": 0, "tray": 0, "shaft": 0})


def test_what_is_needed_to_refit_may_itself_need_the_same_opening_to_strip():
    # The arm is only got at with the cover off; the cover only goes on with the arm off.
    problem = machine(
        cover=way(5, refit_needs="arm"),
        arm=way(7, strip_needs="cover"),
        goals="cover",
    )
    assert_best(problem, 12, {"cover": 0, "arm": 0})


def test_what_is_needed_to_refit_need_not_come_off_when_that_way_is_not_taken():
    problem = machine(
        cover=[way(5, refit_needs="arm"), way(9)],
        arm=way(7, strip_needs="cover"),
        goals="cover",
    )
    assert_best(problem, 9, {"cover": 1})


# Clear facts (S5)


def test_a_part_is_out_of_the_way_when_anything_carries_it_off():
    problem = machine(
        fan=way(12),
        pack=way(9),
        belt=way(5, needs="fan_clear"),
        clears={"fan_clear": "fan pack"},
        goals="belt",
    )
    found = assert_best(problem, 14, {"pack": 0, "belt": 0})
    assert found.supporters == {3: 1}


def test_a_part_that_is_off_anyway_serves_as_the_one_out_of_the_way():
    problem = machine(
        fan=way(12),
        pack=way(9),
        belt=way(5, needs="fan_clear"),
        clears={"fan_clear": "fan pack"},
        goals="belt fan",
    )
    found = assert_best(problem, 17, {"fan": 0, "belt": 0})
    assert found.supporters == {3: 0}


def test_a_clear_fact_can_be_wanted_itself():
    problem = machine(fan=way(12), pack=way(9), clears={"gone": "fan pack"}, goals="gone")
    assert_best(problem, 9, {"pack": 0})


# Rooms (S6)


def test_a_removal_that_saves_more_than_it_costs_is_taken():
    problem = machine(wheel=way(6), pump=way(30, strip_room={"wheel": 10}), goals="pump")
    found = assert_best(problem, 26, {"wheel": 0, "pump": 0})
    assert saved(problem, found) == [("pump", "strip", "wheel")]


def test_a_removal_that_saves_less_than_it_costs_is_left():
    problem = machine(wheel=way(11), pump=way(30, strip_room={"wheel": 10}), goals="pump")
    assert_best(problem, 30, {"pump": 0})


def test_removals_that_make_the_same_room_count_once_the_largest():
    problem = machine(
        wheel=way(0),
        liner=way(0),
        pump=way(30, strip_room={"wheel": 10, "liner": 15}),
        goals="pump wheel liner",
    )
    found = assert_best(problem, 15, {"wheel": 0, "liner": 0, "pump": 0})
    assert saved(problem, found) == [("pump", "strip", "liner")]


def test_strip_and_refit_may_take_their_savings_from_different_removals():
    problem = machine(
        wheel=way(1),
        liner=way(1),
        pump=way(30, refit=30, strip_room={"wheel": 10}, refit_room={"liner": 20}),
        goals="pump",
    )
    found = assert_best(problem, 32, {"wheel": 0, "liner": 0, "pump": 0})
    assert saved(problem, found) == [("pump", "refit", "liner"), ("pump", "strip", "wheel")]


def test_one_removal_pays_by_what_it_saves_on_several_openings():
    problem = machine(
        wheel=way(15),
        pump=way(30, strip_room={"wheel": 10}),
        hose=way(30, strip_room={"wheel": 10}),
        goals="pump hose",
    )
    assert_best(problem, 55, {"wheel": 0, "pump": 0, "hose": 0})


def test_a_saving_counts_only_while_its_removal_is_open_throughout():
    # The lid comes off after the pump, so it is no room for the pump.
    problem = machine(
        pump=way(30, strip_room={"lid": 20}),
        lid=way(5, needs="pump"),
        goals="lid",
    )
    found = assert_best(problem, 35, {"pump": 0, "lid": 0})
    assert found.savings == ()


# While fitted (V3)


def test_what_is_cracked_while_the_belt_holds_comes_before_the_belt():
    problem = machine(
        pulley_bolt=way(4, while_fitted="belt"),
        belt=way(9),
        goals="pulley_bolt belt",
    )
    assert_best(problem, 13, {"pulley_bolt": 0, "belt": 0})


def test_what_need_not_come_off_is_no_hindrance_while_fitted():
    problem = machine(pulley_bolt=way(4, while_fitted="belt"), belt=way(9), goals="pulley_bolt")
    assert_best(problem, 4, {"pulley_bolt": 0})


def test_the_dearer_way_is_taken_where_the_cheaper_would_come_too_late():
    # The pulley bolt is got at with the belt off, yet cracked while the belt is on.
    problem = machine(
        belt=way(9),
        pulley_bolt=[way(4, needs="belt", while_fitted="belt"), way(30)],
        goals="belt pulley_bolt",
    )
    assert_best(problem, 39, {"belt": 0, "pulley_bolt": 1})


def test_two_that_must_each_come_first_cannot_both_come_off():
    problem = machine(
        left=way(4, while_fitted="right"), right=way(4, while_fitted="left"), goals="left right"
    )
    assert select(problem).outcome is Outcome.IMPOSSIBLE


# Asks (S9)


def test_what_is_asked_for_comes_off_too_without_an_order():
    problem = machine(bolt=way(4), seal=way(7), asks=[("bolt", "seal")], goals="bolt")
    assert_best(problem, 11, {"bolt": 0, "seal": 0})


def test_what_is_asked_for_may_need_what_asks():
    problem = machine(
        cracked=way(4), out=way(7, needs="cracked"), asks=[("cracked", "out")], goals="cracked"
    )
    assert_best(problem, 11, {"cracked": 0, "out": 0})


def test_what_is_asked_for_makes_another_way_cheaper():
    problem = machine(
        cracked=way(4),
        out=way(70, needs="cracked"),
        pipe=[way(10, needs="cracked"), way(60)],
        asks=[("cracked", "out")],
        goals="pipe",
    )
    assert_best(problem, 60, {"pipe": 1})


def test_asks_in_a_circle_bring_all_or_none():
    problem = machine(
        a=way(4),
        b=way(5),
        c=way(6),
        lid=[way(1, needs="a"), way(15)],
        asks=[("a", "b"), ("b", "c"), ("c", "a")],
        goals="lid",
    )
    assert_best(problem, 15, {"lid": 1})


# Blocks (S7, V4)


def test_what_a_block_needs_comes_off():
    problem = machine(cover=way(5), blocks=[NamedBlock(needs="cover")])
    assert_best(problem, 5, {"cover": 0})


def test_a_block_is_done_before_what_it_must_not_find_open():
    problem = machine(
        cover=way(5), belt=way(6), goals="belt", blocks=[NamedBlock(needs="cover", before="belt")]
    )
    assert_best(problem, 11, {"cover": 0, "belt": 0})


def test_a_block_that_fits_on_neither_side_takes_the_way_that_leaves_room():
    # The belt is open throughout the cover's stay on its first way.
    problem = machine(
        belt=way(6),
        cover=[way(5, needs="belt"), way(50)],
        goals="belt",
        blocks=[NamedBlock(needs="cover", before="belt")],
    )
    assert_best(problem, 56, {"belt": 0, "cover": 1})


def test_two_blocks_round_one_opening_may_stand_on_different_sides():
    # The first needs the cover, which the belt needs; the second comes after the first and
    # avoids the belt as well: both before, or one on either side.
    problem = machine(
        cover=way(5),
        belt=way(6, needs="cover"),
        goals="belt",
        blocks=[
            NamedBlock(needs="cover", before="belt"),
            NamedBlock(needs="cover", before="belt", after=(0,)),
        ],
    )
    assert_best(problem, 11, {"cover": 0, "belt": 0})


def test_blocks_in_a_circle_are_impossible():
    problem = machine(
        cover=way(5), blocks=[NamedBlock(after=(1,)), NamedBlock(after=(0,), needs="cover")]
    )
    assert select(problem).outcome is Outcome.IMPOSSIBLE


# Started openings


def test_what_is_open_already_is_closed_and_its_strip_is_paid():
    problem = machine(cover=way(50, refit=8, spoils=5), started={"cover": 0})
    assert_best(problem, 8, {"cover": 0})


def test_what_is_open_already_serves_as_a_need():
    problem = machine(
        cover=way(50, refit=8),
        belt=[way(9, needs="cover"), way(12)],
        goals="belt",
        started={"cover": 0},
    )
    assert_best(problem, 17, {"cover": 0, "belt": 0})


def test_what_an_opening_needed_to_strip_need_not_be_open_once_it_is():
    problem = machine(
        jack=way(30), cover=way(50, refit=8, strip_needs="jack", needs="jack"), started={"cover": 0}
    )
    assert_best(problem, 8, {"cover": 0})


def test_what_it_needs_to_refit_must_still_come_off():
    problem = machine(
        tray=way(30), cover=way(50, refit=8, refit_needs="tray"), started={"cover": 0}
    )
    assert_best(problem, 38, {"tray": 0, "cover": 0})


def test_any_way_may_close_what_was_opened_in_an_unknown_way():
    problem = machine(cover=[way(1, refit=20), way(90, refit=10)], started={"cover": None})
    assert_best(problem, 10, {"cover": 1})


def test_the_way_that_opened_it_closes_it():
    problem = machine(cover=[way(1, refit=20), way(90, refit=10)], started={"cover": 0})
    assert_best(problem, 20, {"cover": 0})


def test_what_is_done_while_something_is_fitted_is_too_late_once_that_is_open():
    problem = machine(
        belt=way(9, refit=9),
        pulley_bolt=[way(4, while_fitted="belt"), way(30)],
        goals="pulley_bolt",
        started={"belt": 0},
    )
    assert_best(problem, 39, {"belt": 0, "pulley_bolt": 1})


def test_room_saves_nothing_on_a_strip_that_is_done():
    problem = machine(
        wheel=way(6, refit=1),
        pump=way(30, refit=20, strip_room={"wheel": 30}, refit_room={"wheel": 5}),
        started={"pump": 0, "wheel": 0},
    )
    found = assert_best(problem, 16, {"wheel": 0, "pump": 0})
    assert saved(problem, found) == [("pump", "refit", "wheel")]


def test_a_removal_yet_to_come_is_no_room_for_what_is_open_already():
    problem = machine(
        wheel=way(0), pump=way(30, refit=20, refit_room={"wheel": 5}), started={"pump": 0}
    )
    assert_best(problem, 20, {"pump": 0})


# Trouble marks


def test_a_way_with_a_trouble_mark_is_not_used():
    problem = machine(pump=[way(10), way(25)], goals="pump")
    found = select(problem, bans=frozenset({(0, 0)}))
    assert (found.outcome, found.cost, chosen(problem, found)) == (Outcome.BEST, 25, {"pump": 1})


def test_a_trouble_mark_does_not_undo_what_is_open():
    problem = machine(pump=[way(10, refit=3), way(25)], started={"pump": 0})
    assert select(problem, bans=frozenset({(0, 0)})).cost == 3


# Budgets


def test_out_of_work_units_is_said_and_nothing_else_is():
    problem = machine(cover=way(5), belt=way(7, needs="cover"), goals="belt")
    found = select(problem, budget=1)
    assert found.outcome is Outcome.OUT_OF_WORK
    assert (found.ways, found.cost, found.bound, found.proven, found.causes) == (
        {},
        None,
        0,
        False,
        (),
    )


@pytest.mark.parametrize("budget", [10, 100, 1_000, 10_000])
def test_work_units_used_never_pass_the_budget_by_more_than_one_sweep(budget):
    problem = machine(
        **{f"bolt_{n}": [way(5), way(7)] for n in range(50)},
        goals=" ".join(f"bolt_{n}" for n in range(50)),
    )
    assert select(problem, budget=budget).work <= budget + 500
