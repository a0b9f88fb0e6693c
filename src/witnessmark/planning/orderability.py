"""Whether the chosen openings can be put in an order at all (V5).

The arcs of a selection, and for each `before` of a block a choice between two of them,
admit an order if and only if they can be made free of circles. When they cannot, the answer
is the circles, and the premises that make their arcs: the choices of which at least one has
to go.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Generic

from witnessmark.planning.ordering_task import Fork, Task, decide
from witnessmark.planning.ordering_task import settle as settle_task
from witnessmark.planning.precedence import Arc, N, Precedence, Premise, PremiseKind, arcs
from witnessmark.procedure.problem import ANYWHERE

__all__ = ["Arc", "Conflict", "Precedence", "arcs", "find_cycle", "settle"]

MOST_STARTS = 24
"""A short circle is looked for from so many steps, from more only while none is found."""


@dataclass(frozen=True, slots=True)
class Conflict(Generic[N]):
    """Why no order exists: circles of arcs, no choice between arcs breaks them all."""

    cycles: tuple[tuple[Arc[N], ...], ...]

    @property
    def premises(self) -> tuple[Premise, ...]:
        """The choices that make the circles, each once."""
        return tuple(
            dict.fromkeys(p for cycle in self.cycles for arc in cycle for p in arc.premises)
        )


def find_cycle(
    found: Sequence[Arc[N]], fixed: frozenset[Premise] = frozenset()
) -> tuple[Arc[N], ...] | None:
    """Find a circle among arcs, in order; None when they can all be kept.

    Of the shortest circles through some steps the one with the fewest premises that are
    not `fixed` is given, then the shortest, then the first: few premises mean few
    branches, and a short circle is easy to tell.
    """
    out = _left_in_circles(found)
    best: tuple[Arc[N], ...] | None = None
    best_rank = (0, 0)
    for tried, step in enumerate(_rare_first(out)):
        if best is not None and tried >= MOST_STARTS:
            break
        cycle = _shortest_through(step, out)
        if cycle is None:
            continue
        rank = (len({p for arc in cycle for p in arc.premises} - fixed), len(cycle))
        if best is None or rank < best_rank:
            best, best_rank = cycle, rank
    return best


def _left_in_circles(found: Sequence[Arc[N]]) -> dict[N, list[Arc[N]]]:
    """Peel off what nothing left comes before, and what comes before nothing left."""
    left = _peeled(found, itemgetter(0), itemgetter(1))
    if left:
        left = _peeled(left, itemgetter(1), itemgetter(0))
    out: dict[N, list[Arc[N]]] = {}
    for arc in left:
        out.setdefault(arc.before, []).append(arc)
    return out


def _peeled(
    found: Sequence[Arc[N]], tail: Callable[[Arc[N]], N], head: Callable[[Arc[N]], N]
) -> list[Arc[N]]:
    """Peel off arcs from one side, as long as a step is the head of none."""
    waiting: dict[N, int] = {}
    out: dict[N, list[Arc[N]]] = {}
    for arc in found:
        waiting[head(arc)] = waiting.get(head(arc), 0) + 1
        out.setdefault(tail(arc), []).append(arc)
    ready = [step for step in out if step not in waiting]
    for step in ready:
        for arc in out.pop(step, ()):
            waiting[head(arc)] -= 1
            if not waiting[head(arc)]:
                ready.append(head(arc))
    return [arc for left in out.values() for arc in left]


def _rare_first(out: Mapping[N, list[Arc[N]]]) -> list[N]:
    """Sort steps so that those of rare arcs come first.

    Needs alone seldom make a circle (R has none of most kinds), so most circles pass an
    arc that some opening's being chosen makes.
    """
    rare = {
        step: None
        for step, leaving in out.items()
        if any(p.kind is PremiseKind.PRESENT for arc in leaving for p in arc.premises)
    }
    return [*rare, *(step for step in out if step not in rare)]


def _shortest_through(step: N, out: Mapping[N, list[Arc[N]]]) -> tuple[Arc[N], ...] | None:
    """Give a shortest circle through a step, by breadth-first search."""
    came: dict[N, Arc[N]] = {}
    queue = [step]
    for here in queue:
        for arc in out.get(here, ()):
            if arc.after in came:
                continue
            came[arc.after] = arc
            if arc.after == step:
                return _walk_back(step, came)
            queue.append(arc.after)
    return None


def _walk_back(step: N, came: Mapping[N, Arc[N]]) -> tuple[Arc[N], ...]:
    cycle = [came[step]]
    while cycle[-1].before != step:
        cycle.append(came[cycle[-1].before])
    return tuple(reversed(cycle))


def settle(
    precedence: Precedence[N], fixed: frozenset[Premise] = frozenset()
) -> tuple[Arc[N], ...] | Conflict[N]:
    """Choose a side for each block so that an order exists; or say why there is none.

    Returns
    -------
    tuple[Arc, ...] | Conflict
        Arcs free of circles (those given and the sides chosen), or the circles of every
        combination of sides that was tried.
    """
    cycle = find_cycle(precedence.arcs, fixed)
    if cycle is not None:
        return Conflict((cycle,))
    if not precedence.choices:
        return precedence.arcs
    sides = _sides_found(precedence)
    if sides is not None:
        return (*precedence.arcs, *sides)
    return Conflict(tuple(dict.fromkeys(_clashes(precedence.arcs, precedence.choices))))


def _sides_found(precedence: Precedence[N]) -> list[Arc[N]] | None:
    """Find sides without circles quickly; None when there are none, without saying why."""
    number = {step: i for i, step in enumerate(precedence.steps)}
    before = [0] * len(number)
    for arc in precedence.arcs:
        before[number[arc.after]] |= 1 << number[arc.before]
    forks = [
        Fork(number[block.before], number[block.after], number[closing.before])
        for block, closing in precedence.choices
    ]
    anywhere = (ANYWHERE,) * len(number)
    settled = settle_task(Task(anywhere, anywhere, tuple(before), tuple(forks)))
    decided = decide(settled) if settled is not None else None
    if decided is None:
        return None
    return [
        block if decided.earlier[fork.opened] >> fork.block & 1 else closing
        for fork, (block, closing) in zip(forks, precedence.choices, strict=True)
    ]


def _clashes(
    kept: tuple[Arc[N], ...], choices: Sequence[tuple[Arc[N], Arc[N]]]
) -> list[tuple[Arc[N], ...]]:
    """Give circles that rule out every combination of sides, where none is possible.

    Choices with fewer sides left are decided first; circles that have nothing to do with
    the side just chosen rule out the other side too.
    """
    barred: list[list[tuple[Arc[N], ...]]] = []
    for choice in choices:
        barred.append([cycle for arc in choice if (cycle := _closing_circle(arc, kept))])
        if len(barred[-1]) == len(choice):
            return barred[-1]
    at = max(range(len(choices)), key=lambda number: len(barred[number]))
    rest = [choice for number, choice in enumerate(choices) if number != at]
    circles = list(barred[at])
    for arc in choices[at]:
        if not any(arc in cycle for cycle in barred[at]):
            deeper = _clashes((*kept, arc), rest)
            if all(arc not in cycle for cycle in deeper):
                return deeper
            circles += deeper
    return circles


def _closing_circle(arc: Arc[N], kept: Sequence[Arc[N]]) -> tuple[Arc[N], ...] | None:
    """Give the circle one more arc would close, if any."""
    out: dict[N, list[Arc[N]]] = {}
    for other in (*kept, arc):
        out.setdefault(other.before, []).append(other)
    came: dict[N, Arc[N]] = {}
    came[arc.after] = arc
    queue = [arc.after]
    for here in queue:
        if here == arc.before:
            return _circle(arc, came)
        for step in out.get(here, ()):
            if step.after not in came:
                came[step.after] = step
                queue.append(step.after)
    return None


def _circle(arc: Arc[N], came: Mapping[N, Arc[N]]) -> tuple[Arc[N], ...]:
    cycle: list[Arc[N]] = []
    here = arc.before
    while here != arc.after:
        cycle.append(came[here])
        here = came[here].before
    return (arc, *reversed(cycle))
