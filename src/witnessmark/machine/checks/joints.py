"""Rules on joints: how tight, which hand, in which order, what is ordered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, Names, complaint, in_a_row
from witnessmark.machine.model import Joint, JointKind


def final_tightness(context: Context) -> Iterator[Complaint]:
    """Every joint says how tight it ends, be it in a word."""
    for joint in context.machine.joints.values():
        if joint.tightness is None and not joint.stages:
            yield complaint("no-tightness", joint.place, joint=joint.id)


def stages_end_there(context: Context) -> Iterator[Complaint]:
    """The last of several passes ends at the final tightness."""
    for joint in context.machine.joints.values():
        if not joint.stages or joint.tightness is None:
            continue
        last, final = joint.stages[-1], joint.tightness
        if last.tightness.torque is None or final.tightness.torque is None:
            same = last.tightness == final.tightness
        else:
            same = last.tightness.torque.si == final.tightness.torque.si
        if not same:
            yield complaint(
                "stages-end-elsewhere",
                last.place,
                joint=joint.id,
                last=last.tightness,
                final=final.tightness,
            )


def thread_hand(context: Context) -> Iterator[Complaint]:
    """A joint that screws on says which hand its thread has, and seen from where."""
    for joint in context.machine.joints.values():
        if joint.kind is not JointKind.SCREW_ON:
            continue
        if joint.hand is None:
            yield complaint("no-thread-hand", joint.place, joint=joint.id)
        elif joint.viewpoint is None and context.machine.viewpoint is None:
            yield complaint("no-viewpoint", joint.place, joint=joint.id)


def single_use_lines(context: Context) -> Iterator[Complaint]:
    """What is used once only can be ordered."""
    for joint in context.machine.joints.values():
        if joint.single_use and (joint.line is None or joint.line.number is None):
            yield complaint("no-part-line", joint.place, joint=joint.id)


def holes_once(context: Context) -> Iterator[Complaint]:
    """A hole of a joint has one fastener."""
    for joint in context.machine.joints.values():
        seen: set[str] = set()
        for fastener in joint.fasteners:
            if fastener.hole is None:
                continue
            if fastener.hole in seen:
                yield complaint(
                    "duplicate-hole", fastener.place, joint=joint.id, hole=fastener.hole
                )
            seen.add(fastener.hole)


def orders(context: Context) -> Iterator[Complaint]:
    """An order of holes names every hole of the joint once, and no other."""
    for joint in context.machine.joints.values():
        for key, order in (("order", joint.order), ("slackening", joint.slackening)):
            if isinstance(order, tuple):
                yield from _order(joint, key, order)


def _order(joint: Joint, key: str, order: tuple[str, ...]) -> Iterator[Complaint]:
    holes = dict.fromkeys(f.hole for f in joint.fasteners if f.hole is not None)
    counted, known = Counter(order), Names(holes)
    for hole, count in counted.items():
        if hole not in holes:
            near = known.nearest(hole, "holes")
            yield complaint(
                "unknown-hole", joint.place, joint=joint.id, key=key, hole=hole, nearest=near
            )
        elif count > 1:
            yield complaint("hole-twice", joint.place, joint=joint.id, key=key, hole=hole)
    left = [hole for hole in holes if hole not in counted]
    if left:
        yield complaint(
            "hole-left-out", joint.place, joint=joint.id, key=key, holes=in_a_row(left, ", ")
        )


RULES = (final_tightness, stages_end_there, thread_hand, single_use_lines, holes_once, orders)
