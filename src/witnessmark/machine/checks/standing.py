"""Rules on a state file, against its machine."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.machine.checks.context import Context
from witnessmark.machine.checks.names import fact_complaints
from witnessmark.machine.complaints import Complaint, clip, complaint, nearest
from witnessmark.machine.model import FactRef, IdRef, JobState


def state_is_of_this_machine(context: Context, state: JobState) -> Iterator[Complaint]:
    """A state is where a job on this machine stands."""
    if state.machine.id != context.machine.id:
        yield complaint(
            "wrong-machine",
            state.machine.place,
            found=clip(state.machine.id),
            wanted=context.machine.id,
        )


def what_is_open_is_known(context: Context, state: JobState) -> Iterator[Complaint]:
    """Everything that is open, and every way that is named, is there in the machine file."""
    paired = (*state.by, *state.struck)
    for ref in dict.fromkeys((*state.open, *state.been, *(fact for fact, _ in paired))):
        yield from fact_complaints(context, ref)
    for ref, way in paired:
        yield from _way(context, ref, way)


def _way(context: Context, ref: FactRef, way: IdRef) -> Iterator[Complaint]:
    fact = context.derived.find(ref)
    if fact is None:
        return
    specs = [context.derived.opening(opening) for opening in context.derived.supporters(fact)]
    ways = [way.id for spec in specs if spec is not None for way in spec.ways]
    if way.id not in ways:
        near = nearest(way.id, ways, "ways")
        yield complaint("unknown-id", way.place, id=clip(way.id), kind="way", nearest=near)


def ways_taken_are_of_what_is_open(context: Context, state: JobState) -> Iterator[Complaint]:
    """A way was taken only to something that is open."""
    derived = context.derived
    opened = set(derived.each_supporter(state.open))
    for ref, _ in state.by:
        fact = derived.find(ref)
        if fact is not None and not opened.intersection(derived.supporters(fact)):
            yield complaint("not-open", ref.place, fact=clip(str(ref)))


def steps_done_are_known(context: Context, state: JobState) -> Iterator[Complaint]:
    """Every step that is done is one of a work's own."""
    works = context.machine.works.values()
    known = [f"{work.id}/{step.id}" for work in works for step in work.steps]
    for step in state.done:
        if step.id not in known:
            near = nearest(step.id, known, "steps")
            yield complaint("unknown-id", step.place, id=clip(step.id), kind="step", nearest=near)


RULES = (
    state_is_of_this_machine,
    what_is_open_is_known,
    ways_taken_are_of_what_is_open,
    steps_done_are_known,
)
