"""What stands on a job card: one document to work from at arm's length.

Pure: a `Job` in, plain data out. Layout is the template's business.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from witnessmark.papers.gates import PrintedGate, printed_gates
from witnessmark.papers.numbered_cautions import NumberedCautions
from witnessmark.planning.job import Job, JobStep, TightnessText
from witnessmark.planning.kit import Kit, KitLine, KitTool, money_text
from witnessmark.procedure.plan import StepKind
from witnessmark.quantities.duration import minutes_text
from witnessmark.quantities.reading import format_number

DEFERENCE = (
    "Torque figures and procedures belong to the machine's maker; where the maker's book says "
    "otherwise, the book is right. Refrigerant, airbags, high voltage and gas are for people "
    "licensed for them where you work."
)


def job_card(job: Job) -> dict[str, Any]:
    """Lay out the content of a job card."""
    cost = job.cost
    return {
        "title": f"Job card: {job.machine.name}",
        "subject": ", ".join(work.name for work in job.works),
        "foot": "Shortest by the minutes and prices in this file: "
        f"{minutes_text(cost.total)} labour. {job.machine.id}",
        "machine": job.machine.name,
        "works": [work.name for work in job.works],
        "blanks": [
            "plate or serial number",
            "mileage or hours",
            "date",
            "who",
            "approved by",
            "keys hang",
        ],
        "mark": None if job.mark is None else {"colour": job.mark.colour, "shape": job.mark.shape},
        "cautions": list(job.cautions) or ["Make safe before the first spanner."],
        "deference": DEFERENCE,
        "times": [
            ["strip", minutes_text(cost.strip)],
            ["work", minutes_text(cost.work)],
            ["refit", minutes_text(cost.refit)],
            ["changing place and tool", minutes_text(cost.changeover)],
            ["labour in all", minutes_text(cost.total - cost.spoils)],
        ],
        "times_note": _times_note(job),
        "kit": _kit_groups(job.kit, job.offers),
        "phases": _phases(job),
        "duties": [
            {
                "text": duty.text,
                "detail": ". ".join(
                    words
                    for words in (
                        f"after {duty.after}" if duty.after else "",
                        f"limit {duty.limit}" if duty.limit else "",
                        f"by {duty.person}" if duty.person else "",
                        "" if duty.may_leave else "the machine does not leave before",
                    )
                    if words
                ),
            }
            for duty in job.duties
        ],
    }


def _times_note(job: Job) -> str:
    waits = sum(step.wait for step in job.steps)
    if not waits:
        return "No waiting in this job."
    return f"Waiting comes on top ({minutes_text(waits)} in all: cooling, draining, bleeding)."


def _kit_groups(kit: Kit, offers: Sequence[str]) -> list[dict[str, Any]]:
    groups = [
        ("Renew: parts", [_kit_row(line, kit.currency) for line in kit.parts if not line.sealing]),
        (
            "Renew: gaskets and seals",
            [_kit_row(line, kit.currency) for line in kit.parts if line.sealing],
        ),
        (
            "Renew: fasteners for single use",
            [_kit_row(line, kit.currency) for line in kit.fasteners],
        ),
        ("Have at hand: may be needed", [_kit_row(line, kit.currency) for line in kit.at_hand]),
        (
            "Sizes to choose from after measuring",
            [_kit_row(line, kit.currency) for line in kit.candidates],
        ),
        ("Fluids, sealants, greases", list(_fluid_rows(kit))),
        ("Special tools", [_tool_row(tool, kit.currency) for tool in kit.special_tools]),
        ("Hand tools", [_tool_row(tool, kit.currency) for tool in kit.tools]),
        ("Torque wrenches", list(_wrench_rows(kit))),
    ]
    shown = [{"title": title, "rows": rows} for title, rows in groups if rows]
    if offers:
        rows = [_row(name.replace("-", " "), "", "", "ask; write yes or no") for name in offers]
        shown.append({"title": "Worth offering while it is open", "rows": rows})
    return shown


def _row(what: str, amount: str, number: str, why: str) -> dict[str, str]:
    return {"what": what, "amount": amount, "number": number, "why": why}


def _kit_row(line: KitLine, currency: str) -> dict[str, str]:
    number = line.number or "no part number"
    price = f", {money_text(line.price, currency)}" if line.price is not None else ""
    stock = f"; {line.in_stock} in stock" if line.in_stock else ""
    return _row(line.name, f"{line.pieces}", number + price, line.why + stock)


def _fluid_rows(kit: Kit) -> Iterable[dict[str, str]]:
    for fluid in kit.fluids:
        litres = (
            "quantity not given" if fluid.litres is None else f"{format_number(fluid.litres, 2)} L"
        )
        yield _row(fluid.name, litres, fluid.number or "", fluid.specification or "")
    for material in kit.materials:
        yield _row(material.name, material.amount or "", "", material.why)


def _tool_row(tool: KitTool, currency: str) -> dict[str, str]:
    price = money_text(tool.price, currency) if tool.price is not None else ""
    number = ", ".join(words for words in (tool.number, price) if words and not tool.owned)
    return _row(tool.name, "have" if tool.owned else "not here", number, tool.why or "")


def _wrench_rows(kit: Kit) -> Iterable[dict[str, str]]:
    for need in kit.torques:
        wrench = need.wrenches[0] if need.wrenches else "no wrench here serves it"
        if need.adapter is not None:
            wrench += f" with {need.adapter}" + (f", set {need.setting}" if need.setting else "")
        yield _row(wrench, str(need.torque), "", ", ".join(need.joints))


_PHASES = {
    StepKind.STRIP: (
        "Strip",
        "In this order. Bolts to their holes, bags numbered, photographs before plugs come off.",
    ),
    StepKind.BLOCK: ("Work", "Parts off, places clean."),
    StepKind.REFIT: ("Refit", "Tick only after doing. The paint line is the last act at a bolt."),
}


def _phases(job: Job) -> list[dict[str, Any]]:
    """Cut the steps into strip, work and refit pages.

    Strip ends with the last strip step before the first block or closing; refit begins
    after the last block that stands before every closing. What is mixed stays in the
    order of the plan.
    """
    steps = job.steps
    first_other = next(
        (i for i, s in enumerate(steps) if s.phase is not StepKind.STRIP), len(steps)
    )
    first_refit = next((i for i, s in enumerate(steps) if s.phase is StepKind.REFIT), len(steps))
    cuts = [
        (StepKind.STRIP, steps[:first_other]),
        (StepKind.BLOCK, steps[first_other:first_refit]),
        (StepKind.REFIT, steps[first_refit:]),
    ]
    gates = printed_gates(job)
    numbered = NumberedCautions()
    phases = []
    for kind, members in cuts:
        rows: list[dict[str, Any]] = []
        cautions = numbered.of_phase([_cautions(step) for step in members])
        for step, printed in zip(members, cautions, strict=True):
            rows += [_gate_row(gate) for gate in gates if gate.before == step.number]
            rows.append({**_step_row(step), "cautions": printed})
        if kind is StepKind.REFIT:
            rows += [_gate_row(gate) for gate in gates if gate.before > len(steps)]
        if rows:
            title, note = _PHASES[kind]
            phases.append({"title": title, "note": note, "rows": rows})
    return phases


def _gate_row(gate: PrintedGate) -> dict[str, Any]:
    return {"kind": "gate", "title": gate.title, "lines": list(gate.lines)}


def _step_row(step: JobStep) -> dict[str, Any]:
    line = _capital(step.line)
    marks = []
    if step.way:
        marks.append(f"way: {step.way.replace('-', ' ')}")
    if step.hand:
        marks.append(step.hand)
    if step.mark_first:
        marks.append(f"mark first: {', '.join(step.mark_first)}; other bolts are wrong there")
    if step.slackening:
        marks.append(step.slackening)
    if step.held:
        marks.append(step.held)
    if step.single_use and step.phase is StepKind.REFIT:
        marks.append("new ones; the old are not used again")
    if step.spoils:
        marks.append("spoils: " + ", ".join(step.spoils))
    if step.store:
        marks.append(f"store: {step.store}")
    if step.people > 1:
        marks.append(f"{step.people} people")
    ticks = 1
    if step.tightness is not None and step.tightness.has_torque:
        ticks = max(1, len(step.tightness.stages))
    return {
        "kind": "step",
        # A row stays whole unless its words alone would fill most of a page.
        "breakable": len(step.text or "") + len(line) + len(step.caution or "") > 1200,
        "number": step.number,
        "ticks": ticks,
        "line": line,
        "pieces": step.pieces or "",
        "text": sentence(step.text),
        # The bench shows one step at a time and says all of it there.
        "caution": " ".join(_cautions(step)),
        "tightness": _tightness(step.tightness, step) if step.tightness else None,
        "drive": list(step.drive),
        "measurement": _capital(step.measurement or ""),
        "marks": marks,
        "why": "; ".join(words for words in (step.why, step.note) if words),
        "position": step.position or "",
        "tool": step.tool or "",
        "aids": ", ".join(step.aids),
        "minutes": minutes_text(step.minutes)
        + (f", wait {minutes_text(step.wait)}" if step.wait else ""),
    }


def _cautions(step: JobStep) -> list[str]:
    own = step.fastening.cautions if step.fastening is not None else ()
    return [words for words in (sentence(step.caution), *own) if words]


def _tightness(tightness: TightnessText, step: JobStep) -> dict[str, str]:
    detail, told = [], step.fastening
    if tightness.stages:
        detail.append("stages " + ", ".join(tightness.stages))
    if tightness.order:
        detail.append(f"order {tightness.order}")
    if tightness.surface:
        detail.append(tightness.surface)
    if told is not None:
        # The hand of the thread may stand among the marks already.
        detail += [words for words in told.lines if words != step.hand]
    if tightness.has_torque and tightness.wrench is None and (told is None or not told.no_wrench):
        detail.append("no wrench here serves it")
    return {
        "text": tightness.text,
        "second": tightness.second or "",
        "detail": "; ".join(detail),
        "source": tightness.source or "nobody said where it comes from",
    }


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def sentence(words: str | None) -> str:
    """Make words from a file a sentence: a capital first, a full stop last; empty for none."""
    if not words:
        return ""
    text = _capital(words.strip())
    return text if text.endswith((".", "!", "?")) else f"{text}."
