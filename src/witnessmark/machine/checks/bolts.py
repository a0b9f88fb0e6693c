"""Rules on bolts and the holes they go into."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Fastener
from witnessmark.quantities.reading import format_number


def _fasteners(context: Context) -> Iterator[Fastener]:
    for joint in context.machine.joints.values():
        yield from joint.fasteners


def threads_match(context: Context) -> Iterator[Complaint]:
    """A bolt has the thread of its hole: diameter, pitch and hand."""
    for fastener in _fasteners(context):
        bolt, hole = fastener.thread, fastener.hole_thread
        if bolt is None or hole is None:
            continue
        same = (bolt.nominal, bolt.pitch, bolt.left_hand) == (
            hole.nominal,
            hole.pitch,
            hole.left_hand,
        )
        if not same or bolt.family != hole.family:
            yield complaint(
                "thread-clash",
                fastener.place,
                bolt=_thread(bolt.designation, left_hand=bolt.left_hand),
                hole=_thread(hole.designation, left_hand=hole.left_hand),
            )


def _thread(designation: str, *, left_hand: bool) -> str:
    return f"{designation} LH" if left_hand else designation


def lengths_fit(context: Context) -> Iterator[Complaint]:
    """A bolt reaches into its hole, and does not bottom in it."""
    for fastener in _fasteners(context):
        length = fastener.thread.length if fastener.thread is not None else None
        if length is None:
            continue
        clamped = fastener.clamped or Fraction(0)
        if fastener.clamped is not None and length <= clamped:
            yield complaint(
                "bolt-too-short", fastener.place, length=_mm(length), clamped=_mm(clamped)
            )
        elif (
            fastener.blind
            and fastener.hole_depth is not None
            and length > clamped + fastener.hole_depth
        ):
            yield complaint(
                "bolt-bottoms",
                fastener.place,
                length=_mm(length),
                clamped=_mm(clamped),
                depth=_mm(fastener.hole_depth),
                over=_mm(length - clamped - fastener.hole_depth),
            )


def _mm(metres: Fraction) -> str:
    return f"{format_number(metres * 1000, 2)} mm"


RULES = (threads_match, lengths_fit)
