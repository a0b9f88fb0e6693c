"""What every plan holds, and what going about it costs at least.

Whatever is chosen, some openings are in every plan, with arcs between their steps that
every choice makes. An order of a whole plan holds an order of these, so the least
change-overs of this **core** are a bound on those of any plan. Positions and tools the
core does not use cost extra when a plan first uses them (P5).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from witnessmark.planning.choosing import wanted_at_first
from witnessmark.planning.ordering_bounds import Fares
from witnessmark.planning.ordering_task import Fork, Task, members, settle
from witnessmark.procedure.plan import StepKind
from witnessmark.procedure.problem import ANYWHERE, Block, Problem, Way

UNREACHED = -1
"""As a mask of openings: all of them, what a fact without any derivation rests on."""


@dataclass(frozen=True, slots=True)
class Core:
    """Openings every plan holds, and the ways that may be used.

    `rests_on[f]` masks the openings that are open whenever fact `f` is: they open before
    it and close after it.
    """

    problem: Problem
    ways: tuple[tuple[int, ...], ...]
    rests_on: tuple[int, ...]
    forced: int

    def usable(self, opening: int) -> list[Way]:
        """Give the ways of an opening that may be used."""
        return [self.problem.openings[opening].ways[w] for w in self.ways[opening]]


def core_of(problem: Problem, bans: frozenset[tuple[int, int]]) -> Core:
    """Find what every plan holds, of a problem known to have a plan."""
    ways = [
        tuple(w for w in range(len(o.ways)) if _allowed(problem, bans, a, w))
        for a, o in enumerate(problem.openings)
    ]
    while True:
        rests_on = _rests_on(problem, ways)
        fewer = [
            tuple(w for w in kept if _alive(problem, rests_on, a, w)) for a, kept in enumerate(ways)
        ]
        if fewer == ways:
            break
        ways = fewer
    forced = _forced(problem, ways, rests_on)
    return Core(problem, tuple(ways), tuple(rests_on), forced)


def _allowed(problem: Problem, bans: frozenset[tuple[int, int]], a: int, w: int) -> bool:
    opening = problem.openings[a]
    if opening.started and opening.started_way is not None:
        return w == opening.started_way
    return (a, w) not in bans


def _rests_on(problem: Problem, ways: Sequence[Sequence[int]]) -> list[int]:
    """Find the greatest sets such that a fact rests on what all its ways rest on."""
    count = len(problem.openings)
    found = [UNREACHED] * (count + len(problem.clears))
    for a, opening in enumerate(problem.openings):
        if opening.started:
            found[a] = 1 << a
    changed = True
    while changed:
        changed = False
        for fact in range(len(found)):
            if fact < count:
                if problem.openings[fact].started:
                    continue
                kept = [problem.openings[fact].ways[w].needs for w in ways[fact]]
            else:
                kept = [(s,) for s in problem.clear(fact).supporters]
            meet = UNREACHED
            for needs in kept:
                meet &= _join(found, needs)
            if meet != UNREACHED and fact < count:
                meet |= 1 << fact
            if meet != found[fact]:
                found[fact] = meet
                changed = True
    return found


def _join(rests_on: Sequence[int], facts: Iterable[int]) -> int:
    join = 0
    for fact in facts:
        join |= rests_on[fact]
    return join


def _alive(problem: Problem, rests_on: Sequence[int], a: int, w: int) -> bool:
    """Tell whether a way can be used at all."""
    way = problem.openings[a].ways[w]
    if problem.openings[a].started:
        return True
    held = _join(rests_on, way.needs)
    if held == UNREACHED or held >> a & 1:
        return False
    return not any(held >> b & 1 or problem.openings[b].started or b == a for b in way.while_fitted)


def _forced(problem: Problem, ways: Sequence[Sequence[int]], rests_on: Sequence[int]) -> int:
    """Mask what every plan holds."""
    forced = 0
    wanted = list(wanted_at_first(problem))
    asked: dict[int, list[int]] = {}
    for a, b in problem.asks:
        asked.setdefault(a, []).append(b)
    while wanted:
        for a in members(rests_on[wanted.pop()] & ~forced):
            forced |= 1 << a
            wanted += asked.get(a, ())
            common = UNREACHED
            for way in (problem.openings[a].ways[w] for w in ways[a]):
                half = (*way.strip_needs, *way.refit_needs)
                if problem.openings[a].started:
                    half = way.refit_needs
                common &= _join(rests_on, half)
            wanted += members(common)
    return forced


# The core as a task


def task_of_core(core: Core) -> tuple[Task, list[StepKind]]:
    """Write the core's steps as nodes, with the arcs every choice makes.

    They are numbered as those of a selection are whose openings come in rising order.
    """
    problem = core.problem
    forced = list(members(core.forced))
    steps = [(StepKind.STRIP, a) for a in forced if not problem.openings[a].started]
    steps += [(StepKind.REFIT, a) for a in forced]
    steps += [(StepKind.BLOCK, k) for k in range(len(problem.blocks))]
    arcs = _Arcs(steps)
    for a in forced:
        _add_opening(arcs, core, a)
    forks = [fork for k in range(len(problem.blocks)) for fork in _add_block(arcs, core, k)]
    places = [_place(core, kind, index) for kind, index in steps]
    task = settle(
        Task(
            positions=tuple(position for position, _ in places),
            tools=tuple(tool for _, tool in places),
            earlier=tuple(arcs.before),
            forks=tuple(forks),
        )
    )
    assert task is not None, "what every plan holds stands in no circle"
    return task, [kind for kind, _ in steps]


class _Arcs:
    """Arcs between steps named by kind and index; a strip that is no step is long done."""

    def __init__(self, steps: Sequence[tuple[StepKind, int]]) -> None:
        self.number = {step: i for i, step in enumerate(steps)}
        self.before = [0] * len(steps)

    def add(self, first: tuple[StepKind, int], then: tuple[StepKind, int]) -> None:
        if first in self.number and then in self.number:
            self.before[self.number[then]] |= 1 << self.number[first]


def _add_opening(arcs: _Arcs, core: Core, a: int) -> None:
    ways = core.usable(a)
    rests_on = core.rests_on
    strip, refit = (StepKind.STRIP, a), (StepKind.REFIT, a)
    arcs.add(strip, refit)
    through = strip_only = refit_only = UNREACHED
    later = core.forced
    for way in ways:
        through &= _join(rests_on, way.needs)
        strip_only &= _join(rests_on, (*way.needs, *way.strip_needs))
        refit_only &= _join(rests_on, (*way.needs, *way.refit_needs))
        later &= sum(1 << b for b in set(way.while_fitted))
    if core.problem.openings[a].started:
        through = core.forced
        for way in ways:
            through &= sum(1 << n for n in set(way.needs) if n < len(core.problem.openings))
        for n in members(through):
            arcs.add(refit, (StepKind.REFIT, n))
        strip_only, refit_only = 0, UNREACHED
        for way in ways:
            refit_only &= _join(rests_on, way.refit_needs)
        through = 0
    for n in members(through & core.forced & ~(1 << a)):
        arcs.add((StepKind.STRIP, n), strip)
        arcs.add(refit, (StepKind.REFIT, n))
    for n in members(strip_only & core.forced & ~(1 << a)):
        arcs.add((StepKind.STRIP, n), strip)
        arcs.add(strip, (StepKind.REFIT, n))
    for n in members(refit_only & core.forced & ~(1 << a)):
        arcs.add((StepKind.STRIP, n), refit)
        arcs.add(refit, (StepKind.REFIT, n))
    for b in members(later):
        arcs.add(strip, (StepKind.STRIP, b))
        arcs.add((StepKind.REFIT, b), refit)


def _add_block(arcs: _Arcs, core: Core, k: int) -> list[Fork]:
    block = core.problem.blocks[k]
    step = (StepKind.BLOCK, k)
    for n in members(_join(core.rests_on, block.needs) & core.forced):
        arcs.add((StepKind.STRIP, n), step)
        arcs.add(step, (StepKind.REFIT, n))
    for j in block.after:
        arcs.add((StepKind.BLOCK, j), step)
    forks = []
    for b in block.before:
        if not core.forced >> b & 1:
            continue
        if core.problem.openings[b].started:
            arcs.add((StepKind.REFIT, b), step)
        else:
            number = arcs.number
            forks.append(Fork(number[step], number[StepKind.STRIP, b], number[StepKind.REFIT, b]))
    return forks


def _place(core: Core, kind: StepKind, index: int) -> tuple[int, int]:
    """Give where a step is done whatever is chosen; what is open counts as anywhere."""
    options: Sequence[Way | Block]
    options = [core.problem.blocks[index]] if kind is StepKind.BLOCK else core.usable(index)
    positions = {each.position for each in options}
    tools = {each.tool for each in options}
    return (
        positions.pop() if len(positions) == 1 else ANYWHERE,
        tools.pop() if len(tools) == 1 else ANYWHERE,
    )


# What is not in the core


def detours(fares: Fares) -> list[int]:
    """Give for each position the least extra cost of going by way of it."""
    between = fares.between
    size = range(len(between))
    return [
        min(
            (
                between[i][p] + between[p][j] - between[i][j]
                for i in size
                for j in size
                if p not in (i, j)
            ),
            default=0,
        )
        for p in size
    ]
