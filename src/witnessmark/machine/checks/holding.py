"""Rules on what holds a part and what frees it."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.derived import MOST_DERIVED, Fact
from witnessmark.machine.facts import fact_for
from witnessmark.machine.model import JointKind, ObjectKind, Place
from witnessmark.machine.waiting import Circle


def unheld_parts(context: Context) -> Iterator[Complaint]:
    """Every part is held: by a joint, by what traps it, or as the belt of a run.

    The frame is held by nothing.
    """
    belts = {run.belt.id for run in context.machine.runs.values() if run.belt is not None}
    for part in context.machine.parts.values():
        held = part.id in belts or part.trapped_by or context.derived.holding(part.id)
        if not (part.fixed or held):
            yield complaint("part-not-held", part.place, part=part.id)


def fixed_parts_stay(context: Context) -> Iterator[Complaint]:
    """The frame holds and is not held: it has no way off."""
    for part in context.machine.parts.values():
        for spec in part.openings:
            if part.fixed and spec.state == "off":
                yield complaint("fixed-part-off", spec.place, part=part.id)


def freeing(context: Context) -> Iterator[Complaint]:
    """Every opening can be reached by some way; what cannot waits in a circle or in vain."""
    for trouble in context.waiting.troubles():
        if isinstance(trouble, Circle):
            first = trouble.openings[0]
            place = _place(context, first)
            yield complaint("never-free", place, what=str(first), circle=str(trouble))
        else:
            place = _place(context, trouble.opening)
            missing = trouble.missing
            yield complaint(
                "waits-in-vain",
                place,
                what=str(trouble.opening),
                missing=str(missing),
                state=missing.state,
                object=missing.object,
            )


def hoses_come_off_first(context: Context) -> Iterator[Complaint]:
    """A part does not come off while the end of a hose that stays is still on it.

    What an assembly carries off has its crossing joints out already; this looks at the
    part's own way off.
    """
    for joint in context.machine.joints.values():
        part = context.machine.parts.get(joint.to.id) if joint.to is not None else None
        if joint.kind is not JointKind.HOSE_END or part is None:
            continue
        off = fact_for(ObjectKind.PART, part.id, "off")
        spec = context.derived.opening(off)
        release = context.derived.release(joint.id)
        if spec is None or context.waiting.is_kept_open(release, off):
            continue
        yield complaint(
            "hose-left-on",
            spec.place,
            part=part.id,
            joint=joint.id,
            hose=", ".join(ref.id for ref in joint.holds),
            fact=release,
        )


def _place(context: Context, fact: Fact) -> Place:
    spec = context.derived.opening(fact)
    assert spec is not None
    return spec.place


def ways_given(context: Context) -> Iterator[Complaint]:
    """An opening that is described has at least one way."""
    for _, spec in context.specs():
        if not spec.ways:
            yield complaint("no-way", spec.place, state=spec.state)


def not_too_tangled(context: Context) -> Iterator[Complaint]:
    """No more follows from a machine than can be worked out."""
    context.waiting.troubles()  # everything has been worked out now
    if context.derived.tangled:
        yield complaint("too-tangled", context.machine.place, limit=MOST_DERIVED)


RULES = (
    unheld_parts,
    fixed_parts_stay,
    freeing,
    hoses_come_off_first,
    ways_given,
    not_too_tangled,
)
