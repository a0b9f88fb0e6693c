"""Whether choices can be put in an order, and what clashes if not."""

from __future__ import annotations

import random
from itertools import combinations, count, permutations

import pytest

from tests.planning.random_problems import seeded_problem
from tests.planning.small_problems import NamedBlock, machine, way
from witnessmark.planning.orderability import Conflict, arcs, find_cycle, settle
from witnessmark.planning.precedence import Arc, N, Precedence, Premise, PremiseKind
from witnessmark.planning.selection import select
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import Plan, Saving, Step
from witnessmark.procedure.problem import Problem, Side


def says(problem: Problem, step: Step) -> str:
    if step.kind == "block":
        return problem.blocks[step.index].id
    return problem.openings[step.index].id + {"strip": "-", "refit": "+"}[step.kind]


def before(problem, ways, supporters=None, savings=()) -> set[str]:
    precedence = arcs(problem, ways, supporters or {}, savings)
    return {f"{says(problem, a.before)} {says(problem, a.after)}" for a in precedence.arcs}


def test_a_need_is_open_throughout():
    problem = machine(cover=way(1), belt=way(1, needs="cover"))
    assert before(problem, {0: 0, 1: 0}) == {
        "cover- cover+",
        "belt- belt+",
        "cover- belt-",
        "belt+ cover+",
    }


def test_a_need_of_the_strip_is_open_until_the_strip_is_done():
    problem = machine(cover=way(1), belt=way(1, strip_needs="cover"))
    assert before(problem, {0: 0, 1: 0}) >= {"cover- belt-", "belt- cover+"}
    assert "belt+ cover+" not in before(problem, {0: 0, 1: 0})


def test_a_need_of_the_refit_is_open_round_the_refit():
    problem = machine(cover=way(1), belt=way(1, refit_needs="cover"))
    found = before(problem, {0: 0, 1: 0})
    assert found >= {"cover- belt+", "belt+ cover+"}
    assert "cover- belt-" not in found


def test_a_clear_fact_is_as_long_as_its_supporter():
    problem = machine(fan=way(1), belt=way(1, needs="gone"), clears={"gone": "fan"})
    assert before(problem, {0: 0, 1: 0}, {2: 0}) >= {"fan- belt-", "belt+ fan+"}


def test_a_clear_fact_without_supporter_is_refused():
    problem = machine(fan=way(1), belt=way(1, needs="gone"), clears={"gone": "fan"})
    with pytest.raises(KeyError):
        arcs(problem, {1: 0}, {}, ())


def test_while_fitted_binds_only_what_is_chosen():
    problem = machine(bolt=way(1, while_fitted="belt"), belt=way(1))
    assert before(problem, {0: 0, 1: 0}) >= {"bolt- belt-", "belt+ bolt+"}
    assert before(problem, {0: 0}) == {"bolt- bolt+"}


def test_a_counted_saving_keeps_its_removal_open():
    problem = machine(wheel=way(1), pump=way(9, refit_room={"wheel": 0}))
    saving = Saving(opening=1, room=0, side=Side.REFIT, removal=0)
    assert before(problem, {0: 0, 1: 0}, savings=(saving,)) >= {"wheel- pump-", "pump+ wheel+"}
    assert "wheel- pump-" not in before(problem, {0: 0, 1: 0})


def test_an_ask_makes_no_arc():
    problem = machine(bolt=way(1), seal=way(1), asks=[("bolt", "seal")])
    assert before(problem, {0: 0, 1: 0}) == {"bolt- bolt+", "seal- seal+"}


def test_blocks_stand_inside_their_needs_and_on_one_side_of_what_they_avoid():
    problem = machine(
        cover=way(1),
        belt=way(1),
        blocks=[NamedBlock(needs="cover", before="belt"), NamedBlock(after=(0,))],
    )
    precedence = arcs(problem, {0: 0, 1: 0}, {}, ())
    assert before(problem, {0: 0, 1: 0}) >= {
        "cover- block 0",
        "block 0 cover+",
        "block 0 block 1",
    }
    ((early, late),) = precedence.choices
    assert (says(problem, early.before), says(problem, early.after)) == ("block 0", "belt-")
    assert (says(problem, late.before), says(problem, late.after)) == ("belt+", "block 0")
    assert arcs(problem, {0: 0}, {}, ()).choices == ()


def test_the_strip_of_what_is_open_already_is_no_step():
    problem = machine(
        cover=way(1), belt=way(1, needs="cover"), started={"belt": 0, "cover": 0}, goals="belt"
    )
    precedence = arcs(problem, {0: 0, 1: 0}, {}, ())
    assert {says(problem, step) for step in precedence.steps} == {"cover+", "belt+"}
    assert before(problem, {0: 0, 1: 0}) == {"belt+ cover+"}


def test_what_should_come_before_what_is_open_already_is_a_circle_of_two():
    problem = machine(bolt=way(1, while_fitted="belt"), belt=way(1), started={"belt": 0})
    conflict = settle(arcs(problem, {0: 0, 1: 0}, {}, ()))
    assert isinstance(conflict, Conflict)
    assert [len(cycle) for cycle in conflict.cycles] == [2]


def test_a_block_comes_after_what_is_open_already_if_it_avoids_it():
    problem = machine(belt=way(1), started={"belt": 0}, blocks=[NamedBlock(before="belt")])
    assert before(problem, {0: 0}) == {"belt+ block 0"}


def test_a_circle_is_told_in_order_with_the_choices_that_make_it():
    problem = machine(
        belt=way(9),
        cover=[way(9), way(2, needs="belt")],
        bolt=way(4, needs="cover", while_fitted="belt"),
        spare=way(1, needs="bolt"),
    )
    precedence = arcs(problem, {0: 0, 1: 1, 2: 0, 3: 0}, {}, ())
    cycle = find_cycle(precedence.arcs)
    assert cycle is not None
    assert all(
        one.after == two.before for one, two in zip(cycle, (*cycle[1:], cycle[0]), strict=True)
    )
    assert {arc.before.index for arc in cycle} == {0, 1, 2}
    premises = Conflict((cycle,)).premises
    assert {(p.kind, p.subject, p.pick) for p in premises} == {
        (PremiseKind.WAY, 1, 1),
        (PremiseKind.WAY, 2, 0),
        (PremiseKind.PRESENT, 0, -1),
    }


def test_a_circle_of_few_open_choices_is_preferred():
    problem = machine(
        a=way(1, while_fitted="b"),
        b=way(1, while_fitted="a c"),
        c=way(1, while_fitted="b"),
        goals="b c",
    )
    precedence = arcs(problem, {0: 0, 1: 0, 2: 0}, {}, ())
    fixed = frozenset(
        p
        for arc in precedence.arcs
        for p in arc.premises
        if p.subject in (1, 2)
    )  # fmt: skip
    cycle = find_cycle(precedence.arcs, fixed)
    assert cycle is not None
    assert {arc.before.index for arc in cycle} == {1, 2}


def test_no_side_left_for_a_block_is_told_with_both_circles():
    problem = machine(
        belt=way(1),
        cover=way(1, needs="belt"),
        blocks=[NamedBlock(needs="cover", before="belt")],
    )
    conflict = settle(arcs(problem, {0: 0, 1: 0}, {}, ()))
    assert isinstance(conflict, Conflict)
    assert {(p.kind, p.subject) for p in conflict.premises} == {
        (PremiseKind.WAY, 1),
        (PremiseKind.PRESENT, 0),
    }


def test_sides_that_clash_with_each_other_are_told():
    # The cover is off while the arm goes on. Block 0 stands in the arm's stay and outside
    # the cover's, so before it; block 2 in the arm's stay and after block 1, which stands
    # in the cover's and outside the arm's, so before that: each side alone would do.
    problem = machine(
        cover=way(1),
        arm=way(1, refit_needs="cover"),
        blocks=[
            NamedBlock(needs="arm", before="cover"),
            NamedBlock(needs="cover", before="arm"),
            NamedBlock(needs="arm", after=(1,)),
        ],
    )
    precedence = arcs(problem, {0: 0, 1: 0}, {}, ())
    conflict = settle(precedence)
    assert isinstance(conflict, Conflict)
    assert settled_by_trying(precedence) is None
    tried = {arc for cycle in conflict.cycles for arc in cycle}
    assert {arc for sides in precedence.choices for arc in sides} <= tried
    assert {(p.kind, p.subject) for p in conflict.premises} == {
        (PremiseKind.WAY, 1),
        (PremiseKind.PRESENT, 0),
        (PremiseKind.PRESENT, 1),
    }


def test_any_sides_that_go_together_are_found():
    problem = machine(
        cover=way(1),
        arm=way(1, refit_needs="cover"),
        blocks=[NamedBlock(needs="arm", before="cover"), NamedBlock(needs="cover", before="arm")],
    )
    precedence = arcs(problem, {0: 0, 1: 0}, {}, ())
    settled = settle(precedence)
    assert not isinstance(settled, Conflict)
    assert set(settled) > set(precedence.arcs)
    assert all(set(settled) & set(sides) for sides in precedence.choices)


def settled_by_trying(precedence: Precedence[N]) -> tuple[N, ...] | None:
    """Try every order of the steps."""
    for order in permutations(precedence.steps):
        place = {step: at for at, step in enumerate(order)}
        if all(place.get(a.before, -1) < place.get(a.after, -1) for a in precedence.arcs) and all(
            any(place[a.before] < place[a.after] for a in sides) for sides in precedence.choices
        ):
            return order
    return None


def random_precedence(seed: int) -> Precedence[int]:
    """Make arcs and choices between sides, each with a premise of its own."""
    chance = random.Random(seed)
    steps = range(chance.randint(3, 6))
    made = count(0)

    def arc(before: int, after: int) -> Arc[int]:
        return Arc(before, after, (Premise(PremiseKind.WAY, next(made)),))

    order = chance.sample(steps, len(steps))
    found = [
        arc(a, b) for a, b in combinations(order, 2) if chance.random() < chance.choice((0.2, 0.4))
    ]
    if chance.random() < 0.3:
        found.append(arc(*chance.sample(steps, 2)))
    choices = []
    for _ in range(chance.randint(0, 4)):
        block, opened, closed = chance.sample(steps, 3)
        choices.append((arc(block, opened), arc(closed, block)))
    return Precedence(tuple(steps), tuple(found), tuple(choices))


@pytest.mark.parametrize("first", range(0, 2000, 250))
def test_a_conflict_holds_by_its_premises_alone(first):
    for seed in range(first, first + 250):
        precedence = random_precedence(seed)
        settled = settle(precedence)
        order = settled_by_trying(precedence)
        assert (order is None) == isinstance(settled, Conflict), seed
        if isinstance(settled, Conflict):
            premises = set(settled.premises)
            kept = tuple(arc for arc in precedence.arcs if premises.issuperset(arc.premises))
            choices = tuple(
                sides
                for sides in precedence.choices
                if any(premises.issuperset(arc.premises) for arc in sides)
            )
            assert settled_by_trying(Precedence(precedence.steps, kept, choices)) is None, seed


@pytest.mark.parametrize("first", range(0, 900, 100))
def test_choices_settle_if_and_only_if_some_order_keeps_all_arcs(first):
    for seed in range(first, first + 100):
        problem = seeded_problem(seed, (1, 4))
        ways = dict.fromkeys(range(len(problem.openings)), 0)
        count = len(problem.openings)
        supporters = {count + c: clear.supporters[0] for c, clear in enumerate(problem.clears)}
        precedence = arcs(problem, ways, supporters, ())
        if len(precedence.steps) > 7:
            continue
        settled = settle(precedence)
        order = settled_by_trying(precedence)
        assert (order is None) == isinstance(settled, Conflict), seed
        if isinstance(settled, Conflict):
            assert settled.cycles
            for cycle in settled.cycles:
                following = (*cycle[1:], cycle[0])
                assert all(a.after == b.before for a, b in zip(cycle, following, strict=True))


@pytest.mark.parametrize("first", range(0, 600, 100))
def test_a_selection_can_be_played_by_its_arcs(first):
    for seed in range(first, first + 100):
        problem = seeded_problem(seed)
        found = select(problem)
        if found.cost is None:
            continue
        precedence = arcs(problem, found.ways, found.supporters, found.savings)
        settled = settle(precedence)
        assert not isinstance(settled, Conflict)
        steps: list[Step] = []
        while len(steps) < len(precedence.steps):
            steps += [
                step
                for step in precedence.steps
                if step not in steps and all(a.before in steps for a in settled if a.after == step)
            ][:1]
        plan = Plan(found.ways, found.supporters, found.savings, tuple(steps))
        assert check_plan(problem, plan) == (), seed
