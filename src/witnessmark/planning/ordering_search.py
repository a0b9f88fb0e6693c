"""The search for the order with the least change-overs.

A state is what is done, where one stands and what is in the hand. A move goes to another
place and does everything that can be done there: where going straight is never dearer than
by way of another place, nothing is lost by that, and a state in which more is done at no
higher cost makes another superfluous. With other matrices a move is a single step, and
only the cheaper of two equal states is kept.

An opening that an open fork wants shut while a block is still to do is never opened in
passing, only by a move of its own.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from witnessmark.planning.ordering_bounds import (
    Fares,
    Visits,
    fits,
    least_left,
    price_visits,
    visits,
)
from witnessmark.planning.ordering_task import Task, direct_only, later_than, members
from witnessmark.procedure.problem import ANYWHERE, BARE_HANDS, GROUND

ENOUGH_RIVALS = 60
"""So many states of one place are looked at for one in which more is done."""


class Move(NamedTuple):
    """A change of place, and what is done after it."""

    done: int
    ready: int
    position: int
    tool: int
    moved: int
    """Cost of going from position to position so far."""
    changed: int
    """Cost of changing tools so far."""
    alone: int
    """The node the move was made for alone, as a mask; 0 when for all that can be done."""


@dataclass(slots=True)
class State:
    """How far an order has come, and the least that is still to come."""

    move: Move
    to_positions: int
    """Least cost of the visits to positions still forced, from elsewhere."""
    to_tools: int
    to_places: int
    bound: int
    """Change-overs no order can beat that begins like this."""
    late: int
    """Refits done: among equals, fewer is more natural."""
    came_from: State | None

    @property
    def cost(self) -> int:
        """Change-overs so far."""
        return self.move.moved + self.move.changed


@dataclass(frozen=True, slots=True)
class Found:
    """What a search gives: its best last state, and what no order can beat."""

    state: State | None
    bound: int
    moves: int


class Sequencer:
    """Searches orders of one task; the node added last is the way home.

    Parameters
    ----------
    task : Task
        Nodes numbered so that earlier ones have lower numbers, free ones left out.
    fares : Fares
        Least change-over costs.
    matrix : tuple[tuple[int, ...], ...]
        What going from position to position costs.
    refits : int
        Mask of nodes that close something.
    """

    def __init__(
        self, task: Task, fares: Fares, matrix: tuple[tuple[int, ...], ...], refits: int
    ) -> None:
        home = len(task)
        self.places = [*zip(task.positions, task.tools, strict=True), (GROUND, BARE_HANDS)]
        self.earlier = (*task.earlier, (1 << home) - 1)
        self.all_done = (2 << home) - 1
        self.forks = task.forks
        self.fares = fares
        self.matrix = matrix
        self.refits = refits
        self.direct = direct_only(self.earlier)
        self.next_nodes: list[list[int]] = [[] for _ in self.earlier]
        for node, mask in enumerate(self.direct):
            for other in members(mask):
                self.next_nodes[other].append(node)
        self.at_place: dict[tuple[int, int], int] = {}
        for node, place in enumerate(self.places):
            self.at_place[place] = self.at_place.get(place, 0) | 1 << node
        self.fitting: dict[tuple[int, int], int] = {}
        self.least_moved = 0
        """What going from position to position costs at least in any whole order."""
        self._count_visits()

    def _count_visits(self) -> None:
        """Prepare the bounds."""
        later = later_than(self.earlier)
        by_position: dict[int, int] = {ANYWHERE: 0}
        by_tool: dict[int, int] = {ANYWHERE: 0}
        for (position, tool), mask in sorted(self.at_place.items()):
            by_position[position] = by_position.get(position, 0) | mask
            by_tool[tool] = by_tool.get(tool, 0) | mask

        def chains(there: int, fitting: int) -> Visits:
            return visits(there, self.all_done & ~fitting, self.earlier, later)

        anywhere, any_tool = by_position.pop(ANYWHERE), by_tool.pop(ANYWHERE)
        self.position_visits = {p: chains(m, m | anywhere) for p, m in by_position.items()}
        self.tool_visits = {t: chains(m, m | any_tool) for t, m in by_tool.items()}
        self.place_visits = {
            (p, t): chains(m, (by_position[p] | anywhere) & (by_tool[t] | any_tool))
            for (p, t), m in self.at_place.items()
            if ANYWHERE not in (p, t)
        }
        forced = {p: v.left(self.all_done) for p, v in self.position_visits.items()}
        self.prices = price_visits(forced, self.fares)

    # States and their bounds

    def start(self) -> State:
        """Stand on the ground, empty-handed, with done what can be done like that."""
        ready = sum(1 << node for node, mask in enumerate(self.earlier) if not mask)
        done, ready = self.do_all(0, ready, GROUND, BARE_HANDS)
        undone = self.all_done & ~done
        price = self.prices.visit
        at_first = State(
            move=Move(done, ready, GROUND, BARE_HANDS, 0, 0, 0),
            to_positions=sum(price[p] * v.left(undone) for p, v in self.position_visits.items()),
            to_tools=sum(v.left(undone) for v in self.tool_visits.values()),
            to_places=sum(v.left(undone) for v in self.place_visits.values()),
            bound=0,
            late=(done & self.refits).bit_count(),
            came_from=None,
        )
        at_first.bound = self.arrive(at_first, at_first.move).bound
        return at_first

    def arrive(self, state: State, move: Move) -> State:
        """Make a move, and bound all orders that begin like this."""
        done, _, position, tool, moved, changed, _ = move
        was, undone = self.all_done & ~state.move.done, self.all_done & ~done
        to_positions, to_tools, to_places = state.to_positions, state.to_tools, state.to_places
        spared_move = spared_change = spared_place = 0
        at = self.position_visits.get(position)
        if at is not None:
            left, spared_move = at.left_and_spared(undone)
            to_positions -= (at.left(was) - left) * self.prices.visit[position]
            spared_move *= self.prices.visit[position]
        at = self.tool_visits.get(tool)
        if at is not None:
            left, spared_change = at.left_and_spared(undone)
            to_tools -= at.left(was) - left
        at = self.place_visits.get((position, tool))
        if at is not None:
            left, spared_place = at.left_and_spared(undone)
            to_places -= at.left(was) - left
        bound = moved + changed
        if undone:
            bound += least_left(
                max(
                    to_positions - spared_move + self.prices.standing[position],
                    self.least_moved - moved,
                ),
                (to_tools - spared_change) * self.fares.tool_change,
                to_places - spared_place,
                self.fares,
            )
        late = (done & self.refits).bit_count()
        return State(move, to_positions, to_tools, to_places, bound, late, state)

    # Moves

    def moves(self, state: State) -> Iterator[Move]:
        """Give every move from a state."""
        done, all_ready, here, hand, moved, changed, _ = state.move
        ready, change = all_ready, self.fares.tool_change
        if self.forks:
            ready &= ~self.barred(done)
        singly = ready & self.better_shut(done) if self.fares.direct else ready
        for node in members(singly):
            position, tool = self.place_for(node, here, hand)
            fare = 0 if self.places[node][0] == ANYWHERE else self.matrix[here][position]
            then = self.do_nodes(done, all_ready, 1 << node)
            if self.fares.direct:
                then = self.do_all(*then, position, tool)
            paid = changed + change if tool != hand else changed
            yield Move(*then, position, tool, moved + fare, paid, 1 << node)
        for position, tool in dict.fromkeys(
            self.place_for(node, here, hand) for node in members(ready & ~singly)
        ):
            then = self.do_all(done, all_ready, position, tool)
            paid = changed + change if tool != hand else changed
            yield Move(*then, position, tool, moved + self.matrix[here][position], paid, 0)

    def place_for(self, node: int, here: int, hand: int) -> tuple[int, int]:
        """Give where one stands, and with what, to do a node."""
        position, tool = self.places[node]
        return here if position == ANYWHERE else position, hand if tool == ANYWHERE else tool

    def do_all(self, done: int, ready: int, position: int, tool: int) -> tuple[int, int]:
        """Do all that can be done at a place, and what that makes ready, and so on."""
        if not self.fares.direct:
            return done, ready
        fitting = self.fitting_at(position, tool)
        while now := self.next_wave(done, ready & fitting):
            done, ready = self.do_nodes(done, ready, now)
        return done, ready

    def do_nodes(self, done: int, ready: int, nodes: int) -> tuple[int, int]:
        """Do these nodes, all of them ready."""
        done |= nodes
        ready &= ~nodes
        direct, next_nodes = self.direct, self.next_nodes
        while nodes:
            lowest = nodes & -nodes
            nodes ^= lowest
            for other in next_nodes[lowest.bit_length() - 1]:
                if not direct[other] & ~done:
                    ready |= 1 << other
        return done, ready

    def fitting_at(self, position: int, tool: int) -> int:
        """Mask the nodes that can be done at a place."""
        place = (position, tool)
        if place not in self.fitting:
            self.fitting[place] = sum(
                mask for (p, t), mask in self.at_place.items() if fits(p, t, position, tool)
            )
        return self.fitting[place]

    def next_wave(self, done: int, ready: int) -> int:
        """Leave out of the ready nodes what a fork holds back."""
        if self.forks and ready:
            return ready & ~(self.barred(done) | self.better_shut(done))
        return ready

    def barred(self, done: int) -> int:
        """Mask the blocks that wait until something is shut again."""
        mask = 0
        for fork in self.forks:
            if done >> fork.opened & 1 and not done >> fork.closed & 1:
                mask |= 1 << fork.block
        return mask

    def better_shut(self, done: int) -> int:
        """Mask the openings that would keep a block waiting."""
        mask = 0
        for fork in self.forks:
            if not done >> fork.block & 1:
                mask |= 1 << fork.opened
        return mask

    def path(self, state: State) -> list[tuple[int, int, list[int]]]:
        """Give the moves that led to a state: position, tool and what was done, wave by wave."""
        moves: list[Move] = []
        at: State | None = state
        while at is not None:
            moves.append(at.move)
            at = at.came_from
        path = []
        done, ready = 0, sum(1 << node for node, mask in enumerate(self.earlier) if not mask)
        for move in reversed(moves):
            waves = []
            if move.alone:
                waves.append(move.alone)
                done, ready = self.do_nodes(done, ready, move.alone)
            if self.fares.direct:
                fitting = self.fitting_at(move.position, move.tool)
                while now := self.next_wave(done, ready & fitting):
                    waves.append(now)
                    done, ready = self.do_nodes(done, ready, now)
            path.append((move.position, move.tool, waves))
        return path

    # Searches

    def beam(self, width: int, most: int) -> Found:
        """Keep the best few states of each number of nodes done.

        After `most` moves only the very best of each. The answer's bound says nothing.
        """
        start = self.start()
        layers: list[list[State]] = [[] for _ in range(len(self.earlier) + 1)]
        layers[start.move.done.bit_count()].append(start)
        cheapest: dict[tuple[int, int, int], int] = {}
        moves = 0
        for layer in layers:
            layer.sort(key=_promise)
            kept = 0
            for state in layer:
                done, _, position, tool, *_ = state.move
                if done == self.all_done:
                    return Found(state, 0, moves)
                if cheapest.get((done, position, tool), state.cost) < state.cost:
                    continue
                kept += 1
                if kept > (width if moves < most else 1):
                    break
                for move in self.moves(state):
                    moves += 1
                    if _is_news(move, cheapest):
                        layers[move.done.bit_count()].append(self.arrive(state, move))
            layer.clear()
        return Found(None, 0, moves)

    def best_first(self, below: int, most: int) -> Found:
        """Look for an order cheaper than `below`, and prove what none can beat.

        The answer's bound is the least cost of any order, or `below` when none is cheaper;
        after `most` moves it is what is proven so far.
        """
        start = self.start()
        if start.move.done == self.all_done:
            return Found(start, 0, 0) if below > 0 else Found(None, below, 0)
        heap = [(0, 0, 0, 0, start)]
        cheapest: dict[tuple[int, int, int], int] = {}
        rivals: dict[tuple[int, int], list[Move]] = {}
        best: State | None = None
        pushed = moves = 0
        while heap:
            state = heapq.heappop(heap)[-1]
            if state.bound >= below:
                break
            done, _, position, tool, *_ = state.move
            if cheapest.get((done, position, tool), state.cost) < state.cost:
                continue
            others = rivals.setdefault((position, tool), [])
            if any(self.outdone(state.move, other) for other in others[-ENOUGH_RIVALS:]):
                continue
            if moves >= most:
                return Found(best, state.bound, moves)
            others.append(state.move)
            for move in self.moves(state):
                moves += 1
                if not _is_news(move, cheapest):
                    continue
                then = self.arrive(state, move)
                if then.bound >= below:
                    continue
                if move.done == self.all_done:
                    best, below = then, then.bound
                    continue
                pushed += 1
                heapq.heappush(heap, (then.bound, -move.done.bit_count(), then.late, pushed, then))
        return Found(best, below, moves)

    def outdone(self, move: Move, other: Move) -> bool:
        """Tell whether another move to the same place makes this one superfluous."""
        if (
            move.done & ~other.done
            or other.moved + other.changed > move.moved + move.changed
            or not self.fares.direct
        ):
            return False
        # What the other has open, and a block waits for, this one must have open as well.
        return all(
            move.done >> fork.opened & 1
            for fork in self.forks
            if other.done >> fork.opened & 1
            and not (other.done >> fork.closed & 1 or other.done >> fork.block & 1)
        )


def _promise(state: State) -> tuple[int, int]:
    return state.bound, state.late


def _is_news(move: Move, cheapest: dict[tuple[int, int, int], int]) -> bool:
    """Tell, and take note, whether a move is cheaper than any before to the same end."""
    key = (move.done, move.position, move.tool)
    cost = move.moved + move.changed
    if cheapest.get(key, cost + 1) <= cost:
        return False
    cheapest[key] = cost
    return True
