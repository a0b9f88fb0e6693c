"""Whether the chosen openings can be put in an order at all (V5).

With openings, ways, supporters and savings chosen, the rules V2 to V4, S3 and S6 say of
pairs of steps which comes first. These arcs, and for each `before` of a block a choice
between two of them, admit an order if and only if they can be made free of circles. When
they cannot, the answer is the circles, and the premises that make their arcs: the choices
of which at least one has to go.

Whatever is true of started openings follows from "their strip came before everything": an
arc into such a strip from a step still to come is a circle of two.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from witnessmark.planning.ordering_task import Fork, Task, decide
from witnessmark.planning.ordering_task import settle as settle_task
from witnessmark.procedure.plan import Saving, Step, StepKind
from witnessmark.procedure.problem import ANYWHERE, Problem


class PremiseKind(StrEnum):
    """What kind of choice makes an arc."""

    WAY = "way"
    SUPPORTER = "supporter"
    SAVING = "saving"
    PRESENT = "present"
    """The opening is chosen, by whichever way."""


class Premise(NamedTuple):
    """A choice that makes an arc: a way of an opening, a supporter of a clear fact, ...

    `subject` is the opening (or the clear fact), `pick` the way (or the supporter); a
    counted saving is given whole, its `subject` and `pick` are opening and removal.
    """

    kind: PremiseKind
    subject: int
    pick: int = -1
    saving: Saving | None = None


class Arc(NamedTuple):
    """One step that comes before another, and the choices that make it so."""

    before: Step
    after: Step
    premises: tuple[Premise, ...] = ()


@dataclass(frozen=True, slots=True)
class Precedence:
    """What a selection says about the order of its steps.

    `steps` are those a plan must hold. `choices` are pairs of arcs, one of which has to
    be kept: a block comes before the strip, or after the refit, of an opening.
    """

    steps: tuple[Step, ...]
    arcs: tuple[Arc, ...]
    choices: tuple[tuple[Arc, Arc], ...]


@dataclass(frozen=True, slots=True)
class Conflict:
    """Why no order exists: circles of arcs, no choice between arcs breaks them all."""

    cycles: tuple[tuple[Arc, ...], ...]

    @property
    def premises(self) -> tuple[Premise, ...]:
        """The choices that make the circles, each once."""
        return tuple(
            dict.fromkeys(p for cycle in self.cycles for arc in cycle for p in arc.premises)
        )


def strip(opening: int) -> Step:
    """Name the start of an opening."""
    return Step(StepKind.STRIP, opening)


def refit(opening: int) -> Step:
    """Name the end of an opening."""
    return Step(StepKind.REFIT, opening)


def arcs(
    problem: Problem,
    ways: Mapping[int, int],
    supporters: Mapping[int, int],
    savings: Sequence[Saving],
) -> Precedence:
    """Give the precedence among the steps of a selection (V2, V3, V4, S3, S6).

    Strips of started openings are no steps; an arc from one is left out as being true,
    an arc into one becomes a circle of two.

    Raises
    ------
    KeyError
        If a used clear fact has no supporter.
    """
    made = _ArcMaker(problem, ways, supporters)
    found = [*made.from_ways(), *made.from_savings(savings), *made.from_blocks()]
    choices = tuple(made.choices())
    started = {a for a in ways if problem.openings[a].started}
    kept = [arc for arc in found if not _at_zero(arc.before, started)]
    late = [arc for arc in kept if _at_zero(arc.after, started)]
    kept += [Arc(arc.after, arc.before) for arc in late]
    steps = [strip(a) for a in ways if a not in started] + [refit(a) for a in ways]
    steps += [Step(StepKind.BLOCK, k) for k in range(len(problem.blocks))]
    return Precedence(tuple(steps), tuple(kept), choices)


def _at_zero(step: Step, started: set[int]) -> bool:
    return step.index in started and step.kind is StepKind.STRIP


class _ArcMaker:
    """Writes out the arcs of one selection."""

    def __init__(
        self, problem: Problem, ways: Mapping[int, int], supporters: Mapping[int, int]
    ) -> None:
        self.problem = problem
        self.ways = ways
        self.supporters = supporters

    def behind(self, fact: int) -> tuple[int, tuple[Premise, ...]]:
        """Give the opening that makes a fact true, and the choice that says so."""
        if not self.problem.is_clear(fact):
            return fact, ()
        supporter = self.supporters[fact]
        return supporter, (Premise(PremiseKind.SUPPORTER, fact, supporter),)

    def from_ways(self) -> Iterator[Arc]:
        for a, w in self.ways.items():
            yield Arc(strip(a), refit(a))
            way = self.problem.openings[a].ways[w]
            chosen = (Premise(PremiseKind.WAY, a, w),)
            if self.problem.openings[a].started:
                yield from self._kept_needs(a, way.needs, chosen)
            else:
                for fact in way.needs:
                    n, why = self.behind(fact)
                    yield Arc(strip(n), strip(a), chosen + why)
                    yield Arc(refit(a), refit(n), chosen + why)
                for fact in way.strip_needs:
                    n, why = self.behind(fact)
                    yield Arc(strip(n), strip(a), chosen + why)
                    yield Arc(strip(a), refit(n), chosen + why)
            for fact in way.refit_needs:
                f, why = self.behind(fact)
                yield Arc(strip(f), refit(a), chosen + why)
                yield Arc(refit(a), refit(f), chosen + why)
            for b in way.while_fitted:
                if b in self.ways:
                    why = (*chosen, Premise(PremiseKind.PRESENT, b))
                    if not (self.problem.openings[a].started and self.problem.openings[b].started):
                        yield Arc(strip(a), strip(b), why)
                    yield Arc(refit(b), refit(a), why)

    def _kept_needs(
        self, a: int, needs: tuple[int, ...], chosen: tuple[Premise, ...]
    ) -> Iterator[Arc]:
        """Close a started opening while what it needs, if chosen at all, is still open."""
        for fact in needs:
            if self.problem.is_clear(fact):
                if fact in self.supporters:
                    n, why = self.behind(fact)
                    yield Arc(refit(a), refit(n), chosen + why)
            elif fact in self.ways:
                yield Arc(refit(a), refit(fact), (*chosen, Premise(PremiseKind.PRESENT, fact)))

    def from_savings(self, savings: Sequence[Saving]) -> Iterator[Arc]:
        for saving in savings:
            o, p = saving.opening, saving.removal
            why = (
                Premise(PremiseKind.WAY, o, self.ways[o]),
                Premise(PremiseKind.SAVING, o, p, saving),
            )
            if not (self.problem.openings[o].started and self.problem.openings[p].started):
                yield Arc(strip(p), strip(o), why)
            yield Arc(refit(o), refit(p), why)

    def from_blocks(self) -> Iterator[Arc]:
        for k, block in enumerate(self.problem.blocks):
            step = Step(StepKind.BLOCK, k)
            for fact in block.needs:
                n, why = self.behind(fact)
                yield Arc(strip(n), step, why)
                yield Arc(step, refit(n), why)
            for earlier in block.after:
                yield Arc(Step(StepKind.BLOCK, earlier), step)
            for b in block.before:
                if b in self.ways and self.problem.openings[b].started:
                    yield Arc(refit(b), step, (Premise(PremiseKind.PRESENT, b),))

    def choices(self) -> Iterator[tuple[Arc, Arc]]:
        """Give both sides of each stay a block avoids."""
        for k, block in enumerate(self.problem.blocks):
            step = Step(StepKind.BLOCK, k)
            for b in block.before:
                if b in self.ways and not self.problem.openings[b].started:
                    why = (Premise(PremiseKind.PRESENT, b),)
                    yield Arc(step, strip(b), why), Arc(refit(b), step, why)


def find_cycle(
    found: Sequence[Arc], fixed: frozenset[Premise] = frozenset()
) -> tuple[Arc, ...] | None:
    """Find a circle among arcs, in order; None when they can all be kept.

    Of the shortest circles through each step the one with the fewest premises that are
    not `fixed` is given, then the shortest, then the first: few premises mean few
    branches, and a short circle is easy to tell.
    """
    out = _left_in_circles(found)
    best: tuple[Arc, ...] | None = None
    best_rank = (0, 0)
    for step in out:
        cycle = _shortest_through(step, out)
        if cycle is None:
            continue
        rank = (len({p for arc in cycle for p in arc.premises} - fixed), len(cycle))
        if best is None or rank < best_rank:
            best, best_rank = cycle, rank
    return best


def _left_in_circles(found: Sequence[Arc]) -> dict[Step, list[Arc]]:
    """Peel off all steps nothing left comes before; what remains leads into circles."""
    out: dict[Step, list[Arc]] = {}
    waiting: dict[Step, int] = {}
    for arc in found:
        out.setdefault(arc.before, []).append(arc)
        waiting.setdefault(arc.before, 0)
        waiting[arc.after] = waiting.get(arc.after, 0) + 1
    ready = [step for step, count in waiting.items() if not count]
    while ready:
        for arc in out.pop(ready.pop(), ()):
            waiting[arc.after] -= 1
            if not waiting[arc.after]:
                ready.append(arc.after)
    return out


def _shortest_through(step: Step, out: Mapping[Step, list[Arc]]) -> tuple[Arc, ...] | None:
    """Give a shortest circle through a step, by breadth-first search."""
    came: dict[Step, Arc] = {}
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


def _walk_back(step: Step, came: Mapping[Step, Arc]) -> tuple[Arc, ...]:
    cycle = [came[step]]
    while cycle[-1].before != step:
        cycle.append(came[cycle[-1].before])
    return tuple(reversed(cycle))


def settle(
    precedence: Precedence, fixed: frozenset[Premise] = frozenset()
) -> tuple[Arc, ...] | Conflict:
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
    return _choose_sides(precedence.arcs, precedence.choices, fixed)


def _sides_found(precedence: Precedence) -> list[Arc] | None:
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


def _choose_sides(
    kept: tuple[Arc, ...], choices: Sequence[tuple[Arc, Arc]], fixed: frozenset[Premise]
) -> tuple[Arc, ...] | Conflict:
    """Settle choices one by one, those that leave one side first; go back where needed."""
    if not choices:
        return kept
    tried: list[tuple[int, list[tuple[Arc, ...]]]] = []
    for number, choice in enumerate(choices):
        barred = [cycle for arc in choice if (cycle := _closing_circle(arc, kept))]
        if len(barred) == len(choice):
            return Conflict(tuple(barred))
        tried.append((number, barred))
    number, barred = max(tried, key=lambda entry: len(entry[1]))
    rest = [choice for other, choice in enumerate(choices) if other != number]
    circles = list(barred)
    for arc in choices[number]:
        if any(arc in cycle for cycle in barred):
            continue
        settled = _choose_sides((*kept, arc), rest, fixed)
        if not isinstance(settled, Conflict):
            return settled
        if all(arc not in cycle for cycle in settled.cycles):
            return settled
        circles += settled.cycles
    return Conflict(tuple(dict.fromkeys(circles)))


def _closing_circle(arc: Arc, kept: Sequence[Arc]) -> tuple[Arc, ...] | None:
    """Give the circle one more arc would close, if any."""
    out: dict[Step, list[Arc]] = {}
    for other in (*kept, arc):
        out.setdefault(other.before, []).append(other)
    came: dict[Step, Arc] = {}
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


def _circle(arc: Arc, came: Mapping[Step, Arc]) -> tuple[Arc, ...]:
    cycle: list[Arc] = []
    here = arc.before
    while here != arc.after:
        cycle.append(came[here])
        here = came[here].before
    return (arc, *reversed(cycle))
