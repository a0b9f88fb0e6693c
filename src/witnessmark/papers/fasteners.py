"""What is printed about the fasteners of a joint: holes, lengths, order, rounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.engineering.fastening.orders import (
    Spot,
    TighteningOrder,
    cross_order,
    spiral_order,
    tightening_order,
)
from witnessmark.engineering.fastening.passes import tightening_passes
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.model import Fastener, Joint, SourcedTightness
from witnessmark.machine.swapping import group_swaps, is_mixed
from witnessmark.planning.fastening_step import slackening_text
from witnessmark.planning.job import Job
from witnessmark.procedure.plan import StepKind


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole of a joint with its place in millimetres, y up as in the file."""

    name: str
    x: float
    y: float
    diameter: float | None
    """Of the bolt's thread; None when the file gives no thread."""
    bolt: str


@dataclass(frozen=True, slots=True)
class Order:
    """Names of holes in order, or none and the reason in `why`."""

    names: tuple[str, ...]
    why: str


def joints_taken_out(job: Job) -> tuple[Joint, ...]:
    """Joints whose fasteners come out in this job, in the order of the plan."""
    ids = dict.fromkeys(
        step.object_id for step in job.steps if step.phase is StepKind.STRIP and step.state == "out"
    )
    return tuple(job.machine.joints[i] for i in ids if i in job.machine.joints)


def joints_made(job: Job) -> tuple[Joint, ...]:
    """Joints brought to their final tightness in this job, in the order of the plan."""
    ids = dict.fromkeys(step.object_id for step in job.steps if step.tightness is not None)
    return tuple(job.machine.joints[i] for i in ids if i in job.machine.joints)


def bolt_words(fastener: Fastener) -> str:
    """Say what a fastener is: its name, thread and length."""
    thread = str(fastener.thread) if fastener.thread else ""
    return " ".join(words for words in (fastener.name or "", thread) if words) or "size not given"


def placed_holes(joint: Joint) -> tuple[Hole, ...]:
    """Give the holes whose place the file gives."""
    holes = []
    for number, fastener in enumerate(joint.fasteners, 1):
        if fastener.at is None:
            continue
        thread = fastener.thread
        holes.append(
            Hole(
                name=fastener.hole or str(number),
                x=float(fastener.at[0]) * 1000.0,
                y=float(fastener.at[1]) * 1000.0,
                diameter=float(thread.nominal) * 1000.0 if thread else None,
                bolt=bolt_words(fastener),
            )
        )
    return tuple(holes)


def unplaced(joint: Joint) -> tuple[str, ...]:
    """Say which fasteners have no place in the file."""
    return tuple(
        f"{f'hole {f.hole}: ' if f.hole else ''}{f.count} × {bolt_words(f)}"
        for f in joint.fasteners
        if f.at is None
    )


def order_of(joint: Joint) -> Order:
    """Give the tightening order of a joint: the file's, or what its pattern gives.

    Without an order in the file, one from the holes' places is given and said to be that.
    """
    holes = placed_holes(joint)
    if isinstance(joint.order, tuple):
        return Order(joint.order, "order as given in the machine file")
    if unplaced(joint):
        return Order((), "no order drawn: not every hole has its place in the machine file")
    spots = tuple(Spot(hole.name, hole.x, hole.y) for hole in holes)
    try:
        found = tightening_order(spots)
    except RefusalError as error:
        return Order((), f"no order drawn: {error}")
    if joint.order == "cross":
        return Order(cross_order(spots), "across and across, as the machine file asks")
    if joint.order == "spiral":
        return Order(spiral_order(spots), "from the middle outwards, as the machine file asks")
    return Order(found.names, f"the machine file gives no order; by the holes' places: {found.why}")


def slackening_words(joint: Joint) -> str:
    """Say in which order a joint is slackened, or that the file does not say."""
    return slackening_text(joint) or "no order for slackening in the machine file"


def rounds(joint: Joint, order: Order) -> tuple[str, ...]:
    """Give the rounds over every bolt: the stages of the file, then the final tightness."""
    if joint.tightness is None:
        return ()
    given: list[SourcedTightness] = list(joint.stages)
    if not given or str(given[-1].tightness) != str(joint.tightness.tightness):
        given.append(joint.tightness)
    found: list[str] = []
    whole = TighteningOrder(order.names, "given", order.why)
    for stage in given:
        if stage.tightness.stages:
            found += [one.words for one in tightening_passes(whole, stage.tightness)]
        else:
            found.append(str(stage.tightness))
    return tuple(found)


def alike(joint: Joint) -> tuple[str, ...]:
    """Group fasteners that are the same: `6 × M6x1 x 20: holes 1, 2, 3`."""
    groups: dict[str, list[Fastener]] = {}
    for fastener in joint.fasteners:
        groups.setdefault(bolt_words(fastener), []).append(fastener)
    return tuple(
        f"{sum(f.count for f in group)} × {words}{_holes(group)}" for words, group in groups.items()
    )


def _holes(group: Sequence[Fastener]) -> str:
    names = [f.hole for f in group if f.hole]
    if not names:
        return ""
    numbered = all(name.isdigit() for name in names)
    word = "" if not numbered else "hole " if len(names) == 1 else "holes "
    return f": {word}{', '.join(names)}"


@dataclass(frozen=True, slots=True)
class SwapsText:
    """What is printed about bolts that must not change holes.

    `mark_first` names the few holes whose marking prevents every dangerous swap.
    """

    mark_first: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()


def swaps_text(joint: Joint) -> SwapsText:
    """Say which swaps of a joint's bolts are dangerous, and which holes to mark first.

    Nothing is said of a joint whose bolts are all alike.
    """
    if not is_mixed(joint):
        return SwapsText()
    try:
        group = group_swaps(joint)
    except RefusalError as error:
        return SwapsText(lines=(f"Swaps not judged: {error}",))
    marks = tuple(name.removeprefix("no. ") for name in group.report.mark_first)
    lines = [
        f"{size} in hole{'' if len(holes) == 1 else 's'} {', '.join(holes)}: {what}"
        for size, holes, what in group.dangers()
    ]
    if group.left_out:
        lines.append(f"Not judged: {'; '.join(group.left_out)}")
    return SwapsText(marks, tuple(lines))
