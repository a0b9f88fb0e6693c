"""Explanations in words: why a thing is in a plan, what it buys, why there is no plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from witnessmark.planning.impossibility import Cause, CauseKind
from witnessmark.planning.planner import PlanResult
from witnessmark.planning.reasons import RoomChoice, reasons_in, room_choices
from witnessmark.planning.selection import select
from witnessmark.procedure.compiled import Compiled
from witnessmark.procedure.plan import Plan
from witnessmark.quantities.duration import minutes_text


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why an object is or is not in a plan; `saves` is what being without it would cost.

    `saves` is in tenths of a labour minute of access; None when nothing can be said: the
    object is not in the plan, or the works cannot be done without it.
    """

    in_plan: bool
    lines: tuple[str, ...]
    saves: int | None


def explain_object(compiled: Compiled, result: PlanResult, object_id: str) -> Explanation | None:
    """Explain one object of the machine; None when the machine has no such object."""
    if result.plan is None:
        raise ValueError("there is no plan to explain")
    if object_id not in compiled.tables.names:
        return None
    name = compiled.tables.names[object_id]
    openings = [i for i, info in enumerate(compiled.openings) if info.object_id == object_id]
    chosen = [i for i in openings if i in result.plan.ways]
    choices = [c for c in room_choices(compiled.problem, result.plan) if c.removal in openings]
    if chosen:
        return _explain_chosen(compiled, result, name, chosen, choices)
    lines = [f"{name} stays as it is."]
    lines += [_room_line(compiled, choice) for choice in choices]
    if not choices:
        lines.append(
            "Nothing wanted needs it, and taking it off makes no room for anything in this plan."
        )
    return Explanation(in_plan=False, lines=tuple(lines), saves=None)


def _explain_chosen(
    compiled: Compiled,
    result: PlanResult,
    name: str,
    chosen: Sequence[int],
    choices: Sequence[RoomChoice],
) -> Explanation:
    assert result.plan is not None
    plan = result.plan
    reasons = reasons_in(compiled.problem, plan, compiled.fact_name)
    lines = [f"{name} is in the plan."]
    for opening in chosen:
        info = compiled.openings[opening]
        lines.append(f"{info.state}: {reasons[opening].story}.")
        lines += _derived_lines(compiled, plan, opening)
        lines += _way_lines(compiled, plan, opening)
    lines += [_room_line(compiled, choice) for choice in choices]
    saves = _dearer_without(compiled, result, chosen[0])
    if saves is None:
        lines.append("Without it the works cannot be done.")
    elif saves > 0:
        lines.append(f"Without it getting there takes {minutes_text(saves)} longer.")
    else:
        lines.append("Without it getting there takes just as long.")
    return Explanation(in_plan=True, lines=tuple(lines), saves=saves)


def _dearer_without(compiled: Compiled, result: PlanResult, opening: int) -> int | None:
    """How much dearer access is when an opening may not be made; None: impossible."""
    bans = frozenset((opening, way) for way in range(len(compiled.openings[opening].ways)))
    without = select(compiled.problem, bans=bans)
    if without.cost is None or result.access_cost is None:
        return None
    return without.cost - result.access_cost


def _derived_lines(compiled: Compiled, plan: Plan, opening: int) -> Iterable[str]:
    """Say which orders nobody typed hold for an opening in this plan, and from where."""
    for rule in compiled.openings[opening].derived:
        if any(_in_plan(compiled, plan, fact) for fact in rule.facts):
            yield f"  {rule.says} ({rule.place})"


def _in_plan(compiled: Compiled, plan: Plan, fact: int) -> bool:
    return fact in plan.supporters if compiled.problem.is_clear(fact) else fact in plan.ways


def _way_lines(compiled: Compiled, plan: Plan, opening: int) -> Iterable[str]:
    info = compiled.openings[opening]
    if len(info.ways) < 2:
        return
    costs = [way.cost for way in compiled.problem.openings[opening].ways]
    choice = plan.ways[opening]
    yield f"  by way '{info.ways[choice].id}' ({minutes_text(costs[choice])})"
    for number, way in enumerate(info.ways):
        if number != choice:
            yield f"  not '{way.id}' ({minutes_text(costs[number])} by itself; {way.place})"


def _room_line(compiled: Compiled, choice: RoomChoice) -> str:
    served = ", ".join(compiled.fact_name(i) for i in choice.serves)
    name = compiled.openings[choice.removal].name
    if choice.needed_anyway:
        return (
            f"{name} makes room for {served}: saves {minutes_text(choice.saves)}, and comes off "
            "anyway."
        )
    verdict = "pays" if choice.net > 0 else "does not pay"
    return (
        f"{name} would make room for {served}: saves {minutes_text(choice.saves)}, costs "
        f"{minutes_text(choice.costs)}; it {verdict}."
    )


def cause_lines(compiled: Compiled, causes: Iterable[Cause]) -> tuple[str, ...]:
    """Say why there is no plan: each member of the set with its file and line."""
    return tuple(_cause_line(compiled, cause) for cause in causes)


_CAUSE_WORDS = {
    CauseKind.WANTED: "is wanted",
    CauseKind.DEAD_WAY: "cannot be done: it needs {fact}, which cannot be had",
    CauseKind.CYCLE: "waits in a circle: it needs {fact}",
    CauseKind.FITTED: "is for while {fact} is still fitted",
    CauseKind.TROUBLE: "cannot be got at on this machine",
    CauseKind.STARTED: "is open already",
    CauseKind.ASK: "brings {fact} with it",
    CauseKind.BLOCK: "is a step that has to be done with {fact} open",
    CauseKind.BLOCK_BEFORE: "is a step for while {opening} is fitted",
    CauseKind.BLOCK_AFTER: "is a step that comes after '{other}'",
}


def _cause_line(compiled: Compiled, cause: Cause) -> str:
    words = _CAUSE_WORDS[cause.kind].format(
        fact=compiled.fact_name(cause.fact) if cause.fact is not None else "",
        opening=compiled.openings[cause.opening].name if cause.opening is not None else "",
        other=compiled.blocks[cause.other].step.text if cause.other is not None else "",
    )
    if cause.block is not None:
        step = compiled.blocks[cause.block].step
        return f"{step.place}: '{step.text}' {words}"
    if cause.opening is not None:
        info = compiled.openings[cause.opening]
        place = info.spec.place
        way = ""
        if cause.way is not None:
            place = info.ways[cause.way].place
            way = f" by way '{info.ways[cause.way].id}'" if len(info.ways) > 1 else ""
        return f"{place}: {info.name} {info.state}{way} {words}"
    if cause.fact is not None:
        places = [goal.place for goal in compiled.goals if goal.fact == cause.fact]
        where = f"{places[0]}: " if places else ""
        return f"{where}{compiled.fact_name(cause.fact)} {words}"
    return words
