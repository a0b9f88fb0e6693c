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
from functools import cached_property, lru_cache

from witnessmark.machine.acts import Act, ActError, Verb, fact_of, read_act
from witnessmark.machine.model import (
    Assembly,
    Bar,
    Circuit,
    FactRef,
    IdRef,
    Joint,
    Lock,
    Machine,
    MakeSafe,
    ObjectKind,
    OpeningSpec,
    Part,
    Shaft,
    Temporary,
    WorkStep,
)
from witnessmark.machine.states import OPENINGS, REST, depth_of, state_named

Thing = Part | Assembly | Joint | Circuit | Shaft | Lock | Temporary | MakeSafe
"""Anything that has states."""


@dataclass(frozen=True, slots=True)
class Fact:
    """An opening, or with `clear` the fact that a part is out of the way.

    A clear fact holds when the part is off or any assembly carries it off; its `state`
    is `off`. Everything else is the opening of `object` to `state`, by the rule book's
    word, at `depth`.
    """

    kind: ObjectKind
    object: str
    state: str
    depth: int
    clear: bool = False

    def __hash__(self) -> int:
        # Facts are looked up far more often than made; texts keep their hash, enums do not.
        return hash((self.object, self.state, self.clear))

    def __str__(self) -> str:
        """Print as people write it."""
        return self.object if self.clear else f"{self.object} {self.state}"


class Fault(StrEnum):
    """Why a written fact refers to nothing that can be opened."""

    UNKNOWN_OBJECT = "unknown object"
    UNKNOWN_STATE = "unknown state"
    REST = "state of rest"
    NOT_DESCRIBED = "not described"


class Unresolved(Exception):  # noqa: N818 - a finding about a file, not a failure
    """A written fact that refers to nothing; `kind` is known unless the object is not."""

    def __init__(self, fault: Fault, kind: ObjectKind | None = None) -> None:
        super().__init__(fault.value)
        self.fault = fault
        self.kind = kind


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


class Derived:
    """Everything that follows from one machine; made once, asked often.

    References that name nothing are passed over in silence: the checks report them. A
    derived need that no opening describes (`derived.opening(fact)` is None) can never be
    met: its owner cannot be opened.
    """

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._effects: dict[str, tuple[BarEffect, ...]] = {}
        self._held: dict[str, list[str]] = defaultdict(list)
        for joint in machine.joints.values():
            for part in self.held_by(joint):
                self._held[part].append(joint.id)
        self._carriers: dict[str, list[str]] = defaultdict(list)
        for assembly in machine.assemblies.values():
            for part in dict.fromkeys(ref.id for ref in assembly.parts):
                self._carriers[part].append(assembly.id)

    # Objects and facts

    @cached_property
    def things(self) -> Mapping[str, tuple[ObjectKind, Thing]]:
        """Every object that has states, by id; the first of a name given twice."""
        machine = self.machine
        found: dict[str, tuple[ObjectKind, Thing]] = {}
        sections: tuple[tuple[ObjectKind, Mapping[str, Thing]], ...] = (
            (ObjectKind.PART, machine.parts),
            (ObjectKind.ASSEMBLY, machine.assemblies),
            (ObjectKind.JOINT, machine.joints),
            (ObjectKind.CIRCUIT, machine.circuits),
            (ObjectKind.SHAFT, machine.shafts),
            (ObjectKind.LOCK, machine.locks),
            (ObjectKind.TEMPORARY, machine.temporaries),
            (ObjectKind.MAKE_SAFE, machine.make_safes),
        )
        for kind, section in sections:
            for id_, thing in section.items():
                found.setdefault(id_, (kind, thing))
        return found

    def kind_of(self, id_: str) -> ObjectKind | None:
        """Tell what kind of object an id names; None when it names none with states."""
        known = self.things.get(id_)
        return None if known is None else known[0]

    def openings(self, id_: str) -> tuple[OpeningSpec, ...]:
        """Give the openings an object describes, shallowest first; empty when unknown."""
        if id_ not in self.things:
            return ()
        kind, thing = self.things[id_]
        known = [spec for spec in thing.openings if spec.state in OPENINGS[kind]]
        return tuple(sorted(known, key=lambda spec: depth_of(kind, spec.state)))

    def opening(self, fact: Fact) -> OpeningSpec | None:
        """Give the description of an opening, if there is one (a clear fact has none)."""
        if fact.clear:
            return None
        return next((s for s in self.openings(fact.object) if s.state == fact.state), None)

    def resolve(self, ref: FactRef) -> Fact:
        """Give the fact behind a written one.

        A part without a state means "out of the way"; anything else without a state its
        deepest described opening.

        Raises
        ------
        Unresolved
            If the object is unknown, the state is not one of its kind or is its rest, or
            nothing describes how to get there.
        """
        kind = self.kind_of(ref.object)
        if kind is None:
            raise Unresolved(Fault.UNKNOWN_OBJECT)
        if ref.state is None:
            return self._without_state(kind, ref.object)
        state = state_named(kind, ref.state)
        if state is None:
            raise Unresolved(Fault.UNKNOWN_STATE, kind)
        if state == REST[kind]:
            raise Unresolved(Fault.REST, kind)
        fact = Fact(kind, ref.object, state, depth_of(kind, state))
        if self.opening(fact) is None:
            raise Unresolved(Fault.NOT_DESCRIBED, kind)
        return fact

    def _without_state(self, kind: ObjectKind, id_: str) -> Fact:
        if kind is ObjectKind.PART:
            clear = clear_of(id_)
            if not self.supporters(clear):
                raise Unresolved(Fault.NOT_DESCRIBED, kind)
            return clear
        described = self.openings(id_)
        if not described:
            raise Unresolved(Fault.NOT_DESCRIBED, kind)
        return fact_for(kind, id_, described[-1].state)

    def find(self, ref: FactRef) -> Fact | None:
        """Give the fact behind a written one, or None where `resolve` would raise."""
        try:
            return self.resolve(ref)
        except Unresolved:
            return None

    def supporters(self, fact: Fact) -> tuple[Fact, ...]:
        """Give the openings of which any one makes the fact true.

        A clear fact has the part off, and each assembly that carries it off; any other
        fact only itself.
        """
        if not fact.clear:
            return (fact,)
        off = fact_for(ObjectKind.PART, fact.object, "off")
        carried = [
            fact_for(ObjectKind.ASSEMBLY, assembly, "off")
            for assembly in self._carriers.get(fact.object, ())
        ]
        return tuple(found for found in (off, *carried) if self.opening(found) is not None)

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

    def crossing(self, assembly: Assembly) -> tuple[str, ...]:
        """Give the joints that cross the edge of an assembly.

        One side (held or held to) is inside and another outside.
        """
        inside = {ref.id for ref in assembly.parts}
        touching = dict.fromkeys(joint for part in inside for joint in self._held.get(part, ()))
        for joint in self.machine.joints.values():
            if joint.to is not None and joint.to.id in inside:
                touching.setdefault(joint.id)
        crossing = [id_ for id_ in touching if not self._sides(id_) <= inside]
        return tuple(id_ for id_ in self.machine.joints if id_ in crossing)

    def _sides(self, joint: str) -> set[str]:
        found = self.machine.joints[joint]
        return {*self.held_by(found), *(() if found.to is None else (found.to.id,))}

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

    def all_openings(self) -> Iterator[Fact]:
        """Give every opening described, in the order of the file, shallowest first."""
        for id_, (kind, _) in self.things.items():
            for spec in self.openings(id_):
                yield fact_for(kind, id_, spec.state)

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
        return _grouped((*self._structure(), *self._timing_needs(), *self._barred(OrderKind.NEEDS)))

    @cached_property
    def _while_fitted(self) -> Mapping[Fact, tuple[Reasoned, ...]]:
        return _grouped((*self._marks_seen_first(), *self._barred(OrderKind.WHILE_FITTED)))

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

    def first_opening(self, id_: str) -> Fact | None:
        """Give the shallowest opening an object describes."""
        described = self.openings(id_)
        kind = self.kind_of(id_)
        if kind is None or not described:
            return None
        return fact_for(kind, id_, described[0].state)

    def unproven(self, shaft: str) -> Fact | None:
        """Give the opening whose closing is the proof of a shaft, if it is described."""
        fact = fact_for(ObjectKind.SHAFT, shaft, "unproven")
        return fact if self.opening(fact) is not None else None

    def _timing_needs(self) -> Iterator[tuple[Fact, Reasoned]]:
        """Let what may turn a shaft, and what pins it, happen only while it is unproven."""
        for shaft in self.machine.shafts.values():
            unproven = self.unproven(shaft.id)
            if unproven is None:
                continue
            for fact in self.each_supporter(shaft.disturbed_by):
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

    def _marks_seen_first(self) -> Iterator[tuple[Fact, Reasoned]]:
        """Take off what carries a mark after the setting, and put it on before the proof."""
        for shaft in self.machine.shafts.values():
            unproven = self.unproven(shaft.id)
            if unproven is None or shaft.mark is None:
                continue
            for fact in self.each_supporter(shaft.mark.seen_only_before):
                yield unproven, Reasoned(fact, Because.MARK, shaft.id)

    def each_found(self, refs: Iterable[FactRef]) -> Iterator[Fact]:
        """Give the facts behind those references that resolve."""
        for ref in refs:
            fact = self.find(ref)
            if fact is not None:
                yield fact

    def each_supporter(self, refs: Iterable[FactRef]) -> Iterator[Fact]:
        """Give the openings behind those references that resolve, each once."""
        found = (s for fact in self.each_found(refs) for s in self.supporters(fact))
        yield from dict.fromkeys(found)

    # Bars

    def _barred(self, kind: OrderKind) -> Iterator[tuple[Fact, Reasoned]]:
        for bar in self.machine.bars.values():
            for effect in self.bar_effects(bar):
                if effect.kind is kind and isinstance(effect.bound, Fact):
                    yield effect.bound, Reasoned(effect.other, Because.BAR, bar.id)

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

    def step_needs(self, work: str, step: str) -> tuple[Reasoned, ...]:
        """Give what the bars make a work's own step need."""
        return self._step_order(OrderKind.NEEDS, (work, step))

    def step_before(self, work: str, step: str) -> tuple[Reasoned, ...]:
        """Give what, by the bars, must not be open when a work's own step is done."""
        return self._step_order(OrderKind.BEFORE, (work, step))

    def _step_order(self, kind: OrderKind, step: tuple[str, str]) -> tuple[Reasoned, ...]:
        return tuple(
            Reasoned(effect.other, Because.BAR, bar)
            for bar, effect in self._step_effects.get(step, ())
            if effect.kind is kind
        )

    @cached_property
    def _step_effects(self) -> Mapping[tuple[str, str], list[tuple[str, BarEffect]]]:
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


@lru_cache(maxsize=8192)
def fact_for(kind: ObjectKind, id_: str, state: str) -> Fact:
    """Make the fact of an opening by the rule book's word for its state."""
    return Fact(kind, id_, state, depth_of(kind, state))


@lru_cache(maxsize=8192)
def clear_of(part: str) -> Fact:
    """Make the fact that a part is out of the way."""
    return Fact(ObjectKind.PART, part, "off", depth_of(ObjectKind.PART, "off"), clear=True)


def bar_asks(bar: Bar) -> bool:
    """Tell whether a bar is a question for the bench: purpose, evidence or permission."""
    return any((bar.purpose, bar.evidence, bar.permit))


def _grouped(pairs: Iterable[tuple[Fact, Reasoned]]) -> Mapping[Fact, tuple[Reasoned, ...]]:
    grouped: dict[Fact, dict[Fact, Reasoned]] = defaultdict(dict)
    for fact, reasoned in pairs:
        grouped[fact].setdefault(reasoned.fact, reasoned)
    return {fact: tuple(found.values()) for fact, found in grouped.items()}


def ids_of(refs: Iterable[IdRef]) -> tuple[str, ...]:
    """Give the ids behind references."""
    return tuple(ref.id for ref in refs)
