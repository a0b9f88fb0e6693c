"""Where the rule book's gates fall in a plan, and what each lists by name.

A gate is data (`rules/gates.py`); this walks a plan, keeps the state of every object and
gives each gate at the step it falls before, with everything it wants closed and what by
the plan is still open there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark.procedure.compiled import Compiled
from witnessmark.procedure.plan import Plan, Step, StepKind, place_of
from witnessmark.procedure.problem import ANYWHERE, GROUND
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.gates import UNDER_WORDS
from witnessmark.procedure.rules.shapes import Clearance, Gate, Half
from witnessmark.procedure.step_acts import read_acts, turned_with

_NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class GatePoint:
    """A gate where it falls: before step `before`, counted from one.

    `closed` names what it wants closed, in the order of the file, `wanted` the same with
    the state it wants; `open` what of that is open there by the plan, with its state. A gate
    at the end falls before one more step than there are.
    """

    gate: str
    name: str
    before: int
    asks: tuple[str, ...]
    closed: tuple[str, ...]
    wanted: tuple[str, ...]
    open: tuple[str, ...]
    passable: bool


def gates_in(compiled: Compiled, plan: Plan) -> tuple[GatePoint, ...]:
    """Give every gate of a plan in the order of its steps. The plan must be sound."""
    return tuple(_Walk(compiled, plan).points())


class _Walk:
    def __init__(self, compiled: Compiled, plan: Plan) -> None:
        self.compiled = compiled
        self.plan = plan
        self.tables = compiled.tables
        self.at: dict[str, str] = {}
        touched = {compiled.openings[index].object_id for index in plan.ways}
        self.touched = [id_ for id_ in self.tables.kinds if id_ in touched]
        for index in plan.ways:
            if compiled.problem.openings[index].started:
                self._stand(index, compiled.openings[index].state)

    def _stand(self, index: int, state: str) -> None:
        self.at[self.compiled.openings[index].object_id] = state

    def points(self) -> Iterator[GatePoint]:
        """Walk the steps."""
        steps = self.plan.steps
        closing = max(
            (number for number, step in enumerate(steps, 1) if step.kind is StepKind.REFIT),
            default=0,
        )
        yield from self._falls("begin", 1)
        here = GROUND
        for number, step in enumerate(steps, start=1):
            position, _ = place_of(self.compiled.problem, self.plan, step)
            position = here if position == ANYWHERE else position
            yield from self._of_place(here, position, number)
            here = position
            for trigger, turned, hidden in self._triggers(step):
                yield from self._falls(trigger, number, turned, hidden)
            self._do(step)
            if number == closing:
                yield from self._falls("last refit", number + 1)
        yield from self._of_place(here, GROUND, len(steps) + 1)
        yield from self._falls("end", len(steps) + 1)

    # When a gate falls

    def _of_place(self, here: int, there: int, number: int) -> Iterator[GatePoint]:
        was, will = self._is_under(here), self._is_under(there)
        if will and not was:
            yield from self._falls("position under", number)
        elif was and not will:
            yield from self._falls("position left under", number)

    def _is_under(self, position: int) -> bool:
        id_ = self.compiled.problem.changeovers.positions[position]
        words = f"{id_} {self.compiled.machine.positions.get(id_, '')}".lower()
        return any(word in words.replace(",", " ").split() for word in UNDER_WORDS)

    def _triggers(self, step: Step) -> Iterator[tuple[str, frozenset[str], frozenset[str]]]:
        """Give the actions of a step, with the shafts it turns and what it hides."""
        if step.kind is StepKind.BLOCK:
            acts, _ = read_acts(self.compiled.blocks[step.index].step, self.compiled.derived)
            for each in acts:
                turned = each.act.object if each.act.verb.value == "turn" else None
                yield each.act.verb.value, self._turned(turned), _NOTHING
            return
        info = self.compiled.openings[step.index]
        kind = info.kind.value
        under = info.below[1] if info.below is not None else RULE_BOOK.rest(kind)
        strip = step.kind is StepKind.STRIP
        source, target = (under, info.state) if strip else (info.state, under)
        action = RULE_BOOK.transition(kind, source, target, Half.STRIP if strip else Half.REFIT)
        assert action is not None, "every opening has an action either way"
        turned = info.object_id if info.object_id in self.tables.proof_turns else None
        yield action.id, self._turned(turned), self._hidden(step)

    def _turned(self, shaft: str | None) -> frozenset[str]:
        if shaft is None:
            return _NOTHING
        return frozenset(turned_with(self.tables, shaft))

    def _hidden(self, step: Step) -> frozenset[str]:
        """Give the objects that can only be reached with the opening of a step open."""
        return frozenset(
            self.compiled.openings[a].object_id
            for a, choice in self.plan.ways.items()
            if any(
                self.plan.supporters.get(fact, fact) == step.index
                for fact in self.compiled.problem.openings[a].ways[choice].needs
            )
        )

    def _falls(
        self,
        trigger: str,
        number: int,
        turned: frozenset[str] = _NOTHING,
        hidden: frozenset[str] = _NOTHING,
    ) -> Iterator[GatePoint]:
        for gate in RULE_BOOK.gates.values():
            if trigger not in gate.falls and trigger.removeprefix("assembly-") not in gate.falls:
                continue
            point = self._point(gate, number, turned, hidden)
            if gate.id != "covering" or point.closed:
                yield point

    # What it lists

    def _point(
        self, gate: Gate, number: int, turned: frozenset[str], hidden: frozenset[str]
    ) -> GatePoint:
        closed: dict[str, str] = {}
        open_: dict[str, None] = {}
        for clearance in gate.clear_when:
            for object_ in self.touched:
                if not self._in_scope(clearance, object_, turned, hidden):
                    continue
                kind = self.tables.kinds[object_]
                state = self.at.get(object_, RULE_BOOK.rest(kind))
                wanted = RULE_BOOK.state(kind, clearance.states[0]).says
                closed.setdefault(self.tables.names[object_], wanted)
                if state not in clearance.states:
                    says = RULE_BOOK.state(kind, state).says
                    open_.setdefault(f"{self.tables.names[object_]}: {says}")
        return GatePoint(
            gate=gate.id,
            name=gate.name,
            before=number,
            asks=gate.asks,
            closed=tuple(closed),
            wanted=tuple(f"{name}: {state}" for name, state in closed.items()),
            open=tuple(open_),
            passable=gate.passable,
        )

    def _in_scope(
        self, clearance: Clearance, object_: str, turned: frozenset[str], hidden: frozenset[str]
    ) -> bool:
        if self.tables.kinds[object_] != clearance.kind:
            return False
        if clearance.roles and self._role(object_) not in clearance.roles:
            return False
        if clearance.scope == "holding":
            return bool(turned & self._holds(object_))
        return clearance.scope != "hidden" or object_ in hidden

    def _role(self, object_: str) -> str | None:
        machine = self.compiled.machine
        if object_ in machine.joints:
            return machine.joints[object_].role
        return machine.temporaries[object_].kind if object_ in machine.temporaries else None

    def _holds(self, object_: str) -> frozenset[str]:
        machine = self.compiled.machine
        thing = machine.locks.get(object_) or machine.temporaries.get(object_)
        return frozenset(ref.id for ref in thing.holds) if thing is not None else _NOTHING

    def _do(self, step: Step) -> None:
        if step.kind is StepKind.BLOCK:
            return
        info = self.compiled.openings[step.index]
        under = info.below[1] if info.below is not None else RULE_BOOK.rest(info.kind.value)
        self._stand(step.index, info.state if step.kind is StepKind.STRIP else under)
