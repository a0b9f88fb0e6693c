"""What follows from choosing one way: what else must be chosen, what it may save, its price.

Small questions about a problem that several searches ask.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from witnessmark.procedure.plan import Saving
from witnessmark.procedure.problem import Problem, Side, Way


@dataclass(frozen=True, slots=True)
class Choices:
    """A selection: ways, supporters and counted savings."""

    ways: Mapping[int, int]
    supporters: Mapping[int, int]
    savings: tuple[Saving, ...]


def wanted_at_first(problem: Problem) -> tuple[int, ...]:
    """Give the facts every plan must make true: goals, needs of blocks, what is started."""
    return tuple(
        dict.fromkeys(
            (
                *problem.goals,
                *(fact for block in problem.blocks for fact in block.needs),
                *(a for a, opening in enumerate(problem.openings) if opening.started),
            )
        )
    )


def wanted_with(problem: Problem, a: int, way: Way) -> tuple[int, ...]:
    """Give the facts that must be made true where an opening is chosen by a way.

    What a started opening needed to be stripped is not asked for again; a clear need that
    is true at the start must stay so until it closes.
    """
    if not problem.openings[a].started:
        return (*way.needs, *way.strip_needs, *way.refit_needs)
    return (*way.refit_needs, *(f for f in way.needs if is_true_at_the_start(problem, f)))


def is_true_at_the_start(problem: Problem, fact: int) -> bool:
    """Tell whether a clear fact holds when the visit begins."""
    return problem.is_clear(fact) and any(
        problem.openings[s].started for s in problem.clear(fact).supporters
    )


def countable(problem: Problem, a: int, way: Way, room: int, side: Side) -> list[tuple[int, int]]:
    """Give the removals that may count on one side of a room, and what they save.

    The strip half of a started opening is paid; what is not open at the start cannot have
    made room for it.
    """
    openings = problem.openings
    if openings[a].started and side is Side.STRIP:
        return []
    return [
        (p, saved)
        for p, saved in way.rooms[room].side(side)
        if saved and (openings[p].started or not openings[a].started)
    ]


def cost_left(problem: Problem, a: int, way: Way) -> int:
    """Give what a way costs before savings; a started opening has only its closing left."""
    return way.refit if problem.openings[a].started else way.cost


def prices_beyond(
    problem: Problem, chosen: Iterable[int], ways: Callable[[int], Iterable[int]]
) -> dict[int, tuple[int, int]]:
    """Price each opening that can be opened in addition, and give its way for that price.

    Each need is priced on its own, so that what two of them share counts twice: an upper
    limit, exact where nothing is shared. What is chosen already has price 0 and way -1.

    Parameters
    ----------
    problem : Problem
        The problem.
    chosen : Iterable[int]
        Openings chosen already.
    ways : Callable[[int], Iterable[int]]
        Gives the ways that may be used of an opening.
    """
    prices = dict.fromkeys(chosen, (0, -1))
    settled = set(prices)
    changed = True
    while changed:
        changed = False
        for a, opening in enumerate(problem.openings):
            for w in ways(a) if a not in settled else ():
                price = _price(problem, a, opening.ways[w], prices)
                if price is not None and (a not in prices or price < prices[a][0]):
                    prices[a] = (price, w)
                    changed = True
    return prices


def _price(problem: Problem, a: int, way: Way, prices: dict[int, tuple[int, int]]) -> int | None:
    price = cost_left(problem, a, way)
    for fact in dict.fromkeys(wanted_with(problem, a, way)):
        options = problem.clear(fact).supporters if problem.is_clear(fact) else (fact,)
        known = [prices[s][0] for s in options if s in prices]
        if not known:
            return None
        price += min(known)
    return price
