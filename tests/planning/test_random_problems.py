"""What the random problems are like: every feature and every outcome, and how often.

A generator that silently stops making a kind of problem would make the differential tests
silently weaker. Counts are over the first 600 small problems.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from tests.planning.oracle_access import least_access
from tests.planning.oracle_total import keeps_triangle_inequality, least_total
from tests.planning.random_problems import MIDDLING, SMALL, seeded_problem
from witnessmark.procedure.plan import cost_of
from witnessmark.procedure.problem import ANYWHERE, Problem, Side, faults_in

SEEDS = range(600)

DECIDED = range(300)
"""Those that are also solved."""


def features(problem: Problem) -> dict[str, bool]:
    """Say of every feature of the semantics whether a problem has it."""
    count = len(problem.openings)
    ways = [way for opening in problem.openings for way in opening.ways]
    rooms = [room for way in ways for room in way.rooms]
    started = [opening for opening in problem.openings if opening.started]
    blocks = problem.blocks
    return {
        "several ways": any(len(opening.ways) > 1 for opening in problem.openings),
        "three ways": any(len(opening.ways) > 2 for opening in problem.openings),
        "while fitted": any(way.while_fitted for way in ways),
        "strip needs": any(way.strip_needs for way in ways),
        "refit needs": any(way.refit_needs for way in ways),
        "levels": any(opening.below is not None for opening in problem.openings),
        "a way that needs itself": any(
            a in way.needs for a, opening in enumerate(problem.openings) for way in opening.ways
        ),
        "clear with several supporters": any(len(c.supporters) > 1 for c in problem.clears),
        "clear need": any(fact >= count for way in ways for fact in way.needs),
        "clear strip need": any(fact >= count for way in ways for fact in way.strip_needs),
        "clear refit need": any(fact >= count for way in ways for fact in way.refit_needs),
        "clear goal": any(goal >= count for goal in problem.goals),
        "clear fact a block needs": any(fact >= count for block in blocks for fact in block.needs),
        "two goals": len(problem.goals) > 1,
        "room to strip": any(room.side(Side.STRIP) for room in rooms),
        "room to refit": any(room.side(Side.REFIT) for room in rooms),
        "room on both sides": any(room.strip and room.refit for room in rooms),
        "several removals for one room": any(len(room.strip) > 1 for room in rooms),
        "two rooms on a way": any(len(way.rooms) > 1 for way in ways),
        "asks": bool(problem.asks),
        "asks both ways": any((b, a) in problem.asks for a, b in problem.asks),
        "blocks": bool(blocks),
        "block before": any(block.before for block in blocks),
        "block after": any(block.after for block in blocks),
        "started": bool(started),
        "started by a known way": any(o.started_way is not None for o in started),
        "started by an unknown way": any(
            o.started_way is None and len(o.ways) > 1 for o in started
        ),
        "started with room": any(w.rooms for o in started for w in o.ways),
        "started while fitted": any(w.while_fitted for o in started for w in o.ways),
        "spoils": any(way.spoils for way in ways),
        "zero costs": any(way.cost == 0 for way in ways),
        "positions": len(problem.changeovers.positions) > 1,
        "tools": len(problem.changeovers.tools) > 1 and problem.changeovers.tool_change > 0,
        "anywhere": any(way.position == ANYWHERE for way in ways),
        "whatever is in the hand": any(way.tool == ANYWHERE for way in ways),
        "detours that pay": not keeps_triangle_inequality(problem.changeovers.matrix),
        "no change-over costs": not any(map(any, problem.changeovers.matrix)),
        "eight openings": count == 8,
        "one opening": count == 1,
    }


def test_every_feature_occurs_often():
    found: Counter[str] = Counter()
    for seed in SEEDS:
        found.update(features(seeded_problem(seed)))
    assert {name: count for name, count in found.items() if count < 6} == {}


def without(problem: Problem, **how: object) -> Problem:
    """Give the problem with something taken from every way."""
    return replace(
        problem,
        openings=tuple(
            replace(opening, ways=tuple(replace(way, **how) for way in opening.ways))
            for opening in problem.openings
        ),
    )


VARIANTS = {
    "while fitted": lambda p: without(p, while_fitted=()),
    "strip needs": lambda p: without(p, strip_needs=()),
    "refit needs": lambda p: without(p, refit_needs=()),
    "room": lambda p: without(p, rooms=()),
    "asks": lambda p: replace(p, asks=()),
    "order of blocks": lambda p: replace(
        p, blocks=tuple(replace(block, before=(), after=()) for block in p.blocks)
    ),
    "started": lambda p: replace(
        p, openings=tuple(replace(o, started=False, started_way=None) for o in p.openings)
    ),
}


@pytest.fixture(scope="module")
def least_accesses() -> dict[int, int | None]:
    return {seed: least_access(seeded_problem(seed)).cost for seed in DECIDED}


@pytest.mark.parametrize(
    ("feature", "least"),
    [
        ("while fitted", 12),
        ("strip needs", 4),
        ("refit needs", 4),
        ("room", 20),
        ("asks", 12),
        ("order of blocks", 12),
        ("started", 30),
    ],
)
def test_every_feature_decides_some_answers(least_accesses, feature, least):
    """Taking a feature away changes the least access, or whether there is a plan at all."""
    decided = 0
    for seed, cost in least_accesses.items():
        problem = seeded_problem(seed)
        plain = VARIANTS[feature](problem)
        if plain != problem:
            decided += cost != least_access(plain).cost
    assert decided >= least


def test_change_overs_decide_some_answers(least_accesses):
    """The least total is not always had with the least access."""
    dearer = impossible = free = 0
    for seed, access in list(least_accesses.items())[:110]:
        problem = seeded_problem(seed)
        answer = least_total(problem)
        if answer.plan is None:
            impossible += 1
            continue
        dearer += cost_of(problem, answer.plan).access > access
        free += access == 0
    assert dearer >= 4
    assert 15 <= impossible <= 50
    assert 1 <= free <= 30


def test_a_seed_gives_the_same_problem_for_ever():
    assert seeded_problem(7) == seeded_problem(7)
    assert seeded_problem(7) != seeded_problem(8)
    first = seeded_problem(0)
    assert (len(first.openings), len(first.clears), len(first.blocks)) == (7, 0, 1)


def test_problems_are_sound_and_of_the_size_asked_for():
    for sizes in (SMALL, MIDDLING):
        for seed in range(200):
            problem = seeded_problem(seed, sizes)
            assert faults_in(problem) == []
            assert sizes[0] <= len(problem.openings) <= sizes[1]
