"""A plan for a planning problem, and what it costs.

Plain data shared by the planner (which makes plans), the checker (which refuses bad
ones) and everything that prints them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from witnessmark.procedure.problem import ANYWHERE, BARE_HANDS, GROUND, Problem, Side


class StepKind(StrEnum):
    """A step opens, closes, or does a work's own block."""

    STRIP = "strip"
    REFIT = "refit"
    BLOCK = "block"


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a plan: the start or end of an opening, or a block, by index."""

    kind: StepKind
    index: int


@dataclass(frozen=True, slots=True)
class Saving:
    """The removal counted for one way's room on one side."""

    opening: int
    room: int
    side: Side
    removal: int


@dataclass(frozen=True, slots=True)
class Plan:
    """The chosen openings with one way each, their supporters and savings, in order.

    `ways` maps each chosen opening to its way; `supporters` each used clear fact (by
    fact index) to one chosen opening. `steps` holds every strip (not of started
    openings), every refit and every block once.
    """

    ways: Mapping[int, int]
    supporters: Mapping[int, int] = field(default_factory=dict)
    savings: tuple[Saving, ...] = ()
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Cost:
    """What a plan costs, in tenths of a labour minute, savings already taken off."""

    strip: int
    refit: int
    work: int
    spoils: int
    changeover: int

    @property
    def access(self) -> int:
        """Ways less savings, with what they spoil: what choosing alone decides."""
        return self.strip + self.refit + self.spoils

    @property
    def total(self) -> int:
        """Everything."""
        return self.access + self.work + self.changeover


def place_of(problem: Problem, plan: Plan, step: Step) -> tuple[int, int]:
    """Position and tool of a step."""
    if step.kind is StepKind.BLOCK:
        block = problem.blocks[step.index]
        return block.position, block.tool
    way = problem.openings[step.index].ways[plan.ways[step.index]]
    return way.position, way.tool


def changeover_cost(problem: Problem, plan: Plan) -> int:
    """Change-overs of the steps in order, from the ground and back, empty-handed."""
    changeovers = problem.changeovers
    here, hand, cost = GROUND, BARE_HANDS, 0
    for step in plan.steps:
        position, tool = place_of(problem, plan, step)
        cost += changeovers.cost(here, hand, position, tool)
        here = here if position == ANYWHERE else position
        hand = hand if tool == ANYWHERE else tool
    return cost + changeovers.cost(here, hand, GROUND, BARE_HANDS)


def cost_of(problem: Problem, plan: Plan) -> Cost:
    """Add up a plan. A started opening's strip half and what it spoilt are paid already."""
    strip = refit = spoils = 0
    for index, choice in plan.ways.items():
        opening = problem.openings[index]
        way = opening.ways[choice]
        refit += way.refit
        if not opening.started:
            strip += way.strip
            spoils += way.spoils
    for saving in plan.savings:
        opening = problem.openings[saving.opening]
        room = opening.ways[plan.ways[saving.opening]].rooms[saving.room]
        saved = dict(room.side(saving.side))[saving.removal]
        if saving.side is Side.REFIT:
            refit -= saved
        elif not opening.started:
            strip -= saved
    return Cost(
        strip=strip,
        refit=refit,
        work=sum(block.cost for block in problem.blocks),
        spoils=spoils,
        changeover=changeover_cost(problem, plan),
    )
