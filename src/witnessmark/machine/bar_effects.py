"""What a bar compiles into: order between openings, and between openings and steps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from witnessmark.machine.acts import Act, ActError, Verb, fact_of, read_act
from witnessmark.machine.facts import Fact, Facts
from witnessmark.machine.model import Bar, Machine, Place, WorkStep

MOST_DERIVED = 100_000
"""As many things may follow from one machine; far above what any real one brings, and low
enough for a file that was made to tangle to be refused."""


class OrderKind(StrEnum):
    """How a bar enters the order of a plan."""

    NEEDS = "needs"
    WHILE_FITTED = "while_fitted"
    BEFORE = "before"


@dataclass(frozen=True, slots=True)
class BarEffect:
    """One thing a bar compiles into: it binds an opening, or a step as (work, step)."""

    kind: OrderKind
    bound: Fact | tuple[str, str]
    other: Fact


_Deed = tuple[Verb, str | None, Fact | None]


class BarEffects(Facts):
    """The bars of one machine, and what each brings."""

    def __init__(self, machine: Machine) -> None:
        super().__init__(machine)
        self._effects: dict[str, tuple[BarEffect, ...]] = {}
        self._brought = 0
        self.tangled = False
        """Whether so much follows that working it out was given up; see `MOST_DERIVED`."""

    def bar_effects(self, bar: Bar) -> tuple[BarEffect, ...]:
        """Give everything a bar compiles into; empty when it brings no order at all.

        An opening barred while something is open comes before that and closes after it;
        barred unless something is open, it needs that. Turning a shaft binds its marks
        and proof, and every step that turns it; `pressurise` the closing of the circuit;
        `crank`, `start` and `lower` the steps that do them.
        """
        known = self._effects.get(bar.id)
        if known is None:
            known = self._effects[bar.id] = self._bar_effects(bar)
        return known

    def _bar_effects(self, bar: Bar) -> tuple[BarEffect, ...]:
        try:
            never = read_act(bar.never)
        except ActError:
            return ()
        if self.tangled:
            return ()
        forbidding = list(self.each_supporter(bar.while_))
        required = list(self.each_found(bar.unless))
        openings = self._bound_openings(never, bar)
        steps = self._doing.get(self._deed(never, bar.place), ())
        self._brought += (len(openings) + len(steps)) * (len(forbidding) + len(required))
        if self._brought > MOST_DERIVED:
            self.tangled = True
            return ()
        return tuple(
            [
                BarEffect(kind, bound, other)
                for bound in openings
                for kind, others in (
                    (OrderKind.WHILE_FITTED, forbidding),
                    (OrderKind.NEEDS, required),
                )
                for other in others
                if other.object != bound.object
            ]
            + [
                BarEffect(kind, step, other)
                for step in steps
                for kind, others in ((OrderKind.BEFORE, forbidding), (OrderKind.NEEDS, required))
                for other in others
            ]
        )

    def _bound_openings(self, never: Act, bar: Bar) -> tuple[Fact, ...]:
        if never.verb is Verb.TURN and never.object is not None:
            unproven = self.unproven(never.object)
            return () if unproven is None else (unproven,)
        if never.verb is Verb.PRESSURISE and never.object is not None:
            first = self.first_opening(never.object)
            return () if first is None else (first,)
        ref = fact_of(never, bar.place)
        return () if ref is None else tuple(self.each_supporter((ref,)))

    @cached_property
    def _doing(self) -> Mapping[_Deed | None, list[tuple[str, str]]]:
        """The steps that do a thing, each as (work, step)."""
        found: dict[_Deed | None, list[tuple[str, str]]] = defaultdict(list)
        for work in self.machine.works.values():
            for step in work.steps:
                for deed in dict.fromkeys(self._deed(a, step.place) for a in acts_of(step)):
                    if deed is not None:
                        found[deed].append((work.id, step.id))
        return found

    def _deed(self, act: Act, place: Place) -> _Deed | None:
        """Give what an act comes to, so that the same can be told; None if to nothing."""
        ref = fact_of(act, place)
        if ref is None:
            return act.verb, act.object, None
        fact = self.find(ref)
        return None if fact is None else (act.verb, act.object, fact)

    @cached_property
    def step_effects(self) -> Mapping[tuple[str, str], list[tuple[str, BarEffect]]]:
        """What the bars bring to every step they bind, with the bar."""
        found: dict[tuple[str, str], list[tuple[str, BarEffect]]] = defaultdict(list)
        for bar in self.machine.bars.values():
            for effect in self.bar_effects(bar):
                if not isinstance(effect.bound, Fact):
                    found[effect.bound].append((bar.id, effect))
        return found


def acts_of(step: WorkStep) -> tuple[Act, ...]:
    """Give the acts of a step that can be read."""
    found = []
    for text in step.acts:
        try:
            found.append(read_act(text))
        except ActError:
            continue
    return tuple(found)


def bar_asks(bar: Bar) -> bool:
    """Tell whether a bar is a question for the bench: purpose, evidence or permission."""
    return any((bar.purpose, bar.evidence, bar.permit))
