"""Rules on works: what they call, and the order of their own steps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, Names, clip, complaint, in_a_row


def works_have_something_to_do(context: Context) -> Iterator[Complaint]:
    """A work has a goal, a step or a work it calls."""
    for work in context.machine.works.values():
        if not (work.goals or work.steps or work.calls):
            yield complaint("empty-work", work.place, work=work.id)


def works_call_no_circle(context: Context) -> Iterator[Complaint]:
    """No work calls itself, however far round."""
    works = context.machine.works
    calls = {work.id: [ref.id for ref in work.calls if ref.id in works] for work in works.values()}
    for circle in circles(calls):
        chain = in_a_row((*circle, circle[0]), " -> ")
        yield complaint("work-circle", works[circle[0]].place, chain=chain)


def steps_follow_known_steps(context: Context) -> Iterator[Complaint]:
    """A step comes after steps of the same work, and not after itself, however far round."""
    for work in context.machine.works.values():
        steps = {step.id: step for step in work.steps}
        known = Names(steps)
        for step in work.steps:
            for ref in step.after:
                if ref.id not in steps:
                    near = known.nearest(ref.id, "steps")
                    yield complaint(
                        "unknown-id", ref.place, id=clip(ref.id), kind="step", nearest=near
                    )
        after = {s.id: [ref.id for ref in s.after if ref.id in steps] for s in work.steps}
        for circle in circles(after):
            chain = in_a_row((*circle, circle[0]), " after ")
            yield complaint("step-circle", steps[circle[0]].place, work=work.id, chain=chain)


def steps_can_be_done(context: Context) -> Iterator[Complaint]:
    """What a step needs open is not what it must come before."""
    derived = context.derived
    for work, step in context.steps():
        needed = list(derived.each_found(step.needs))
        needed += [reasoned.fact for reasoned in derived.step_needs(work.id, step.id)]
        before = list(derived.each_found(step.before))
        before += [reasoned.fact for reasoned in derived.step_before(work.id, step.id)]
        clash = context.waiting.clash(needed, before)
        if clash is not None:
            yield complaint("step-never", step.place, step=step.id, fact=str(clash))


def circles(follows: Mapping[str, Sequence[str]]) -> list[tuple[str, ...]]:
    """Give the circles met when each name is followed to the next; each circle once.

    Walks without recursion, so that no chain is too long for it.
    """
    found: dict[frozenset[str], tuple[str, ...]] = {}
    done: set[str] = set()
    for start in follows:
        path: dict[str, Iterator[str]] = {start: iter(follows[start])}
        while path:
            here = next(reversed(path))
            following = None if here in done else next(path[here], None)
            if following is None:
                done.add(here)
                del path[here]
            elif following in path:
                members = list(path)
                circle = tuple(members[members.index(following) :])
                found.setdefault(frozenset(circle), circle)
            elif following not in done:
                path[following] = iter(follows[following])
    return list(found.values())


RULES = (
    works_have_something_to_do,
    works_call_no_circle,
    steps_follow_known_steps,
    steps_can_be_done,
)
