"""The planning problem: what a machine, its works and a start state compile to.

Everything is an index into a tuple, so that planner, checker and oracles share one small
language and nothing else. A **fact** is an integer: `0 .. len(openings)-1` names an
opening, `len(openings) ..` names a clear fact. All costs are whole tenths of a labour
minute. See the semantics page of the docs for the rules (S1-S11, V1-V6).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

ANYWHERE = -1
"""A step that may be done wherever one stands, or with whatever is in the hand."""

BARE_HANDS = 0
"""The tool index of empty hands; `tools[0]` names it."""

GROUND = 0
"""The position index where a visit starts and ends; `positions[0]` names it."""


class Side(StrEnum):
    """The two halves of an opening."""

    STRIP = "strip"
    REFIT = "refit"


@dataclass(frozen=True, slots=True)
class Room:
    """Room made for one way by removals that are not needed for it (S6).

    For each side at most one removal counts. `strip` and `refit` list (opening, tenths
    saved); a saving counts only while its removal is open throughout the opening's
    stay: p- before o- and o+ before p+.
    """

    id: str
    strip: tuple[tuple[int, int], ...] = ()
    refit: tuple[tuple[int, int], ...] = ()

    def side(self, side: Side) -> tuple[tuple[int, int], ...]:
        """Give the removals that count on one side."""
        return self.strip if side is Side.STRIP else self.refit


@dataclass(frozen=True, slots=True)
class Way:
    """One way to take an opening and its closing (S4)."""

    id: str
    strip: int
    refit: int
    needs: tuple[int, ...] = ()
    while_fitted: tuple[int, ...] = ()
    strip_needs: tuple[int, ...] = ()
    refit_needs: tuple[int, ...] = ()
    rooms: tuple[Room, ...] = ()
    spoils: int = 0
    """Price of parts destroyed and of risk, already turned into tenths of a minute."""
    position: int = ANYWHERE
    tool: int = ANYWHERE

    @property
    def cost(self) -> int:
        """What the way costs before savings: both sides and what it spoils."""
        return self.strip + self.refit + self.spoils


@dataclass(frozen=True, slots=True)
class Opening:
    """One object taken one depth further from rest, and back (S3).

    Every way of a deeper opening has the opening `below` it among its `needs`.
    `started` openings are open already when the visit begins: their strip half is paid
    and done before everything, their closing is still due, by way `started_way` when
    that is known. A started opening is part of every plan.
    """

    id: str
    ways: tuple[Way, ...]
    below: int | None = None
    started: bool = False
    started_way: int | None = None


@dataclass(frozen=True, slots=True)
class Clear:
    """A choice without cost: the fact holds when one of `supporters` is open (S5)."""

    id: str
    supporters: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """A work's own step (S7): done once, between the openings and closings it needs."""

    id: str
    cost: int
    needs: tuple[int, ...] = ()
    before: tuple[int, ...] = ()
    """Openings that must not yet be open, or be closed again, when the block is done."""
    after: tuple[int, ...] = ()
    """Blocks that come earlier."""
    position: int = ANYWHERE
    tool: int = ANYWHERE


@dataclass(frozen=True, slots=True)
class Changeovers:
    """What going from one step to the next costs: position matrix plus tool change.

    A visit starts and ends at `GROUND` with `BARE_HANDS`. A step with position or tool
    `ANYWHERE` keeps what the step before had. The triangle inequality is checked where
    a workshop file is read, not here.
    """

    positions: tuple[str, ...] = ("on the ground",)
    matrix: tuple[tuple[int, ...], ...] = ((0,),)
    tools: tuple[str, ...] = ("bare hands",)
    tool_change: int = 0

    def cost(self, here: int, hand: int, position: int, tool: int) -> int:
        """Cost of going from (here, hand) to a step at (position, tool)."""
        move = 0 if position == ANYWHERE else self.matrix[here][position]
        return move + (self.tool_change if tool not in (ANYWHERE, hand) else 0)


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything a plan has to answer.

    `goals` are facts that must be opened (a clear fact: by one supporter). `asks` are
    pairs (a, b) of openings: a chosen means b chosen, no order (S9).
    """

    openings: tuple[Opening, ...]
    clears: tuple[Clear, ...] = ()
    goals: tuple[int, ...] = ()
    asks: tuple[tuple[int, int], ...] = ()
    blocks: tuple[Block, ...] = ()
    changeovers: Changeovers = field(default_factory=Changeovers)

    def __post_init__(self) -> None:
        """Refuse nonsense when made; see `faults_in` for the rules."""
        faults = faults_in(self)
        if faults:
            raise ValueError("; ".join(faults[:5]))

    def is_clear(self, fact: int) -> bool:
        """Tell whether a fact is a clear fact rather than an opening."""
        return fact >= len(self.openings)

    def clear(self, fact: int) -> Clear:
        """Give the clear fact behind a fact index."""
        return self.clears[fact - len(self.openings)]

    def fact_id(self, fact: int) -> str:
        """Name a fact for a message."""
        return self.clear(fact).id if self.is_clear(fact) else self.openings[fact].id


def faults_in(problem: Problem) -> list[str]:
    """List what makes a problem nonsense.

    Indices out of range, negative costs, savings above the cost of their side, a deeper
    opening without the one below it among its needs.
    """
    count = len(problem.openings)
    facts = range(count + len(problem.clears))
    faults: list[str] = []

    def in_range(owner: str, what: str, given: tuple[int, ...], allowed: range) -> None:
        faults.extend(f"{owner}: {what} {i} names nothing" for i in given if i not in allowed)

    for number, opening in enumerate(problem.openings):
        if not opening.ways:
            faults.append(f"{opening.id}: has no way")
        for way in opening.ways:
            owner = f"{opening.id}/{way.id}"
            if min(way.strip, way.refit, way.spoils) < 0:
                faults.append(f"{owner}: a cost is below zero")
            for what, given in (
                ("need", way.needs),
                ("strip need", way.strip_needs),
                ("refit need", way.refit_needs),
            ):
                in_range(owner, what, given, facts)
            in_range(owner, "while_fitted", way.while_fitted, range(count))
            if opening.below is not None and opening.below not in way.needs:
                faults.append(f"{owner}: the level below is not among its needs")
            for side, cost in ((Side.STRIP, way.strip), (Side.REFIT, way.refit)):
                saved = [[s for _, s in room.side(side)] for room in way.rooms]
                if any(s < 0 for each in saved for s in each):
                    faults.append(f"{owner}: a saving is below zero")
                if sum(max(each, default=0) for each in saved) > cost:
                    faults.append(f"{owner}: saves more than its {side} costs")
            for room in way.rooms:
                removals = tuple(p for side in Side for p, _ in room.side(side))
                in_range(owner, f"room {room.id}", removals, range(count))
                if number in removals:
                    faults.append(f"{owner}: makes room for itself")
        if opening.started_way is not None and opening.started_way not in range(len(opening.ways)):
            faults.append(f"{opening.id}: started by a way it does not have")
    for clear in problem.clears:
        in_range(clear.id, "supporter", clear.supporters, range(count))
    in_range("goals", "fact", problem.goals, facts)
    for pair in problem.asks:
        in_range("asks", "opening", pair, range(count))
    positions = range(ANYWHERE, len(problem.changeovers.positions))
    tools = range(ANYWHERE, len(problem.changeovers.tools))
    for block in problem.blocks:
        in_range(block.id, "need", block.needs, facts)
        in_range(block.id, "before", block.before, range(count))
        in_range(block.id, "after", block.after, range(len(problem.blocks)))
        if block.cost < 0:
            faults.append(f"{block.id}: its cost is below zero")
    steps: list[tuple[str, Way | Block]] = [
        (f"{opening.id}/{way.id}", way) for opening in problem.openings for way in opening.ways
    ]
    steps += [(block.id, block) for block in problem.blocks]
    for owner, step in steps:
        in_range(owner, "position", (step.position,), positions)
        in_range(owner, "tool", (step.tool,), tools)
    return faults
