"""The three demonstration machines: what they must show, and how well they are planned."""

from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from witnessmark.cli.files import load_machine, load_workshop
from witnessmark.machine.model import Machine
from witnessmark.planning.job import Job, job_from
from witnessmark.planning.planner import PlanResult, make_plan
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.compile import compile_problem
from witnessmark.procedure.compiled import Compiled
from witnessmark.procedure.problem import Problem
from witnessmark.procedure.replay import replay

DEMO = Path(__file__).parents[2] / "demo"
FILES = {
    "gull-20": "gull-20.yaml",
    "brack-12": "brack-genset-12.yaml",
    "tarn-2s": "tarn-two-stage.yaml",
}
WORST_GAP = Fraction(9, 100)


@cache
def machine(name: str) -> Machine:
    read, _ = load_machine(DEMO / "machines" / FILES[name])
    assert read is not None
    return read


@cache
def compiled(name: str, *works: str) -> Compiled:
    workshop, _ = load_workshop(DEMO / "workshop.yaml")
    assert workshop is not None
    return compile_problem(machine(name), works, workshop)


@cache
def planned(name: str, *works: str) -> PlanResult:
    return make_plan(compiled(name, *works).problem)


@cache
def job(name: str, *works: str) -> Job:
    return job_from(compiled(name, *works), planned(name, *works), compiled(name, *works).workshop)


SINGLE_WORKS = [(name, work) for name in FILES for work in machine(name).works]
VISITS = [*SINGLE_WORKS, *((name, *machine(name).works) for name in FILES)]


@pytest.mark.parametrize("name", FILES)
def test_a_demo_machine_passes_every_check_without_a_warning(name):
    _, complaints = load_machine(DEMO / "machines" / FILES[name])
    assert [str(complaint) for complaint in complaints] == []


def test_the_demo_workshop_passes_every_check():
    _, complaints = load_workshop(DEMO / "workshop.yaml")
    assert [str(complaint) for complaint in complaints] == []


@pytest.mark.parametrize("visit", VISITS, ids=lambda v: f"{v[0]}-{v[1] if len(v) == 2 else 'all'}")
def test_every_visit_is_planned_with_proven_access_and_a_small_gap(visit):
    result = planned(*visit)
    assert result.plan is not None
    assert result.access_proven
    assert result.gap is not None
    assert result.gap <= WORST_GAP


@pytest.mark.parametrize("visit", VISITS, ids=lambda v: f"{v[0]}-{v[1] if len(v) == 2 else 'all'}")
def test_every_plan_is_accepted_by_the_checker_and_by_the_rule_book(visit):
    result = planned(*visit)
    assert result.plan is not None
    assert check_plan(compiled(*visit).problem, result.plan) == ()
    assert replay(compiled(*visit), result.plan) == ()


def facts_referred_to(problem: Problem) -> set[int]:
    """Every opening that another opening, a clear fact, a block, a goal or an ask names."""
    named: set[int] = set(problem.goals)
    for number, opening in enumerate(problem.openings):
        for way in opening.ways:
            for facts in (way.needs, way.strip_needs, way.refit_needs, way.while_fitted):
                named |= {fact for fact in facts if fact != number}
            for room in way.rooms:
                named |= {removal for removal, _ in (*room.strip, *room.refit)}
    for block in problem.blocks:
        named |= {*block.needs, *block.before}
    for clear in problem.clears:
        named |= set(clear.supporters)
    for pair in problem.asks:
        named |= set(pair)
    return named


def test_the_timing_belt_needs_sixty_openings_that_something_refers_to():
    chosen = planned("gull-20", "timing-belt").plan
    assert chosen is not None
    named = facts_referred_to(compiled("gull-20", "timing-belt").problem)
    assert len([opening for opening in chosen.ways if opening in named]) >= 60


def test_a_while_fitted_binds():
    whole = compiled("gull-20", "timing-belt").problem
    without = replace(
        whole,
        openings=tuple(
            replace(opening, ways=tuple(replace(way, while_fitted=()) for way in opening.ways))
            for opening in whole.openings
        ),
    )
    plan = make_plan(without).plan
    assert plan is not None
    assert "V3" in {fault.rule for fault in check_plan(whole, plan)}


def removals(*, taken: bool) -> list[tuple[str, str, int]]:
    return [
        (name, removal.object_id, removal.saves)
        for name, work in SINGLE_WORKS
        for removal in job(name, work).optional
        if removal.taken is taken
    ]


def test_one_optional_removal_pays_and_one_does_not():
    assert any(saves > 0 for _, _, saves in removals(taken=True))
    assert any(saves < 0 for _, _, saves in removals(taken=False))


def test_one_chosen_way_is_not_its_cheapest():
    dearer = []
    for name, work in SINGLE_WORKS:
        plan = planned(name, work).plan
        assert plan is not None
        problem = compiled(name, work).problem
        for opening, choice in plan.ways.items():
            ways = problem.openings[opening].ways
            if ways[choice].cost > min(way.cost for way in ways):
                dearer.append((name, work, problem.openings[opening].id))
    assert dearer


def test_one_work_puts_something_back_for_a_moment():
    acts = [act for step in machine("gull-20").works["timing-belt"].steps for act in step.acts]
    assert "crank-bolt in to turn" in acts
    assert any(
        step.is_block and "two turns" in step.object_name
        for step in job("gull-20", "timing-belt").steps
    )


def test_one_finding_leads_to_parts_that_are_kept_at_hand():
    at_hand = {line.id: line.why for line in job("gull-20", "timing-belt").kit.at_hand}
    assert at_hand["crank-damper"] == "if found: rim has moved on its rubber"


def test_two_demo_machines_share_a_file_or_a_file_is_shared_out():
    assert len(machine("gull-20").files) == 4
    assert len(machine("tarn-2s").files) == 2
