"""Other plans worth showing, and planning again without changing route for little (P8)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from witnessmark.planning.joint import Joint, plan_jointly
from witnessmark.planning.joint_core import core_of
from witnessmark.planning.ordering_task import members
from witnessmark.planning.selection import Outcome, prepare, select_prepared
from witnessmark.planning.work import Meter
from witnessmark.procedure.plan import Plan
from witnessmark.procedure.problem import Problem

Bans = frozenset[tuple[int, int]]

TRIED_FOR_EACH = 4
"""So many promising candidates are planned in full for each plan wanted."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    """Ways struck out of a plan found before, and the access left without them."""

    access: int
    bans: Bans


def different_plans(
    problem: Problem, first: Joint, *, bans: Bans, count: int, margin: int, meter: Meter
) -> list[Joint]:
    """Find plans that use other ways or do without some removal, cheapest first.

    Parameters
    ----------
    problem : Problem
        What is wanted.
    first : Joint
        The best plan found.
    bans : frozenset[tuple[int, int]]
        Ways none of the plans may use.
    count : int
        So many plans at most, the first among them.
    margin : int
        So much more than the cheapest they may cost. [tenths of a minute]
    meter : Meter
        Where work is counted.
    """
    found = [first]
    known = {_route(first)}
    tried: set[Bans] = {bans}
    origins = [(first, bans)]
    left = TRIED_FOR_EACH * (count - 1)
    while origins and len(found) < count:
        limit = min(_total(joint) for joint in found) + margin
        candidates = _candidates(problem, origins, tried, limit, meter)
        origins = []
        for candidate in candidates:
            if not left:
                break
            left -= 1
            joint = plan_jointly(problem, candidate.bans, meter)
            if joint.plan is None or _total(joint) > limit:
                continue
            origins.append((joint, candidate.bans))
            if _route(joint) not in known:
                known.add(_route(joint))
                found.append(joint)
    cheapest = sorted(found, key=_total)
    return [joint for joint in cheapest if _total(joint) <= _total(cheapest[0]) + margin][:count]


def _total(joint: Joint) -> int:
    assert joint.cost is not None
    return joint.cost.total


def _route(joint: Joint) -> frozenset[tuple[int, int]]:
    """Give what makes a plan different to whoever follows it: openings and their ways."""
    assert joint.plan is not None
    return frozenset(joint.plan.ways.items())


def _candidates(
    problem: Problem,
    origins: list[tuple[Joint, Bans]],
    tried: set[Bans],
    limit: int,
    meter: Meter,
) -> list[_Candidate]:
    """Strike one choice out of each plan, and keep what may still be within the limit."""
    prepared = prepare(problem)
    fixed = sum(block.cost for block in problem.blocks)
    candidates = []
    for joint, bans in origins:
        assert joint.plan is not None
        for struck in _strikes(problem, joint.plan.ways, bans):
            if struck in tried:
                continue
            tried.add(struck)
            selection = select_prepared(
                prepared, bans=struck, budget=max(0, meter.budget - meter.used)
            )
            meter.used += selection.work
            if selection.cost is not None and selection.bound + fixed <= limit:
                candidates.append(_Candidate(selection.cost, struck))
    return sorted(candidates, key=lambda each: (each.access, sorted(each.bans)))


def _strikes(problem: Problem, ways: Mapping[int, int], bans: Bans) -> Iterator[Bans]:
    """Give for each choice of a plan the bans under which it has to be made otherwise."""
    core = core_of(problem, bans)
    forced = set(members(core.forced))
    for a, w in sorted(ways.items()):
        if problem.openings[a].started:
            continue
        if len(core.ways[a]) > 1:
            yield bans | {(a, w)}
        if a not in forced:
            yield bans | {(a, each) for each in core.ways[a]}


Route = Mapping[str, str]
"""An earlier plan's way for each opening it held, by their ids."""


def route_of(problem: Problem, plan: Plan) -> Route:
    """Give the route of a plan, to plan again from another state of the same machine."""
    return {problem.openings[a].id: problem.openings[a].ways[w].id for a, w in plan.ways.items()}


def replanned(problem: Problem, route: Route, *, bans: Bans, least_gain: int, budget: int) -> Joint:
    """Plan the rest of a job, keeping an earlier route unless leaving it pays.

    The route is kept as far as it can be: first nothing but its openings by its ways, then
    other openings too. Another plan is taken only when it is cheaper by `least_gain`
    tenths of a minute or more. Each of these plans may cost the budget. The bounds are those
    of the problem, whatever route is kept.
    """
    best = plan_jointly(problem, bans, Meter(budget))
    if best.plan is None or _keeps_to(problem, best.plan, route):
        return best
    other_ways = ways_off(problem, route)
    for struck in (other_ways | openings_off(problem, route), other_ways):
        kept = plan_jointly(problem, bans | struck, Meter(budget))
        if kept.plan is not None:
            return best if _total(kept) - _total(best) >= least_gain else _bounded(kept, best)
    return best


def ways_off(problem: Problem, route: Route) -> Bans:
    """Give the ways of a route's openings that the route does not go."""
    return frozenset(
        (a, w)
        for a, opening in enumerate(problem.openings)
        for w, way in enumerate(opening.ways)
        if opening.id in route and route[opening.id] != way.id
    )


def openings_off(problem: Problem, route: Route) -> Bans:
    """Give every way of the openings that are not on a route and not open already."""
    return frozenset(
        (a, w)
        for a, opening in enumerate(problem.openings)
        for w in range(len(opening.ways))
        if opening.id not in route and not opening.started
    )


def _bounded(kept: Joint, best: Joint) -> Joint:
    """Give a plan that keeps a route the bounds of all plans, not of that route alone."""
    assert kept.cost is not None
    return replace(
        kept,
        outcome=Outcome.BEST if _total(kept) <= best.bound else Outcome.FOUND,
        access_bound=best.access_bound,
        access_proven=best.access_proven and kept.cost.access <= best.access_bound,
        bound=best.bound,
        work=best.work + kept.work,
    )


def _keeps_to(problem: Problem, plan: Plan, route: Route) -> bool:
    """Tell whether a plan opens nothing that is not on a route, or by another way."""
    return all(
        problem.openings[a].started
        or route.get(problem.openings[a].id) == problem.openings[a].ways[w].id
        for a, w in plan.ways.items()
    )
