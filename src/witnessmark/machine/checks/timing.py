"""Rules on timing runs: whatever disturbs one is proved after, and before it matters."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from witnessmark.machine.acts import Verb
from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.derived import Because, Fact, acts_of
from witnessmark.machine.model import Run, Shaft, Work, WorkStep


def _timing_runs(context: Context) -> Iterator[tuple[Run, list[Shaft]]]:
    """Give the timing runs with their shafts, however a shaft says that it belongs."""
    machine = context.machine
    for run in machine.runs.values():
        if run.timing:
            on_pulleys = {pulley.shaft.id for pulley in run.pulleys if pulley.shaft}
            shafts = [
                shaft
                for shaft in machine.shafts.values()
                if shaft.id in on_pulleys or (shaft.run is not None and shaft.run.id == run.id)
            ]
            yield run, shafts


def timing_runs_have_shafts(context: Context) -> Iterator[Complaint]:
    """A timing run has shafts, or nothing could be proved of it."""
    for run, shafts in _timing_runs(context):
        if not shafts:
            yield complaint("run-without-shafts", run.place, run=run.id)


def shafts_have_proofs(context: Context) -> Iterator[Complaint]:
    """Every shaft of a timing run says how it is brought to its marks and proved."""
    for run, shafts in _timing_runs(context):
        for shaft in shafts:
            if context.derived.unproven(shaft.id) is None or shaft.proof is None:
                yield complaint("no-proof", shaft.place, shaft=shaft.id, run=run.id)


def _loosened(context: Context, run: Run, shaft: Shaft) -> list[Fact]:
    """Give the openings that let a shaft's own pulley slip on it.

    The belt, its tensioner's clamp and the bolt the shaft is turned by disturb it
    whether the file says so or not; what holds a pulley only if the file says so.
    """
    derived = context.derived
    holding = [
        joint
        for pulley in run.pulleys
        if pulley.part is not None and pulley.shaft is not None and pulley.shaft.id == shaft.id
        for joint in derived.holding(pulley.part.id)
    ]
    firsts = (derived.first_opening(joint) for joint in dict.fromkeys(holding))
    return [first for first in firsts if first is not None]


def _first_works(context: Context) -> dict[Fact, Work]:
    """Give every opening that some work cannot do without, with the first such work."""
    first: dict[Fact, Work] = {}
    seen = 0
    for work, forced in _forced(context):
        new = forced & ~seen
        seen |= forced
        while new:
            number = (new & -new).bit_length() - 1
            first[context.waiting.openings[number]] = work
            new &= new - 1
    return first


def _forced(context: Context) -> Iterator[tuple[Work, int]]:
    """Give what is opened whenever a work is done, with the works it calls, as bits."""
    works = context.machine.works
    own = {
        work.id: context.waiting.brought(
            context.derived.each_found(
                (*work.goals, *(need for step in work.steps for need in step.needs))
            )
        )
        for work in works.values()
    }
    # What is called is whole when the walk leaves it; a circle of calls, which is a
    # complaint of its own, is cut where it closes.
    whole: dict[str, int] = {}
    for start in works:
        path: list[tuple[str, Iterator[str]]] = []
        entered: str | None = start if start not in whole else None
        while entered is not None or path:
            if entered is not None:
                whole[entered] = own[entered]
                path.append((entered, (ref.id for ref in works[entered].calls)))
            here, calls = path[-1]
            entered = None
            for called in calls:
                if called in works and called not in whole:
                    entered = called
                    break
                whole[here] |= whole.get(called, 0)
            else:
                path.pop()
                if path:
                    whole[path[-1][0]] |= whole[here]
    return ((work, whole[work.id]) for work in works.values())


def disturbed_runs_are_proved(context: Context) -> Iterator[Complaint]:
    """A work that disturbs a timing run leaves every shaft of it to be proved after.

    What disturbs the run must lie inside the time that each shaft is unproven, so that
    the proof comes after the last of it. Said once for each shaft and disturbance.
    """
    first_works = _first_works(context) if any(_timing_runs(context)) else {}
    for run, shafts in _timing_runs(context):
        for shaft in shafts:
            unproven = context.derived.unproven(shaft.id)
            if unproven is None:
                continue  # it has no proof at all, which is a complaint of its own
            for fact in _loosened(context, run, shaft):
                work = first_works.get(fact)
                if work is None or context.waiting.is_kept_open(unproven, fact):
                    continue
                yield complaint(
                    "timing-not-proved",
                    work.place,
                    work=work.id,
                    fact=str(fact),
                    run=run.id,
                    shaft=shaft.id,
                )


def turns_come_before_the_proof(context: Context) -> Iterator[Complaint]:
    """A step that turns a shaft of a timing run can be done while the shaft is unproven."""
    turning: dict[str, list[tuple[Work, WorkStep]]] = defaultdict(list)
    for work, step in context.steps():
        turned = (act.object for act in acts_of(step) if act.verb is Verb.TURN)
        for shaft_id in dict.fromkeys(turned):
            turning[shaft_id or ""].append((work, step))
    for run, shafts in _timing_runs(context):
        for shaft in shafts:
            unproven = context.derived.unproven(shaft.id)
            if unproven is None:
                continue
            for work, step in turning.get(shaft.id, ()):
                before = list(context.derived.each_found(step.before))
                before += [r.fact for r in context.derived.step_before(work.id, step.id)]
                clash = context.waiting.clash([unproven], before)
                if clash is not None:
                    yield complaint(
                        "turned-after-proof",
                        step.place,
                        step=step.id,
                        shaft=shaft.id,
                        run=run.id,
                        fact=str(clash),
                    )


def engine_starts_after_the_proof(context: Context) -> Iterator[Complaint]:
    """A step that cranks or starts the engine can be done when every shaft is proved.

    Said of the first shaft of a run of which it is not so.
    """
    starting = [
        (work, step, verb) for work, step in context.steps() if (verb := _starts(step)) is not None
    ]
    for run, shafts in _timing_runs(context):
        proofs = {context.derived.unproven(shaft.id): shaft for shaft in shafts}
        barred = [fact for fact in proofs if fact is not None]
        for work, step, verb in starting:
            needs = list(context.derived.each_found(step.needs))
            needs += [r.fact for r in context.derived.step_needs(work.id, step.id)]
            clash = context.waiting.clash(needs, barred)
            if clash is not None:
                yield complaint(
                    "started-before-proof",
                    step.place,
                    step=step.id,
                    act=verb,
                    shaft=proofs[clash].id,
                    run=run.id,
                )


def _starts(step: WorkStep) -> Verb | None:
    verbs = {act.verb for act in acts_of(step)}
    return next((verb for verb in (Verb.START, Verb.CRANK) if verb in verbs), None)


def marks_can_be_read(context: Context) -> Iterator[Complaint]:
    """A mark read only with something fitted is not read while that must be off."""
    for run, shafts in _timing_runs(context):
        for shaft in shafts:
            unproven = context.derived.unproven(shaft.id)
            if unproven is None or shaft.mark is None:
                continue
            kept = context.waiting.kept_open(unproven)
            for reasoned in context.derived.while_fitted(unproven):
                if reasoned.because is Because.MARK and reasoned.fact in kept:
                    yield complaint(
                        "mark-hidden",
                        shaft.mark.place,
                        shaft=shaft.id,
                        run=run.id,
                        fact=str(reasoned.fact),
                    )


RULES = (
    timing_runs_have_shafts,
    shafts_have_proofs,
    disturbed_runs_are_proved,
    turns_come_before_the_proof,
    engine_starts_after_the_proof,
    marks_can_be_read,
)
