"""What makes a plan valid: each rule broken by hand, and valid plans broken by mutation."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from tests.planning.oracle_total import least_total
from tests.planning.random_problems import seeded_problem
from witnessmark.procedure.checking import PlanFault, Rule, check_plan
from witnessmark.procedure.plan import Plan, Saving, Step, StepKind
from witnessmark.procedure.problem import Block, Clear, Opening, Problem, Room, Side, Way


def opening(name: str, **how: object) -> Opening:
    """An opening with one way, five tenths each side."""
    kept = {key: how.pop(key) for key in ("started", "started_way", "below") if key in how}
    return Opening(name, (Way("by hand", 5, 5, **how),), **kept)


def steps(text: str) -> tuple[Step, ...]:
    """Read `-0 =0 +0`: strip of opening 0, block 0, refit of opening 0."""
    kinds = {"-": StepKind.STRIP, "+": StepKind.REFIT, "=": StepKind.BLOCK}
    return tuple(Step(kinds[word[0]], int(word[1:])) for word in text.split())


def plan(text: str, **more: object) -> Plan:
    """A plan that goes by the first way of everything it mentions."""
    order = steps(text)
    ways = {step.index: 0 for step in order if step.kind is not StepKind.BLOCK}
    return Plan(**{"ways": ways, "steps": order, **more})


def rules(faults: tuple[PlanFault, ...]) -> list[tuple[str, int | None]]:
    return [(fault.rule.value, fault.step) for fault in faults]


COVER, BELT = 0, 1
belt_under_cover = Problem(
    openings=(opening("cover off"), opening("belt off", needs=(COVER,))), goals=(BELT,)
)


def test_a_valid_plan_has_no_faults():
    assert check_plan(belt_under_cover, plan("-0 -1 +1 +0")) == ()


# V1: what is chosen


def test_v1_a_goal_that_is_not_opened():
    assert check_plan(belt_under_cover, plan("-0 +0")) == (
        PlanFault(Rule.CHOSEN, None, "goal needs the opening 'belt off', which the plan lacks"),
    )


def test_v1_a_need_that_is_not_chosen():
    assert check_plan(belt_under_cover, plan("-1 +1")) == (
        PlanFault(
            Rule.CHOSEN,
            1,
            "strip of 'belt off' needs the opening 'cover off', which the plan lacks",
        ),
    )


@pytest.mark.parametrize("kind", ["strip_needs", "refit_needs"])
def test_v1_a_need_of_one_half_that_is_not_chosen(kind):
    problem = Problem(openings=(opening("a"), opening("b", **{kind: (0,)})), goals=(1,))
    step = 1 if kind == "strip_needs" else 2
    assert rules(check_plan(problem, plan("-1 +1"))) == [("V1", step)]
    assert check_plan(problem, plan("-0 -1 +1 +0")) == ()


def test_v1_a_blocks_need_that_is_not_chosen():
    problem = Problem(openings=(opening("a"),), blocks=(Block("probe", 1, needs=(0,)),))
    assert rules(check_plan(problem, plan("=0"))) == [("V1", 1)]
    assert check_plan(problem, plan("-0 =0 +0")) == ()


def test_v1_an_ask_that_is_not_answered_and_one_without_order():
    problem = Problem(openings=(opening("bolt"), opening("seal")), goals=(0,), asks=((0, 1),))
    assert check_plan(problem, plan("-0 +0")) == (
        PlanFault(Rule.CHOSEN, None, "'bolt' asks for 'seal', which is not chosen"),
    )
    for order in ("-0 +0 -1 +1", "-1 +1 -0 +0", "-0 -1 +0 +1"):
        assert check_plan(problem, plan(order)) == ()


def test_v1_a_block_left_out():
    problem = Problem(openings=(opening("a"),), blocks=(Block("measure", 1),))
    assert check_plan(problem, plan("")) == (
        PlanFault(Rule.CHOSEN, None, "block 'measure' is left out"),
    )


CLEAR = 3
part_on_assembly = Problem(
    openings=(opening("part off"), opening("assembly off"), opening("bolt out", needs=(CLEAR,))),
    clears=(Clear("part clear", (0, 1)),),
    goals=(2,),
)


def test_v1_a_clear_fact_needs_a_supporter():
    assert check_plan(part_on_assembly, plan("-0 -2 +2 +0")) == (
        PlanFault(
            Rule.CHOSEN,
            2,
            "strip of 'bolt out' needs a supporter for 'part clear', which the plan lacks",
            ("part off",),
        ),
    )
    assert check_plan(part_on_assembly, plan("-0 -2 +2 +0", supporters={CLEAR: 0})) == ()
    assert check_plan(part_on_assembly, plan("-1 -2 +2 +1", supporters={CLEAR: 1})) == ()


def test_v1_a_supporter_must_be_chosen_and_be_one():
    absent = check_plan(part_on_assembly, plan("-0 -2 +2 +0", supporters={CLEAR: 1}))
    assert [fault.says for fault in absent] == [
        "'part clear' rests on 'assembly off', which is not chosen",
        "strip of 'bolt out' needs a supporter for 'part clear', which the plan lacks",
    ]
    itself = check_plan(part_on_assembly, plan("-0 -2 +2 +0", supporters={CLEAR: 2}))
    assert itself[0].says == "'bolt out' does not make 'part clear'"
    assert {fault.rule for fault in (*absent, *itself)} == {Rule.CHOSEN}


def test_v1_a_clear_goal():
    problem = replace(part_on_assembly, goals=(CLEAR,))
    assert rules(check_plan(problem, plan("-1 +1"))) == [("V1", None)]
    assert check_plan(problem, plan("-1 +1", supporters={CLEAR: 1})) == ()


def test_v1_what_is_open_already_must_be_closed():
    problem = Problem(openings=(opening("lid", started=True),))
    assert check_plan(problem, plan("")) == (
        PlanFault(Rule.CHOSEN, None, "'lid' is open already and its closing is left out"),
    )
    assert check_plan(problem, plan("+0")) == ()


def test_v1_a_started_opening_closes_by_the_way_it_was_opened():
    ways = (Way("cut", 1, 9), Way("pull", 5, 5))
    problem = Problem(openings=(Opening("seal", ways, started=True, started_way=1),))
    assert [fault.says for fault in check_plan(problem, plan("+0"))] == [
        "'seal' was started by way 'pull', the plan goes by 'cut'"
    ]
    assert check_plan(problem, plan("+0", ways={0: 1})) == ()


def test_v1_numbers_that_name_nothing_are_faults_never_errors():
    odd = Plan(
        ways={0: 7, 9: 0, 1: 0},
        supporters={0: 1, 99: 1},
        savings=(Saving(9, 0, Side.STRIP, 0), Saving(1, 3, Side.REFIT, 99)),
        steps=steps("-9 =4 -1 +1 +0"),
    )
    assert [
        (fault.rule.value, fault.step, fault.says) for fault in check_plan(part_on_assembly, odd)
    ] == [
        ("V1", None, "'part off' has no way number 7"),
        ("V1", None, "opening number 9 does not exist"),
        ("V1", None, "goal needs the opening 'bolt out', which the plan lacks"),
        ("V1", None, "clear fact number 0 does not exist"),
        ("V1", None, "clear fact number 99 does not exist"),
        ("S6", None, "saving on opening number 9: it is not chosen"),
        ("S6", None, "saving on 'assembly off': way 'by hand' has no room number 3"),
        ("V5", 1, "strip of opening number 9 is not among the chosen openings"),
        ("V5", 2, "block number 4 does not exist"),
        ("V5", 5, "refit of 'part off' is not among the chosen openings"),
    ]


# V2: needs


def test_v2_a_need_is_open_before_and_after():
    assert check_plan(belt_under_cover, plan("-1 -0 +1 +0")) == (
        PlanFault(
            Rule.NEEDS,
            1,
            "strip of 'belt off' comes before strip of 'cover off': "
            "way 'by hand' of 'belt off' needs 'cover off' open",
        ),
    )
    assert check_plan(belt_under_cover, plan("-0 -1 +0 +1")) == (
        PlanFault(
            Rule.NEEDS,
            3,
            "refit of 'cover off' comes before refit of 'belt off': "
            "way 'by hand' of 'belt off' needs 'cover off' open",
            ("cover off", "belt off"),
        ),
    )


def test_v2_a_strip_need_may_close_once_the_strip_is_done():
    problem = Problem(openings=(opening("a"), opening("b", strip_needs=(0,))), goals=(1,))
    assert check_plan(problem, plan("-0 -1 +0 +1")) == ()
    assert rules(check_plan(problem, plan("-1 -0 +0 +1"))) == [("V2", 1)]
    assert rules(check_plan(problem, plan("-0 +0 -1 +1"))) == [("V2", 2)]


def test_v2_a_refit_need_may_open_after_the_strip():
    problem = Problem(openings=(opening("a"), opening("b", refit_needs=(0,))), goals=(1,))
    assert check_plan(problem, plan("-1 -0 +1 +0")) == ()
    assert rules(check_plan(problem, plan("-1 +1 -0 +0"))) == [("V2", 2)]
    assert rules(check_plan(problem, plan("-1 -0 +0 +1"))) == [("V2", 3)]


def test_v2_a_supporter_stays_open_like_a_need():
    rest = {CLEAR: 0}
    assert rules(check_plan(part_on_assembly, plan("-2 -0 +2 +0", supporters=rest))) == [("V2", 1)]
    late = check_plan(part_on_assembly, plan("-0 -2 +0 +2", supporters=rest))
    assert [(fault.step, fault.says) for fault in late] == [
        (
            3,
            (
                "refit of 'part off' comes before refit of 'bolt out': "
                "way 'by hand' of 'bolt out' needs 'part clear' (by 'part off') open"
            ),
        )
    ]


def test_v2_another_supporter_open_at_the_time_does_not_count():
    order = "-1 -2 -0 +0 +2 +1"
    assert check_plan(part_on_assembly, plan(order, supporters={CLEAR: 1})) == ()
    assert rules(check_plan(part_on_assembly, plan(order, supporters={CLEAR: 0}))) == [
        ("V2", 2),
        ("V2", 4),
    ]


# V3: while fitted

crack_while_belt_holds = Problem(
    openings=(opening("bolt cracked", while_fitted=(1,)), opening("belt off")), goals=(0,)
)


def test_v3_comes_first_and_last():
    problem = crack_while_belt_holds
    assert check_plan(problem, plan("-0 -1 +1 +0")) == ()
    assert check_plan(problem, plan("-1 -0 +1 +0")) == (
        PlanFault(
            Rule.WHILE_FITTED,
            1,
            "strip of 'belt off' comes before strip of 'bolt cracked': "
            "way 'by hand' of 'bolt cracked' is done while 'belt off' is fitted",
        ),
    )
    assert rules(check_plan(problem, plan("-0 -1 +0 +1"))) == [("V3", 3)]
    assert rules(check_plan(problem, plan("-1 +1 -0 +0"))) == [("V3", 1)]
    assert rules(check_plan(problem, plan("-0 +0 -1 +1"))) == [("V3", 2)]


def test_v3_binds_only_if_done_at_all():
    assert check_plan(crack_while_belt_holds, plan("-0 +0")) == ()


# V4: blocks


def test_v4_a_block_is_done_while_its_needs_are_open():
    problem = Problem(openings=(opening("a"),), blocks=(Block("probe", 1, needs=(0,)),))
    assert rules(check_plan(problem, plan("=0 -0 +0"))) == [("V4", 1)]
    assert rules(check_plan(problem, plan("-0 +0 =0"))) == [("V4", 2)]


def test_v4_a_block_is_done_before_an_opening_or_after_its_closing():
    problem = Problem(openings=(opening("a"),), goals=(0,), blocks=(Block("turn", 1, before=(0,)),))
    assert check_plan(problem, plan("=0 -0 +0")) == ()
    assert check_plan(problem, plan("-0 +0 =0")) == ()
    assert check_plan(problem, plan("-0 =0 +0")) == (
        PlanFault(
            Rule.BLOCKS,
            2,
            "block 'turn' comes before refit of 'a': block 'turn' is done while 'a' is fitted",
            ("a",),
        ),
    )


def test_v4_blocks_keep_their_order():
    blocks = (Block("read", 1), Block("set", 1, after=(0,)))
    problem = Problem(openings=(opening("a"),), blocks=blocks)
    assert check_plan(problem, plan("=0 =1")) == ()
    assert check_plan(problem, plan("=1 =0")) == (
        PlanFault(
            Rule.BLOCKS,
            1,
            "block 'set' comes before block 'read': block 'set' comes after block 'read'",
        ),
    )


# V5: every step once, in an order


def test_v5_a_closing_follows_its_opening():
    problem = Problem(openings=(opening("a"),), goals=(0,))
    assert check_plan(problem, plan("+0 -0")) == (
        PlanFault(
            Rule.ORDER,
            1,
            "refit of 'a' comes before strip of 'a': a closing follows its opening",
        ),
    )


def test_v5_steps_left_out_done_twice_or_out_of_place():
    problem = Problem(openings=(opening("a"), opening("b", started=True)), goals=(0,))
    assert rules(check_plan(problem, plan("-0 +0 +1"))) == []
    assert rules(check_plan(problem, plan("-0 +1"))) == [("V5", None)]
    assert rules(check_plan(problem, plan("+0 +1"))) == [("V5", None)]
    assert rules(check_plan(problem, plan("-0 -0 +0 +1"))) == [("V5", 2)]
    assert rules(check_plan(problem, plan("-0 -1 +0 +1"))) == [("V5", 2)]
    assert rules(check_plan(problem, plan("-0 +0 +1", ways={1: 0}))) == [
        ("V1", None),
        ("V5", 1),
        ("V5", 2),
    ]


def test_v5_choices_that_no_order_can_keep_are_named():
    problem = Problem(
        openings=(opening("a", needs=(1,)), opening("b", while_fitted=(0,), needs=(0,))), goals=(0,)
    )
    says = [fault.says for fault in check_plan(problem, plan("-0 -1 +1 +0")) if fault.step is None]
    assert says == [
        "no order is possible with these choices, each waits for one: refit of 'a', refit of 'b'"
    ]


def test_v5_an_opening_may_not_wait_for_itself():
    problem = Problem(openings=(opening("a", needs=(0,)),), goals=(0,))
    assert "strip of 'a' would have to come before itself: way 'by hand' of 'a' needs 'a' open" in [
        fault.says for fault in check_plan(problem, plan("-0 +0"))
    ]


# S6: savings


def roomy(**how: object) -> Problem:
    """A cover whose removal saves three tenths each side on the pump, two by the bracket."""
    room = Room("elbow room", strip=((0, 3), (2, 2)), refit=((0, 3),))
    pump = Opening("pump off", (Way("by hand", 5, 5, rooms=(room,)),), **how)
    return Problem(openings=(opening("cover off"), pump, opening("bracket off")), goals=(1,))


STRIP_BY_COVER = Saving(1, 0, Side.STRIP, 0)
REFIT_BY_COVER = Saving(1, 0, Side.REFIT, 0)


def test_s6_a_saving_counts_while_its_removal_is_open_throughout():
    for saving in (STRIP_BY_COVER, REFIT_BY_COVER):
        assert check_plan(roomy(), plan("-0 -1 +1 +0", savings=(saving,))) == ()
        early = check_plan(roomy(), plan("-1 -0 +1 +0", savings=(saving,)))
        late = check_plan(roomy(), plan("-0 -1 +0 +1", savings=(saving,)))
        assert rules(early) == [("S6", 1)]
        assert rules(late) == [("S6", 3)]
    assert late[0].says == (
        "refit of 'cover off' comes before refit of 'pump off': "
        "the saving from 'cover off' counts only while that stays open throughout"
    )
    assert check_plan(roomy(), plan("-1 -0 +1 +0")) == ()


@pytest.mark.parametrize(
    ("savings", "says"),
    [
        ((STRIP_BY_COVER, STRIP_BY_COVER), "room number 0 is counted twice on the strip side"),
        (
            (STRIP_BY_COVER, Saving(1, 0, Side.STRIP, 2)),
            "room number 0 is counted twice on the strip side",
        ),
        ((Saving(1, 1, Side.STRIP, 0),), "way 'by hand' has no room number 1"),
        (
            (Saving(1, 0, Side.REFIT, 2),),
            "'bracket off' makes no room 'elbow room' on the refit side",
        ),
        (
            (Saving(1, 0, Side.STRIP, 2),),
            "'bracket off' is not chosen, so it makes no room",
        ),
    ],
)
def test_s6_savings_that_are_none(savings, says):
    order = "-0 -1 +1 +0" if len(savings) == 1 else "-0 -2 -1 +1 +2 +0"
    faults = check_plan(roomy(), plan(order, savings=savings))
    assert [(fault.rule, fault.says) for fault in faults] == [
        (Rule.SAVINGS, f"saving on 'pump off': {says}")
    ]


def test_s6_nothing_is_saved_on_a_strip_already_done():
    faults = check_plan(roomy(started=True), plan("-0 +1 +0", savings=(STRIP_BY_COVER,)))
    assert [fault.says for fault in faults] == [
        "saving on 'pump off': its strip is done and paid already"
    ]


def test_s6_a_removal_that_comes_after_the_start_does_not_save_on_what_was_open():
    faults = check_plan(roomy(started=True), plan("-0 +1 +0", savings=(REFIT_BY_COVER,)))
    assert rules(faults) == [("S6", 1)]
    cover, pump, bracket = roomy(started=True).openings
    both = replace(roomy(), openings=(replace(cover, started=True), pump, bracket))
    assert check_plan(both, plan("+1 +0", savings=(REFIT_BY_COVER,))) == ()


# Openings that were open before the visit


def test_started_needs_are_not_demanded_but_keep_their_order():
    problem = Problem(
        openings=(opening("cover off"), opening("belt off", needs=(0,), started=True))
    )
    assert check_plan(problem, plan("+1")) == ()
    assert check_plan(problem, plan("-0 +1 +0")) == ()
    assert rules(check_plan(problem, plan("-0 +0 +1"))) == [("V2", 2)]


def test_started_strip_needs_are_over_and_refit_needs_are_not():
    problem = Problem(
        openings=(
            opening("a"),
            opening("b", strip_needs=(0,), started=True),
            opening("c", refit_needs=(0,), started=True),
        )
    )
    assert rules(check_plan(problem, plan("+1 +2"))) == [("V1", 2)]
    assert check_plan(problem, plan("-0 +2 +0 +1")) == ()


def test_a_started_way_rests_on_a_clear_fact_that_holds_already():
    openings = (
        opening("part off", started=True),
        opening("assembly off"),
        opening("bolt out", needs=(CLEAR,), started=True),
    )
    problem = replace(part_on_assembly, openings=openings)
    assert rules(check_plan(problem, plan("+2 +0"))) == [("V1", 1)]
    assert check_plan(problem, plan("+2 +0", supporters={CLEAR: 0})) == ()
    assert rules(check_plan(problem, plan("+0 +2", supporters={CLEAR: 0}))) == [("V2", 1)]
    fitted = replace(part_on_assembly, openings=(*part_on_assembly.openings[:2], openings[2]))
    assert check_plan(fitted, plan("+2")) == ()


def test_v3_a_way_done_while_something_was_open_already():
    cracked, belt = crack_while_belt_holds.openings
    problem = replace(crack_while_belt_holds, openings=(cracked, replace(belt, started=True)))
    assert [(f.rule.value, f.step) for f in check_plan(problem, plan("-0 +1 +0"))] == [("V3", 1)]
    both = Problem(openings=(replace(cracked, started=True), replace(belt, started=True)))
    assert check_plan(both, plan("+1 +0")) == ()
    assert rules(check_plan(both, plan("+0 +1"))) == [("V3", 1)]


def test_v4_a_block_before_something_open_comes_after_its_closing():
    problem = Problem(
        openings=(opening("a", started=True),), blocks=(Block("turn", 1, before=(0,)),)
    )
    assert check_plan(problem, plan("+0 =0")) == ()
    assert rules(check_plan(problem, plan("=0 +0"))) == [("V4", 1)]


# Mutations of valid plans


@pytest.fixture(scope="module")
def valid_plans() -> list[tuple[Problem, Plan]]:
    """Problems of four to six openings with an optimal plan of at least four steps."""
    problems = (seeded_problem(seed, (4, 6)) for seed in range(200))
    answers = ((problem, least_total(problem).plan) for problem in problems)
    return [(problem, made) for problem, made in answers if made and len(made.steps) >= 4]


def tied(problem: Problem, valid: Plan, first: Step, then: Step) -> set[Rule]:
    """Say by which rules one step must come before another, read off their definitions."""
    ways = {a: problem.openings[a].ways[w] for a, w in valid.ways.items()}

    def opened(facts):
        return {valid.supporters[f] if problem.is_clear(f) else f for f in facts}

    a, b = first.index, then.index
    match first.kind, then.kind:
        case StepKind.STRIP, StepKind.STRIP:
            found = {
                Rule.NEEDS: a in opened((*ways[b].needs, *ways[b].strip_needs)),
                Rule.WHILE_FITTED: b in ways[a].while_fitted,
                Rule.SAVINGS: any((s.opening, s.removal) == (b, a) for s in valid.savings),
            }
        case StepKind.REFIT, StepKind.REFIT:
            needs = [
                n
                for n in ways[a].needs
                if not problem.openings[a].started or n in ways or n in valid.supporters
            ]
            found = {
                Rule.NEEDS: b in opened((*needs, *ways[a].refit_needs)),
                Rule.WHILE_FITTED: a in ways[b].while_fitted,
                Rule.SAVINGS: any((s.opening, s.removal) == (a, b) for s in valid.savings),
            }
        case StepKind.STRIP, StepKind.REFIT:
            found = {
                Rule.ORDER: a == b,
                Rule.NEEDS: a in opened(ways[b].refit_needs) or b in opened(ways[a].strip_needs),
            }
        case StepKind.BLOCK, StepKind.BLOCK:
            found = {Rule.BLOCKS: a in problem.blocks[b].after}
        case StepKind.BLOCK, StepKind.REFIT:
            found = {Rule.BLOCKS: b in opened(problem.blocks[a].needs)}
        case StepKind.STRIP, StepKind.BLOCK:
            found = {Rule.BLOCKS: a in opened(problem.blocks[b].needs)}
        case StepKind.BLOCK, StepKind.STRIP:
            found = {Rule.BLOCKS: b in problem.blocks[a].before}
        case StepKind.REFIT, StepKind.BLOCK:
            found = {Rule.BLOCKS: a in problem.blocks[b].before}
        case _:
            found = {}
    return {rule for rule, holds in found.items() if holds}


def test_optimal_plans_of_random_problems_are_valid(valid_plans):
    assert len(valid_plans) >= 80
    assert [check_plan(problem, valid) for problem, valid in valid_plans] == [()] * len(valid_plans)


def test_a_step_left_out_of_a_valid_plan_is_named(valid_plans):
    for problem, valid in valid_plans:
        for gone, step in enumerate(valid.steps):
            rest = (*valid.steps[:gone], *valid.steps[gone + 1 :])
            rule = Rule.CHOSEN if step.kind is StepKind.BLOCK else Rule.ORDER
            faults = check_plan(problem, replace(valid, steps=rest))
            assert [(f.rule, f.step) for f in faults] == [(rule, None)]
            assert faults[0].says.endswith("is left out")


def test_a_step_of_a_valid_plan_done_twice_is_named(valid_plans):
    choices = random.Random(1)
    for problem, valid in valid_plans:
        again = choices.choice(valid.steps)
        faults = check_plan(problem, replace(valid, steps=(*valid.steps, again)))
        assert [(f.rule, f.step) for f in faults] == [(Rule.ORDER, len(valid.steps) + 1)]
        assert faults[0].says.endswith("is done a second time")


def test_swapped_steps_are_refused_exactly_when_one_had_to_come_first(valid_plans):
    """Swapping two neighbours breaks a rule exactly when that rule ties the two."""
    broken: dict[Rule, int] = {}
    kept = 0
    for problem, valid in valid_plans:
        for place in range(len(valid.steps) - 1):
            first, then = valid.steps[place : place + 2]
            swapped = (*valid.steps[:place], then, first, *valid.steps[place + 2 :])
            faults = check_plan(problem, replace(valid, steps=swapped))
            assert {fault.rule for fault in faults} == tied(problem, valid, first, then)
            # A block pulled into a stay it avoids comes too early for the closing.
            inside = (first.kind, then.kind) == (StepKind.BLOCK, StepKind.STRIP)
            assert all(fault.step == place + (2 if inside else 1) for fault in faults)
            kept += not faults
            for fault in faults:
                broken[fault.rule] = broken.get(fault.rule, 0) + 1
    assert kept >= 50
    assert all(broken.get(r, 0) >= 5 for r in Rule if r is not Rule.CHOSEN), broken
