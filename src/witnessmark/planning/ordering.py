"""Put the steps of a selection in the order with the least change-overs.

`orders_of` gives all the ways the chosen openings, closings and blocks can be put in order,
as one object that can be asked for a bound and for the best order found with a given
effort.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from witnessmark.planning.ordering_bounds import Fares, fares_of
from witnessmark.planning.ordering_reading import Line, arrange
from witnessmark.planning.ordering_reduction import Reduced, reduce_task
from witnessmark.planning.ordering_search import Sequencer, State
from witnessmark.planning.ordering_task import Fork, Task, decide, members, narrow, settle
from witnessmark.planning.precedence import Precedence, numbered_arcs
from witnessmark.planning.work import Meter
from witnessmark.procedure.plan import Plan, Saving, Step, StepKind, changeover_cost, place_of
from witnessmark.procedure.problem import ANYWHERE, Changeovers, Problem

UNITS_PER_MOVE = 10
"""Work units for looking at one move: about as long as ten ways looked at."""


FEW_NODES = 50
"""A task of so few nodes is small: it is worth trying harder to prove its best order."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to look for a better order, and for a proof that there is none."""

    width: int
    """So many states are kept for each number of steps done."""
    proof: int
    """So many moves may be looked at for the proof."""
    small_proof: int = 0
    """So many for the proof of a small task, if more."""

    def proof_of(self, nodes: int) -> int:
        """Give how many moves may be looked at for a task of so many nodes."""
        return max(self.proof, self.small_proof) if nodes <= FEW_NODES else self.proof


SKETCH = Effort(width=1, proof=0)
USUAL = Effort(width=4, proof=2_500, small_proof=12_000)
THOROUGH = Effort(width=8, proof=400_000)


@dataclass(frozen=True, slots=True)
class Ordering:
    """Steps in order, their change-overs, and what no order of the same steps can beat."""

    steps: tuple[Step, ...]
    cost: int
    bound: int

    @property
    def proven(self) -> bool:
        """Whether no order of these steps has less change-over."""
        return self.bound >= self.cost


def orders_of(
    problem: Problem,
    ways: Mapping[int, int],
    supporters: Mapping[int, int],
    savings: Sequence[Saving],
) -> Orders | None:
    """Give all orders of a selection; None when its steps stand in a circle."""
    precedence = numbered_arcs(problem, ways, supporters, savings)
    steps = tuple(_step(problem, number) for number in precedence.steps)
    choices = Plan(ways, supporters, tuple(savings))
    task = _task_of(precedence, [place_of(problem, choices, step) for step in steps])
    settled = None if task is None else settle(task)
    return None if settled is None else Orders(problem, choices, steps, settled)


def _step(problem: Problem, number: int) -> Step:
    """Give the step behind a number: strips are even, refits odd, blocks come after them."""
    block = number - 2 * len(problem.openings)
    if block >= 0:
        return Step(StepKind.BLOCK, block)
    return Step(StepKind.REFIT if number % 2 else StepKind.STRIP, number // 2)


def _task_of(precedence: Precedence[int], places: Sequence[tuple[int, int]]) -> Task | None:
    """Turn steps into nodes; None when something would have to come before the start."""
    number = {step: i for i, step in enumerate(precedence.steps)}
    before = [0] * len(number)
    for arc in precedence.arcs:
        if arc.before not in number or arc.after not in number:
            return None  # the circle that stands for "before what is open already"
        before[number[arc.after]] |= 1 << number[arc.before]
    forks = tuple(
        Fork(number[block.before], number[block.after], number[closing.before])
        for block, closing in precedence.choices
    )
    return Task(
        positions=tuple(position for position, _ in places),
        tools=tuple(tool for _, tool in places),
        earlier=tuple(before),
        forks=forks,
    )


class Orders:
    """All orders of one selection's steps.

    Parameters
    ----------
    problem : Problem
        What is planned.
    choices : Plan
        Ways, supporters and savings; its steps are not looked at.
    steps : tuple[Step, ...]
        What is to be put in order.
    task : Task
        The same as nodes, precedence closed and forks settled as far as they can be.
    """

    def __init__(
        self, problem: Problem, choices: Plan, steps: tuple[Step, ...], task: Task
    ) -> None:
        self.problem = problem
        self.choices = choices
        self.steps = steps
        self.task = task
        self.fares = fares_of(problem.changeovers)
        self.refits = [step.kind is StepKind.REFIT for step in steps]
        self.number = {step: i for i, step in enumerate(steps)}

    def with_saving(self, saving: Saving) -> Orders | None:
        """Give the orders in which one saving more counts; None when there are none."""
        opening, removal = saving.opening, saving.removal
        arcs = [
            (self.number[first], self.number[then])
            for first, then in (
                (Step(StepKind.STRIP, removal), Step(StepKind.STRIP, opening)),
                (Step(StepKind.REFIT, opening), Step(StepKind.REFIT, removal)),
            )
            # The strip of what is started is no step; it was first anyway.
            if first in self.number and then in self.number
        ]
        task = narrow(self.task, arcs)
        if task is None:
            return None
        choices = replace(self.choices, savings=(*self.choices.savings, saving))
        return Orders(self.problem, choices, self.steps, task)

    @cached_property
    def search(self) -> _Search:
        """The search over all orders."""
        return _Search(self.task, self.fares, self.problem.changeovers, self.refits)

    @cached_property
    def bound(self) -> int:
        """What no order can beat, at first glance."""
        return self.search.bound()

    def glance(self, meter: Meter) -> int | None:
        """Give the change-overs of an order found quickly; None when that fails."""
        state = self.search.sketch(meter, 1)
        return None if state is None else state.cost

    def best(self, meter: Meter, effort: Effort, below: int | None = None) -> Ordering | None:
        """Give the best order found with so much effort; None when there is no order.

        With `below`, None when it is proven that no order costs less than that.
        """
        bound = self.bound
        if below is not None and bound >= below:
            return None
        sketch = self._sketch(meter, effort.width)
        if sketch is None:
            return None
        search, state = sketch
        most = effort.proof_of(len(self.search.reduced.task))
        if most and state.cost > bound:
            self.search.learn_from_shadow(meter, most // 2)
            limit = state.cost if below is None else min(state.cost, below)
            better, bound = self.search.prove(limit, meter, most)
            if better is not None:
                search, state = self.search, better
        if below is not None and bound >= below:
            return None
        return self._written(search, state, bound)

    def _sketch(self, meter: Meter, width: int) -> tuple[_Search, State] | None:
        """Find an order by keeping the best few states; decide forks first if need be."""
        state = self.search.sketch(meter, width)
        if state is not None:
            return self.search, state
        decided = decide(self.task)
        if decided is None:
            return None
        search = _Search(decided, self.fares, self.problem.changeovers, self.refits)
        state = search.sketch(meter, width)
        assert state is not None, "steps without circles and forks have an order"
        return search, state

    def _written(self, search: _Search, state: State, bound: int) -> Ordering:
        """Write the order found so that it reads well, if that costs no more."""
        moves = search.sequencer.path(state)
        ranks = search.ranks(self.task, moves)
        task = _decided_as(self.task, ranks)
        lines = [Line(step.kind, step.index) for step in self.steps]
        plain = sorted(ranks, key=lambda n: (ranks[n], task.earlier[n].bit_count(), n))
        arranged = arrange(task, lines, [(position, tool) for position, tool, _ in moves])
        written = [tuple(self.steps[node] for node in nodes) for nodes in (arranged, plain)]
        cost, steps = min(
            ((changeover_cost(self.problem, replace(self.choices, steps=s)), s) for s in written),
            key=lambda each: each[0],
        )
        return Ordering(steps, cost, min(bound, cost))


def least_changeovers(
    task: Task, refits: Sequence[bool], changeovers: Changeovers, meter: Meter, effort: Effort
) -> int:
    """Give change-overs no order of a task can beat."""
    search = _Search(task, fares_of(changeovers), changeovers, refits)
    sketch = search.sketch(meter, effort.width)
    bound = search.bound()
    if sketch is None or sketch.cost == bound:
        return bound
    most = effort.proof_of(len(search.reduced.task))
    search.learn_from_shadow(meter, most // 2)
    _, proven = search.prove(sketch.cost, meter, most)
    return max(bound, proven)


class _Search:
    """A task made smaller, and the search for its best order."""

    def __init__(
        self, task: Task, fares: Fares, changeovers: Changeovers, refits: Sequence[bool]
    ) -> None:
        self.task = task
        self.fares = fares
        self.changeovers = changeovers
        self.refits = refits
        self.reduced: Reduced = reduce_task(task, merge=fares.direct)
        late = sum(1 << i for i, ns in enumerate(self.reduced.stands_for) if refits[ns[0]])
        self.sequencer = Sequencer(self.reduced.task, fares, changeovers.matrix, late)
        self.sketches: dict[int, State | None] = {}

    def bound(self) -> int:
        return self.sequencer.start().bound

    def sketch(self, meter: Meter, width: int) -> State | None:
        """Find an order by keeping the best few states, or the best one where that does better."""
        for each in sorted({1, width} - self.sketches.keys()):
            found = self.sequencer.beam(each, _affordable(meter))
            meter.used += found.moves * UNITS_PER_MOVE
            self.sketches[each] = found.state
        states = [self.sketches[each] for each in (1, width)]
        return min(
            (state for state in states if state is not None),
            key=lambda state: state.cost,
            default=None,
        )

    def prove(self, below: int, meter: Meter, most: int) -> tuple[State | None, int]:
        """Look for an order cheaper than `below`; give also what none can beat."""
        found = self.sequencer.best_first(below, min(most, _affordable(meter)))
        meter.used += found.moves * UNITS_PER_MOVE
        return found.state, found.bound

    def learn_from_shadow(self, meter: Meter, most: int) -> None:
        """Find what going from position to position costs at least, whatever is in the hand."""
        task = self.reduced.task
        shadow = _Search(
            replace(task, tools=(ANYWHERE,) * len(task)),
            replace(self.fares, tool_change=0),
            replace(self.changeovers, tool_change=0),
            [self.refits[nodes[0]] for nodes in self.reduced.stands_for],
        )
        sketch = shadow.sketch(meter, 1)
        if sketch is not None:
            _, least = shadow.prove(sketch.cost, meter, most)
            self.sequencer.least_moved = least

    def ranks(
        self, task: Task, moves: Sequence[tuple[int, int, list[int]]]
    ) -> dict[int, tuple[int, int]]:
        """Say of every node of the whole task when it is done: move, then turn within it."""
        ranks: dict[int, tuple[int, int]] = {}
        home = len(self.reduced.task)
        for number, (_, _, waves) in enumerate(moves):
            hosts = [host for wave in waves for host in members(wave) if host != home]
            nodes = [node for host in hosts for node in self.reduced.stands_for[host]]
            ranks.update((node, (number, turn)) for turn, node in enumerate(nodes))
        free = [node for node in range(len(task)) if node not in ranks]
        for node in sorted(free, key=lambda n: task.earlier[n].bit_count()):
            ranks[node] = max((ranks[n] for n in members(task.earlier[node])), default=(0, -1))
        return ranks


def _decided_as(task: Task, ranks: Mapping[int, tuple[int, int]]) -> Task:
    """Decide the forks of a task the way an order has them."""
    decided = narrow(
        task,
        (
            (fork.block, fork.opened)
            if ranks[fork.block] < ranks[fork.opened]
            else (fork.closed, fork.block)
            for fork in task.forks
        ),
    )
    assert decided is not None, "an order found has no circles"
    return decided


def _affordable(meter: Meter) -> int:
    """Give how many moves the budget still allows."""
    return max(0, meter.budget - meter.used) // UNITS_PER_MOVE
