"""Neighbours of a selection: one way or supporter chosen otherwise, or one removal left out.

Each neighbour is made whole again: what is needed now and was not chosen comes in by its
cheapest ways, what nothing needs any more goes out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from witnessmark.planning.choosing import (
    Choices,
    countable,
    prices_beyond,
    wanted_at_first,
    wanted_with,
)
from witnessmark.planning.joint_core import UNREACHED, Core
from witnessmark.procedure.plan import Plan, Saving, cost_of
from witnessmark.procedure.problem import Side


@dataclass(frozen=True, slots=True)
class _Change:
    """What a neighbour does otherwise."""

    ways: Mapping[int, int] = field(default_factory=dict)
    supporters: Mapping[int, int] = field(default_factory=dict)
    left_out: int | None = None


def neighbours(core: Core, choices: Choices, below: int) -> list[tuple[int, Choices]]:
    """Give the neighbours with an access cost below a limit, with that cost, cheapest first."""
    prices = prices_beyond(core.problem, choices.ways, core.ways.__getitem__)
    found: dict[object, tuple[int, Choices]] = {}
    for change in _changes(core, choices):
        made = _Rebuilding(core, choices, change, prices).choices()
        if made is None:
            continue
        access = cost_of(core.problem, Plan(made.ways, made.supporters, made.savings)).access
        if access < below:
            key = (frozenset(made.ways.items()), frozenset(made.supporters.items()), made.savings)
            found.setdefault(key, (access, made))
    return sorted(found.values(), key=lambda each: each[0])


def _changes(core: Core, choices: Choices) -> Iterator[_Change]:
    for a, w in sorted(choices.ways.items()):
        for other in core.ways[a]:
            if other != w:
                yield _Change(ways={a: other})
    for fact, s in sorted(choices.supporters.items()):
        for other in dict.fromkeys(core.problem.clear(fact).supporters):
            if other != s and core.rests_on[other] != UNREACHED:
                yield _Change(supporters={fact: other})
    for removal in dict.fromkeys(saving.removal for saving in choices.savings):
        yield _Change(left_out=removal)


class _Rebuilding:
    """Makes one neighbour whole."""

    def __init__(
        self, core: Core, before: Choices, change: _Change, prices: Mapping[int, tuple[int, int]]
    ) -> None:
        self.problem = core.problem
        self.before = before
        self.left_out = change.left_out
        self.preferred = {**before.ways, **change.ways}
        self.named = {**before.supporters, **change.supporters}
        self.prices = prices
        self.ways: dict[int, int] = {}
        self.supporters: dict[int, int] = {}

    def choices(self) -> Choices | None:
        """Give the whole selection; None when something needed cannot be had."""
        if not self.open_up(wanted_at_first(self.problem)):
            return None
        savings = []
        for saving in self.before.savings:
            same = self.ways.get(saving.opening) == self.before.ways[saving.opening]
            if same and saving.removal != self.left_out and self.open_up([saving.removal]):
                savings.append(saving)
        savings += self.new_savings()
        return Choices(self.ways, self.supporters, tuple(savings))

    def open_up(self, wanted: Iterable[int]) -> bool:
        """Choose openings and supporters until nothing is wanting."""
        problem = self.problem
        stack = list(wanted)
        while stack:
            fact = stack.pop()
            if problem.is_clear(fact):
                if fact not in self.supporters:
                    supporter = self.named.get(fact, self.cheapest_supporter(fact))
                    if supporter is None:
                        return False
                    self.supporters[fact] = supporter
                    stack.append(supporter)
                continue
            if fact in self.ways:
                continue
            if fact not in self.preferred and fact not in self.prices:
                return False
            w = self.preferred[fact] if fact in self.preferred else self.prices[fact][1]
            self.ways[fact] = w
            stack += wanted_with(problem, fact, problem.openings[fact].ways[w])
            stack += [b for a, b in problem.asks if a == fact]
        return True

    def cheapest_supporter(self, fact: int) -> int | None:
        """Give the supporter that is cheapest to add."""
        priced = [
            (0 if s in self.ways else self.prices[s][0], s)
            for s in self.problem.clear(fact).supporters
            if s in self.prices
        ]
        return min(priced)[1] if priced else None

    def new_savings(self) -> Iterator[Saving]:
        """Count on ways not chosen before what is open anyway."""
        for a, w in self.ways.items():
            if self.before.ways.get(a) == w:
                continue
            way = self.problem.openings[a].ways[w]
            for room in range(len(way.rooms)):
                for side in Side:
                    open_anyway = [
                        (saved, -p)
                        for p, saved in countable(self.problem, a, way, room, side)
                        if p in self.ways and p != self.left_out
                    ]
                    if open_anyway:
                        yield Saving(a, room, side, -max(open_anyway)[1])
