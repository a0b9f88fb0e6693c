"""What the commands answer with `--json`: plain data with documented keys.

Minutes are decimal numbers of labour minutes. `plan-answer.schema.json` beside this file
holds the shape of a plan.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from witnessmark.engineering.fastening.witness_marks import WitnessMark
from witnessmark.planning.fastening_step import ClampText
from witnessmark.planning.job import Job, JobStep
from witnessmark.planning.kit import Kit, KitLine, KitTool, unserved
from witnessmark.planning.planner import PlanResult
from witnessmark.procedure.plan import StepKind

_PHASES = {StepKind.STRIP: "strip", StepKind.BLOCK: "work", StepKind.REFIT: "refit"}


def minutes(tenths: int | None) -> float | None:
    """Turn tenths of a minute into minutes."""
    return None if tenths is None else tenths / 10


def result_answer(result: PlanResult) -> dict[str, Any]:
    """Give outcome, bounds and gaps of a planning result."""
    return {
        "outcome": result.outcome.value,
        "optimal": result.plan is not None and result.gap == 0,
        "access": {
            "minutes": minutes(result.access_cost),
            "bound": minutes(result.access_bound),
            "proven": result.access_proven,
        },
        "total": {
            "minutes": minutes(result.total_cost),
            "bound": minutes(result.total_bound),
            "gap": _number(result.gap),
        },
        "changeover": {
            "minutes": minutes(result.changeover_cost),
            "bound": minutes(result.changeover_bound),
            "gap": _share(result.changeover_cost, result.changeover_bound),
        },
        "work_units": result.work,
    }


def job_answer(job: Job) -> dict[str, Any]:
    """Give a whole job: what `plan --json` prints, without the seconds."""
    cost = job.cost
    return {
        "machine": job.machine.id,
        "works": [work.id for work in job.works],
        "witness_mark": _mark(job.mark),
        **result_answer(job.result),
        "minutes": {
            "strip": minutes(cost.strip),
            "work": minutes(cost.work),
            "refit": minutes(cost.refit),
            "spoils": minutes(cost.spoils),
            "changeover": minutes(cost.changeover),
            "total": minutes(cost.total),
        },
        "operations": [_operation(step) for step in job.steps],
        "optional": [
            {
                "object": removal.object_id,
                "room": removal.room,
                "taken": removal.taken,
                "saves_minutes": minutes(removal.saves),
            }
            for removal in job.optional
        ],
        "kit": kit_answer(job.kit),
        "duties": [duty.text for duty in job.duties],
        "cautions": list(job.cautions),
        "warnings": list(unserved(job.kit)),
    }


def _operation(step: JobStep) -> dict[str, Any]:
    return {
        "id": step.id,
        "action": _PHASES[step.phase],
        "text": step.line,
        "object": step.object_id,
        "name": step.object_name,
        "state": step.state,
        "phase": _PHASES[step.phase],
        "way": step.way,
        "position": step.position,
        "tool": step.tool,
        "minutes": minutes(step.minutes),
        "wait_minutes": minutes(step.wait),
        "changeover_minutes": minutes(step.changeover),
        "tightness": step.tightness.text if step.tightness else None,
        "source": step.tightness.source if step.tightness else None,
        "slackening": step.slackening,
        "held": step.held,
        "mark_first": list(step.mark_first),
        "fastening": _fastening(step),
        "drive": list(step.drive),
        "why": step.why,
    }


def _fastening(step: JobStep) -> dict[str, Any] | None:
    told, tightness = step.fastening, step.tightness
    if told is None or tightness is None:
        return None
    return {
        "second": tightness.second,
        "stages": list(tightness.stages),
        "order": tightness.order,
        "surface": tightness.surface,
        "clamp": [
            {
                "bolt": clamp.bolt,
                "clamp_force_N": _band(clamp, 1.0),
                "proof_load_N": clamp.proof_load,
                "share_of_proof_load": _band(clamp, clamp.proof_load),
                "band": clamp.friction,
                "before_angle": clamp.before_angle,
            }
            for clamp in told.clamps
        ],
        "wrench": told.wrench,
        "setting_Nm": None if told.setting is None else float(told.setting.si),
        "setting_text": None if told.use is None else told.use.setting_text,
        "adapter": None if told.use is None or told.use.adapter is None else told.use.adapter.name,
        "check_due": None
        if told.use is None or told.use.check_due is None
        else told.use.check_due.isoformat(),
        "no_wrench": told.no_wrench,
        "hand": told.hand,
        "holder": told.holder,
        "tensioner": told.tensioner,
        "single_use": step.single_use,
        "mark": _mark(told.mark),
        "cautions": list(told.cautions),
    }


def _mark(mark: WitnessMark | None) -> dict[str, str] | None:
    return None if mark is None else {"colour": mark.colour, "shape": mark.shape}


def _band(clamp: ClampText, by: float) -> dict[str, float]:
    return {"low": clamp.low / by, "nominal": clamp.nominal / by, "high": clamp.high / by}


def kit_answer(kit: Kit) -> dict[str, Any]:
    """Give a kit as plain data."""
    return {
        "parts": [_line(line) for line in kit.parts],
        "fasteners": [_line(line) for line in kit.fasteners],
        "have_at_hand": [_line(line) for line in kit.at_hand],
        "candidates": [_line(line) for line in kit.candidates],
        "fluids": [
            {
                "id": fluid.id,
                "name": fluid.name,
                "specification": fluid.specification,
                "litres": _number(fluid.litres),
                "number": fluid.number,
                "source": fluid.source,
            }
            for fluid in kit.fluids
        ],
        "materials": [
            {"id": m.id, "name": m.name, "amount": m.amount, "why": m.why} for m in kit.materials
        ],
        "tools": [_tool(tool) for tool in kit.tools],
        "special_tools": [_tool(tool) for tool in kit.special_tools],
        "torques": [
            {
                "torque_Nm": float(need.torque.si),
                "joints": list(need.joints),
                "wrenches": list(need.wrenches),
                "adapter": need.adapter,
                "setting": need.setting,
            }
            for need in kit.torques
        ],
        "price": _number(kit.price),
        "currency": kit.currency,
    }


def _line(line: KitLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "name": line.name,
        "pieces": line.pieces,
        "number": line.number,
        "price": _number(line.price),
        "why": line.why,
        "in_stock": line.in_stock,
        "to_order": line.lacking,
        "sealing": line.sealing,
    }


def _tool(tool: KitTool) -> dict[str, Any]:
    return {"name": tool.name, "owned": tool.owned, "number": tool.number, "why": tool.why}


def _number(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def _share(cost: int | None, bound: int) -> float | None:
    if cost is None:
        return None
    return (cost - bound) / cost if cost else 0.0
