"""The plan checker: replays any plan against the rules and says which step breaks which.

It knows a problem and a plan, not how the plan was made; it shares no code with the
planner. Rules are those of the semantics page: V1 (all that is needed is chosen), V2
(needs), V3 (while fitted), V4 (blocks), V5 (every step once, and an order exists) and S6
(savings). V6, the replay of every step by the rule book, belongs to the machine, not to
the problem, and is checked there.

A **started** opening was open before the visit began: its strip counts as done at time
zero, before every step of the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from witnessmark.procedure.plan import Plan, Saving, Step, StepKind
from witnessmark.procedure.problem import Block, Problem, Side, Way


class Rule(StrEnum):
    """The rules a plan can break."""

    CHOSEN = "V1"
    NEEDS = "V2"
    WHILE_FITTED = "V3"
    BLOCKS = "V4"
    ORDER = "V5"
    SAVINGS = "S6"


@dataclass(frozen=True, slots=True)
class PlanFault:
    """One broken rule: where, in words, and what was open up to there.

    `step` counts from one, as a card prints it; None where no single step breaks the
    rule. `state` names the openings that are open just before that step.
    """

    rule: Rule
    step: int | None
    says: str
    state: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Arc:
    """One step that must come before another, by which rule and why."""

    first: Step
    then: Step
    rule: Rule
    because: str
    settled: bool = True
    """False for the side on which a block avoids an opening: the order chose it."""


def check_plan(problem: Problem, plan: Plan) -> tuple[PlanFault, ...]:
    """List every rule a plan breaks; empty for a valid plan.

    Any plan is accepted as input, however malformed: indices that name nothing are
    faults, never errors.
    """
    return _Replay(problem, plan).faults()


class _Replay:
    """A plan laid beside its problem."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem = problem
        self.plan = plan
        self.ways: dict[int, Way] = {
            a: problem.openings[a].ways[w]
            for a, w in sorted(plan.ways.items())
            if a in range(len(problem.openings)) and w in range(len(problem.openings[a].ways))
        }
        self.place: dict[Step, int] = {}
        for number, step in enumerate(plan.steps, start=1):
            self.place.setdefault(step, number)
        for a in self.ways:
            if problem.openings[a].started:
                self.place[Step(StepKind.STRIP, a)] = 0

    def faults(self) -> tuple[PlanFault, ...]:
        """Run every rule; faults in the order of the steps, those of no step first."""
        found = [
            *self._ways_that_are_none(),
            *self._goals_and_started(),
            *self._asks(),
            *self._supporters(),
            *self._facts_not_chosen(),
            *self._steps_once(),
            *self._savings_that_are_none(),
        ]
        arcs = list(self._arcs())
        found += self._arcs_broken(arcs)
        later = [arc for arc in arcs if self.place.get(arc.then) != 0]
        found += _choices_without_order(later, self._name)
        return tuple(sorted(dict.fromkeys(found), key=lambda fault: fault.step or 0))

    # What is chosen (V1)

    def _ways_that_are_none(self) -> Iterator[PlanFault]:
        for a, w in self.plan.ways.items():
            if a not in range(len(self.problem.openings)):
                yield PlanFault(Rule.CHOSEN, None, f"opening number {a} does not exist")
                continue
            opening = self.problem.openings[a]
            if a not in self.ways:
                yield PlanFault(Rule.CHOSEN, None, f"'{opening.id}' has no way number {w}")
            elif opening.started_way not in (None, w) and opening.started:
                yield PlanFault(
                    Rule.CHOSEN,
                    None,
                    f"'{opening.id}' was started by way '{opening.ways[opening.started_way].id}', "
                    f"the plan goes by '{opening.ways[w].id}'",
                )

    def _goals_and_started(self) -> Iterator[PlanFault]:
        for goal in self.problem.goals:
            if not self._holds(goal):
                yield PlanFault(Rule.CHOSEN, None, f"goal {self._lacks(goal)}")
        for a, opening in enumerate(self.problem.openings):
            if opening.started and a not in self.ways:
                yield PlanFault(
                    Rule.CHOSEN, None, f"'{opening.id}' is open already and its closing is left out"
                )

    def _asks(self) -> Iterator[PlanFault]:
        for a, b in self.problem.asks:
            if a in self.ways and b not in self.ways:
                openings = self.problem.openings
                yield PlanFault(
                    Rule.CHOSEN,
                    None,
                    f"'{openings[a].id}' asks for '{openings[b].id}', which is not chosen",
                )

    def _supporters(self) -> Iterator[PlanFault]:
        count = len(self.problem.openings)
        for fact, supporter in self.plan.supporters.items():
            if fact not in range(count, count + len(self.problem.clears)):
                yield PlanFault(Rule.CHOSEN, None, f"clear fact number {fact} does not exist")
                continue
            clear = self.problem.clear(fact)
            if supporter not in clear.supporters:
                yield PlanFault(
                    Rule.CHOSEN, None, f"{self._opening_name(supporter)} does not make '{clear.id}'"
                )
            elif supporter not in self.ways:
                yield PlanFault(
                    Rule.CHOSEN,
                    None,
                    f"'{clear.id}' rests on {self._opening_name(supporter)}, which is not chosen",
                )

    def _facts_not_chosen(self) -> Iterator[PlanFault]:
        for a, way in self.ways.items():
            strip, refit = Step(StepKind.STRIP, a), Step(StepKind.REFIT, a)
            if self.problem.openings[a].started:
                needs = [(refit, fact) for fact in self._kept_needs(way)]
            else:
                needs = [(strip, fact) for fact in (*way.needs, *way.strip_needs)]
            for step, fact in (*needs, *((refit, fact) for fact in way.refit_needs)):
                if not self._holds(fact):
                    yield self._at(step, Rule.CHOSEN, f"{self._name(step)} {self._lacks(fact)}")
        for k, block in enumerate(self.problem.blocks):
            step = Step(StepKind.BLOCK, k)
            for fact in block.needs:
                if not self._holds(fact):
                    yield self._at(step, Rule.CHOSEN, f"{self._name(step)} {self._lacks(fact)}")

    def _holds(self, fact: int) -> bool:
        """Tell whether the plan opens a fact: the opening, or a chosen supporter."""
        if not self.problem.is_clear(fact):
            return fact in self.ways
        supporter = self.plan.supporters.get(fact)
        return supporter in self.ways and supporter in self.problem.clear(fact).supporters

    def _lacks(self, fact: int) -> str:
        what = "a supporter for" if self.problem.is_clear(fact) else "the opening"
        return f"needs {what} '{self.problem.fact_id(fact)}', which the plan lacks"

    def _kept_needs(self, way: Way) -> Iterator[int]:
        """Give the clear needs of a started way that something already open makes true."""
        for fact in way.needs:
            if self.problem.is_clear(fact) and any(
                self.problem.openings[q].started for q in self.problem.clear(fact).supporters
            ):
                yield fact

    # Every step once (V5; a block left out is V1)

    def _steps_once(self) -> Iterator[PlanFault]:
        seen: set[Step] = set()
        for number, step in enumerate(self.plan.steps, start=1):
            trouble = "is done a second time" if step in seen else self._out_of_place(step)
            seen.add(step)
            if trouble:
                says = f"{self._name(step)} {trouble}"
                yield PlanFault(Rule.ORDER, number, says, self._open_before(number))
        for a in self.ways:
            for kind in (StepKind.STRIP, StepKind.REFIT):
                if Step(kind, a) not in self.place:
                    says = f"{self._name(Step(kind, a))} is left out"
                    yield PlanFault(Rule.ORDER, None, says)
        for k in range(len(self.problem.blocks)):
            if Step(StepKind.BLOCK, k) not in self.place:
                says = f"{self._name(Step(StepKind.BLOCK, k))} is left out"
                yield PlanFault(Rule.CHOSEN, None, says)

    def _out_of_place(self, step: Step) -> str | None:
        if step.kind is StepKind.BLOCK:
            known = step.index in range(len(self.problem.blocks))
            return None if known else "does not exist"
        if step.index not in self.ways:
            return "is not among the chosen openings"
        if step.kind is StepKind.STRIP and self.problem.openings[step.index].started:
            return "was done before the visit began"
        return None

    # Savings (S6)

    def _savings_that_are_none(self) -> Iterator[PlanFault]:
        seen: set[tuple[int, int, Side]] = set()
        for saving in self.plan.savings:
            side = (saving.opening, saving.room, saving.side)
            trouble = (
                f"room number {saving.room} is counted twice on the {saving.side} side"
                if side in seen
                else self._saving_trouble(saving)
            )
            seen.add(side)
            if trouble:
                name = self._opening_name(saving.opening)
                yield PlanFault(Rule.SAVINGS, None, f"saving on {name}: {trouble}")

    def _saving_trouble(self, saving: Saving) -> str | None:
        way = self.ways.get(saving.opening)
        if way is None:
            return "it is not chosen"
        if saving.room not in range(len(way.rooms)):
            return f"way '{way.id}' has no room number {saving.room}"
        room = way.rooms[saving.room]
        removal = self._opening_name(saving.removal)
        if saving.removal not in [p for p, _ in room.side(saving.side)]:
            return f"{removal} makes no room '{room.id}' on the {saving.side} side"
        if saving.removal not in self.ways:
            return f"{removal} is not chosen, so it makes no room"
        if saving.side is Side.STRIP and self.problem.openings[saving.opening].started:
            return "its strip is done and paid already"
        return None

    # What must come before what (V2, V3, V4, S6)

    def _arcs(self) -> Iterator[_Arc]:
        for a, way in self.ways.items():
            yield from self._arcs_of_way(a, way)
        for saving in self.plan.savings:
            if not self._saving_trouble(saving):
                removal = self._opening_name(saving.removal)
                because = f"the saving from {removal} counts only while that stays open throughout"
                yield from self._around(saving.opening, saving.removal, Rule.SAVINGS, because)
        for k, block in enumerate(self.problem.blocks):
            yield from self._arcs_of_block(k, block)

    def _arcs_of_way(self, a: int, way: Way) -> Iterator[_Arc]:
        opening = self.problem.openings[a]
        strip, refit = Step(StepKind.STRIP, a), Step(StepKind.REFIT, a)
        yield _Arc(strip, refit, Rule.ORDER, "a closing follows its opening")
        by = f"way '{way.id}' of '{opening.id}'"
        for fact in way.needs:
            for n in self._openers(fact):
                because = f"{by} needs {self._fact_name(fact, n)} open"
                if opening.started:
                    yield _Arc(refit, Step(StepKind.REFIT, n), Rule.NEEDS, because)
                else:
                    yield from self._around(a, n, Rule.NEEDS, because)
        for fact in () if opening.started else way.strip_needs:
            for n in self._openers(fact):
                because = f"{by} needs {self._fact_name(fact, n)} open to strip"
                yield _Arc(Step(StepKind.STRIP, n), strip, Rule.NEEDS, because)
                yield _Arc(strip, Step(StepKind.REFIT, n), Rule.NEEDS, because)
        for fact in way.refit_needs:
            for f in self._openers(fact):
                because = f"{by} needs {self._fact_name(fact, f)} open to refit"
                yield _Arc(Step(StepKind.STRIP, f), refit, Rule.NEEDS, because)
                yield _Arc(refit, Step(StepKind.REFIT, f), Rule.NEEDS, because)
        for b in way.while_fitted:
            if b in self.ways:
                because = f"{by} is done while '{self.problem.openings[b].id}' is fitted"
                yield _Arc(strip, Step(StepKind.STRIP, b), Rule.WHILE_FITTED, because)
                yield _Arc(Step(StepKind.REFIT, b), refit, Rule.WHILE_FITTED, because)

    def _arcs_of_block(self, k: int, block: Block) -> Iterator[_Arc]:
        step = Step(StepKind.BLOCK, k)
        for fact in block.needs:
            for n in self._openers(fact):
                because = f"block '{block.id}' needs {self._fact_name(fact, n)} open"
                yield _Arc(Step(StepKind.STRIP, n), step, Rule.BLOCKS, because)
                yield _Arc(step, Step(StepKind.REFIT, n), Rule.BLOCKS, because)
        for other in block.after:
            because = f"block '{block.id}' comes after block '{self.problem.blocks[other].id}'"
            yield _Arc(Step(StepKind.BLOCK, other), step, Rule.BLOCKS, because)
        for b in block.before:
            if b in self.ways:
                yield from self._arc_of_before(step, block, b)

    def _arc_of_before(self, step: Step, block: Block, b: int) -> Iterator[_Arc]:
        """Give the arc of whichever side of `b`'s stay the plan puts the block."""
        because = f"block '{block.id}' is done while '{self.problem.openings[b].id}' is fitted"
        strip, refit = Step(StepKind.STRIP, b), Step(StepKind.REFIT, b)
        if self.place.get(step, 0) < self.place.get(strip, 0):
            yield _Arc(step, strip, Rule.BLOCKS, because, settled=False)
        elif strip in self.place:
            yield _Arc(refit, step, Rule.BLOCKS, because, settled=False)

    def _around(self, inner: int, outer: int, rule: Rule, because: str) -> Iterator[_Arc]:
        """Keep one opening's stay inside another's."""
        yield _Arc(Step(StepKind.STRIP, outer), Step(StepKind.STRIP, inner), rule, because)
        yield _Arc(Step(StepKind.REFIT, inner), Step(StepKind.REFIT, outer), rule, because)

    def _openers(self, fact: int) -> Iterator[int]:
        """Give the chosen opening behind a fact; none where V1 has spoken already."""
        if self._holds(fact):
            yield self.plan.supporters[fact] if self.problem.is_clear(fact) else fact

    # Orders broken

    def _arcs_broken(self, arcs: list[_Arc]) -> Iterator[PlanFault]:
        for arc in arcs:
            if arc.first not in self.place or arc.then not in self.place:
                continue
            first, then = self.place[arc.first], self.place[arc.then]
            if first < then or (first == then == 0 and arc.first != arc.then):
                continue
            if arc.first == arc.then:
                says = f"{self._name(arc.then)} would have to come before itself: {arc.because}"
            else:
                says = f"{self._name(arc.then)} comes before {self._name(arc.first)}: {arc.because}"
            yield self._at(arc.then if then else arc.first, arc.rule, says)

    def _at(self, step: Step, rule: Rule, says: str) -> PlanFault:
        number = self.place.get(step) or None
        return PlanFault(rule, number, says, self._open_before(number) if number else ())

    def _open_before(self, number: int) -> tuple[str, ...]:
        """Name the openings open just before a step, in the order of the problem."""
        is_open = {a for a in self.ways if self.problem.openings[a].started}
        for step in self.plan.steps[: number - 1]:
            if step.kind is StepKind.STRIP:
                is_open.add(step.index)
            elif step.kind is StepKind.REFIT:
                is_open.discard(step.index)
        return tuple(opening.id for a, opening in enumerate(self.problem.openings) if a in is_open)

    # Names

    def _opening_name(self, a: int) -> str:
        known = a in range(len(self.problem.openings))
        return f"'{self.problem.openings[a].id}'" if known else f"opening number {a}"

    def _fact_name(self, fact: int, opener: int) -> str:
        name = f"'{self.problem.fact_id(fact)}'"
        return f"{name} (by {self._opening_name(opener)})" if opener != fact else name

    def _name(self, step: Step) -> str:
        if step.kind is not StepKind.BLOCK:
            return f"{step.kind} of {self._opening_name(step.index)}"
        known = step.index in range(len(self.problem.blocks))
        return (
            f"block '{self.problem.blocks[step.index].id}'"
            if known
            else (f"block number {step.index}")
        )


def _choices_without_order(arcs: list[_Arc], name: Callable[[Step], str]) -> Iterator[PlanFault]:
    """Say so when no order at all can follow from the choices made (V5).

    The side on which a block avoids an opening is left out: another side may do.
    """
    after: dict[Step, list[Step]] = {}
    for arc in arcs:
        if not arc.settled:
            continue
        after.setdefault(arc.first, []).append(arc.then)
    circle = _circle_in(after)
    if circle:
        names = ", ".join(name(step) for step in circle)
        yield PlanFault(
            Rule.ORDER,
            None,
            f"no order is possible with these choices, each waits for one: {names}",
        )


def _circle_in(after: dict[Step, list[Step]]) -> list[Step]:
    """Find a circle of steps that wait for each other, by depth-first search; or none."""
    finished: set[Step] = set()
    for start in after:
        trail: dict[Step, Iterator[Step]] = {}
        step: Step | None = None if start in finished else start
        while step is not None or trail:
            if step is not None:
                trail[step] = iter(after.get(step, ()))
            here = next(reversed(trail))
            step = next((then for then in trail[here] if then not in finished), None)
            if step in trail:
                steps = list(trail)
                return steps[steps.index(step) :]
            if step is None:
                finished.add(here)
                del trail[here]
    return []
