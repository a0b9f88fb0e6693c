"""Plans as the desk shows them: minutes, what sets one apart, why each step, what is missing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from witnessmark.papers.job_card import job_card
from witnessmark.planning.job import Job, JobStep
from witnessmark.planning.kit import Kit, KitLine, money_text, unserved
from witnessmark.planning.verdict import verdict_lines
from witnessmark.procedure.plan import StepKind
from witnessmark.quantities.duration import minutes_text
from witnessmark.workshop.job_choices import only_in, plan_key
from witnessmark.workshop.job_planning import PlannedJob

TITLES = {StepKind.STRIP: "Strip", StepKind.BLOCK: "Work", StepKind.REFIT: "Refit"}


@dataclass(frozen=True, slots=True)
class ShownStep:
    """One step: what, how long, where and with what, and why."""

    number: int
    line: str
    minutes: str
    where: str
    why: str


@dataclass(frozen=True, slots=True)
class ShownPlan:
    """One plan, ready for the page."""

    key: str
    number: int
    labour: str
    waiting: str
    verdict: tuple[str, ...]
    times: tuple[tuple[str, str], ...]
    apart: tuple[str, ...]
    optional: tuple[str, ...]
    phases: tuple[tuple[str, tuple[ShownStep, ...]], ...]
    cautions: tuple[str, ...]
    duties: tuple[str, ...]
    missing: tuple[str, ...]
    kit: tuple[dict[str, Any], ...]
    prices: str


def shown_plans(planned: list[PlannedJob]) -> list[ShownPlan]:
    """Make plans ready for the page, each with what sets it apart from the others."""
    return [
        _shown(number, each, [other for other in planned if other is not each])
        for number, each in enumerate(planned, 1)
    ]


def _shown(number: int, planned: PlannedJob, others: list[PlannedJob]) -> ShownPlan:
    job, cost = planned.job, planned.job.cost
    waits = sum(step.wait for step in job.steps)
    return ShownPlan(
        key=plan_key(planned),
        number=number,
        labour=minutes_text(cost.total - cost.spoils),
        waiting=minutes_text(waits) if waits else "",
        verdict=tuple(verdict_lines(planned.result)),
        times=tuple(_times(job)),
        apart=tuple(only_in(planned, others)),
        optional=tuple(_optional(job)),
        phases=tuple(_phases(job)),
        cautions=job.cautions,
        duties=tuple(duty.text for duty in job.duties),
        missing=tuple(missing(job.kit)),
        kit=tuple(job_card(job)["kit"]),
        prices=money_text(job.kit.price, job.kit.currency),
    )


def _times(job: Job) -> Iterator[tuple[str, str]]:
    cost = job.cost
    yield "strip", minutes_text(cost.strip)
    yield "work", minutes_text(cost.work)
    yield "refit", minutes_text(cost.refit)
    yield "changing place and tool", minutes_text(cost.changeover)
    if cost.spoils:
        yield "spoilt parts and risk, as minutes", minutes_text(cost.spoils)


def _optional(job: Job) -> Iterator[str]:
    """Say what each removal buys that only makes room."""
    for each in job.optional:
        saved = minutes_text(abs(each.saves))
        if each.taken:
            verb = "saves" if each.saves >= 0 else "costs"
            yield f"{each.object_name} comes off for room: {verb} {saved}"
        else:
            verb = "save" if each.saves >= 0 else "cost"
            yield f"{each.object_name} stays on: taking it off would {verb} {saved}"


def _phases(job: Job) -> Iterator[tuple[str, tuple[ShownStep, ...]]]:
    for phase, steps in groupby(job.steps, key=lambda step: step.phase):
        yield TITLES[phase], tuple(map(_step, steps))


def _step(step: JobStep) -> ShownStep:
    way = f", by {step.way.replace('-', ' ')}" if step.way else ""
    pieces = f" ({step.pieces})" if step.pieces else ""
    wait = f", then wait {minutes_text(step.wait)}" if step.wait else ""
    return ShownStep(
        number=step.number,
        line=f"{step.line}{pieces}{way}",
        minutes=f"{minutes_text(step.minutes)}{wait}",
        where=", ".join(words for words in (step.position, step.tool, *step.aids) if words),
        why="; ".join(words for words in (step.why, step.note) if words),
    )


def missing(kit: Kit) -> Iterator[str]:
    """Name what the kit wants and the workshop has not."""
    for tool in (*kit.special_tools, *kit.tools):
        if not tool.owned:
            yield f"{tool.name}: not here" + (f", order as {tool.number}" if tool.number else "")
    for line in (*kit.parts, *kit.fasteners):
        if line.lacking:
            yield _to_order(line)
    yield from unserved(kit)


def _to_order(line: KitLine) -> str:
    number = line.number or "no part number in the file"
    have = f", {line.in_stock} on the shelf" if line.in_stock else ""
    return f"{line.name}: {line.lacking} to order ({number}{have})"
