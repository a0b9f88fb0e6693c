"""Random small planning problems with every feature of the semantics.

One generator, two sources of chance: `seeded_problem(seed)` draws from a seeded generator
of random numbers, `problems()` from hypothesis, so that a failure shrinks. The same seed
gives the same problem for ever: the differential tests name a failing problem by its seed.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from hypothesis import strategies as st

from witnessmark.procedure.problem import (
    ANYWHERE,
    Block,
    Changeovers,
    Clear,
    Opening,
    Problem,
    Room,
    Way,
)


class Chance(Protocol):
    """Where the generator gets its choices from."""

    def number(self, low: int, high: int) -> int:
        """Give a whole number, both ends included."""
        ...


class SeededChance:
    """Choices from a seed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def number(self, low: int, high: int) -> int:
        return self.random.randint(low, high)


class DrawnChance:
    """Choices hypothesis makes, and can make smaller."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw

    def number(self, low: int, high: int) -> int:
        return self.draw(st.integers(low, high))


SMALL = (1, 8)
"""Sizes at which the total cost can be found by exhaustive search."""

MIDDLING = (9, 16)
"""Sizes at which only access is compared."""


def seeded_problem(seed: int, sizes: tuple[int, int] = SMALL) -> Problem:
    """Give the one problem of a seed."""
    return _Generator(SeededChance(seed), sizes).problem()


@st.composite
def problems(draw: st.DrawFn, sizes: tuple[int, int] = SMALL) -> Problem:
    """Let hypothesis make problems of the same kind."""
    return _Generator(DrawnChance(draw), sizes).problem()


class _Generator:
    def __init__(self, chance: Chance, sizes: tuple[int, int]) -> None:
        self.chance = chance
        self.count = chance.number(*sizes)
        self.position_count = 1 + self.number_if(70, 1, 2)
        self.tool_count = 1 + self.number_if(60, 1, 2)
        # How much of each feature: drawn per problem, so that some problems are plain
        # and some are full of it.
        self.wild = self.pick((0, 0, 5, 10, 20))
        self.fitted = self.pick((0, 15, 30, 60))
        self.halves = self.pick((0, 10, 25))
        self.roomy = self.pick((0, 20, 50))
        self.free = self.pick((0, 10, 30))
        self.dear = self.pick((30, 30, 8))
        self.dense = self.pick((1, 1, 2))
        self.clear_count = self.number_if(55, 1, 3)
        self.clears = tuple(
            Clear(f"clear {c}", self.at_least_one(range(self.count), 3))
            for c in range(self.clear_count)
        )

    # Chance

    def happens(self, percent: int) -> bool:
        """Draw so that the smallest draw means no."""
        return self.chance.number(0, 99) >= 100 - percent

    def pick(self, from_: Sequence[int]) -> int:
        return from_[self.chance.number(0, len(from_) - 1)]

    def number_if(self, percent: int, low: int, high: int) -> int:
        return self.chance.number(low, high) if self.happens(percent) else 0

    def some(self, from_: Sequence[int], most: int) -> tuple[int, ...]:
        """Give up to so many different ones, in order."""
        chosen = {self.pick(from_) for _ in range(self.chance.number(0, most))} if from_ else set()
        return tuple(sorted(chosen))

    def at_least_one(self, from_: Sequence[int], most: int) -> tuple[int, ...]:
        return tuple(sorted({self.pick(from_) for _ in range(self.chance.number(1, most))}))

    # The problem

    def problem(self) -> Problem:
        openings = self.started(tuple(self.opening(a) for a in range(self.count)))
        goals = self.at_least_one(range(self.count), 2)
        if self.clears and self.happens(15):
            goals = (*goals, self.count + self.chance.number(0, self.clear_count - 1))
        return Problem(
            openings=openings,
            clears=self.clears,
            goals=goals,
            asks=self.asks(),
            blocks=self.blocks(),
            changeovers=self.changeovers(),
        )

    def opening(self, a: int) -> Opening:
        below = self.pick(range(a)) if a and self.happens(15) else None
        ways = tuple(
            self.way(a, f"way {w}", below)
            for w in range(self.pick((1, 1, 2, 2, 3) if self.wild else (1, 1, 1, 2)))
        )
        return Opening(f"opening {a}", ways, below=below)

    def facts(self, a: int, most: int) -> tuple[int, ...]:
        """Give facts a way may need: mostly of later openings, so that few circles arise."""
        if self.happens(self.wild):
            itself = self.happens(25)
            anything = range(self.count + self.clear_count)
            return self.some([fact for fact in anything if fact != a or itself], most)
        clears = [
            self.count + c for c, clear in enumerate(self.clears) if max(clear.supporters) > a
        ]
        return self.some([*range(a + 1, self.count), *clears], most)

    def cost(self) -> int:
        return 0 if self.happens(self.free) else self.chance.number(1, self.dear)

    def way(self, a: int, name: str, below: int | None) -> Way:
        strip, refit = self.cost(), self.cost()
        others = [b for b in range(self.count) if b != a]
        needs = self.facts(a, self.dense + 1)
        if below is not None:
            needs = tuple(sorted({*needs, below}))
        return Way(
            id=name,
            strip=strip,
            refit=refit,
            needs=needs,
            while_fitted=self.some(others, self.dense) if self.happens(self.fitted) else (),
            strip_needs=self.facts(a, 1) if self.happens(self.halves) else (),
            refit_needs=self.facts(a, 2) if self.happens(self.halves) else (),
            rooms=self.rooms(strip, refit, others) if self.happens(self.roomy) else (),
            spoils=self.number_if(10, 1, 20),
            position=self.chance.number(ANYWHERE, self.position_count - 1),
            tool=self.chance.number(ANYWHERE, self.tool_count - 1),
        )

    def rooms(self, strip: int, refit: int, others: list[int]) -> tuple[Room, ...]:
        """Give one or two rooms whose savings never exceed the cost of their side."""
        count = self.pick((1, 1, 2))
        return tuple(
            Room(
                f"room {r}",
                strip=self.savings(strip // count, others),
                refit=self.savings(refit // count, others),
            )
            for r in range(count)
        )

    def savings(self, most: int, others: list[int]) -> tuple[tuple[int, int], ...]:
        if not most:
            return ()
        return tuple((p, self.chance.number(1, most)) for p in self.some(others, 2))

    def started(self, openings: tuple[Opening, ...]) -> tuple[Opening, ...]:
        """Open some of them before the visit; mostly with all they stand on open too."""
        if not self.happens(25):
            return openings
        ways: dict[int, int | None] = {}
        consistent = self.happens(75)
        waiting = list(self.at_least_one(range(self.count), 2))
        while waiting:
            a = waiting.pop()
            if a in ways:
                continue
            w = self.chance.number(0, len(openings[a].ways) - 1)
            ways[a] = w if self.happens(70) else None
            for fact in openings[a].ways[w].needs if consistent else ():
                clear = fact - self.count
                waiting.append(fact if clear < 0 else self.pick(self.clears[clear].supporters))
        return tuple(
            replace(opening, started=True, started_way=ways[a]) if a in ways else opening
            for a, opening in enumerate(openings)
        )

    def asks(self) -> tuple[tuple[int, int], ...]:
        pairs = (
            (self.pick(range(self.count)), self.pick(range(self.count)))
            for _ in range(self.number_if(45, 1, 3))
        )
        return tuple(sorted({(a, b) for a, b in pairs if a != b}))

    def blocks(self) -> tuple[Block, ...]:
        count = self.number_if(50, 1, 3)
        facts = range(self.count + self.clear_count)
        return tuple(
            Block(
                id=f"block {k}",
                cost=self.cost(),
                needs=needs,
                before=self.before(needs) if self.happens(50) else (),
                after=self.some([j for j in range(count) if j < k or self.happens(3)], 2),
                position=self.chance.number(ANYWHERE, self.position_count - 1),
                tool=self.chance.number(ANYWHERE, self.tool_count - 1),
            )
            for k, needs in enumerate(self.some(facts, 2) for _ in range(count))
        )

    def before(self, needs: tuple[int, ...]) -> tuple[int, ...]:
        """Give what a block avoids: seldom what it needs too, which makes it impossible."""
        others = [b for b in range(self.count) if b not in needs or self.happens(3)]
        return self.some(others, 2)

    def changeovers(self) -> Changeovers:
        """Give any matrix, or (more often) one that keeps the triangle inequality."""
        size = self.position_count
        most = self.pick((2, 10, 25, 40))
        matrix = [
            [0 if i == j else self.chance.number(0, most) for j in range(size)] for i in range(size)
        ]
        if self.happens(60):
            for via in range(size):
                for i in range(size):
                    for j in range(size):
                        matrix[i][j] = min(matrix[i][j], matrix[i][via] + matrix[via][j])
        return Changeovers(
            positions=tuple(f"position {i}" for i in range(size)),
            matrix=tuple(tuple(row) for row in matrix),
            tools=tuple(f"tool {i}" for i in range(self.tool_count)),
            tool_change=self.chance.number(0, self.pick((6, 6, 20))),
        )
