"""What a plan looks like on a terminal: plain columns, colour only where one is watching."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable

import click

from witnessmark.planning.job import Job, JobStep, TightnessText
from witnessmark.planning.kit import Kit, KitLine, money_text, unserved
from witnessmark.planning.verdict import verdict_lines
from witnessmark.procedure.plan import StepKind
from witnessmark.quantities.duration import minutes_text
from witnessmark.quantities.reading import format_number

_PHASE_TITLES = {StepKind.STRIP: "Strip", StepKind.BLOCK: "Work", StepKind.REFIT: "Refit"}


def width() -> int:
    """Columns to print in: the terminal's, at most 110."""
    return min(110, shutil.get_terminal_size((100, 24)).columns)


def heading(words: str) -> str:
    """Print a heading: bold on a terminal, underlined by nothing."""
    return click.style(words, bold=True)


def plan_lines(job: Job) -> Iterable[str]:
    """Print a whole plan."""
    yield heading(f"{job.machine.name}: {', '.join(work.name for work in job.works)}")
    yield from verdict_lines(job.result)
    yield ""
    yield from times_lines(job)
    phase: StepKind | None = None
    place: str | None = None
    for step in job.steps:
        if step.phase is not phase:
            phase, place = step.phase, None
            yield ""
            yield heading(_PHASE_TITLES[phase])
        if step.position and step.position != place:
            place = step.position
            yield click.style(f"  {place}", dim=True)
        yield from step_lines(step)
    yield ""
    yield from optional_lines(job)
    yield from duty_lines(job)
    for words in unserved(job.kit):
        yield click.style(f"Warning: {words}", fg="yellow")


def times_lines(job: Job) -> Iterable[str]:
    """Say where the minutes go."""
    cost = job.cost
    rows = [
        ("strip", cost.strip),
        ("work", cost.work),
        ("refit", cost.refit),
        ("changing place and tool", cost.changeover),
    ]
    if cost.spoils:
        rows.append(("spoilt parts and risk, as minutes", cost.spoils))
    for name, tenths in rows:
        yield f"  {name:<34}{minutes_text(tenths):>14}"
    waits = sum(step.wait for step in job.steps)
    if waits:
        yield f"  {'waiting on top':<34}{minutes_text(waits):>14}"


def step_lines(step: JobStep) -> Iterable[str]:
    """Print one step: number, what, tool, minutes; tightness and cautions below it."""
    what = step.line
    if step.pieces:
        what += f" ({step.pieces})"
    if step.way:
        what += f" [{step.way}]"
    right = f"{minutes_text(step.minutes):>9}"
    tool = step.tool or ""
    room = width() - 6 - len(right) - len(tool) - 4
    lines = textwrap.wrap(what, max(20, room)) or [""]
    yield f"{step.number:>4}  {lines[0]:<{max(20, room)}}  {tool} {right}"
    for rest in lines[1:]:
        yield f"      {rest}"
    if step.tightness is not None:
        second = f" = {step.tightness.second}" if step.tightness.second else ""
        surface = f", {step.tightness.surface}" if step.tightness.surface else ""
        yield f"        {step.tightness.text}{second}{surface}"
        yield from _indented("; ".join(_tightness_words(step, step.tightness)))
    if step.fastening is not None:
        told = (*step.fastening.lines, *(f"Caution: {c}" for c in step.fastening.cautions))
        for words in told:
            yield from _indented(words)
    else:
        yield from (
            f"        {words}" for words in (step.hand, step.slackening, step.held) if words
        )
    for words in step.drive:
        yield from _indented(words)
    if step.mark_first:
        yield f"        mark first: {', '.join(step.mark_first)} (other bolts are wrong there)"
    if step.caution:
        yield from textwrap.wrap(
            f"Caution: {step.caution}", width(), initial_indent=" " * 8, subsequent_indent=" " * 8
        )


def _tightness_words(step: JobStep, tightness: TightnessText) -> Iterable[str]:
    """Say what belongs to a tightness: passes, order, new bolts, and where it comes from."""
    if tightness.stages:
        yield f"stages {', '.join(tightness.stages)}"
    if tightness.order:
        yield f"order {tightness.order}"
    if step.single_use:
        yield "new ones; the old are not used again"
    if tightness.has_torque:
        yield f"figure: {tightness.source or 'nobody said where it comes from'}"


def _indented(words: str) -> list[str]:
    return textwrap.wrap(words, width(), initial_indent=" " * 8, subsequent_indent=" " * 10)


def optional_lines(job: Job) -> Iterable[str]:
    """Say which removals are made only for room, and what each would save."""
    if not job.optional:
        return
    yield heading("For room only")
    for removal in job.optional:
        verdict = "taken, saves" if removal.taken else "left on, taking it would save"
        if removal.saves < 0:
            verdict = "taken, costs" if removal.taken else "left on, taking it would cost"
        yield f"  {removal.object_name}: {verdict} {minutes_text(abs(removal.saves))}"


def duty_lines(job: Job) -> Iterable[str]:
    """Say what the job leaves behind."""
    if job.duties:
        yield heading("Still owed afterwards")
    for duty in job.duties:
        limit = f", limit {duty.limit}" if duty.limit else ""
        yield f"  {duty.text}{limit}"


def kit_lines(kit: Kit) -> Iterable[str]:
    """Print a kit in groups."""
    yield from _kit_group("Renew", kit.parts, kit.currency)
    yield from _kit_group("Fasteners for single use", kit.fasteners, kit.currency)
    yield from _kit_group("Have at hand", kit.at_hand, kit.currency)
    yield from _kit_group("Sizes to choose from", kit.candidates, kit.currency)
    if kit.fluids or kit.materials:
        yield heading("Fluids and materials")
    for fluid in kit.fluids:
        litres = "not given" if fluid.litres is None else f"{format_number(fluid.litres, 2)} L"
        yield f"  {litres:>10}  {fluid.name} ({fluid.specification or 'no specification'})"
    for material in kit.materials:
        yield f"  {material.amount or '':>10}  {material.name}, {material.why}"
    if kit.special_tools:
        yield heading("Special tools")
    for tool in kit.special_tools:
        number = f", {tool.number}" if tool.number else ""
        yield f"  {'have' if tool.owned else 'NOT HERE':>10}  {tool.name}{number}"
    if kit.tools:
        yield heading("Hand tools")
    for tool in kit.tools:
        yield f"  {'have' if tool.owned else 'NOT HERE':>10}  {tool.name}"
    if kit.torques:
        yield heading("Torque wrenches")
    for need in kit.torques:
        served = need.wrenches[0] if need.wrenches else "NO WRENCH HERE SERVES IT"
        if need.adapter is not None:
            served += f" with {need.adapter}" + (f", set {need.setting}" if need.setting else "")
        yield f"  {need.torque!s:>10}  {served}: {', '.join(need.joints)}"
    yield f"Known prices: {money_text(kit.price, kit.currency)}"


def _kit_group(title: str, lines: tuple[KitLine, ...], currency: str) -> Iterable[str]:
    if lines:
        yield heading(title)
    for line in lines:
        price = f", {money_text(line.price, currency)}" if line.price is not None else ""
        stock = f", {line.in_stock} in stock" if line.in_stock else ""
        number = line.number or "no number"
        yield f"  {line.pieces:>10}  {line.name} ({number}{price}{stock}): {line.why}"
