"""The replay (V6): every step of a plan done again on the machine, by the rule book.

It starts where the job stands and keeps the state of every object: parts and joints,
circuits, shafts and their proofs, pins, holders, make-safes. Before each step it looks
whether the rule book allows it as things stand. At the end everything must be at rest.

It knows the plan's steps and ways, not its arcs: what it looks at is the machine.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from witnessmark.machine.acts import Verb
from witnessmark.machine.model import Place
from witnessmark.procedure.bench import Bench, Broken
from witnessmark.procedure.compiled import BlockInfo, Compiled, OpeningInfo
from witnessmark.procedure.plan import Plan, Step, StepKind
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.shapes import Event, Half, Wanted
from witnessmark.procedure.step_acts import (
    Acting,
    StepAct,
    read_acts,
    turn_demands,
    turned_with,
)
from witnessmark.procedure.tables import Demand, Opened
from witnessmark.procedure.written import Written


@dataclass(frozen=True, slots=True)
class ReplayFault:
    """One rule broken: at which step, in words, with the places in the machine file.

    `step` counts from one, as a card prints it; None where no single step is to blame.
    `rule` is the rule book's check, or `state`, `proof`, `single use`, `together`,
    `as found`, `rest` or `plan`. `state` names what was open just before the step.
    """

    step: int | None
    rule: str
    says: str
    places: tuple[Place, ...] = ()
    state: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Print as one line."""
        where = f"step {self.step}" if self.step is not None else "the plan"
        places = f" ({', '.join(str(place) for place in self.places)})" if self.places else ""
        return f"{where}: {self.says}{places}"


def replay(compiled: Compiled, plan: Plan) -> tuple[ReplayFault, ...]:
    """Do a plan again step by step; give every rule it breaks, none for a sound plan.

    Any plan is accepted as input, however malformed: what names nothing is a fault.
    """
    return _Replay(compiled, plan).faults()


class _Replay:
    """A plan being done again."""

    def __init__(self, compiled: Compiled, plan: Plan) -> None:
        self.compiled = compiled
        self.plan = plan
        self.bench = Bench(compiled.tables, compiled.derived)
        self.written = Written(compiled.derived)
        self.coming = self._strips()
        """Openings still to come, each as often as the plan opens it."""
        self.undone: dict[str, int] = {}
        """Shafts whose proof a later step undid, and the step."""
        self.number: int | None = None
        self.before: tuple[str, ...] = ()
        self.found: dict[ReplayFault, None] = {}

    def faults(self) -> tuple[ReplayFault, ...]:
        """Do every step."""
        self._begin()
        done: set[Step] = set()
        for number, step in enumerate(self.plan.steps, start=1):
            self.number, self.before = number, self.bench.open_now()
            if not self._known(step):
                continue
            if step.kind is StepKind.BLOCK:
                if step in done:
                    self._say("plan", f"{self._name(step)} is done a second time")
                self._block(self.compiled.blocks[step.index])
            else:
                self._half(step)
            done.add(step)
        self.number, self.before = None, self.bench.open_now()
        self._end(done)
        return tuple(self.found)

    def _strips(self) -> Counter[Opened]:
        count = len(self.compiled.openings)
        infos = (
            self.compiled.openings[step.index]
            for step in self.plan.steps
            if step.kind is StepKind.STRIP and step.index in range(count)
        )
        return Counter((info.object_id, state) for info in infos for state in info.states)

    def _say(self, rule: str, says: str, *places: Place) -> None:
        self.found.setdefault(ReplayFault(self.number, rule, says, places, self.before))

    def _say_all(self, broken: Iterable[Broken]) -> None:
        for each in broken:
            self._say(each.rule, each.says, each.place)

    def _name(self, step: Step) -> str:
        if step.kind is StepKind.BLOCK:
            return f"'{self.compiled.blocks[step.index].step.text}'"
        return self._doing(self.compiled.openings[step.index], step.kind)

    def _doing(self, info: OpeningInfo, kind: StepKind) -> str:
        source, target, half = _move(info, kind)
        return self.bench.words_for(info.object_id, source, target, half)

    # Beginning and end

    def _begin(self) -> None:
        self.bench.renewed.update(o for o, state in self.compiled.been if state == "out")
        for index, opening in enumerate(self.compiled.problem.openings):
            if opening.started:
                info = self.compiled.openings[index]
                self.bench.open_up(info.object_id, info.states, self._lasting_of(index))

    def _lasting_of(self, index: int) -> tuple[Demand, ...]:
        """Give what the chosen way of an opening asks for."""
        ways = self.compiled.openings[index].ways
        choice = self.plan.ways.get(index, -1)
        known = choice in range(len(ways))
        return tuple(self.written.of_way(ways[choice], Event.REFIT)) if known else ()

    def _end(self, done: set[Step]) -> None:
        self._end_of_works(done)
        self._end_of_pairs(done)
        for object_, state in self.bench.at.items():
            row = RULE_BOOK.state(self.compiled.tables.kinds[object_], state)
            if row.depth:
                place = self.compiled.derived.things[object_][1].place
                step = self.undone.get(object_)
                since = f": step {step} undid its proof" if step is not None else ""
                self._say("rest", f"{self.bench.name(object_)} is left {row.says}{since}", place)

    def _end_of_works(self, done: set[Step]) -> None:
        for index, info in enumerate(self.compiled.blocks):
            step = Step(StepKind.BLOCK, index)
            if step not in done:
                self._say("plan", f"{self._name(step)} is left out", info.step.place)
        problem = self.compiled.problem
        for goal in self.compiled.goals:
            fact = goal.fact
            openers = problem.clear(fact).supporters if problem.is_clear(fact) else (fact,)
            begun = any(problem.openings[each].started for each in openers)
            if not begun and not any(Step(StepKind.STRIP, each) in done for each in openers):
                name = self.compiled.fact_name(fact)
                self._say("plan", f"the goal '{name}' is never reached", goal.place)

    def _end_of_pairs(self, done: set[Step]) -> None:
        """Look whether parts that go on together were off together."""
        opened = {
            key
            for key, index in self.compiled.index.items()
            if Step(StepKind.STRIP, index) in done or self.compiled.problem.openings[index].started
        }
        for first, then in self.compiled.tables.asks:
            if first[0] != then[0] and first in opened and then not in opened:
                name, other = self.bench.name(first[0]), self.bench.name(then[0])
                place = self.compiled.derived.things[first[0]][1].place
                self._say(
                    "together", f"{name} goes on together with {other}, which stays on", place
                )

    def _known(self, step: Step) -> bool:
        block = step.kind is StepKind.BLOCK
        if step.index not in range(len(self.compiled.blocks if block else self.compiled.openings)):
            self._say("plan", f"{step.kind} number {step.index} names nothing")
            return False
        if block:
            return True
        info = self.compiled.openings[step.index]
        if self.plan.ways.get(step.index, -1) in range(len(info.ways)):
            return True
        self._say("plan", f"{self._name(step)}: no way is chosen", info.spec.place)
        return False

    # An opening and its closing

    def _half(self, step: Step) -> None:
        info = self.compiled.openings[step.index]
        source, target, _ = _move(info, step.kind)
        doing = self._name(step)
        if self.bench.state(info.object_id) != source:
            says = f"{doing}: it is {self.bench.says(info.object_id)}"
            self._say("state", says, info.spec.place)
        if step.kind is StepKind.STRIP:
            self._strip(info, step.index, doing)
        else:
            self._refit(info, step.index, target, doing)

    def _strip(self, info: OpeningInfo, index: int, doing: str) -> None:
        self._check(info, index, Event.STRIP, doing)
        self.coming.subtract((info.object_id, state) for state in info.states)
        self.bench.open_up(info.object_id, info.states, self._lasting_of(index))
        for shaft in self.bench.disturbed_by(info.object_id, info.states):
            self.undone[shaft] = self.number or 0

    def _refit(self, info: OpeningInfo, index: int, under: str, doing: str) -> None:
        self._check(info, index, Event.REFIT, doing)
        if info.is_final and self.bench.made_with_old(info.object_id):
            says = f"{doing}: single use; once slackened it comes out, and new ones go in"
            self._say("single use", says, info.spec.place)
        coming = {opened for opened, times in self.coming.items() if times > 0}
        self._say_all(self.bench.close_up(info.object_id, info.states, under, doing, coming))

    def _check(self, info: OpeningInfo, index: int, event: Event, doing: str) -> None:
        """Look at everything a half demands as things stand."""
        tables = self.compiled.tables
        bound = (info.object_id, info.state)
        for state in info.states:
            rows = tables.of((info.object_id, state))
            self._say_all(self.bench.against((info.object_id, state), rows, event, doing))
        typed = self.written.of_way(info.ways[self.plan.ways[index]], event)
        self._say_all(self.bench.against(bound, typed, event, doing))
        if info.state == "unproven" and info.object_id in tables.proof_turns:
            turned = turned_with(tables, info.object_id, self.bench.belts_off())
            rows = tuple(
                row
                for _, row in turn_demands(tables, info.object_id, turned)
                if all(object_ != info.object_id for object_, _ in row.openings)
            )
            self._say_all(self.bench.against(bound, rows, Event.ACT, doing))

    # A work's own step

    def _block(self, info: BlockInfo) -> None:
        step = info.step
        bound = (info.work.id, step.id)
        rows = (
            *self.written.demands("step needs", Wanted.OPEN, step.needs),
            *self.written.demands("step before", Wanted.SHUT, step.before),
        )
        self._say_all(self.bench.against(bound, rows, Event.ACT, f"'{step.text}'"))
        acts, _ = read_acts(step, self.compiled.derived)
        found = {
            each.act.object: self.bench.state(each.act.object)
            for each in acts
            if each.act.object is not None and each.act.verb is not Verb.TURN
        }
        for each in acts:
            self._act(each)
        for object_, was in found.items():
            # What comes after is judged as if the step had left things as it found them.
            if self.bench.state(object_) != was:
                name, now = self.bench.name(object_), self.bench.state(object_)
                says = f"'{step.text}' finds {name} {was} and leaves it {now}"
                self._say("as found", says, step.place)
                self.bench.at[object_] = was

    def _act(self, each: StepAct) -> None:
        bench, act, doing = self.bench, each.act, f"'{each.text}'"
        if act.object is not None and each.state is not None:
            self._possible(each, act.object, each.state)
        acting = Acting(
            bench.derived, bench.tables, self.written, dict(bench.at), bench.belts_off()
        )
        for event, row in acting.do(each):
            if row.check != "turned":
                self._say_all(bench.against((doing, ""), (row,), event, doing))
        bench.at.update(acting.at)
        if act.verb is Verb.TURN and act.object is not None:
            self._turned(acting.turned(act.object), each)

    def _possible(self, each: StepAct, object_: str, target: str) -> None:
        """Look whether the book knows a way from where an object is to where it is put."""
        kind = self.compiled.tables.kinds[object_]
        here = self.bench.state(object_)
        halves = [Half.ACT] if "in to turn" in (here, target) else [Half.STRIP, Half.REFIT]
        if all(RULE_BOOK.transition(kind, here, target, half) is None for half in halves):
            says = f"'{each.text}': {self.bench.name(object_)} is {self.bench.says(object_)}"
            self._say("state", says, each.place)

    def _turned(self, shafts: Iterable[str], each: StepAct) -> None:
        for shaft in shafts:
            if self.bench.lose_proof(shaft):
                self.undone[shaft] = self.number or 0
                says = f"'{each.text}' undoes the proof of {self.bench.name(shaft)}"
                self._say("proof", says, each.place)


def _move(info: OpeningInfo, kind: StepKind) -> tuple[str, str, Half]:
    """Give where a half starts, where it ends, and which way it leads."""
    under = info.below[1] if info.below is not None else RULE_BOOK.rest(info.kind.value)
    if kind is StepKind.STRIP:
        return under, info.state, Half.STRIP
    return info.state, under, Half.REFIT
