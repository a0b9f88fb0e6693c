"""Rules on circuits: what is opened can be drained and filled again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Circuit
from witnessmark.quantities.reading import format_number

LITRES = 1000
"""In a cubic metre."""


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


def open_ends_are_capped(context: Context) -> Iterator[Complaint]:
    """Where a joint opens a circuit, oil, fuel and intake air too, its ends are capped."""
    for circuit, joints in _opened(context):
        if circuit.cap is None:
            yield complaint("no-cap", circuit.place, circuit=circuit.id, joint=joints[0])


def topped_up(context: Context) -> Iterator[Complaint]:
    """What a circuit loses while it is only relieved is made good.

    A drained one that says nothing of filling has a complaint of its own.
    """
    for circuit, joints in _opened(context):
        drained = any(spec.state == "drained" for spec in circuit.openings)
        if circuit.refilled and circuit.fill is None and circuit.openings and not drained:
            yield complaint("no-top-up", circuit.place, circuit=circuit.id, joint=joints[0])


def checked_afterwards(context: Context) -> Iterator[Complaint]:
    """A circuit that joints open, or that is drained and filled again, is looked at after."""
    opened = {circuit.id for circuit, _ in _opened(context)}
    for circuit in context.machine.circuits.values():
        drained = any(spec.state == "drained" for spec in circuit.openings)
        on_the_way = circuit.id in opened or (drained and circuit.refilled)
        if on_the_way and circuit.check is None:
            yield complaint("no-check", circuit.place, circuit=circuit.id)


def _opened(context: Context) -> Iterator[tuple[Circuit, list[str]]]:
    opened_by = _opened_by(context)
    for circuit in context.machine.circuits.values():
        if joints := opened_by.get(circuit.id):
            yield circuit, joints


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


def litres_fit_the_heights(context: Context) -> Iterator[Complaint]:
    """What comes out below a joint grows as the joints lie lower, up to all that drains."""
    for circuit in context.machine.circuits.values():
        yield from _out_of_order(circuit)
        due = None
        if circuit.capacity is not None and circuit.stays_behind is not None:
            due = circuit.capacity.quantity.si - circuit.stays_behind.quantity.si
        for joint, out in circuit.comes_out.items():
            if joint not in circuit.heights:
                yield complaint("comes-out-no-height", out.place, joint=joint)
            if due is not None and 0 < due < out.quantity.si:
                most = f"{format_number(due * LITRES)} L"
                yield complaint(
                    "comes-out-too-much", out.place, out=out.quantity, joint=joint, most=most
                )


def _out_of_order(circuit: Circuit) -> Iterator[Complaint]:
    """Name each joint that lets out less than the next higher one."""
    known = [(circuit.heights[joint].quantity.si, joint) for joint in circuit.comes_out
             if joint in circuit.heights]  # fmt: skip
    for (height, joint), (above, higher) in pairwise(sorted(known)):
        out, other = circuit.comes_out[joint], circuit.comes_out[higher]
        if height < above and out.quantity.si < other.quantity.si:
            yield complaint(
                "comes-out-order",
                out.place,
                out=out.quantity,
                joint=joint,
                other=other.quantity,
                higher=higher,
            )


RULES = (
    drained_before,
    filled_again,
    topped_up,
    open_ends_are_capped,
    checked_afterwards,
    less_stays_than_fits,
    litres_fit_the_heights,
)
