"""What follows from a machine file without being typed.

What holds a part, which joints cross the edge of an assembly, what a fact refers to, and
what order a joint, a pin, a mark or a bar brings with it. Pure look-ups on a `Machine`:
the checks and the rule book both build on them, so that both mean the same.

Use: `derived = Derived(machine)`; then

- `derived.resolve(ref)` gives the `Fact` behind a written fact, or raises `Unresolved`;
- `derived.needs(fact)` gives what an opening needs beyond what its ways say, each with
  its reason; `derived.while_fitted(fact)` the openings that must come after it;
- `derived.supporters(fact)` gives the openings of which any one makes a fact true;
- `derived.asks()` the pairs "if this is chosen, that is too";
- `derived.step_needs(work, step)` and `derived.step_before(work, step)` what the bars ask
  of a work's own step;
- `derived.bar_effects(bar)` everything one bar compiles into (empty: nothing).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from itertools import chain

from witnessmark.machine.bar_effects import (
    MOST_DERIVED,
    BarEffect,
    BarEffects,
    OrderKind,
    acts_of,
    bar_asks,
)
from witnessmark.machine.facts import Fact, Fault, Thing, Unresolved, clear_of, fact_for
from witnessmark.machine.model import Assembly, Circuit, Joint, Machine, ObjectKind, Run, Shaft

__all__ = [
    "MOST_DERIVED",
    "BarEffect",
    "Because",
    "Derived",
    "Fact",
    "Fault",
    "OrderKind",
    "Reasoned",
    "Thing",
    "Unresolved",
    "acts_of",
    "bar_asks",
    "clear_of",
    "fact_for",
]


class Because(StrEnum):
    """Why an opening needs another, or comes before it."""

    HELD = "held by"
    TRAPPED = "trapped by"
    CROSSES = "still joined by"
    OPENS = "opens"
    DISTURBS = "disturbs"
    PINS = "pins"
    MARK = "mark of"
    BAR = "barred by"


@dataclass(frozen=True, slots=True)
class Reasoned:
    """A derived fact, why it is derived, and the id of what brings it (joint, bar ...)."""

    fact: Fact
    because: Because
    by: str


class Derived(BarEffects):
    """Everything that follows from one machine; made once, asked often.

    References that name nothing are passed over in silence: the checks report them. A
    derived need that no opening describes (`derived.opening(fact)` is None) can never be
    met: its owner cannot be opened.
    """

    def __init__(self, machine: Machine) -> None:
        super().__init__(machine)
        self._held: dict[str, list[str]] = defaultdict(list)
        for joint in machine.joints.values():
            for part in self.held_by(joint):
                self._held[part].append(joint.id)

    # What holds what

    @staticmethod
    def held_by(joint: Joint) -> tuple[str, ...]:
        """Give the parts a joint holds: those it lists and those its fasteners clamp."""
        clamped = (ref.id for fastener in joint.fasteners for ref in fastener.clamps)
        return tuple(dict.fromkeys((*(ref.id for ref in joint.holds), *clamped)))

    def holding(self, part: str) -> tuple[str, ...]:
        """Give the joints that hold a part."""
        return tuple(self._held.get(part, ()))

    def carriers(self, part: str) -> tuple[str, ...]:
        """Give the assemblies a part belongs to."""
        return tuple(self._carriers.get(part, ()))

    @cached_property
    def _fixed_to(self) -> Mapping[str, list[str]]:
        """The joints by what they hold their parts to."""
        found: dict[str, list[str]] = defaultdict(list)
        for joint in self.machine.joints.values():
            if joint.to is not None:
                found[joint.to.id].append(joint.id)
        return found

    @cached_property
    def _rank(self) -> Mapping[str, int]:
        return {joint: number for number, joint in enumerate(self.machine.joints)}

    def crossing(self, assembly: Assembly) -> tuple[str, ...]:
        """Give the joints that cross the edge of an assembly.

        One side (held or held to) is inside and another outside.
        """
        inside = {ref.id for ref in assembly.parts}
        touching = {joint for part in inside for joint in self._held.get(part, ())}
        touching.update(joint for part in inside for joint in self._fixed_to.get(part, ()))
        crossing = (joint for joint in touching if not self._sides[joint] <= inside)
        return tuple(sorted(crossing, key=self._rank.__getitem__))

    @cached_property
    def _sides(self) -> Mapping[str, frozenset[str]]:
        """What every joint holds, with what it holds that to."""
        return {
            joint.id: frozenset((*self.held_by(joint), *([joint.to.id] if joint.to else ())))
            for joint in self.machine.joints.values()
        }

    def trappers(self, assembly: Assembly) -> tuple[str, ...]:
        """Give the parts outside an assembly that trap a part inside it."""
        inside = {ref.id for ref in assembly.parts}
        trapping = (
            trap.id
            for id_ in inside
            if id_ in self.machine.parts
            for trap in self.machine.parts[id_].trapped_by
        )
        return tuple(sorted({id_ for id_ in trapping if id_ not in inside}))

    # What openings need without saying so

    def needs(self, fact: Fact) -> tuple[Reasoned, ...]:
        """Give what an opening needs, strip and refit, beyond what its ways say."""
        return self._needs.get(fact, ())

    def while_fitted(self, fact: Fact) -> tuple[Reasoned, ...]:
        """Give the openings that, if done at all, come after this one and close first."""
        return self._while_fitted.get(fact, ())

    def asks(self) -> tuple[tuple[Fact, Fact], ...]:
        """Give the pairs of which the first, if chosen, brings the second (no order).

        A single-use joint that is slackened comes out.
        """
        pairs = []
        for joint in self.machine.joints.values():
            slack, out = (fact_for(ObjectKind.JOINT, joint.id, s) for s in ("slack", "out"))
            if joint.single_use and self.opening(slack) and self.opening(out):
                pairs.append((slack, out))
        return tuple(pairs)

    def circuit_state_for(self, joint: Joint, circuit: Circuit) -> Fact | None:
        """Give what a circuit must be before a joint of it is opened.

        Relieved is enough where the circuit's heights put the joint at or above its
        level, or where nothing but relieving is described (air has nothing to drain).
        """
        states = [spec.state for spec in self.openings(circuit.id)]
        if not states:
            return None
        height = circuit.heights.get(joint.id)
        high = (
            height is not None
            and circuit.level is not None
            and height.quantity.si >= circuit.level.quantity.si
        )
        state = "relieved" if high and "relieved" in states else states[-1]
        return fact_for(ObjectKind.CIRCUIT, circuit.id, state)

    @cached_property
    def _needs(self) -> Mapping[Fact, tuple[Reasoned, ...]]:
        return self._grouped(
            chain(self._structure(), self._timing_needs(), self._barred(OrderKind.NEEDS))
        )

    @cached_property
    def _while_fitted(self) -> Mapping[Fact, tuple[Reasoned, ...]]:
        return self._grouped(chain(self._marks_seen_first(), self._barred(OrderKind.WHILE_FITTED)))

    def _grouped(
        self, pairs: Iterable[tuple[Fact, Reasoned]]
    ) -> Mapping[Fact, tuple[Reasoned, ...]]:
        grouped: dict[Fact, dict[Fact, Reasoned]] = defaultdict(dict)
        for number, (fact, reasoned) in enumerate(pairs):
            if number >= MOST_DERIVED:
                self.tangled = True
                break
            grouped[fact].setdefault(reasoned.fact, reasoned)
        return {fact: tuple(found.values()) for fact, found in grouped.items()}

    def _structure(self) -> Iterator[tuple[Fact, Reasoned]]:
        """Joints, traps and assembly edges; circuits that a joint opens."""
        machine = self.machine
        for part in machine.parts.values():
            off = fact_for(ObjectKind.PART, part.id, "off")
            for joint in self.holding(part.id):
                yield off, Reasoned(self.release(joint), Because.HELD, joint)
            for trap in part.trapped_by:
                yield off, Reasoned(clear_of(trap.id), Because.TRAPPED, trap.id)
        for assembly in machine.assemblies.values():
            off = fact_for(ObjectKind.ASSEMBLY, assembly.id, "off")
            for joint in self.crossing(assembly):
                yield off, Reasoned(self.release(joint), Because.CROSSES, joint)
            for trap_id in self.trappers(assembly):
                yield off, Reasoned(clear_of(trap_id), Because.TRAPPED, trap_id)
        for held in machine.joints.values():
            first = self.first_opening(held.id)
            for ref in held.opens:
                circuit = machine.circuits.get(ref.id)
                state = None if circuit is None else self.circuit_state_for(held, circuit)
                if first is not None and state is not None:
                    yield first, Reasoned(state, Because.OPENS, ref.id)

    def release(self, joint: str) -> Fact:
        """Give the opening at which a joint lets go of what it holds.

        Out; or slack where nothing deeper is described, as for a clamp that only slides.
        """
        described = self.openings(joint)
        return fact_for(ObjectKind.JOINT, joint, described[-1].state if described else "out")

    def _timing_needs(self) -> Iterator[tuple[Fact, Reasoned]]:
        """Let what may turn a shaft, and what pins it, happen only while it is unproven."""
        for shaft in self.machine.shafts.values():
            unproven = self.unproven(shaft.id)
            if unproven is None:
                continue
            for fact in self.disturbing(shaft):
                if fact.object != shaft.id:
                    yield fact, Reasoned(unproven, Because.DISTURBS, shaft.id)
            for seen in self.each_found(shaft.mark.seen_with if shaft.mark else ()):
                yield unproven, Reasoned(seen, Because.MARK, shaft.id)
        for lock in self.machine.locks.values():
            for ref in lock.holds:
                unproven = self.unproven(ref.id)
                if unproven is not None:
                    pinned = fact_for(ObjectKind.LOCK, lock.id, "in")
                    yield pinned, Reasoned(unproven, Because.PINS, ref.id)

    def disturbing(self, shaft: Shaft) -> tuple[Fact, ...]:
        """Give the openings after which a shaft has lost its proof.

        Those it names; and, without anybody typing them, the bolt it is turned by, and on
        a timing run the belt and the clamp of its tensioner, each at its first opening.
        """
        found = list(self.each_supporter(shaft.disturbed_by))
        objects = [] if shaft.turned_by is None else [shaft.turned_by.id]
        for run in self._timing_runs_of.get(shaft.id, ()):
            if run.belt is not None:
                objects += [run.belt.id, *self.carriers(run.belt.id)]
            if run.tensioner is not None and run.tensioner.clamp is not None:
                objects.append(run.tensioner.clamp.id)
        firsts = (self.first_opening(object_) for object_ in objects)
        return tuple(dict.fromkeys([*found, *(first for first in firsts if first is not None)]))

    @cached_property
    def _timing_runs_of(self) -> Mapping[str, list[Run]]:
        """The timing runs of every shaft, however it says that it belongs to one."""
        found: dict[str, dict[str, Run]] = defaultdict(dict)
        for shaft in self.machine.shafts.values():
            run = self.machine.runs.get(shaft.run.id) if shaft.run is not None else None
            if run is not None and run.timing:
                found[shaft.id][run.id] = run
        for run in self.machine.runs.values():
            for pulley in run.pulleys if run.timing else ():
                if pulley.shaft is not None:
                    found[pulley.shaft.id][run.id] = run
        return {shaft: list(runs.values()) for shaft, runs in found.items()}

    def _marks_seen_first(self) -> Iterator[tuple[Fact, Reasoned]]:
        """Take off what carries a mark after the setting, and put it on before the proof."""
        for shaft in self.machine.shafts.values():
            unproven = self.unproven(shaft.id)
            if unproven is None or shaft.mark is None:
                continue
            for fact in self.each_supporter(shaft.mark.seen_only_before):
                yield unproven, Reasoned(fact, Because.MARK, shaft.id)

    # What the bars bring

    def _barred(self, kind: OrderKind) -> Iterator[tuple[Fact, Reasoned]]:
        for bar in self.machine.bars.values():
            for effect in self.bar_effects(bar):
                if effect.kind is kind and isinstance(effect.bound, Fact):
                    yield effect.bound, Reasoned(effect.other, Because.BAR, bar.id)

    def step_needs(self, work: str, step: str) -> tuple[Reasoned, ...]:
        """Give what the bars make a work's own step need."""
        return self._step_order(OrderKind.NEEDS, (work, step))

    def step_before(self, work: str, step: str) -> tuple[Reasoned, ...]:
        """Give what, by the bars, must not be open when a work's own step is done."""
        return self._step_order(OrderKind.BEFORE, (work, step))

    def _step_order(self, kind: OrderKind, step: tuple[str, str]) -> tuple[Reasoned, ...]:
        return tuple(
            Reasoned(effect.other, Because.BAR, bar)
            for bar, effect in self.step_effects.get(step, ())
            if effect.kind is kind
        )
