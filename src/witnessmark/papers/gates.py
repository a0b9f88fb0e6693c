"""The gates of a plan as they are printed: each names what must be closed.

Where gates fall and what they list is the rule book's business; paper only leaves out
what would be said twice. Paper cannot know what was done: it stops the hand at the right
moment.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from witnessmark.planning.job import Job
from witnessmark.procedure.gates import GatePoint

MOST_NAMES = 12
"""More names than this are counted, not listed: the steps above name them one by one."""

_ONCE = frozenset({"opening-pressure", "going-under"})
"""Gates that are printed where they first fall; the same words again would be skipped over."""


@dataclass(frozen=True, slots=True)
class PrintedGate:
    """A stop before a step (`before` is its number; past the last: at the end)."""

    before: int
    title: str
    lines: tuple[str, ...]


def printed_gates(job: Job) -> tuple[PrintedGate, ...]:
    """Give the gates of a job in order, without repeats."""
    return tuple(_printed(job, point) for point in _worth_printing(job.gates))


def _worth_printing(points: Iterable[GatePoint]) -> Iterable[GatePoint]:
    seen: set[str] = set()
    for point in points:
        again = point.gate in seen
        here = f"{point.gate} {point.before}"
        if here in seen or (again and point.gate in _ONCE):
            continue
        if point.gate == "turning-by-hand" and again and not point.closed:
            continue  # no pin to name: the same words as before
        if point.gate == "lowering" and point.open:
            continue  # the machine stays up: its wheels are still off
        seen |= {point.gate, here}
        yield point


def _printed(job: Job, point: GatePoint) -> PrintedGate:
    lines = list(point.asks)
    if point.gate == "first-spanner":
        lines += [f"in hand: {tool.name}" for tool in job.kit.special_tools]
    if point.gate == "turning-by-hand" and job.machine.viewpoint:
        lines.append(f"seen {job.machine.viewpoint}")
    if len(point.closed) > MOST_NAMES:
        lines.append(
            f"all {len(point.closed)} things opened in this job are closed, ticked and counted"
        )
    else:
        lines += point.wanted
    lines += [f"by this plan still open here: {words}" for words in point.open]
    if point.gate == "handing-back":
        lines += [f"said or done: {duty.text}" for duty in job.duties]
    return PrintedGate(point.before, point.name, tuple(lines))
