"""The checks: one small function for each rule a file must keep."""

from __future__ import annotations

from datetime import date

from witnessmark.machine.checks import (
    bars,
    bolts,
    circuits,
    drives,
    fastening,
    garage,
    holding,
    joints,
    names,
    rooms,
    serving,
    sources,
    standing,
    tensioning,
    timing,
    works,
)
from witnessmark.machine.checks.context import Context, Rule
from witnessmark.machine.complaints import MOST_COMPLAINTS, Complaint, Complaints
from witnessmark.machine.model import JobState, Machine
from witnessmark.machine.reading import ReadResult
from witnessmark.machine.workshop import Workshop

RULES: tuple[Rule, ...] = (
    *names.RULES,
    *holding.RULES,
    *joints.RULES,
    *bolts.RULES,
    *fastening.RULES,
    *circuits.RULES,
    *bars.RULES,
    *rooms.RULES,
    *works.RULES,
    *timing.RULES,
    *drives.RULES,
    *tensioning.RULES,
    *sources.RULES,
)
"""Every rule a machine file must keep."""


def check_machine(read: ReadResult[Machine]) -> list[Complaint]:
    """Give every complaint about a machine file: those of the reading and of the rules."""
    if len(read.complaints) > MOST_COMPLAINTS:
        return list(read.complaints)  # more would help nobody
    complaints = Complaints()
    complaints.extend(read.complaints)
    if read.value is not None:
        context = Context(read.value, read.mentions)
        for rule in RULES:
            complaints.extend(rule(context))
    return complaints.in_order(read.files)


def check_workshop(read: ReadResult[Workshop]) -> list[Complaint]:
    """Give every complaint about a workshop file."""
    complaints = Complaints()
    complaints.extend(read.complaints)
    if read.value is not None:
        for rule in garage.RULES:
            complaints.extend(rule(read.value))
    return complaints.in_order(read.files)


def check_wrenches(machine: Machine, workshop: Workshop, on: date | None = None) -> list[Complaint]:
    """Give every torque of a machine that no wrench of a workshop's list serves on a day."""
    complaints = Complaints()
    complaints.extend(serving.wrenches_serve(machine, workshop, on))
    return complaints.in_order(machine.files)


def check_state(read: ReadResult[JobState], machine: Machine | None) -> list[Complaint]:
    """Give every complaint about a state file, against its machine when that is given."""
    complaints = Complaints()
    complaints.extend(read.complaints)
    if read.value is not None and machine is not None:
        context = Context(machine)
        for rule in standing.RULES:
            complaints.extend(rule(context, read.value))
    return complaints.in_order(read.files)
