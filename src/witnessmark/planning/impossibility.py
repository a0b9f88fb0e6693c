"""Why nothing will do: an irreducible set of causes (P7).

A cause is one thing the machine, the works or the state demand. All causes of the set
together leave no plan; take any one of them away and there is one. Sets are not claimed
to be the smallest.

The set is grown before it is cut down: with no demands at all a plan is easily found;
what it breaks is demanded from then on, until nothing is left. So only what has to do with
the failure is ever looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from witnessmark.planning.work import OutOfWorkUnits
from witnessmark.procedure.problem import Block, Opening, Problem, Way


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


Choice = Mapping[int, int]
"""The ways of a plan, by opening."""

Solver = Callable[[Problem, frozenset[tuple[int, int]]], Choice | None]
"""Finds any plan of a problem with some ways struck out; None proves that there is none."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why there is no plan; `irreducible` if each cause was shown to be needed."""

    causes: tuple[Cause, ...]
    irreducible: bool


def irreducible_causes(
    problem: Problem, bans: frozenset[tuple[int, int]], solve: Solver
) -> Explanation:
    """Give a set of causes that together leave no plan, none of which can be spared.

    Parameters
    ----------
    problem : Problem
        A problem without a plan.
    bans : frozenset[tuple[int, int]]
        Ways struck out by trouble marks.
    solve : Solver
        Finds a plan or proves that there is none; it may run out of work units.

    Notes
    -----
    Sparing an "open already" means that the opening makes no demands at all.
    """
    demands = _Demands(problem, bans, solve)
    try:
        causes = demands.grow()
    except OutOfWorkUnits:
        return Explanation((), irreducible=False)
    causes, _ = demands.spare(causes, demands.group_of)
    causes, irreducible = demands.spare(causes, lambda cause: cause)
    return Explanation(tuple(_named(problem, causes)), irreducible)


class _Demands:
    """All demands of a problem, and what is left of it when only some are made."""

    def __init__(self, problem: Problem, bans: frozenset[tuple[int, int]], solve: Solver) -> None:
        self.problem = problem
        self.bans = bans
        self.solve = solve

    def wanted(self) -> list[Cause]:
        """Give the demands that make a plan hold anything."""
        found = [Cause(CauseKind.WANTED, fact=goal) for goal in self.problem.goals]
        for k, block in enumerate(self.problem.blocks):
            found += [Cause(CauseKind.BLOCK, fact=n, block=k) for n in block.needs]
            found += [Cause(CauseKind.BLOCK_BEFORE, opening=b, block=k) for b in block.before]
            found += [Cause(CauseKind.BLOCK_AFTER, block=k, other=j) for j in block.after]
        found += [
            Cause(CauseKind.STARTED, opening=a)
            for a, opening in enumerate(self.problem.openings)
            if opening.started
        ]
        return list(dict.fromkeys(found))

    def of_opening(self, a: int) -> Iterator[Cause]:
        """Give what the ways of an opening demand."""
        for w, way in enumerate(self.problem.openings[a].ways):
            for fact in dict.fromkeys((*way.needs, *way.strip_needs, *way.refit_needs)):
                yield Cause(CauseKind.CYCLE, opening=a, way=w, fact=fact)
            for b in dict.fromkeys(way.while_fitted):
                yield Cause(CauseKind.FITTED, opening=a, way=w, fact=b)
            if (a, w) in self.bans:
                yield Cause(CauseKind.TROUBLE, opening=a, way=w)

    def group_of(self, cause: Cause) -> Hashable:
        """Tell which causes are first tried together: those of the ways of one opening."""
        by_way = cause.way is not None
        return cause.opening if by_way else cause

    def grow(self) -> list[Cause]:
        """Demand whatever the plan found so far breaks, until there is no plan."""
        made = dict.fromkeys(self.wanted())
        while (ways := self.solve(*self.only(made))) is not None:
            broken: list[Cause] = []
            for a in sorted(ways):
                broken += self.of_opening(a)
            broken += [
                Cause(CauseKind.ASK, opening=a, fact=b) for a, b in self.problem.asks if a in ways
            ]
            known = len(made)
            made.update(dict.fromkeys(broken))
            assert len(made) > known, "the problem has a plan"
        return list(made)

    def spare(
        self, causes: list[Cause], group: Callable[[Cause], Hashable]
    ) -> tuple[list[Cause], bool]:
        """Leave out one group of causes after another, unless that leaves a plan.

        Also tells whether each that was kept was shown to be needed.
        """
        sure = True
        for key in dict.fromkeys(map(group, causes)):
            rest = [cause for cause in causes if group(cause) != key]
            try:
                if self.solve(*self.only(rest)) is None:
                    causes = rest
            except OutOfWorkUnits:
                sure = False
        return causes, sure

    def only(self, causes: Iterable[Cause]) -> tuple[Problem, frozenset[tuple[int, int]]]:
        """Give the problem in which only these demands are made; nothing costs anything."""
        made = set(causes)
        problem = replace(
            self.problem,
            openings=tuple(
                self._opening(a, opening, made) for a, opening in enumerate(self.problem.openings)
            ),
            goals=tuple(g for g in self.problem.goals if Cause(CauseKind.WANTED, fact=g) in made),
            asks=tuple(
                (a, b)
                for a, b in self.problem.asks
                if Cause(CauseKind.ASK, opening=a, fact=b) in made
            ),
            blocks=tuple(self._block(k, b, made) for k, b in enumerate(self.problem.blocks)),
        )
        bans = {(a, w) for a, w in self.bans if Cause(CauseKind.TROUBLE, opening=a, way=w) in made}
        return problem, frozenset(bans)

    def _opening(self, a: int, opening: Opening, made: set[Cause]) -> Opening:
        if opening.started and Cause(CauseKind.STARTED, opening=a) not in made:
            return Opening(opening.id, tuple(Way(way.id, 0, 0) for way in opening.ways))
        ways = tuple(self._way(a, w, way, made) for w, way in enumerate(opening.ways))
        return replace(opening, ways=ways, below=None)

    def _way(self, a: int, w: int, way: Way, made: set[Cause]) -> Way:
        def kept(kind: CauseKind, facts: tuple[int, ...]) -> tuple[int, ...]:
            return tuple(f for f in facts if Cause(kind, opening=a, way=w, fact=f) in made)

        return Way(
            way.id,
            0,
            0,
            needs=kept(CauseKind.CYCLE, way.needs),
            while_fitted=kept(CauseKind.FITTED, way.while_fitted),
            strip_needs=kept(CauseKind.CYCLE, way.strip_needs),
            refit_needs=kept(CauseKind.CYCLE, way.refit_needs),
        )

    def _block(self, k: int, block: Block, made: set[Cause]) -> Block:
        return replace(
            block,
            needs=tuple(n for n in block.needs if Cause(CauseKind.BLOCK, fact=n, block=k) in made),
            before=tuple(
                b for b in block.before if Cause(CauseKind.BLOCK_BEFORE, opening=b, block=k) in made
            ),
            after=tuple(
                j for j in block.after if Cause(CauseKind.BLOCK_AFTER, block=k, other=j) in made
            ),
        )


def _named(problem: Problem, causes: list[Cause]) -> Iterator[Cause]:
    """Tell needs that can never be open from members of a circle."""
    never = _never_open(problem, causes)
    for cause in causes:
        if cause.kind is CauseKind.CYCLE and cause.fact in never:
            yield replace(cause, kind=CauseKind.DEAD_WAY)
        else:
            yield cause


def _never_open(problem: Problem, causes: list[Cause]) -> set[int]:
    """Give the facts nothing could open even if order did not matter."""
    count = len(problem.openings)
    left = {c for c in causes if c.kind in (CauseKind.CYCLE, CauseKind.TROUBLE)}
    waits: dict[tuple[int, int], list[Cause]] = {}
    for cause in left:
        if cause.opening is not None and cause.way is not None:
            waits.setdefault((cause.opening, cause.way), []).append(cause)
    open_facts: set[int] = set()
    grown = True
    while grown:
        grown = False
        for fact in range(count + len(problem.clears)):
            if fact not in open_facts and _opens(problem, fact, waits, open_facts):
                open_facts.add(fact)
                grown = True
    return set(range(count + len(problem.clears))) - open_facts


def _opens(
    problem: Problem,
    fact: int,
    waits: Mapping[tuple[int, int], list[Cause]],
    open_facts: set[int],
) -> bool:
    if problem.is_clear(fact):
        return any(p in open_facts for p in problem.clear(fact).supporters)
    return any(
        all(cause.fact in open_facts for cause in waits.get((fact, w), ()))
        for w in range(len(problem.openings[fact].ways))
    )
