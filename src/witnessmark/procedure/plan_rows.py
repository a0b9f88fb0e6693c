"""A plan as plain data: each step as the action or the acts it is, by the rule book's words."""

from __future__ import annotations

from witnessmark.machine.acts import Verb
from witnessmark.machine.model import Measurement, Sourced
from witnessmark.procedure.compiled import BlockInfo, Compiled
from witnessmark.procedure.plan import Plan, Step, StepKind, place_of
from witnessmark.procedure.rulebook import RULE_BOOK, Plain
from witnessmark.procedure.rules.shapes import Half
from witnessmark.procedure.step_acts import StepAct, read_acts

Row = dict[str, Plain]


def plan_for(compiled: Compiled, plan: Plan) -> Row:
    """Write a plan's steps in order."""
    return {"steps": [_step(compiled, plan, step) for step in plan.steps]}


def _step(compiled: Compiled, plan: Plan, step: Step) -> Row:
    position, _ = place_of(compiled.problem, plan, step)
    where = compiled.problem.changeovers.positions
    row = _block(compiled, step) if step.kind is StepKind.BLOCK else _half(compiled, plan, step)
    return {**row, "position": where[position] if position in range(len(where)) else None}


def _half(compiled: Compiled, plan: Plan, step: Step) -> Row:
    info = compiled.openings[step.index]
    under = info.below[1] if info.below is not None else RULE_BOOK.rest(info.kind.value)
    strip = step.kind is StepKind.STRIP
    source, target = (under, info.state) if strip else (info.state, under)
    half = Half.STRIP if strip else Half.REFIT
    action = RULE_BOOK.transition(info.kind.value, source, target, half)
    assert action is not None, "every opening has an action either way"
    way = info.ways[plan.ways[step.index]]
    text = way.text if strip else way.refit_text
    return {
        "kind": step.kind.value,
        "action": action.id,
        "object": info.object_id,
        "says": action.says.replace("{}", info.name),
        "text": text,
        "caution": way.caution,
    }


def _block(compiled: Compiled, step: Step) -> Row:
    info = compiled.blocks[step.index]
    return {
        "kind": "block",
        "action": None,
        "object": block_id(info),
        "says": info.step.text,
        "text": info.step.effect,
        "caution": info.step.caution,
    }


def block_id(info: BlockInfo) -> str:
    """Name a work's own step."""
    return f"{info.work.id}/{info.step.id}"


def blocks_for(compiled: Compiled) -> Row:
    """Write the works' own steps by id: their acts and what they measure."""
    found: Row = {}
    for info in compiled.blocks:
        acts, _ = read_acts(info.step, compiled.derived)
        found[block_id(info)] = {
            "says": info.step.text,
            "acts": [_act(each) for each in acts],
            "measure": _measure(info.step.measure),
        }
    return found


def _act(each: StepAct) -> Plain:
    verb = "set" if each.act.verb is Verb.IN_TO_TURN else each.act.verb.value
    return {"verb": verb, "object": each.act.object, "state": each.state}


def _measure(measure: Measurement | None) -> Plain:
    if measure is None:
        return None
    return {
        "what": measure.what,
        "at_least": _figure(measure.at_least),
        "at_most": _figure(measure.at_most),
    }


def _figure(sourced: Sourced | None) -> Plain:
    return None if sourced is None else str(sourced.quantity)
