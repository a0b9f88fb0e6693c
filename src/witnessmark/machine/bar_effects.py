"""What a bar compiles into: order between openings, and between openings and steps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from witnessmark.machine.acts import Act, ActError, Verb, fact_of, read_act
from witnessmark.machine.facts import Fact, Facts
from witnessmark.machine.model import Bar, Machine, WorkStep


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


class BarEffects(Facts):
    """The bars of one machine, and what each brings."""

    def __init__(self, machine: Machine) -> None:
        super().__init__(machine)
        self._effects: dict[str, tuple[BarEffect, ...]] = {}

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
        forbidding = list(self.each_supporter(bar.while_))
        required = list(self.each_found(bar.unless))
        effects: list[BarEffect] = []
        for bound in self._bound_openings(never, bar):
            effects += [
                BarEffect(OrderKind.WHILE_FITTED, bound, other)
                for other in forbidding
                if other.object != bound.object
            ]
            effects += [
                BarEffect(OrderKind.NEEDS, bound, other)
                for other in required
                if other.object != bound.object
            ]
        for step in self._bound_steps(never, bar):
            effects += [BarEffect(OrderKind.BEFORE, step, other) for other in forbidding]
            effects += [BarEffect(OrderKind.NEEDS, step, other) for other in required]
        return tuple(effects)

    def _bound_openings(self, never: Act, bar: Bar) -> tuple[Fact, ...]:
        if never.verb is Verb.TURN and never.object is not None:
            unproven = self.unproven(never.object)
            return () if unproven is None else (unproven,)
        if never.verb is Verb.PRESSURISE and never.object is not None:
            first = self.first_opening(never.object)
            return () if first is None else (first,)
        ref = fact_of(never, bar.place)
        return () if ref is None else tuple(self.each_supporter((ref,)))

    def _bound_steps(self, never: Act, bar: Bar) -> tuple[tuple[str, str], ...]:
        return tuple(
            step
            for step, acts in self._acts.items()
            if any(self._same_act(never, act, bar) for act in acts)
        )

    @cached_property
    def _acts(self) -> Mapping[tuple[str, str], tuple[Act, ...]]:
        """The acts of every step that has any, by work and step."""
        return {
            (work.id, step.id): acts_of(step)
            for work in self.machine.works.values()
            for step in work.steps
            if step.acts
        }

    def _same_act(self, never: Act, act: Act, bar: Bar) -> bool:
        if never.verb is not act.verb or never.object != act.object:
            return False
        if never.verb is not Verb.SET:
            return True
        ours, theirs = fact_of(never, bar.place), fact_of(act, bar.place)
        return ours is not None and theirs is not None and self.find(ours) == self.find(theirs)

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
