"""Choosing with an eye to change-overs: places the core does not go to cost extra (P5).

A position or tool that some way uses and the core does not is turned into an opening of
its own, needed by each such way and paid once: the least detour by way of the position,
or one tool change. The access cost of the problem so changed, with the blocks and the
least change-overs of the core, is a bound on the total of every plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from witnessmark.planning.choosing import Choices
from witnessmark.planning.joint_core import Core, detours
from witnessmark.planning.ordering_bounds import fares_of
from witnessmark.planning.ordering_task import Task
from witnessmark.planning.selection import Selection
from witnessmark.procedure.problem import (
    ANYWHERE,
    BARE_HANDS,
    GROUND,
    Block,
    Opening,
    Problem,
    Way,
)


@dataclass(frozen=True, slots=True)
class WithSetups:
    """A problem in which first uses of positions and tools are openings; they come last."""

    problem: Problem
    plain: Problem

    def without(self, selection: Selection) -> Choices:
        """Give a selection's ways, supporters and savings in terms of the plain problem."""
        count = len(self.plain.openings)
        added = len(self.problem.openings) - count
        ways = {a: w for a, w in selection.ways.items() if a < count}
        supporters = {fact - added: s for fact, s in selection.supporters.items()}
        return Choices(ways, supporters, selection.savings)


def with_setups(core: Core, task: Task) -> WithSetups | None:
    """Add first uses to a problem; None when they would cost nothing."""
    problem = core.problem
    fares = fares_of(problem.changeovers)
    extra = detours(fares)
    positions = {*task.positions, GROUND, ANYWHERE}
    tools = {*task.tools, BARE_HANDS, ANYWHERE}
    used = [way for a in range(len(problem.openings)) for way in core.usable(a)]
    new_positions = sorted({way.position for way in used if extra[way.position]} - positions)
    new_tools = sorted({way.tool for way in used} - tools) if fares.tool_change else []
    if not new_positions and not new_tools:
        return None
    count = len(problem.openings)
    at = {position: count + i for i, position in enumerate(new_positions)}
    with_tool = {tool: count + len(at) + i for i, tool in enumerate(new_tools)}
    shift = _Shift(count, len(at) + len(with_tool), at, with_tool)
    first_uses = [
        _first_use(f"first time at {problem.changeovers.positions[p]}", extra[p])
        for p in new_positions
    ] + [
        _first_use(f"first use of {problem.changeovers.tools[t]}", fares.tool_change)
        for t in new_tools
    ]
    return WithSetups(shift.problem(problem, first_uses), problem)


def _first_use(name: str, cost: int) -> Opening:
    return Opening(name, (Way("first use", strip=cost, refit=0),))


@dataclass(frozen=True, slots=True)
class _Shift:
    """Moves clear facts up to make place for more openings."""

    count: int
    added: int
    at: Mapping[int, int]
    with_tool: Mapping[int, int]

    def problem(self, plain: Problem, first_uses: list[Opening]) -> Problem:
        openings = tuple(
            replace(opening, ways=tuple(map(self.way, opening.ways))) for opening in plain.openings
        )
        return replace(
            plain,
            openings=(*openings, *first_uses),
            goals=self.facts(plain.goals),
            blocks=tuple(map(self.block, plain.blocks)),
        )

    def facts(self, facts: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(fact if fact < self.count else fact + self.added for fact in facts)

    def way(self, way: Way) -> Way:
        first_uses = [
            places[place]
            for places, place in ((self.at, way.position), (self.with_tool, way.tool))
            if place in places
        ]
        return replace(
            way,
            needs=(*self.facts(way.needs), *first_uses),
            strip_needs=self.facts(way.strip_needs),
            refit_needs=self.facts(way.refit_needs),
        )

    def block(self, block: Block) -> Block:
        return replace(block, needs=self.facts(block.needs))
