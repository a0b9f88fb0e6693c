"""Rules on circuits: what is opened can be drained and filled again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Circuit


def _opened_by(context: Context) -> dict[str, list[str]]:
    """Give the joints that open each circuit."""
    found: dict[str, list[str]] = defaultdict(list)
    for joint in context.machine.joints.values():
        for ref in joint.opens:
            found[ref.id].append(joint.id)
    return found


def drained_before(context: Context) -> Iterator[Complaint]:
    """A circuit that joints open says how it is drained, or relieved where that is enough."""
    opened_by = _opened_by(context)
    for circuit in context.machine.circuits.values():
        joints = opened_by.get(circuit.id, [])
        states = [spec.state for spec in circuit.openings]
        if "drained" in states:
            if circuit.drain is None:
                yield complaint("no-drain", circuit.place, circuit=circuit.id)
            continue
        if not states and joints:
            yield complaint("never-drained", circuit.place, circuit=circuit.id, joint=joints[0])
        low = [joint for joint in joints if not _high(circuit, joint)]
        if states and low and circuit.refilled:
            yield complaint("only-relieved", circuit.place, circuit=circuit.id, joint=low[0])


def _high(circuit: Circuit, joint: str) -> bool:
    height = circuit.heights.get(joint)
    return (
        height is not None
        and circuit.level is not None
        and height.quantity.si >= circuit.level.quantity.si
    )


def filled_again(context: Context) -> Iterator[Complaint]:
    """A circuit that is drained and refilled says how it is filled."""
    for circuit in context.machine.circuits.values():
        drained = any(spec.state == "drained" for spec in circuit.openings)
        if drained and circuit.refilled and circuit.fill is None:
            yield complaint("no-fill", circuit.place, circuit=circuit.id)


def less_stays_than_fits(context: Context) -> Iterator[Complaint]:
    """What stays behind is less than what the circuit holds."""
    for circuit in context.machine.circuits.values():
        if circuit.capacity is None or circuit.stays_behind is None:
            continue
        if circuit.stays_behind.quantity.si >= circuit.capacity.quantity.si:
            yield complaint(
                "stays-behind-too-much",
                circuit.stays_behind.place,
                stays=circuit.stays_behind.quantity,
                capacity=circuit.capacity.quantity,
            )


RULES = (drained_before, filled_again, less_stays_than_fits)
