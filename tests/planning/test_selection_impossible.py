"""Why nothing will do: sets of causes by hand, and no cause to spare on random problems."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from tests.planning import oracle_access
from tests.planning.random_problems import MIDDLING, seeded_problem
from tests.planning.small_problems import NamedBlock, machine, way
from witnessmark.planning.demands import demands_of_opening, narrowed, root_demands
from witnessmark.planning.impossibility import Cause, CauseKind, irreducible_causes
from witnessmark.planning.selection import Outcome, any_plan, select
from witnessmark.planning.work import Meter
from witnessmark.procedure.problem import Opening, Problem, Way

NO_BANS: frozenset[tuple[int, int]] = frozenset()


def told(problem: Problem, bans: frozenset[tuple[int, int]] = NO_BANS) -> set[str]:
    """Give the causes as short words."""
    found = select(problem, bans=bans)
    assert found.outcome is Outcome.IMPOSSIBLE
    assert (found.proven, found.irreducible, found.cost, found.ways) == (True, True, None, {})
    return {words(problem, cause) for cause in found.causes}


def words(problem: Problem, cause: Cause) -> str:
    said = [cause.kind.value]
    if cause.block is not None:
        said.append(f"block {cause.block}")
    if cause.opening is not None:
        said.append(problem.openings[cause.opening].id)
    if cause.way is not None:
        said.append(f"by {cause.way}")
    if cause.fact is not None:
        said.append(problem.fact_id(cause.fact))
    if cause.other is not None:
        said.append(f"after {cause.other}")
    return " ".join(said)


def test_a_circle_of_needs_is_told_with_every_way_in_it():
    problem = machine(
        left=way(1, needs="right"),
        right=[way(1, needs="left"), way(2, needs="left")],
        other=way(1),
        goals="left other",
    )
    assert told(problem) == {
        "wanted left",
        "dead way left by 0 right",
        "dead way right by 0 left",
        "dead way right by 1 left",
    }


def test_what_nothing_moves_out_of_the_way_is_told():
    problem = machine(
        belt=way(1, needs="gone"), fan=way(1, needs="belt"), clears={"gone": "fan"}, goals="belt"
    )
    assert told(problem) == {
        "wanted belt",
        "dead way belt by 0 gone",
        "dead way fan by 0 belt",
    }


def test_two_that_must_each_come_first_are_told():
    problem = machine(
        left=way(4, while_fitted="right"),
        right=way(4, while_fitted="left"),
        other=way(1, while_fitted="left"),
        goals="left right other",
    )
    assert told(problem) == {
        "wanted left",
        "wanted right",
        "while fitted left by 0 right",
        "while fitted right by 0 left",
    }


def test_a_need_in_a_circle_with_what_is_done_while_fitted_is_told():
    problem = machine(
        belt=way(9),
        cover=way(2, needs="belt"),
        bolt=way(4, needs="cover", while_fitted="belt"),
        goals="bolt",
    )
    assert told(problem) == {
        "wanted bolt",
        "waits in a circle cover by 0 belt",
        "waits in a circle bolt by 0 cover",
        "while fitted bolt by 0 belt",
    }


def test_trouble_marks_are_told_where_they_are_why():
    problem = machine(pump=[way(10), way(25)], hose=[way(3), way(4)], goals="pump hose")
    assert told(problem, frozenset({(0, 0), (0, 1), (1, 0)})) == {
        "wanted pump",
        "trouble mark pump by 0",
        "trouble mark pump by 1",
    }


def test_what_is_open_already_is_told_where_it_is_why():
    problem = machine(
        belt=way(9), bolt=way(4, while_fitted="belt"), goals="bolt", started={"belt": 0}
    )
    assert told(problem) == {"wanted bolt", "while fitted bolt by 0 belt", "open already belt"}


def test_what_cannot_be_closed_is_told():
    problem = machine(
        tray=way(9, needs="cover"), cover=way(4, refit_needs="tray"), started={"cover": 0}
    )
    assert told(problem) == {
        "open already cover",
        "dead way cover by 0 tray",
        "dead way tray by 0 cover",
    }


def test_asks_are_told_where_they_are_why():
    problem = machine(
        bolt=way(4), seal=way(7, needs="lid"), lid=way(1, needs="seal"),
        asks=[("bolt", "seal"), ("bolt", "lid")], goals="bolt",
    )  # fmt: skip
    causes = told(problem)
    assert {"wanted bolt", "dead way seal by 0 lid", "dead way lid by 0 seal"} < causes
    assert len(causes - {"asks for bolt seal", "asks for bolt lid"}) == 3
    assert len(causes) == 4


def test_blocks_are_told_where_they_are_why():
    problem = machine(
        belt=way(6),
        cover=way(5, needs="belt"),
        goals="belt",
        blocks=[NamedBlock(needs="cover", before="belt"), NamedBlock(needs="belt")],
    )
    assert told(problem) == {
        "block needs block 0 cover",
        "block before block 0 belt",
        "waits in a circle cover by 0 belt",
    }


def test_blocks_after_each_other_are_told():
    problem = machine(blocks=[NamedBlock(after=(1,)), NamedBlock(after=(0,))])
    assert told(problem) == {"block after block 0 after 1", "block after block 1 after 0"}


def test_an_explanation_that_would_take_too_long_is_not_given():
    problem = machine(left=way(1, needs="right"), right=way(1, needs="left"), goals="left")
    meter = Meter(0)
    why = irreducible_causes(problem, NO_BANS, lambda part, bans: any_plan(part, bans, meter))
    assert (why.causes, why.irreducible) == ((), False)


def test_causes_not_shown_to_be_needed_are_not_called_irreducible():
    problem = machine(
        left=way(1, needs="right"), right=way(1, needs="left"), other=way(1), goals="other left"
    )
    needed = {CauseKind.WANTED: 1, CauseKind.DEAD_WAY: 2}
    met = set()
    for budget in range(200):
        meter = Meter(budget)
        why = irreducible_causes(
            problem, NO_BANS, lambda part, bans, meter=meter: any_plan(part, bans, meter)
        )
        kinds = Counter(cause.kind for cause in why.causes)
        met.add((kinds == needed, why.irreducible))
    # Nothing yet; too many causes; the right ones, not yet shown; the right ones.
    assert met == {(False, False), (True, False), (True, True)}


# No cause to spare (checked by the integer programme)


def as_demanded(cause: Cause) -> Cause:
    """Give a cause as it is demanded, before it was told whether it stands in a circle."""
    if cause.kind is CauseKind.DEAD_WAY:
        return replace(cause, kind=CauseKind.CYCLE)
    return cause


def has_plan(problem: Problem, causes: list[Cause]) -> bool:
    part, _, bans = narrowed(problem, causes)
    if not part.openings:  # the solver refuses an empty programme
        part = replace(part, openings=(Opening("anything", (Way("way", 0, 0),)),), goals=(0,))
    openings = list(part.openings)
    for a, w in bans:  # a struck way needs its own opening, which is never open before
        way = openings[a].ways[w]
        ways = list(openings[a].ways)
        ways[w] = replace(way, needs=(*way.needs, a))
        openings[a] = replace(openings[a], ways=tuple(ways))
    return oracle_access.least_access(replace(part, openings=tuple(openings))).cost is not None


@pytest.mark.parametrize("first", range(0, 600, 50))
def test_causes_leave_no_plan_and_none_can_be_spared(first):
    for seed in range(first, first + 50):
        problem = seeded_problem(seed) if seed % 3 else seeded_problem(seed, MIDDLING)
        found = select(problem)
        if found.outcome is not Outcome.IMPOSSIBLE:
            continue
        causes = [as_demanded(cause) for cause in found.causes]
        assert found.irreducible
        assert not has_plan(problem, causes), seed
        for cause in causes:
            assert has_plan(problem, [other for other in causes if other != cause]), seed


@pytest.mark.parametrize("first", range(0, 200, 50))
def test_all_demands_together_are_the_problem(first):
    for seed in range(first, first + 50):
        problem = seeded_problem(seed)
        demands = list(root_demands(problem))
        for a in range(len(problem.openings)):
            demands += demands_of_opening(problem, a, NO_BANS)
        assert has_plan(problem, demands) == (
            oracle_access.least_access(problem).cost is not None
        ), seed
