"""What a problem demands, one thing at a time, and what is left when only some is demanded.

A demand is what a plan could be spared: a goal, one need of one way, a trouble mark, an
ask, that an opening is open already. Dropping demands never takes a plan away.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from witnessmark.procedure.problem import Block, Clear, Opening, Problem, Way


class CauseKind(StrEnum):
    """What stands in the way."""

    WANTED = "wanted"
    """A goal: `fact` has to be open."""
    DEAD_WAY = "dead way"
    """`way` of `opening` needs `fact`, which can never be open."""
    CYCLE = "waits in a circle"
    """`way` of `opening` needs `fact` open, and takes part in a circle."""
    FITTED = "while fitted"
    """`way` of `opening` is for while `fact` is still fitted."""
    TROUBLE = "trouble mark"
    """`way` of `opening` is struck out here."""
    STARTED = "open already"
    """`opening` was open when the visit began."""
    ASK = "asks for"
    """Who opens `opening` must open `fact` too."""
    BLOCK = "block needs"
    """`block` is done while `fact` is open."""
    BLOCK_BEFORE = "block before"
    """`block` is done while `opening` is fitted."""
    BLOCK_AFTER = "block after"
    """`block` comes after block number `other`."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One demand; which fields say what depends on its kind. Others are None."""

    kind: CauseKind
    opening: int | None = None
    way: int | None = None
    fact: int | None = None
    block: int | None = None
    other: int | None = None


def root_demands(problem: Problem) -> Iterator[Cause]:
    """Give the demands that make a plan hold anything at all."""
    for goal in problem.goals:
        yield Cause(CauseKind.WANTED, fact=goal)
    for k, block in enumerate(problem.blocks):
        for n in block.needs:
            yield Cause(CauseKind.BLOCK, fact=n, block=k)
        for b in block.before:
            yield Cause(CauseKind.BLOCK_BEFORE, opening=b, block=k)
        for j in block.after:
            yield Cause(CauseKind.BLOCK_AFTER, block=k, other=j)
    for a, opening in enumerate(problem.openings):
        if opening.started:
            yield Cause(CauseKind.STARTED, opening=a)


def demands_of_opening(
    problem: Problem, a: int, bans: frozenset[tuple[int, int]]
) -> Iterator[Cause]:
    """Give what a plan with an opening has to meet for its sake."""
    for w, way in enumerate(problem.openings[a].ways):
        for fact in (*way.needs, *way.strip_needs, *way.refit_needs):
            yield Cause(CauseKind.CYCLE, opening=a, way=w, fact=fact)
        for b in way.while_fitted:
            yield Cause(CauseKind.FITTED, opening=a, way=w, fact=b)
        if (a, w) in bans:
            yield Cause(CauseKind.TROUBLE, opening=a, way=w)
    for asking, asked in problem.asks:
        if asking == a:
            yield Cause(CauseKind.ASK, opening=a, fact=asked)


def narrowed(
    problem: Problem, causes: Iterable[Cause]
) -> tuple[Problem, list[int], frozenset[tuple[int, int]]]:
    """Give the problem in which only some demands are made; nothing in it costs anything.

    Returns
    -------
    tuple[Problem, list[int], frozenset[tuple[int, int]]]
        The problem, which has no more openings than it must; the number each of them had;
        and the ways struck out, in new numbers.
    """
    return _Narrowed(problem, set(causes)).result()


class _Narrowed:
    def __init__(self, problem: Problem, made: set[Cause]) -> None:
        self.problem = problem
        self.made = made
        facts = {fact for cause in made for fact in (cause.opening, cause.fact) if fact is not None}
        self.clears = sorted(fact for fact in facts if problem.is_clear(fact))
        openings = {fact for fact in facts if not problem.is_clear(fact)}
        for fact in self.clears:
            openings.update(problem.clear(fact).supporters)
        self.openings = sorted(openings)
        self.number = {fact: n for n, fact in enumerate((*self.openings, *self.clears))}

    def result(self) -> tuple[Problem, list[int], frozenset[tuple[int, int]]]:
        asks = [(c.opening, c.fact) for c in self.made if c.kind is CauseKind.ASK]
        struck = [(c.opening, c.way) for c in self.made if c.kind is CauseKind.TROUBLE]
        part = Problem(
            openings=tuple(self.opening(a) for a in self.openings),
            clears=tuple(self.clear(fact) for fact in self.clears),
            goals=tuple(
                self.number[g]
                for g in self.problem.goals
                if Cause(CauseKind.WANTED, fact=g) in self.made
            ),
            asks=tuple(
                sorted(
                    (self.number[a], self.number[b])
                    for a, b in asks
                    if a is not None
                    if b is not None
                )
            ),
            blocks=tuple(self.block(k, block) for k, block in enumerate(self.problem.blocks)),
        )
        bans = frozenset((self.number[a], w) for a, w in struck if a is not None if w is not None)
        return part, self.openings, bans

    def clear(self, fact: int) -> Clear:
        clear = self.problem.clear(fact)
        return replace(clear, supporters=tuple(self.number[p] for p in clear.supporters))

    def opening(self, a: int) -> Opening:
        """Give an opening with what is demanded of it; if "open already" is not, nothing is."""
        opening = self.problem.openings[a]
        if opening.started and Cause(CauseKind.STARTED, opening=a) not in self.made:
            return Opening(opening.id, tuple(Way(way.id, 0, 0) for way in opening.ways))
        ways = tuple(self.way(a, w, way) for w, way in enumerate(opening.ways))
        return replace(opening, ways=ways, below=None)

    def way(self, a: int, w: int, way: Way) -> Way:
        def kept(kind: CauseKind, facts: tuple[int, ...]) -> tuple[int, ...]:
            return tuple(
                self.number[f] for f in facts if Cause(kind, opening=a, way=w, fact=f) in self.made
            )

        return Way(
            way.id,
            0,
            0,
            needs=kept(CauseKind.CYCLE, way.needs),
            while_fitted=kept(CauseKind.FITTED, way.while_fitted),
            strip_needs=kept(CauseKind.CYCLE, way.strip_needs),
            refit_needs=kept(CauseKind.CYCLE, way.refit_needs),
        )

    def block(self, k: int, block: Block) -> Block:
        number = self.number
        made = self.made
        return Block(
            block.id,
            0,
            needs=tuple(
                number[n] for n in block.needs if Cause(CauseKind.BLOCK, fact=n, block=k) in made
            ),
            before=tuple(
                number[b]
                for b in block.before
                if Cause(CauseKind.BLOCK_BEFORE, opening=b, block=k) in made
            ),
            after=tuple(
                j for j in block.after if Cause(CauseKind.BLOCK_AFTER, block=k, other=j) in made
            ),
        )
