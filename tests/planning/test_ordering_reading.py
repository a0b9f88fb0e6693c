"""Orders read as a technician would work: strip, work, refit, and nothing scattered."""

from __future__ import annotations

from tests.planning.random_problems import seeded_problem
from witnessmark.planning.ordering import USUAL, orders_of
from witnessmark.planning.selection import select
from witnessmark.planning.work import Meter
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.plan import Plan, Step, StepKind, changeover_cost
from witnessmark.procedure.problem import (
    ANYWHERE,
    Block,
    Changeovers,
    Opening,
    Problem,
    Way,
)

FRONT, UNDER = 1, 2
HANDS, SOCKET, KEY = 0, 1, 2
PLACES = Changeovers(
    ("ground", "front", "under"),
    ((0, 5, 5), (5, 0, 5), (5, 5, 0)),
    ("bare hands", "socket", "key"),
    2,
)


def opening(name: str, *needs: int, at: int = FRONT, tool: int = ANYWHERE) -> Opening:
    return Opening(name, (Way("only", 10, 10, needs=needs, position=at, tool=tool),))


def order(openings: tuple[Opening, ...], *blocks: Block) -> list[str]:
    problem = Problem(openings, goals=(len(openings) - 1,), blocks=blocks, changeovers=PLACES)
    ways = dict.fromkeys(range(len(openings)), 0)
    orders = orders_of(problem, ways, {}, ())
    assert orders is not None
    ordering = orders.best(Meter(), USUAL)
    assert ordering is not None
    marks = {StepKind.STRIP: "-", StepKind.REFIT: "+", StepKind.BLOCK: ""}
    return [
        (problem.blocks if s.kind is StepKind.BLOCK else openings)[s.index].id + marks[s.kind]
        for s in ordering.steps
    ]


def test_all_comes_off_before_the_work_and_goes_back_after_it():
    openings = (opening("a"), opening("b"), opening("c"))
    read = order(openings, Block("work", 10, needs=(0,), position=FRONT))
    assert [word[-1] for word in read] == ["-", "-", "-", "k", "+", "+", "+"]


def test_refit_goes_backwards():
    openings = (opening("a"), opening("b"), opening("c"))
    assert order(openings) == ["a-", "b-", "c-", "c+", "b+", "a+"]


def test_a_part_comes_off_straight_after_its_last_bolt_and_goes_on_before_it():
    # Two covers, each held by bolts, all with the same socket at the same place.
    openings = (
        opening("bolts 1", tool=SOCKET),
        opening("bolts 2", tool=SOCKET),
        opening("cover 1", 0, at=ANYWHERE),
        opening("cover 2", 1, at=ANYWHERE),
    )
    assert order(openings) == [
        "bolts 1-",
        "cover 1-",
        "bolts 2-",
        "cover 2-",
        "cover 2+",
        "bolts 2+",
        "cover 1+",
        "bolts 1+",
    ]


def test_the_next_depth_of_one_thing_follows_the_first():
    openings = (
        opening("crack bolt", tool=SOCKET),
        opening("crack nut", tool=SOCKET),
        Opening("bolt out", (Way("only", 1, 1, needs=(0,), position=FRONT, tool=SOCKET),), below=0),
        Opening("nut out", (Way("only", 1, 1, needs=(1,), position=FRONT, tool=SOCKET),), below=1),
    )
    assert order(openings)[:4] == ["crack bolt-", "bolt out-", "crack nut-", "nut out-"]


def test_a_refit_waits_for_the_last_visit():
    # Front, under, front, under, front: the hatch could go back on the first or second.
    openings = (
        opening("lid"),
        opening("hatch"),
        opening("tray", 0, at=UNDER),
        opening("inner", 2),
    )
    problem = Problem(openings, goals=(1, 3), changeovers=PLACES)
    orders = orders_of(problem, dict.fromkeys(range(4), 0), {}, ())
    assert orders is not None
    ordering = orders.best(Meter(), USUAL)
    assert ordering is not None
    read = [f"{openings[step.index].id} {step.kind.value}" for step in ordering.steps]
    assert set(read[-2:]) == {"hatch refit", "lid refit"}
    assert set(read[:2]) == {"lid strip", "hatch strip"}


def test_while_at_a_place_all_that_comes_off_there_comes_off():
    openings = (
        opening("front bolt", tool=SOCKET),
        opening("under bolt", at=UNDER, tool=SOCKET),
        opening("front nut", tool=SOCKET),
        opening("inner", 0, 1, 2, tool=KEY),
    )
    read = order(openings)
    assert abs(read.index("front bolt-") - read.index("front nut-")) == 1


def test_reading_well_costs_nothing():
    """On random problems the steps written are valid and cost what the search found."""
    for seed in range(400):
        problem = seeded_problem(seed)
        chosen = select(problem)
        if chosen.cost is None:
            continue
        orders = orders_of(problem, chosen.ways, chosen.supporters, chosen.savings)
        assert orders is not None, seed
        ordering = orders.best(Meter(), USUAL)
        assert ordering is not None, seed
        plan = Plan(chosen.ways, chosen.supporters, chosen.savings, ordering.steps)
        assert not check_plan(problem, plan), seed
        assert changeover_cost(problem, plan) == ordering.cost, seed
        assert ordering.proven, seed


def test_a_selection_whose_steps_stand_in_a_circle_has_no_orders():
    around = (opening("a", 1), opening("b", 0))
    problem = Problem(around, goals=(0,), changeovers=PLACES)
    assert orders_of(problem, {0: 0, 1: 0}, {}, ()) is None


def test_what_is_open_already_is_only_closed():
    started = Opening("a", (Way("only", 10, 10, position=FRONT),), started=True)
    problem = Problem((started,), changeovers=PLACES)
    orders = orders_of(problem, {0: 0}, {}, ())
    assert orders is not None
    ordering = orders.best(Meter(), USUAL)
    assert ordering is not None
    assert ordering.steps == (Step(StepKind.REFIT, 0),)
    assert ordering.cost == 10


def test_an_order_is_found_where_opening_at_once_leads_nowhere():
    # Each pair: a block that needs the one open and the other shut, and the other way
    # round. Opening both to save a walk leaves both blocks waiting for ever.
    pairs = range(5)
    openings = tuple(
        Opening(f"{side}{i}", (Way("only", 1, 1, position=0),)) for i in pairs for side in "ab"
    )
    blocks = tuple(
        Block(f"block {i}{one}", 1, needs=(2 * i + one,), before=(2 * i + 1 - one,), position=FRONT)
        for i in pairs
        for one in (0, 1)
    )
    problem = Problem(openings, goals=tuple(range(10)), blocks=blocks, changeovers=PLACES)
    ways = dict.fromkeys(range(10), 0)
    orders = orders_of(problem, ways, {}, ())
    assert orders is not None
    assert orders.search.sketch(Meter(), USUAL.width) is None
    ordering = orders.best(Meter(), USUAL)
    assert ordering is not None
    assert not check_plan(problem, Plan(ways, {}, (), ordering.steps))
    # To the front and back twice: the blocks of one side, then those of the other.
    assert ordering.cost == 20
    assert ordering.proven
