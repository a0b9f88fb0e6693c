"""The gates as they fall in a printed job: each lists by name what must be closed.

Paper cannot know what was done; it stops the hand at the right moment and names what to
look at.
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.machine.model import Machine
from witnessmark.planning.job import Job, JobStep
from witnessmark.procedure.plan import StepKind


@dataclass(frozen=True, slots=True)
class Gate:
    """A stop before a step (`before` is its number; past the last: at the end)."""

    before: int
    title: str
    lines: tuple[str, ...]


def gates_in(job: Job) -> tuple[Gate, ...]:
    """Find the gates of a job, in order."""
    found = [
        Gate(1, "before the first spanner", _first_spanner(job)),
        *_pressure_gates(job),
        *_turning_gates(job),
        *_cranking_gates(job),
        Gate(len(job.steps) + 1, "before handing back", _handing_back(job)),
    ]
    return tuple(sorted(found, key=lambda gate: gate.before))


def _first_spanner(job: Job) -> tuple[str, ...]:
    lines = [
        "new parts opened and laid beside the old where they can be seen",
        "the customer's yes is written down",
    ]
    lines += [f"in hand: {tool.name}" for tool in job.kit.special_tools]
    return tuple(lines)


def _pressure_gates(job: Job) -> list[Gate]:
    """Stop once for each circuit, before it is first opened."""
    machine = job.machine
    gates = []
    seen: set[str] = set()
    for step in job.steps:
        circuit = machine.circuits.get(step.object_id)
        if step.phase is not StepKind.STRIP or circuit is None or circuit.id in seen:
            continue
        seen.add(circuit.id)
        lines = [f"{name} made safe" for name in _made_safe_before(job, step)]
        if circuit.caution:
            lines.append(circuit.caution)
        gates.append(Gate(step.number, f"before opening {circuit.name}", tuple(lines)))
    return gates


def _made_safe_before(job: Job, step: JobStep) -> list[str]:
    return [
        earlier.object_name
        for earlier in job.steps[: step.number - 1]
        if earlier.object_id in job.machine.make_safes and earlier.phase is StepKind.STRIP
    ]


def _used_locks(job: Job) -> list[str]:
    machine = job.machine
    names: dict[str, None] = {}
    for step in job.steps:
        if step.object_id in machine.locks:
            names.setdefault(f"{step.object_name} is out of its hole and in the box")
        holder = machine.temporaries.get(step.object_id)
        if holder is not None and holder.kind == "holder":
            names.setdefault(f"{step.object_name} is away")
    return list(names)


def _turning_gates(job: Job) -> list[Gate]:
    """Stop before the first proof: locks named one by one, direction and viewpoint said."""
    machine = job.machine
    for step in job.steps:
        shaft = machine.shafts.get(step.object_id)
        if shaft is not None and step.phase is StepKind.REFIT:
            lines = [*_used_locks(job), "the belt is on and its tension is set"]
            lines.append(_direction(machine, step.object_id))
            lines.append("short bar, slowly; stop at the first resistance and find out why")
            return [Gate(step.number, "before turning by hand", tuple(lines))]
    return []


def _direction(machine: Machine, shaft_id: str) -> str:
    shaft = machine.shafts[shaft_id]
    seen = f", {machine.viewpoint}" if machine.viewpoint else ""
    return (
        f"running direction: {shaft.direction}{seen}"
        if shaft.direction
        else "running direction is known"
    )


def _cranking_gates(job: Job) -> list[Gate]:
    cranking = {
        step.id
        for work in job.works
        for step in work.steps
        if any(act.split()[0] in {"crank", "start"} for act in step.acts)
    }
    for step in job.steps:
        if step.is_block and step.object_id in cranking:
            lines = [
                *_used_locks(job),
                "turned two turns by hand and proved",
                "oil and coolant are in",
                "nothing is slack on purpose any more",
            ]
            return [Gate(step.number, "before cranking", tuple(lines))]
    return []


def _handing_back(job: Job) -> tuple[str, ...]:
    machine = job.machine
    lines = [
        "counted off equals counted on; nothing is left over",
        "tools, rags and lamps are all back",
    ]
    lines += _used_locks(job)
    lines += [
        f"{machine.circuits[c].name}: {machine.circuits[c].check}"
        for c in dict.fromkeys(s.object_id for s in job.steps if s.object_id in machine.circuits)
        if machine.circuits[c].check
    ]
    lines += [f"done or handed on: {duty.text}" for duty in job.duties]
    return tuple(lines)
