"""What stands on the coolant card of a job: litres, strength, order of filling, cautions.

Pure: a `Job` in, plain data out. Waiting times are those of the file, or of a named source;
where nobody gives one, the step waits for something that can be seen.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from witnessmark.engineering.coolant import CAUTIONS, Freezing, Glycol, freezing, mass_percent
from witnessmark.engineering.coolant_filling import DRIVES, HOT, POISON
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.circuit_filling import comes_out_below, filling_order, holds_coolant
from witnessmark.machine.model import Circuit, Sourced
from witnessmark.papers.job_card import sentence
from witnessmark.planning.job import Job, JobStep
from witnessmark.procedure.plan import StepKind
from witnessmark.quantities.reading import format_number

PER_LITRE = 1000
NOBODY = "nobody said where it comes from"
_STRENGTH = re.compile(
    r"(?P<glycol>ethylene|propylene) glycol\W+(?P<percent>\d+(?:\.\d+)?) ?% by (?P<by>volume|mass)",
    re.IGNORECASE,
)
AIRLOCK = (
    "In clearly less than out, by more than your measuring may be off: air is trapped. Do not "
    "start; bleed again. In more than out: it was low before, had air in it, or it leaks; look "
    "for it. In agrees with out: the heater must still blow hot and the cold level hold."
)


def coolant_card(job: Job) -> dict[str, Any] | None:
    """Lay out the card of every coolant circuit this job opens; None when it opens none."""
    circuits = [_circuit(job, circuit) for circuit in _opened(job)]
    if not circuits:
        return None
    return {
        "title": f"Coolant card: {job.machine.name}",
        "subject": ", ".join(work.name for work in job.works),
        "foot": f"The maker's filling procedure rules. {job.machine.id}",
        "circuits": circuits,
        "cautions": [HOT, POISON, DRIVES],
        "notes": [
            *CAUTIONS,
            "Old coolant goes where local law says, apart from oil.",
        ],
    }


def has_coolant(job: Job) -> bool:
    """Whether this job opens a circuit that holds coolant."""
    return bool(_opened(job))


def _opened(job: Job) -> list[Circuit]:
    circuits = job.machine.circuits.values()
    return [each for each in circuits if holds_coolant(each) and _steps_of(job, each)]


def _steps_of(job: Job, circuit: Circuit) -> list[JobStep]:
    return [step for step in job.steps if step.object_id == circuit.id and not step.is_block]


def _circuit(job: Job, circuit: Circuit) -> dict[str, Any]:
    drained = any(step.state == "drained" for step in _steps_of(job, circuit))
    return {
        "name": circuit.name,
        "fluid": circuit.fluid,
        "specification": circuit.specification or "specification not given",
        "caution": sentence(circuit.caution),
        "drained": drained,
        "figures": list(_figures(job, circuit, drained=drained)),
        "litres": _litres(drained=drained),
        "airlock": AIRLOCK,
        "strength": _strength(circuit),
        "joints": list(_joints(job, circuit)),
        "order": [
            {"number": number, "what": what, "not_before": wait}
            for number, (what, wait) in enumerate(_order(job, circuit, drained=drained), 1)
        ],
    }


def _figures(job: Job, circuit: Circuit, *, drained: bool) -> Iterator[list[str]]:
    """Give what the file says of the charge, each figure with its source."""
    yield ["holds, full", *_figure(circuit.capacity)]
    if drained:
        yield ["stays behind when drained", *_figure(circuit.stays_behind)]
        if circuit.capacity is not None and circuit.stays_behind is not None:
            due = circuit.capacity.quantity.si - circuit.stays_behind.quantity.si
            yield [
                "so about this much is due out, and in again",
                f"{format_number(due * PER_LITRE, 1)} L",
                "the first less the second",
            ]
        partly = comes_out_below(circuit, opened_joints(job, circuit))
        if partly is not None:
            joint, out = partly
            name = job.machine.joints[joint].name
            yield [f"comes out when drained to below {name} only", *_figure(out)]
    if circuit.level is not None:
        yield ["level above the drain, pressure released", *_figure(circuit.level)]


def _figure(figure: Sourced | None) -> list[str]:
    if figure is None:
        return ["not given", "measure what comes out"]
    return [str(figure.quantity), figure.source or NOBODY]


def _litres(*, drained: bool) -> list[str]:
    """Name the rows with room for measured litres."""
    out = [
        "out: caught in the container",
        "out: left in parts renewed, or spilt (by guess)",
    ]
    into = ["in: poured at the first fill", "in: topped up after running and when cold"]
    return [
        *(out if drained else ["out: lost while a joint was open"]),
        *into,
        "out less in",
        "my measuring may be off by",
    ]


def _strength(circuit: Circuit) -> dict[str, Any]:
    """Give the freezing point of the strength the file states, by every source that reaches it."""
    found = _STRENGTH.search(f"{circuit.specification or ''} {circuit.fluid}")
    none = {"stated": "", "rows": [], "rely": "", "why": ""}
    if found is None:
        return {
            **none,
            "why": "The file states no strength. Read it with a refractometer; the bottle's label "
            "does not tell what is in the engine.",
        }
    glycol = Glycol(found["glycol"].lower())
    percent = float(found["percent"])
    stated = f"{found['glycol'].lower()} glycol, {percent:g} % by {found['by'].lower()}"
    try:
        by_mass = mass_percent(glycol, percent) if found["by"].lower() == "volume" else percent
        figures = freezing(glycol, by_mass)
    except RefusalError as refusal:
        return {**none, "stated": stated, "why": f"{sentence(refusal.what)} {refusal.hint}."}
    return {
        "stated": stated,
        "rows": [[_celsius(figure.value), figure.source] for figure in figures.figures],
        "rely": _rely(figures),
        "why": "",
    }


def _celsius(value: float) -> str:
    return f"{value:.1f} °C".replace("-", "\N{MINUS SIGN}")


def _rely(figures: Freezing) -> str:
    return (
        f"Rely on {_celsius(figures.high)}, the warmest; the sources lie "
        f"{figures.high - figures.low:.1f} K apart. {figures.mass_percent:.1f} % by mass is "
        f"{figures.volume_percent:.1f} % by volume."
    )


def opened_joints(job: Job, circuit: Circuit) -> list[str]:
    """Give the joints of a circuit that a job opens."""
    at_hand = {step.object_id for step in job.steps}
    return [
        joint.id
        for joint in job.machine.joints.values()
        if joint.id in at_hand and any(ref.id == circuit.id for ref in joint.opens)
    ]


def _joints(job: Job, circuit: Circuit) -> Iterator[list[str]]:
    """Give the joints this job opens on the circuit, and whether they lie above the level."""
    opened = {step.object_id for step in job.steps}
    for joint in job.machine.joints.values():
        if joint.id not in opened or not any(ref.id == circuit.id for ref in joint.opens):
            continue
        height = circuit.heights.get(joint.id)
        if height is None:
            yield [joint.name, "height not given", "drain first"]
            continue
        above = circuit.level is not None and height.quantity.si >= circuit.level.quantity.si
        words = "above the level once released" if above else "drain below it first"
        yield [joint.name, str(height.quantity), words]


def _order(job: Job, circuit: Circuit, *, drained: bool) -> Iterator[tuple[str, str]]:
    """Give the order of emptying, filling and proving, each with what it waits for."""
    for step in filling_order(
        circuit,
        drained=drained,
        opened=opened_joints(job, circuit),
        wait_strip=_wait(job, circuit, StepKind.STRIP),
        wait_refit=_wait(job, circuit, StepKind.REFIT),
    ):
        yield step.what, step.not_before


def _wait(job: Job, circuit: Circuit, phase: StepKind) -> int:
    """Give the longest wait the plan has at the circuit on one side [tenths of a minute]."""
    return max((s.wait for s in _steps_of(job, circuit) if s.phase is phase), default=0)
