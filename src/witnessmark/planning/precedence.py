"""Which step of a selection comes before which (V2, V3, V4, S3, S6).

Every arc carries its premises: the choices that make it. Whatever is true of started
openings follows from "their strip came before everything": an arc into such a strip from a
step still to come is a circle of two.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, NamedTuple, TypeVar

from witnessmark.procedure.plan import Saving, Step, StepKind
from witnessmark.procedure.problem import Problem


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


N = TypeVar("N", bound=Hashable)
"""How steps are named: as steps, or inside planning by number."""


class Arc(NamedTuple, Generic[N]):
    """One step that comes before another, and the choices that make it so."""

    before: N
    after: N
    premises: tuple[Premise, ...] = ()


@dataclass(frozen=True, slots=True)
class Precedence(Generic[N]):
    """What a selection says about the order of its steps.

    `steps` are those a plan must hold. `choices` are pairs of arcs, one of which has to
    be kept: a block comes before the strip, or after the refit, of an opening.
    """

    steps: tuple[N, ...]
    arcs: tuple[Arc[N], ...]
    choices: tuple[tuple[Arc[N], Arc[N]], ...]


def arcs(
    problem: Problem,
    ways: Mapping[int, int],
    supporters: Mapping[int, int],
    savings: Sequence[Saving],
) -> Precedence[Step]:
    """Give the precedence among the steps of a selection (V2, V3, V4, S3, S6).

    Strips of started openings are no steps; an arc from one is left out as being true,
    an arc into one becomes a circle of two.

    Raises
    ------
    KeyError
        If a used clear fact has no supporter.
    """
    numbered = numbered_arcs(problem, ways, supporters, savings)
    step: dict[int, Step] = {}
    for a in ways:
        step[strip(a)] = Step(StepKind.STRIP, a)
        step[refit(a)] = Step(StepKind.REFIT, a)
    for k in range(len(problem.blocks)):
        step[2 * len(problem.openings) + k] = Step(StepKind.BLOCK, k)

    def named(arc: Arc[int]) -> Arc[Step]:
        return Arc(step[arc.before], step[arc.after], arc.premises)

    return Precedence(
        tuple([step[number] for number in numbered.steps]),
        tuple([named(arc) for arc in numbered.arcs]),
        tuple([(named(block), named(closing)) for block, closing in numbered.choices]),
    )


def numbered_arcs(
    problem: Problem,
    ways: Mapping[int, int],
    supporters: Mapping[int, int],
    savings: Sequence[Saving],
) -> Precedence[int]:
    """Give the same by number: strips are even, refits odd, blocks come after them."""
    made = _ArcMaker(problem, ways, supporters)
    found = [*made.from_ways(), *made.from_savings(savings), *made.from_blocks()]
    choices = tuple(made.choices())
    started = {strip(a) for a in ways if problem.openings[a].started}
    if started:
        found = [arc for arc in found if arc.before not in started]
        late = [arc for arc in found if arc.after in started]
        found += [Arc(arc.after, arc.before) for arc in late]
    steps = [strip(a) for a in ways if strip(a) not in started] + [refit(a) for a in ways]
    steps += range(2 * len(problem.openings), 2 * len(problem.openings) + len(problem.blocks))
    return Precedence(tuple(steps), tuple(found), choices)


def strip(opening: int) -> int:
    """Give the number of the start of an opening."""
    return 2 * opening


def refit(opening: int) -> int:
    """Give the number of the end of an opening."""
    return 2 * opening + 1


class _ArcMaker:
    """Writes out the arcs of one selection."""

    def __init__(
        self, problem: Problem, ways: Mapping[int, int], supporters: Mapping[int, int]
    ) -> None:
        self.problem = problem
        self.ways = ways
        self.supporters = supporters
        self.first_block = 2 * len(problem.openings)

    def behind(self, fact: int) -> tuple[int, tuple[Premise, ...]]:
        """Give the opening that makes a fact true, and the choice that says so."""
        if not self.problem.is_clear(fact):
            return fact, ()
        supporter = self.supporters[fact]
        return supporter, (Premise(PremiseKind.SUPPORTER, fact, supporter),)

    def from_ways(self) -> Iterator[Arc[int]]:
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
    ) -> Iterator[Arc[int]]:
        """Close a started opening while what it needs, if chosen at all, is still open."""
        for fact in needs:
            if self.problem.is_clear(fact):
                if fact in self.supporters:
                    n, why = self.behind(fact)
                    yield Arc(refit(a), refit(n), chosen + why)
            elif fact in self.ways:
                yield Arc(refit(a), refit(fact), (*chosen, Premise(PremiseKind.PRESENT, fact)))

    def from_savings(self, savings: Sequence[Saving]) -> Iterator[Arc[int]]:
        for saving in savings:
            o, p = saving.opening, saving.removal
            why = (
                Premise(PremiseKind.WAY, o, self.ways[o]),
                Premise(PremiseKind.SAVING, o, p, saving),
            )
            if not (self.problem.openings[o].started and self.problem.openings[p].started):
                yield Arc(strip(p), strip(o), why)
            yield Arc(refit(o), refit(p), why)

    def from_blocks(self) -> Iterator[Arc[int]]:
        for k, block in enumerate(self.problem.blocks):
            step = self.first_block + k
            for fact in block.needs:
                n, why = self.behind(fact)
                yield Arc(strip(n), step, why)
                yield Arc(step, refit(n), why)
            for earlier in block.after:
                yield Arc(self.first_block + earlier, step)
            for b in block.before:
                if b in self.ways and self.problem.openings[b].started:
                    yield Arc(refit(b), step, (Premise(PremiseKind.PRESENT, b),))

    def choices(self) -> Iterator[tuple[Arc[int], Arc[int]]]:
        """Give both sides of each stay a block avoids."""
        for k, block in enumerate(self.problem.blocks):
            step = self.first_block + k
            for b in block.before:
                if b in self.ways and not self.problem.openings[b].started:
                    why = (Premise(PremiseKind.PRESENT, b),)
                    yield Arc(step, strip(b), why), Arc(refit(b), step, why)
