"""The least total cost of a small problem, by exhaustive search.

A plan is played step by step from the start. A state says of each opening whether it is
not yet open, open (by which way, with which savings counted) or closed again, which
blocks are done, which supporter each clear fact rests on, where one stands and what is in
the hand. The shortest path over all states that steps the rules allow can reach is the
optimum over selections, ways, supporters, savings and orders at once.

Only three things keep it from trying everything: it looks first where cost so far plus the
least that is still to come in any case is least (A*: openings no plan can do without, the
walk to what is due and home); it leaves out openings nothing refers to, when change-overs
keep the triangle inequality (else even a useless step may shorten a walk); and it gives up
a state that has shut out an opening it needs.

The way and its savings are chosen, and both sides paid for, when an opening is stripped.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import NamedTuple

from witnessmark.procedure.plan import Plan, Saving, Step, StepKind
from witnessmark.procedure.problem import (
    ANYWHERE,
    BARE_HANDS,
    GROUND,
    Changeovers,
    Opening,
    Problem,
    Side,
    Way,
)

UNUSED = -1
"""A clear fact nobody has relied on yet; any supporter may still be named."""

NEVER = -2
"""A clear fact decided to stay unused."""


class Stay(NamedTuple):
    """An opening's way and the removals that must stay open around it for its savings."""

    way: int
    removals: frozenset[int]


class Shut(NamedTuple):
    """An opening closed again; what it was done before may not be opened any more."""

    bars: frozenset[int]


class State(NamedTuple):
    """How far a plan has come; everything later steps depend on."""

    stays: tuple[Stay | Shut | None, ...]
    blocks: frozenset[int]
    supporters: tuple[int, ...]
    here: int
    hand: int


class Move(NamedTuple):
    """A step, where it leads and what it costs."""

    price: int
    then: State
    step: Step
    way: int = 0
    savings: tuple[Saving, ...] = ()


@dataclass(frozen=True)
class TotalAnswer:
    """The optimum and a plan that has it; None when no plan exists."""

    cost: int | None
    plan: Plan | None
    states: int


def least_total(problem: Problem) -> TotalAnswer:
    """Find the least total cost: access, blocks and change-overs.

    Whether there is a plan at all is settled first, on a problem without costs.
    """
    if _Search(without_costs(problem)).run().cost is None:
        return TotalAnswer(None, None, 0)
    return _Search(problem).run()


def least_access(problem: Problem) -> int | None:
    """Find the least access cost the same way, with change-overs free."""
    answer = _Search(replace(problem, changeovers=_free(problem.changeovers))).run()
    if answer.cost is None:
        return None
    return answer.cost - sum(block.cost for block in problem.blocks)


def without_costs(problem: Problem) -> Problem:
    """Give a problem that has a plan exactly when this one has.

    Costs, places and savings decide nothing then, nor does a way that asks for all that
    another way of the same opening asks for.
    """
    openings = []
    for opening in problem.openings:
        ways = [
            replace(way, strip=0, refit=0, spoils=0, rooms=(), position=ANYWHERE, tool=ANYWHERE)
            for way in opening.ways
        ]
        if not opening.started:
            ways = [
                way
                for w, way in enumerate(ways)
                if not any(
                    demands(other) < demands(way) or (demands(other) == demands(way) and o < w)
                    for o, other in enumerate(ways)
                )
            ]
        openings.append(replace(opening, ways=tuple(ways)))
    blocks = tuple(replace(b, cost=0, position=ANYWHERE, tool=ANYWHERE) for b in problem.blocks)
    return Problem(
        openings=tuple(openings),
        clears=problem.clears,
        goals=problem.goals,
        asks=problem.asks,
        blocks=blocks,
    )


def demands(way: Way) -> frozenset[tuple[str, int]]:
    """Give all that a way asks for."""
    return frozenset(
        (what, fact)
        for what in ("needs", "while_fitted", "strip_needs", "refit_needs")
        for fact in getattr(way, what)
    )


def _free(changeovers: Changeovers) -> Changeovers:
    size = range(len(changeovers.positions))
    return replace(changeovers, matrix=tuple(tuple(0 for _ in size) for _ in size), tool_change=0)


def keeps_triangle_inequality(matrix: tuple[tuple[int, ...], ...]) -> bool:
    size = range(len(matrix))
    return all(
        matrix[i][j] <= matrix[i][via] + matrix[via][j] for i in size for via in size for j in size
    )


def shortest_walks(matrix: tuple[tuple[int, ...], ...]) -> list[list[int]]:
    """Give the cost between any two positions by the best detour (Floyd and Warshall)."""
    size = range(len(matrix))
    walks = [[0 if i == j else matrix[i][j] for j in size] for i in size]
    for via in size:
        for i in size:
            for j in size:
                walks[i][j] = min(walks[i][j], walks[i][via] + walks[via][j])
    return walks


class _Search:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.count = len(problem.openings)
        self.started = {a for a, opening in enumerate(problem.openings) if opening.started}
        matrix = problem.changeovers.matrix
        # Where change-overs cost nothing it does not matter where one stands.
        self.placeless = not problem.changeovers.tool_change and not any(map(any, matrix))
        metric = keeps_triangle_inequality(matrix)
        self.relevant = self.referred_to() if metric else set(range(self.count))
        self.forced = self.without_which_nothing()
        self.shortest = shortest_walks(matrix)
        self.walks: dict[tuple[int, frozenset[int]], int] = {}
        self.usual = [place_of_every_way(opening) for opening in problem.openings]
        self.least = [least_cost_of(opening) for opening in problem.openings]

    def run(self) -> TotalAnswer:
        best: dict[State, int] = {}
        came: dict[State, tuple[State, Move]] = {}
        heap: list[tuple[int, int, int, State | None, State]] = []
        savings_at_start: dict[State, tuple[Saving, ...]] = {}
        for cost, state, savings in self.starts():
            if cost < best.get(state, cost + 1):
                best[state] = cost
                savings_at_start[state] = savings
                heap.append((cost + self.still_due(state), 0, len(heap), None, state))
        heapq.heapify(heap)
        pushed = len(heap)
        while heap:
            bound, depth, _, finished, state = heapq.heappop(heap)
            if finished is not None:
                blocks = sum(block.cost for block in self.problem.blocks)
                plan = self.plan(state, came, savings_at_start)
                return TotalAnswer(bound + blocks, plan, len(best))
            cost = best[state]
            if bound > cost + self.still_due(state):
                continue
            if self.is_finished(state):
                home = self.problem.changeovers.cost(state.here, state.hand, GROUND, BARE_HANDS)
                pushed += 1
                heapq.heappush(heap, (cost + home, depth - 1, pushed, state, state))
            for move in self.moves(state):
                after = cost + move.price
                if after < best.get(move.then, after + 1) and not self.is_lost(move.then):
                    best[move.then] = after
                    came[move.then] = (state, move)
                    pushed += 1
                    bound = after + self.still_due(move.then)
                    heapq.heappush(heap, (bound, depth - 1, pushed, None, move.then))
        return TotalAnswer(None, None, len(best))

    # What can be said beforehand

    def supporters_of(self, fact: int) -> tuple[int, ...]:
        clears = self.problem.clears
        return (fact,) if fact < self.count else clears[fact - self.count].supporters

    def referred_to(self) -> set[int]:
        """Give the openings some rule may ask for, from the goals backwards."""
        problem = self.problem
        waiting = [*self.started]
        for fact in (*problem.goals, *(n for block in problem.blocks for n in block.needs)):
            waiting.extend(self.supporters_of(fact))
        found: set[int] = set()
        while waiting:
            a = waiting.pop()
            if a in found:
                continue
            found.add(a)
            waiting.extend(b for asking, b in problem.asks if asking == a)
            for way in problem.openings[a].ways:
                for fact in (*way.needs, *way.strip_needs, *way.refit_needs):
                    waiting.extend(self.supporters_of(fact))
                waiting.extend(p for room in way.rooms for p, _ in (*room.strip, *room.refit))
        return found

    def without_which_nothing(self) -> set[int]:
        """Give openings that are in every plan: goals and what all their ways need."""
        problem = self.problem
        block_needs = (n for block in problem.blocks for n in block.needs)
        waiting = [*self.started, *(f for f in (*problem.goals, *block_needs) if f < self.count)]
        found: set[int] = set()
        while waiting:
            a = waiting.pop()
            if a in found:
                continue
            found.add(a)
            waiting.extend(b for asking, b in problem.asks if asking == a)
            if a not in self.started:
                needs = [
                    {*way.needs, *way.strip_needs, *way.refit_needs}
                    for way in problem.openings[a].ways
                ]
                waiting.extend(n for n in set.intersection(*needs) if n < self.count)
        return found

    def still_due(self, state: State) -> int:
        """Give what every way to finish still costs: openings that must come, and walking.

        Blocks not done, closings of what is open and openings that must come have their
        place; the walk is at least the shortest through those positions and home, and one
        change for each tool.
        """
        openings = self.problem.openings
        steps = [
            openings[a].ways[stay.way] for a, stay in enumerate(state.stays) if type(stay) is Stay
        ]
        blocks = [k for k in range(len(self.problem.blocks)) if k not in state.blocks]
        places = [(step.position, step.tool) for step in steps]
        places += [(self.problem.blocks[k].position, self.problem.blocks[k].tool) for k in blocks]
        places += [self.usual[a] for a in self.forced if state.stays[a] is None]
        positions = frozenset(position for position, _ in places if position != ANYWHERE)
        tools = {tool for _, tool in places if tool != ANYWHERE} - {state.hand}
        changes = len(tools | {BARE_HANDS}) if tools or state.hand != BARE_HANDS else 0
        openings_due = sum(self.least[a] for a in self.forced if state.stays[a] is None)
        return (
            openings_due
            + self.walk(state.here, positions)
            + changes * self.problem.changeovers.tool_change
        )

    def walk(self, here: int, positions: frozenset[int]) -> int:
        """Give the shortest walk from here through some positions and back to the ground."""
        left = positions - {here}
        if (here, left) not in self.walks:
            self.walks[here, left] = min(
                (self.shortest[here][then] + self.walk(then, left) for then in left),
                default=self.shortest[here][GROUND],
            )
        return self.walks[here, left]

    def is_lost(self, state: State) -> bool:
        """Tell whether an opening that must still come is barred for good."""
        bars: set[int] = set()
        for stay in state.stays:
            if isinstance(stay, Shut):
                bars |= stay.bars
        if not bars:
            return False
        due = {b for a, b in self.problem.asks if state.stays[a] is not None} | self.forced
        return any(state.stays[b] is None for b in bars & due)

    # The start

    def starts(self) -> Iterator[tuple[int, State, tuple[Saving, ...]]]:
        """Give every way the visit may stand at time zero, with what closing will cost."""
        openings = self.problem.openings
        choices: list[list[tuple[int, Stay | None, tuple[Saving, ...]]]] = []
        for a, opening in enumerate(openings):
            if not opening.started:
                choices.append([(0, None, ())])
                continue
            known = opening.started_way
            ways = range(len(opening.ways)) if known is None else [known]
            choices.append([stay for w in ways for stay in self.stays(a, w, self.started)])
        # A started way may rest on clear facts without demanding them: decide now.
        rested = {
            fact - self.count
            for a in self.started
            for way in openings[a].ways
            for fact in way.needs
            if fact >= self.count
        }
        clears: list[tuple[int, ...]] = [
            (NEVER, *dict.fromkeys(clear.supporters)) if c in rested else (UNUSED,)
            for c, clear in enumerate(self.problem.clears)
        ]
        for chosen in product(*choices):
            stays = tuple(stay for _, stay, _ in chosen)
            kept = set(self.clears_kept_from_the_start(stays))
            for supporters in product(*clears):
                if all(supporters[c] != NEVER for c in kept):
                    state = State(stays, frozenset(), supporters, GROUND, BARE_HANDS)
                    cost = sum(cost for cost, _, _ in chosen)
                    yield cost, state, tuple(s for _, _, savings in chosen for s in savings)

    def clears_kept_from_the_start(self, stays: tuple[Stay | None, ...]) -> Iterator[int]:
        """Give the clear needs of started ways that a started opening makes true."""
        for a, stay in enumerate(stays):
            if stay is not None:
                for fact in self.problem.openings[a].ways[stay.way].needs:
                    if fact >= self.count and self.started & set(self.supporters_of(fact)):
                        yield fact - self.count

    def stays(
        self, a: int, w: int, is_open: set[int]
    ) -> Iterator[tuple[int, Stay, tuple[Saving, ...]]]:
        """Give every choice of savings for a way stripped now, and the cost of both sides."""
        opening = self.problem.openings[a]
        way = opening.ways[w]
        options: list[list[tuple[int, Saving | None]]] = []
        for r, room in enumerate(way.rooms):
            for side in Side:
                if side is Side.STRIP and opening.started:
                    continue
                counted = [(s, p) for p, s in room.side(side) if s and p in is_open]
                options.append([(0, None), *((s, Saving(a, r, side, p)) for s, p in counted)])
        full = way.refit if opening.started else way.cost
        for picked in product(*options):
            savings = tuple(saving for _, saving in picked if saving is not None)
            removals = frozenset(saving.removal for saving in savings)
            yield full - sum(s for s, _ in picked), Stay(w, removals), savings

    # Steps the rules allow

    def moves(self, state: State) -> Iterator[Move]:
        is_open = {a for a, stay in enumerate(state.stays) if type(stay) is Stay}
        held = {b for a in is_open for b in self.held_by(state, a)}
        bars = {b for stay in state.stays if type(stay) is Shut for b in stay.bars}
        for a, stay in enumerate(state.stays):
            if stay is None:
                if a in self.relevant and a not in bars:
                    yield from self.strips(state, a, is_open)
            elif type(stay) is Stay and a not in held:
                yield from self.refits(state, a, stay, is_open)
        for k in range(len(self.problem.blocks)):
            if k not in state.blocks:
                yield from self.block_done(state, k, is_open)

    def strips(self, state: State, a: int, is_open: set[int]) -> Iterator[Move]:
        for w, way in enumerate(self.problem.openings[a].ways):
            if any(state.stays[b] is not None or b == a for b in way.while_fitted):
                continue
            supported = list(self.resting(state, (*way.needs, *way.strip_needs), is_open))
            if not supported:
                continue
            price, here, hand = self.going(state, way.position, way.tool)
            for cost, stay, savings in self.stays(a, w, is_open):
                stays = (*state.stays[:a], stay, *state.stays[a + 1 :])
                for supporters in supported:
                    then = State(stays, state.blocks, supporters, here, hand)
                    yield Move(cost + price, then, Step(StepKind.STRIP, a), savings=savings)

    def refits(self, state: State, a: int, stay: Stay, is_open: set[int]) -> Iterator[Move]:
        way = self.problem.openings[a].ways[stay.way]
        if not is_open.isdisjoint(way.while_fitted):
            return
        price, here, hand = self.going(state, way.position, way.tool)
        shut = Shut(frozenset(way.while_fitted))
        stays = (*state.stays[:a], shut, *state.stays[a + 1 :])
        for supporters in self.resting(state, way.refit_needs, is_open - {a}):
            then = State(stays, state.blocks, supporters, here, hand)
            yield Move(price, then, Step(StepKind.REFIT, a), way=stay.way)

    def held_by(self, state: State, a: int) -> set[int]:
        """Give what must stay open until `a` closes: its needs and its counted removals."""
        stay = state.stays[a]
        assert type(stay) is Stay
        held = {*stay.removals}
        for fact in self.problem.openings[a].ways[stay.way].needs:
            held.add(fact if fact < self.count else state.supporters[fact - self.count])
        return held

    def block_done(self, state: State, k: int, is_open: set[int]) -> Iterator[Move]:
        block = self.problem.blocks[k]
        if any(j not in state.blocks for j in block.after):
            return
        if not is_open.isdisjoint(block.before):
            return
        price, here, hand = self.going(state, block.position, block.tool)
        done = state.blocks | {k}
        for supporters in self.resting(state, block.needs, is_open):
            then = State(state.stays, done, supporters, here, hand)
            yield Move(price, then, Step(StepKind.BLOCK, k))

    def resting(
        self, state: State, facts: tuple[int, ...], is_open: set[int]
    ) -> Iterator[tuple[int, ...]]:
        """Give every way the facts hold now, as supporters named up to here."""
        if any(fact not in is_open for fact in facts if fact < self.count):
            return
        clears = sorted({fact - self.count for fact in facts if fact >= self.count})
        options = []
        for c in clears:
            named = state.supporters[c]
            may = self.problem.clears[c].supporters if named == UNUSED else (named,)
            options.append([q for q in dict.fromkeys(may) if q in is_open])
        for chosen in product(*options):
            supporters = list(state.supporters)
            for c, q in zip(clears, chosen, strict=True):
                supporters[c] = q
            yield tuple(supporters)

    def going(self, state: State, position: int, tool: int) -> tuple[int, int, int]:
        if self.placeless:
            return 0, GROUND, BARE_HANDS
        price = self.problem.changeovers.cost(state.here, state.hand, position, tool)
        here = state.here if position == ANYWHERE else position
        return price, here, state.hand if tool == ANYWHERE else tool

    # The end

    def is_finished(self, state: State) -> bool:
        """Tell whether all is closed again, done, and everything wanted was open."""
        if any(isinstance(stay, Stay) for stay in state.stays):
            return False
        if len(state.blocks) < len(self.problem.blocks):
            return False
        chosen = {a for a, stay in enumerate(state.stays) if stay is not None}
        if any(a in chosen and b not in chosen for a, b in self.problem.asks):
            return False
        if any(q >= 0 and q not in chosen for q in state.supporters):
            return False
        return all(
            fact in chosen if fact < self.count else self.can_rest(state, fact, chosen)
            for fact in self.problem.goals
        )

    def can_rest(self, state: State, fact: int, chosen: set[int]) -> bool:
        named = state.supporters[fact - self.count]
        if named == UNUSED:
            return not chosen.isdisjoint(self.supporters_of(fact))
        return named >= 0

    def plan(
        self,
        state: State,
        came: dict[State, tuple[State, Move]],
        savings_at_start: dict[State, tuple[Saving, ...]],
    ) -> Plan:
        moves: list[Move] = []
        at = state
        while at in came:
            at, move = came[at]
            moves.append(move)
        moves.reverse()
        ways = {m.step.index: m.way for m in moves if m.step.kind is StepKind.REFIT}
        supporters = {}
        for c, clear in enumerate(self.problem.clears):
            named = state.supporters[c]
            if named == UNUSED and self.count + c in self.problem.goals:
                named = next(q for q in clear.supporters if q in ways)
            if named >= 0:
                supporters[self.count + c] = named
        return Plan(
            ways=ways,
            supporters=supporters,
            savings=(*savings_at_start[at], *(s for move in moves for s in move.savings)),
            steps=tuple(move.step for move in moves),
        )


def least_cost_of(opening: Opening) -> int:
    """Give what an opening costs at least, with every saving counted."""
    return min(
        way.cost
        - sum(
            max((s for _, s in room.side(side)), default=0) for room in way.rooms for side in Side
        )
        for way in opening.ways
    )


def place_of_every_way(opening: Opening) -> tuple[int, int]:
    """Give the position and tool that all ways of an opening share; ANYWHERE if they differ."""
    positions = {way.position for way in opening.ways}
    tools = {way.tool for way in opening.ways}
    return (
        positions.pop() if len(positions) == 1 else ANYWHERE,
        tools.pop() if len(tools) == 1 else ANYWHERE,
    )
