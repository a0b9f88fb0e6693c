"""Problems small enough to solve by hand, written by name.

`machine(bolt={...}, cover=...)` takes each opening as a way or a list of ways; a way is
written `way(cost, needs="cover bolt", ...)`, with names where the problem has numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from witnessmark.planning.selection import Selection
from witnessmark.procedure.problem import Block, Clear, Opening, Problem, Room, Way


@dataclass(frozen=True)
class NamedWay:
    """A way whose facts are names."""

    cost: int
    refit: int = 0
    needs: str = ""
    while_fitted: str = ""
    strip_needs: str = ""
    refit_needs: str = ""
    strip_room: Mapping[str, int] = field(default_factory=dict)
    refit_room: Mapping[str, int] = field(default_factory=dict)
    spoils: int = 0


@dataclass(frozen=True)
class NamedBlock:
    """A block whose facts are names."""

    needs: str = ""
    before: str = ""
    after: tuple[int, ...] = ()


def way(cost: int, **facts: object) -> NamedWay:
    """Write a way: its strip cost, and what else it has by name."""
    return NamedWay(cost, **facts)  # type: ignore[arg-type]


def machine(
    goals: str = "",
    clears: Mapping[str, str] | None = None,
    asks: Sequence[tuple[str, str]] = (),
    blocks: Sequence[NamedBlock] = (),
    started: Mapping[str, int | None] | None = None,
    **openings: NamedWay | Sequence[NamedWay],
) -> Problem:
    """Write a problem by name; openings are numbered in the order given."""
    clears = clears or {}
    started = started or {}
    number = {name: n for n, name in enumerate((*openings, *clears))}

    def facts(names: str) -> tuple[int, ...]:
        return tuple(number[name] for name in names.split())

    def room(named: NamedWay) -> tuple[Room, ...]:
        if not (named.strip_room or named.refit_room):
            return ()
        sides = (
            tuple((number[p], saved) for p, saved in side.items())
            for side in (named.strip_room, named.refit_room)
        )
        return (Room("room", *sides),)

    def written(name: str, given: NamedWay | Sequence[NamedWay]) -> Opening:
        ways = (given,) if isinstance(given, NamedWay) else given
        return Opening(
            name,
            tuple(
                Way(
                    f"way {w}",
                    named.cost,
                    named.refit,
                    facts(named.needs),
                    facts(named.while_fitted),
                    facts(named.strip_needs),
                    facts(named.refit_needs),
                    room(named),
                    named.spoils,
                )
                for w, named in enumerate(ways)
            ),
            started=name in started,
            started_way=started.get(name),
        )

    return Problem(
        openings=tuple(written(name, given) for name, given in openings.items()),
        clears=tuple(Clear(name, facts(by)) for name, by in clears.items()),
        goals=facts(goals),
        asks=tuple((number[a], number[b]) for a, b in asks),
        blocks=tuple(
            Block(f"block {k}", 0, facts(b.needs), facts(b.before), b.after)
            for k, b in enumerate(blocks)
        ),
    )


def chosen(problem: Problem, selection: Selection) -> dict[str, int]:
    """Give the chosen openings by name, with the way of each."""
    return {problem.openings[a].id: w for a, w in sorted(selection.ways.items())}


def saved(problem: Problem, selection: Selection) -> list[tuple[str, str, str]]:
    """Give the counted savings by name: opening, side, removal."""
    return sorted(
        (problem.openings[s.opening].id, s.side.value, problem.openings[s.removal].id)
        for s in selection.savings
    )
