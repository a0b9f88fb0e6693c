"""Some valid plan of a problem, drawn at random: for tests that need a plan, not the best.

Shares no code with the planner: openings are chosen backwards from the goals, ways,
supporters and sides of steps at random, and the order is a random one among those the
arcs of V2 to V5 allow. No savings are counted.
"""

from __future__ import annotations

from collections import defaultdict
from random import Random

from witnessmark.procedure.plan import Plan, Step, StepKind
from witnessmark.procedure.problem import Problem, Way

TRIES = 60


def any_plan(problem: Problem, rng: Random) -> Plan | None:
    """Draw a plan; None if none was found in a number of tries."""
    for _ in range(TRIES):
        chosen = _choose(problem, rng)
        if chosen is None:
            continue
        ways, supporters = chosen
        steps = _order(problem, ways, supporters, rng)
        if steps is not None:
            return Plan(ways=ways, supporters=supporters, steps=tuple(steps))
    return None


def _choose(problem: Problem, rng: Random) -> tuple[dict[int, int], dict[int, int]] | None:
    asks = defaultdict(list)
    for a, b in problem.asks:
        asks[a].append(b)
    ways: dict[int, int] = {}
    supporters: dict[int, int] = {}
    todo = [*problem.goals, *(fact for block in problem.blocks for fact in block.needs)]
    todo += [a for a, opening in enumerate(problem.openings) if opening.started]
    while todo:
        fact = todo.pop()
        if problem.is_clear(fact):
            if fact not in supporters:
                choices = problem.clear(fact).supporters
                if not choices:
                    return None
                supporters[fact] = rng.choice(choices)
                todo.append(supporters[fact])
        elif fact not in ways:
            opening = problem.openings[fact]
            known = opening.started_way
            choice = rng.randrange(len(opening.ways)) if known is None else known
            ways[fact] = choice
            way = opening.ways[choice]
            todo += way.refit_needs if opening.started else _needs(way)
            todo += asks[fact]
    return ways, supporters


def _needs(way: Way) -> tuple[int, ...]:
    return (*way.needs, *way.strip_needs, *way.refit_needs)


def _order(
    problem: Problem, ways: dict[int, int], supporters: dict[int, int], rng: Random
) -> list[Step] | None:
    later: dict[Step, set[Step]] = defaultdict(set)
    steps: set[Step] = set()

    def strip(a: int) -> Step:
        return Step(StepKind.STRIP, a)

    def refit(a: int) -> Step:
        return Step(StepKind.REFIT, a)

    def opener(fact: int) -> int:
        return supporters[fact] if problem.is_clear(fact) else fact

    def arc(first: Step, then: Step) -> None:
        later[first].add(then)

    for a, choice in ways.items():
        way = problem.openings[a].ways[choice]
        steps |= {strip(a), refit(a)}
        arc(strip(a), refit(a))
        if not problem.openings[a].started:
            for n in map(opener, way.needs):
                arc(strip(n), strip(a))
                arc(refit(a), refit(n))
            for n in map(opener, way.strip_needs):
                arc(strip(n), strip(a))
                arc(strip(a), refit(n))
        for n in map(opener, way.refit_needs):
            arc(strip(n), refit(a))
            arc(refit(a), refit(n))
        for b in way.while_fitted:
            if b in ways:
                if not problem.openings[b].started:
                    arc(strip(a), strip(b))
                elif not problem.openings[a].started:
                    return None
                arc(refit(b), refit(a))
    for k, block in enumerate(problem.blocks):
        step = Step(StepKind.BLOCK, k)
        steps.add(step)
        for n in map(opener, block.needs):
            arc(strip(n), step)
            arc(step, refit(n))
        for other in block.after:
            arc(Step(StepKind.BLOCK, other), step)
        # A step with many befores fits best wholly early or wholly late.
        leaning = rng.choice((0.0, 0.0, 0.5, 1.0))
        for b in block.before:
            if b in ways:
                early = not problem.openings[b].started and rng.random() < leaning
                arc(*((step, strip(b)) if early else (refit(b), step)))
    done_before = {strip(a) for a in ways if problem.openings[a].started}
    for step in done_before:
        if any(step in followers for first, followers in later.items() if first not in done_before):
            return None
        later.pop(step, None)
    return _drawn(steps - done_before, later, rng)


def _drawn(steps: set[Step], later: dict[Step, set[Step]], rng: Random) -> list[Step] | None:
    waiting = dict.fromkeys(steps, 0)
    for followers in later.values():
        for then in followers:
            waiting[then] += 1
    ready = sorted((s for s, n in waiting.items() if n == 0), key=_key)
    order: list[Step] = []
    while ready:
        step = ready.pop(rng.randrange(len(ready)))
        order.append(step)
        for then in sorted(later.get(step, ()), key=_key):
            waiting[then] -= 1
            if waiting[then] == 0:
                ready.append(then)
    return order if len(order) == len(steps) else None


def _key(step: Step) -> tuple[str, int]:
    return (step.kind.value, step.index)
