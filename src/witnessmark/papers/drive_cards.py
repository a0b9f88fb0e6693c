"""What stands on the belt route and on the timing card of a job.

Pure: a `Job` in, plain data out. Layout is the templates' business. A run is drawn only
when the file places all its pulleys; what the file does not state is left to be measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.cautions import (
    FINGERS,
    MAKER_PREVAILS,
    SPRUNG_TENSIONER,
    TWO_TURNS,
    turning_by_hand,
)
from witnessmark.engineering.timing.meeting import Loop, marks_meet
from witnessmark.engineering.timing.shafts import Shaft as TimedShaft
from witnessmark.engineering.timing.shafts import TimingRun, degrees_per_tooth
from witnessmark.machine.model import Lock, Pulley, Run, Shaft, Tensioner
from witnessmark.machine.run_path import belt_length
from witnessmark.machine.run_tension import act_lines, travel_lines
from witnessmark.papers.job_card import sentence
from witnessmark.papers.route_drawing import plain_name, route_path, route_svg
from witnessmark.planning.job import Job, object_name
from witnessmark.quantities.reading import format_number

if TYPE_CHECKING:
    from witnessmark.engineering.belts.path import BeltPath

PAPER_FONT = "Open Sans"
NO_VIEWPOINT = "viewpoint not stated: mark it on the drawing before anything comes off"
UNPROVEN_AGAIN = (
    "Any turn of a shaft after the proof makes the run unproven again; undoing or tightening "
    "the crank bolt is a turn. Prove again."
)
PROBING_PIN = "A pin used to probe is in until it is written down as out."
EYE_HOLDS_NOTHING = (
    "A mark read by eye holds nothing. A pin holds a position, never against a bolt."
)


def has_route(job: Job) -> bool:
    """Whether a run that this job disturbs can be drawn."""
    return any(route_path(run) is not None for run in _runs_in(job))


def has_timing(job: Job) -> bool:
    """Whether this job leaves a timing run unproven for a while."""
    opened = _opened(job)
    return any(shaft.id in opened for _, shafts in _timing_runs(job) for shaft in shafts)


def route_card(job: Job) -> dict[str, Any] | None:
    """Lay out the belt routes of the runs whose belt this job takes off; None when none is."""
    runs = [content for run in _runs_in(job) if (content := _route(job, run)) is not None]
    if not runs:
        return None
    return {
        "title": f"Belt routes: {job.machine.name}",
        "subject": _subject(job),
        "foot": f"Drawn from the positions in this file; the machine rules. {job.machine.id}",
        "runs": runs,
        "cautions": [
            FINGERS,
            "Before the belt comes off: photograph it, mark its running direction on it.",
        ],
    }


def timing_card(job: Job) -> dict[str, Any] | None:
    """Lay out the timing runs that this job leaves unproven for a while; None when it does not."""
    opened = _opened(job)
    runs = [
        _timing(job, run, shafts)
        for run, shafts in _timing_runs(job)
        if any(shaft.id in opened for shaft in shafts)
    ]
    if not runs:
        return None
    return {
        "title": f"Timing card: {job.machine.name}",
        "subject": _subject(job),
        "foot": f"Nothing on this card clears an engine for cranking. {job.machine.id}",
        "runs": runs,
        "cautions": [*turning_by_hand(), TWO_TURNS, UNPROVEN_AGAIN, PROBING_PIN],
        "notes": [EYE_HOLDS_NOTHING, SPRUNG_TENSIONER, FINGERS, MAKER_PREVAILS],
    }


def _subject(job: Job) -> str:
    return ", ".join(work.name for work in job.works)


def _opened(job: Job) -> set[str]:
    """Give the objects that some step of the job opens or closes."""
    return {step.object_id for step in job.steps if not step.is_block}


def _runs_in(job: Job) -> Iterator[Run]:
    """Give the runs whose belt comes off, or whose pulleys or clamp are disturbed."""
    opened = _opened(job)
    for run in job.machine.runs.values():
        touched = [ref.id for ref in (run.belt, *(p.part for p in run.pulleys)) if ref is not None]
        if run.tensioner is not None and run.tensioner.clamp is not None:
            touched.append(run.tensioner.clamp.id)
        if opened.intersection(touched):
            yield run


# The belt route


def _route(job: Job, run: Run) -> dict[str, Any] | None:
    path = route_path(run)
    if path is None:
        return None
    return {
        "name": run.name,
        "viewpoint": _viewpoint(job, run),
        "svg": route_svg(job.machine, run, path).replace("sans-serif", PAPER_FONT),
        "belt": list(_belt_lines(run, path)),
        "tensioner": [*_tensioner(run.tensioner), *(["travel", w] for w in travel_lines(run))],
        "pulleys": [_pulley_row(run, path, order) for order in range(len(run.pulleys))],
    }


def _viewpoint(job: Job, run: Run) -> str:
    return run.viewpoint or job.machine.viewpoint or NO_VIEWPOINT


def _belt_lines(run: Run, path: BeltPath) -> Iterator[list[str]]:
    """Give what the belt is, then what the drawing's own geometry makes of it."""
    length = belt_length(run)
    noun = "links" if run.drive == "chain" else "teeth"
    if run.teeth is not None:
        yield [noun, f"{run.teeth}"]
    if run.pitch is not None:
        yield ["pitch", _mm(run.pitch, 3)]
    yield ["length", "not given" if length is None else _mm(length, 1)]
    if run.width is not None:
        yield ["width", _mm(run.width, 1)]
    yield ["way round the drawing", _mm(Fraction(path.length), 1)]
    yield ["running direction", run.direction or "not stated: mark the old belt"]


def _mm(length: Fraction, places: int) -> str:
    return f"{format_number(length * 1000, places)} mm"


def _pulley_row(run: Run, path: BeltPath, order: int) -> dict[str, str]:
    pulley, contact = run.pulleys[order], path.contacts[order]
    mesh = contact.teeth_in_mesh
    if pulley.teeth is not None:
        size = f"{pulley.teeth} teeth, {mesh} in mesh"
    else:
        size = f"{1000 * contact.pulley.diameter:.0f} mm across"
    return {
        "order": f"{order + 1}" + ("B" if pulley.face == "back" else ""),
        "name": plain_name(pulley.id),
        "face": "back of the belt" if pulley.face == "back" else "inside",
        "turns": str(contact.direction),
        "times": format_number(Fraction(abs(contact.turns)), 3),
        "size": size,
        "wrap": f"{math.degrees(contact.wrap):.0f}°",
        "span": f"{1000 * path.spans[order].length:.0f} mm",
    }


def _tensioner(tensioner: Tensioner | None) -> list[list[str]]:
    """Give how the run is tensioned; the setting's torque is never a tightness."""
    if tensioner is None:
        return []
    lines = [["kind", tensioner.kind]]
    if tensioner.setting is not None:
        given = tensioner.setting
        source = given.source or "nobody said where it comes from"
        lines.append(["held at, while its clamp is tightened", f"{given.tightness} ({source})"])
    if tensioner.pointer and tensioner.pointer != "none":
        lines.append(["pointer", tensioner.pointer])
    if tensioner.text:
        lines.append(["how", tensioner.text])
    return lines


# The timing card


def _timing_runs(job: Job) -> Iterator[tuple[Run, list[Shaft]]]:
    machine = job.machine
    for run in machine.runs.values():
        if not run.timing:
            continue
        on_pulleys = {pulley.shaft.id for pulley in run.pulleys if pulley.shaft is not None}
        yield (
            run,
            [
                shaft
                for shaft in machine.shafts.values()
                if shaft.id in on_pulleys or (shaft.run is not None and shaft.run.id == run.id)
            ],
        )


def _timing(job: Job, run: Run, shafts: list[Shaft]) -> dict[str, Any]:
    opened = _opened(job)
    first = shafts[0]
    return {
        "name": run.name,
        "viewpoint": _viewpoint(job, run),
        "direction": run.direction or first.direction or "not stated: read it off the machine",
        "turned_by": _turned_by(job, shafts),
        "shafts": [_shaft_row(job, run, shaft) for shaft in shafts],
        "locks": [_lock_row(job, lock) for lock in _locks(job, shafts) if lock.id in opened],
        "meeting": _meeting(run, shafts),
        "floats": [row for p in run.pulleys if (row := _float_row(p)) is not None],
        "tensioner": [*_tensioner(run.tensioner), *(["travel", w] for w in travel_lines(run))],
        "acts": list(act_lines(run, _viewpoint(job, run))),
        "proofs": [_proof_row(shaft) for shaft in shafts],
        "turns": format_number(_turns(shafts)) if _turns(shafts) else "not stated",
    }


def _turned_by(job: Job, shafts: list[Shaft]) -> str:
    for shaft in shafts:
        if shaft.turned_by is not None:
            return job.machine.joints[shaft.turned_by.id].name
    return "not stated"


def _turns(shafts: list[Shaft]) -> Fraction:
    return max((shaft.turns for shaft in shafts if shaft.turns is not None), default=Fraction(0))


def _locks(job: Job, shafts: list[Shaft]) -> list[Lock]:
    ids = {shaft.id for shaft in shafts}
    return [
        lock for lock in job.machine.locks.values() if ids.intersection(r.id for r in lock.holds)
    ]


def _sprocket(run: Run, shaft: Shaft) -> Pulley | None:
    return next((p for p in run.pulleys if p.shaft is not None and p.shaft.id == shaft.id), None)


def _shaft_row(job: Job, run: Run, shaft: Shaft) -> dict[str, str]:
    sprocket = _sprocket(run, shaft)
    teeth = sprocket.teeth if sprocket is not None else None
    ratio = _ratio(run, shaft)
    own = degrees_per_tooth(teeth) if teeth is not None else None
    holders = [lock.name for lock in _locks(job, [shaft])]
    return {
        "name": shaft.name,
        "turns": shaft.direction or "not stated",
        "ratio": str(ratio) if ratio is not None else "not stated",
        "teeth": str(teeth) if teeth is not None else "not given",
        "own_degrees": f"{format_number(own, 2)}°" if own is not None else "",
        "crank_degrees": f"{format_number(own / ratio, 2)}°" if own and ratio else "",
        "mark": shaft.mark.text if shaft.mark is not None else "no mark in this file",
        "seen": _seen(job, shaft),
        "held": ", ".join(holders) or "nothing but the belt",
    }


def _seen(job: Job, shaft: Shaft) -> str:
    """Say what must be out of the way, or back on, to read a mark."""
    if shaft.mark is None:
        return ""

    def listed(ids: Iterator[str]) -> str:
        return ", ".join(object_name(job.machine, id_) for id_ in ids)

    away = listed(ref.object for ref in shaft.mark.seen_with)
    fitted = listed(ref.object for ref in shaft.mark.seen_only_before)
    words = [
        f"to see it, away: {away}" if away else "",
        f"only with it fitted: {fitted}" if fitted else "",
    ]
    return "; ".join(each for each in words if each)


def _ratio(run: Run, shaft: Shaft) -> Fraction | None:
    """Give a shaft's turns per crank turn: as stated, else from the teeth."""
    if shaft.ratio is not None:
        return shaft.ratio
    sprocket = _sprocket(run, shaft)
    first = run.pulleys[0] if run.pulleys else None
    if sprocket is None or first is None:
        return None
    if sprocket.id == first.id:
        return Fraction(1)
    if not sprocket.teeth or not first.teeth:
        return None
    return Fraction(first.teeth, sprocket.teeth)


def _lock_row(job: Job, lock: Lock) -> dict[str, str]:
    names = ", ".join(job.machine.shafts[ref.id].name for ref in lock.holds)
    return {"name": lock.name, "hole": lock.hole, "holds": names, "tool": lock.special_tool or ""}


def _meeting(run: Run, shafts: list[Shaft]) -> str:
    """Say when the marks, and the printing on the belt with them, meet again."""
    first = run.pulleys[0] if run.pulleys else None
    if first is None or first.shaft is None or not first.teeth:
        return ""
    by_id = {shaft.id: shaft for shaft in shafts}
    toothed = [p for p in run.pulleys if p.teeth and p.shaft is not None and p.shaft.id in by_id]
    try:
        timed = TimingRun(
            tuple(
                TimedShaft(p.shaft.id, p.teeth, driven_by=None if p is first else first.shaft.id)
                for p in toothed
                if p.shaft is not None and p.teeth is not None
            )
        )
        loops = (
            [Loop("belt", run.teeth, first.shaft.id, first.teeth)] if run.teeth is not None else []
        )
        meeting = marks_meet(timed, loops)
    except RefusalError:
        return ""
    words = f"The shafts' marks meet every {_times(meeting.shaft_marks)} of the crank."
    if loops:
        words += (
            f" Printing on the {run.drive} meets them again only after "
            f"{_times(meeting.with_printing)} ({_times(meeting.loop_turns['belt'])} of the "
            f"{run.drive}): lines that no longer meet after the proof are no fault."
        )
    return words


def _times(turns: int) -> str:
    return "turn" if turns == 1 else f"{turns} turns"


def _float_row(pulley: Pulley) -> dict[str, str] | None:
    if pulley.floating is None:
        return None
    needed = Fraction(180, pulley.teeth) if pulley.teeth else None
    return {
        "name": plain_name(pulley.id),
        "range": f"±{format_number(pulley.floating, 2)}°",
        "needed": f"±{format_number(needed, 2)}°" if needed is not None else "teeth not given",
    }


def _proof_row(shaft: Shaft) -> dict[str, str]:
    return {
        "name": shaft.name,
        "proof": sentence(shaft.proof) or "This file says no proof: ask for the maker's.",
    }
