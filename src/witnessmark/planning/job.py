"""The job: a plan with its words, kit and reasons, ready to be printed or walked.

Plain data assembled from the compiled machine, the plan and the workshop's figures. The
command, the papers and the bench all read this one thing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from witnessmark.engineering.fastening.witness_marks import WitnessMark
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.model import (
    Caution,
    Duty,
    FactRef,
    Joint,
    JointKind,
    Machine,
    Measurement,
    ObjectKind,
    Sourced,
    SourcedTightness,
    Way,
    Work,
)
from witnessmark.machine.swapping import group_swaps, is_mixed
from witnessmark.machine.workshop import Workshop
from witnessmark.machine.wrenching import adapter_of, wrenches_serving
from witnessmark.planning.drive_step import drive_cautions, drive_lines
from witnessmark.planning.fastening_step import (
    FasteningText,
    fastening_text,
    hand_text,
    held_while_undone,
    is_left,
    slackening_text,
)
from witnessmark.planning.kit import Kit, kit_for
from witnessmark.planning.planner import PlanResult
from witnessmark.planning.reasons import Link, Reason, ReasonKind, reasons_in, room_choices
from witnessmark.procedure.compiled import BlockInfo, Compiled, OpeningInfo
from witnessmark.procedure.gates import GatePoint, gates_in
from witnessmark.procedure.plan import Cost, Plan, Step, StepKind, cost_of, place_of
from witnessmark.procedure.problem import ANYWHERE, BARE_HANDS, Side
from witnessmark.quantities.duration import minutes_text
from witnessmark.quantities.reading import Quantity, format_number
from witnessmark.quantities.units import Dimension


@dataclass(frozen=True, slots=True)
class TightnessText:
    """A tightness as printed: the source's unit, the workshop's second one, the source."""

    text: str
    second: str | None
    source: str | None
    stages: tuple[str, ...]
    order: str | None
    surface: str | None
    wrench: str | None
    """The workshop's wrench that serves, or None when a torque has none."""
    has_torque: bool


@dataclass(frozen=True, slots=True)
class JobStep:
    """One line of the job. Times in tenths of a labour minute."""

    number: int
    id: str
    line: str
    """The step in trade words: `take off upper cover`, `torque up crank bolt`."""
    object_id: str
    object_name: str
    state: str
    phase: StepKind
    way: str | None
    position: str | None
    tool: str | None
    aids: tuple[str, ...]
    people: int
    minutes: int
    wait: int
    text: str | None
    why: str
    note: str | None
    caution: str | None
    where: str | None
    store: str | None
    pieces: str | None
    tightness: TightnessText | None
    single_use: bool
    critical: bool
    hand: str | None
    measurement: str | None
    spoils: tuple[str, ...]
    changeover: int
    is_block: bool
    fastening: FasteningText | None = None
    """What else is said where a joint is made for good."""
    mark_first: tuple[str, ...] = ()
    """Holes to mark before the bolts come out, because swaps there are dangerous."""
    slackening: str | None = None
    """In which order its fasteners are slackened."""
    held: str | None = None
    """What holds the shaft while a bolt on it is undone."""
    drive: tuple[str, ...] = ()
    """What a step at a belt drive asks for besides: marks, locks, route, tension."""


@dataclass(frozen=True, slots=True)
class OptionalRemoval:
    """A removal that is not needed: whether it pays, and what it saves."""

    object_id: str
    object_name: str
    room: str
    taken: bool
    saves: int
    """Net tenths of a minute saved when taken, or that taking it would lose (negative)."""


@dataclass(frozen=True, slots=True)
class DutyLine:
    """A duty this job leaves behind."""

    id: str
    text: str
    after: str | None
    limit: str | None
    person: str | None
    may_leave: bool


@dataclass(frozen=True, slots=True)
class Job:
    """Everything about one visit: what, in which order, why, with which kit."""

    machine: Machine
    works: tuple[Work, ...]
    result: PlanResult
    steps: tuple[JobStep, ...]
    optional: tuple[OptionalRemoval, ...]
    kit: Kit
    cost: Cost
    cautions: tuple[str, ...]
    duties: tuple[DutyLine, ...]
    offers: tuple[str, ...]
    gates: tuple[GatePoint, ...]
    workshop: Workshop
    mark: WitnessMark | None = None
    """The colour and shape painted at every finished bolt, when it was chosen."""
    day: date | None = None
    """The day the work is done, as far as it is known."""

    @property
    def elapsed(self) -> int:
        """Labour of the steps plus waits, in tenths (one person's clock, waits idle)."""
        return self.cost.total + sum(step.wait for step in self.steps)


def job_from(
    compiled: Compiled,
    result: PlanResult,
    workshop: Workshop,
    *,
    day: date | None = None,
    mark: WitnessMark | None = None,
) -> Job:
    """Put words, kit and reasons to a plan.

    Parameters
    ----------
    compiled : Compiled
        The machine and works, compiled.
    result : PlanResult
        What the planner found.
    workshop : Workshop
        Rates, tools and wrenches.
    day : date, optional
        The day of the work: a wrench overdue for its check on it does not serve.
    mark : WitnessMark, optional
        The witness mark chosen for this job.

    Raises
    ------
    ValueError
        If the result holds no plan.
    """
    if result.plan is None:
        raise ValueError("there is no plan to put into words")
    plan = result.plan
    return Job(
        machine=compiled.machine,
        works=compiled.works,
        result=result,
        steps=tuple(_steps(compiled, plan, workshop, day, mark)),
        optional=_optional(compiled, plan),
        kit=kit_for(compiled, plan, workshop, day),
        cost=cost_of(compiled.problem, plan),
        cautions=_cautions(compiled, plan),
        duties=_duties(compiled, plan),
        offers=_offers(compiled),
        gates=gates_in(compiled, plan),
        workshop=workshop,
        mark=mark,
        day=day,
    )


def object_name(machine: Machine, object_id: str) -> str:
    """Give the name of any object of the machine; its id when it has none."""
    for table in (
        machine.parts,
        machine.joints,
        machine.assemblies,
        machine.circuits,
        machine.shafts,
        machine.locks,
        machine.temporaries,
        machine.make_safes,
        machine.runs,
    ):
        if object_id in table:
            return table[object_id].name
    return object_id


_STRIP_WORDS = {
    (ObjectKind.PART, "off"): "take off {}",
    (ObjectKind.PART, "moved"): "move {}",
    (ObjectKind.ASSEMBLY, "off"): "take off whole: {}",
    (ObjectKind.ASSEMBLY, "moved"): "move whole: {}",
    (ObjectKind.JOINT, "slack"): "crack off {}",
    (ObjectKind.JOINT, "out"): "undo {}",
    (ObjectKind.CIRCUIT, "relieved"): "relieve {}",
    (ObjectKind.CIRCUIT, "drained"): "drain {}",
    (ObjectKind.SHAFT, "unproven"): "bring {} to its mark",
    (ObjectKind.SHAFT, "free"): "leave {} free",
    (ObjectKind.LOCK, "in"): "put in {}",
    (ObjectKind.TEMPORARY, "fitted"): "set up {}",
    (ObjectKind.MAKE_SAFE, "safe"): "make safe: {}",
}
_REFIT_WORDS = {
    (ObjectKind.PART, "off"): "refit {}",
    (ObjectKind.PART, "moved"): "put back {}",
    (ObjectKind.ASSEMBLY, "off"): "refit whole: {}",
    (ObjectKind.ASSEMBLY, "moved"): "put back whole: {}",
    (ObjectKind.JOINT, "slack"): "torque up {}",
    (ObjectKind.JOINT, "out"): "fit and tighten {}",
    (ObjectKind.CIRCUIT, "relieved"): "close and check {}",
    (ObjectKind.CIRCUIT, "drained"): "fill and bleed {}",
    (ObjectKind.SHAFT, "unproven"): "prove {}",
    (ObjectKind.SHAFT, "free"): "hold {} again",
    (ObjectKind.LOCK, "in"): "take out {}",
    (ObjectKind.TEMPORARY, "fitted"): "take away {}",
    (ObjectKind.MAKE_SAFE, "safe"): "back to normal: {}",
}
_JOINT_OUT_WORDS = {
    JointKind.CLIPS: ("unclip {}", "clip in {}"),
    JointKind.HOSE_END: ("take off {}", "push home {}"),
    JointKind.CONNECTOR: ("unplug {}", "plug in {}"),
    JointKind.PRESS_FIT: ("free {}", "press home {}"),
    JointKind.SCREW_ON: ("unscrew {}", "screw on {}"),
    JointKind.ADHESIVE: ("cut {}", "bond {}"),
}


def action_words(info: OpeningInfo, kind: StepKind, joint: Joint | None) -> str:
    """Say what a strip or refit half does, in trade words with the object's name in them."""
    strip = kind is StepKind.STRIP
    words = (_STRIP_WORDS if strip else _REFIT_WORDS)[info.kind, info.state]
    if joint is not None and info.state == "out":
        if joint.kind in _JOINT_OUT_WORDS:
            words = _JOINT_OUT_WORDS[joint.kind][0 if strip else 1]
        elif not strip and not info.is_final:
            words = "run in by hand {}"
    elif joint is not None and not strip and _torque_free(joint):
        words = "tighten {}"
    return words.format(info.name)


def _torque_free(joint: Joint) -> bool:
    return joint.tightness is None or joint.tightness.tightness.torque is None


def _steps(
    compiled: Compiled,
    plan: Plan,
    workshop: Workshop,
    day: date | None,
    mark: WitnessMark | None,
) -> list[JobStep]:
    changeovers = compiled.problem.changeovers
    saved = _saved_by_step(compiled, plan)
    reasons = reasons_in(compiled.problem, plan, compiled.fact_name)
    here, hand = 0, BARE_HANDS
    steps: list[JobStep] = []
    for number, step in enumerate(plan.steps, 1):
        position, tool = place_of(compiled.problem, plan, step)
        change = changeovers.cost(here, hand, position, tool)
        here = here if position == ANYWHERE else position
        hand = hand if tool == ANYWHERE else tool
        where = None if position == ANYWHERE else _position_name(compiled, position)
        in_hand = None if tool in (ANYWHERE, BARE_HANDS) else changeovers.tools[tool]
        if step.kind is StepKind.BLOCK:
            made = _block_step(compiled, number, step, where, in_hand, change)
        else:
            saving = saved.get((step.kind, step.index), 0)
            made = _opening_step(
                compiled,
                plan,
                workshop,
                number,
                step,
                where,
                in_hand,
                change,
                saving,
                reasons[step.index],
                day,
                mark,
            )
        steps.append(made)
    return steps


def _position_name(compiled: Compiled, position: int) -> str:
    name = compiled.problem.changeovers.positions[position]
    return compiled.machine.positions.get(name, name)


def _saved_by_step(compiled: Compiled, plan: Plan) -> dict[tuple[StepKind, int], int]:
    saved: dict[tuple[StepKind, int], int] = {}
    for saving in plan.savings:
        way = compiled.problem.openings[saving.opening].ways[plan.ways[saving.opening]]
        tenths = dict(way.rooms[saving.room].side(saving.side))[saving.removal]
        kind = StepKind.STRIP if saving.side is Side.STRIP else StepKind.REFIT
        saved[kind, saving.opening] = saved.get((kind, saving.opening), 0) + tenths
    return saved


def _opening_step(
    compiled: Compiled,
    plan: Plan,
    workshop: Workshop,
    number: int,
    step: Step,
    where: str | None,
    in_hand: str | None,
    change: int,
    saving: int,
    reason: Reason,
    day: date | None,
    mark: WitnessMark | None,
) -> JobStep:
    info = compiled.openings[step.index]
    choice = plan.ways[step.index]
    way = info.ways[choice]
    cost = compiled.problem.openings[step.index].ways[choice]
    strip = step.kind is StepKind.STRIP
    joint = compiled.machine.joints.get(info.object_id) if info.kind is ObjectKind.JOINT else None
    part = compiled.machine.parts.get(info.object_id) if info.kind is ObjectKind.PART else None
    several = len(info.ways) > 1
    return JobStep(
        number=number,
        id=f"{compiled.problem.openings[step.index].id}/{step.kind.value}",
        line=action_words(info, step.kind, joint),
        object_id=info.object_id,
        object_name=object_name(compiled.machine, info.object_id),
        state=info.state,
        phase=step.kind,
        way=way.id if several else None,
        position=where,
        tool=in_hand,
        aids=way.aids,
        people=way.people,
        minutes=(cost.strip if strip else cost.refit) - saving,
        wait=way.wait_strip if strip else way.wait_refit,
        text=_step_text(compiled.machine, info, way, strip=strip),
        why=why_words(compiled, reason.chain[0]),
        note=way.why,
        caution=_step_caution(compiled.machine, info, way),
        where=(part.where if part else joint.where if joint else None),
        store=part.store if part and strip else None,
        pieces=_pieces(joint) if joint else None,
        tightness=_final_tightness(joint, info, way, workshop, day)
        if joint and not strip
        else None,
        single_use=bool(joint and joint.single_use),
        critical=bool(joint and joint.critical),
        hand=hand_text(joint, loosen=strip) if joint and (joint.hand or is_left(joint)) else None,
        measurement=None,
        spoils=tuple(object_name(compiled.machine, p) for p in way.spoils) if strip else (),
        changeover=change,
        is_block=False,
        fastening=fastening_text(joint, way, compiled.machine, workshop, day=day, mark=mark)
        if joint and joint.tightness and info.is_final and not strip
        else None,
        drive=drive_lines(
            compiled.machine,
            info.kind,
            info.object_id,
            info.state,
            strip=strip,
            final=info.is_final,
        ),
        mark_first=_mark_first(joint) if joint and strip and info.state == "out" else (),
        slackening=slackening_text(joint) if joint and info.is_final and strip else None,
        held=held_while_undone(joint, way, compiled.machine)
        if joint and info.is_final and strip
        else None,
    )


def _mark_first(joint: Joint) -> tuple[str, ...]:
    if not is_mixed(joint):
        return ()
    try:
        return group_swaps(joint).report.mark_first
    except RefusalError:
        return ()


def why_words(compiled: Compiled, link: Link) -> str:
    """Say in one line what a step is for, by names."""
    for_what = compiled.fact_name(link.user) if link.user is not None else ""
    if link.block is not None:
        for_what = f"'{compiled.blocks[link.block].step.text}'"
    match link.kind:
        case ReasonKind.GOAL:
            return "the work itself"
        case ReasonKind.STARTED:
            return "found open"
        case ReasonKind.ROOM:
            return f"for room: {for_what} goes {minutes_text(link.saves)} quicker"
        case ReasonKind.ASK:
            return f"comes with {for_what}"
        case ReasonKind.CHANGEOVER:
            return "saves going about"
        case _:
            return f"needed for {for_what}"


def _step_text(machine: Machine, info: OpeningInfo, way: Way, *, strip: bool) -> str | None:
    """Say how, from the way's own words or else from the object's."""
    if not strip:
        if way.refit_text:
            return way.refit_text
        circuit = machine.circuits.get(info.object_id)
        if circuit is not None and info.state == "drained":
            words = [circuit.fill, circuit.bleed, circuit.check]
            return ". ".join(w for w in words if w and w != "none") or None
        shaft = machine.shafts.get(info.object_id)
        return shaft.proof if shaft is not None else None
    if way.text:
        return way.text
    if info.state == "moved":
        return info.spec.how
    if info.kind is ObjectKind.PART:
        return machine.parts[info.object_id].lifts
    if info.kind is ObjectKind.ASSEMBLY:
        return machine.assemblies[info.object_id].lifts
    if info.kind is ObjectKind.CIRCUIT:
        return machine.circuits[info.object_id].drain
    if info.kind is ObjectKind.LOCK:
        return machine.locks[info.object_id].hole
    if info.kind is ObjectKind.TEMPORARY:
        return machine.temporaries[info.object_id].at
    return None


def _step_caution(machine: Machine, info: OpeningInfo, way: Way) -> str | None:
    own: str | None = None
    if info.kind is ObjectKind.CIRCUIT:
        own = machine.circuits[info.object_id].caution
    elif info.kind is ObjectKind.TEMPORARY:
        own = machine.temporaries[info.object_id].caution
    elif info.kind is ObjectKind.MAKE_SAFE:
        own = machine.make_safes[info.object_id].caution
    return ". ".join(words for words in (way.caution, own) if words) or None


def _pieces(joint: Joint) -> str | None:
    """Count what is undone: `11, three lengths`."""
    count = sum(f.count for f in joint.fasteners)
    if count == 0:
        return None
    lengths = {f.thread.length for f in joint.fasteners if f.thread and f.thread.length}
    words = {2: "two", 3: "three", 4: "four", 5: "five"}
    mixed = len(lengths)
    return f"{count}, {words.get(mixed, str(mixed))} lengths" if mixed > 1 else str(count)


def _final_tightness(
    joint: Joint, info: OpeningInfo, way: Way, workshop: Workshop, day: date | None
) -> TightnessText | None:
    """Give the tightness at the half that makes the joint for good.

    A joint with both openings is brought to its final tightness when `slack` closes;
    closing `out` then only puts the fasteners in by hand.
    """
    if joint.tightness is None or not info.is_final:
        return None
    return tightness_text(joint.tightness, joint, way, workshop, day)


def tightness_text(
    given: SourcedTightness, joint: Joint, way: Way, workshop: Workshop, day: date | None = None
) -> TightnessText:
    """Print a joint's tightness in its own unit and the workshop's second one."""
    torque = given.tightness.torque
    adapter = adapter_of(way, workshop)
    uses = wrenches_serving(torque, workshop, on=day, adapter=adapter) if torque is not None else ()
    return TightnessText(
        text=str(given.tightness),
        second=_in_second_unit(given, workshop),
        source=given.source,
        stages=tuple(str(stage.tightness) for stage in joint.stages),
        order=_order_text(joint.order),
        surface=joint.surface,
        wrench=uses[0].wrench.name if uses else None,
        has_torque=torque is not None,
    )


def _order_text(order: Sequence[str] | str | None) -> str | None:
    if order is None or isinstance(order, str):
        return order
    return " ".join(order)


def _in_second_unit(given: SourcedTightness, workshop: Workshop) -> str | None:
    """Give the same stages in N·m when the file speaks another unit, else in the second."""
    stages = given.tightness.stages
    if not stages:
        return None
    torque_units = {s.unit.symbol for s in stages if s.dimension is Dimension.TORQUE}
    unit = workshop.second_torque_unit if torque_units == {"N·m"} else "N·m"
    return " + ".join(_stage_in(stage, unit) for stage in stages)


def _stage_in(stage: Quantity, unit: str) -> str:
    if stage.dimension is Dimension.ANGLE:
        return str(stage)
    number = stage.in_unit(unit)
    return f"{format_number(number, 1 if number < 100 else 0)} {unit}"


def _block_step(
    compiled: Compiled, number: int, step: Step, where: str | None, in_hand: str | None, change: int
) -> JobStep:
    info: BlockInfo = compiled.blocks[step.index]
    own = info.step
    return JobStep(
        number=number,
        id=compiled.problem.blocks[step.index].id,
        line=own.text,
        object_id=own.id,
        object_name=own.text,
        state="",
        phase=StepKind.BLOCK,
        way=None,
        position=where,
        tool=in_hand,
        aids=own.aids,
        people=own.people,
        minutes=compiled.problem.blocks[step.index].cost,
        wait=own.wait,
        text=None,
        why=f"a step of '{info.work.name}'",
        note=own.why,
        caution=own.caution,
        where=None,
        store=None,
        pieces=None,
        tightness=None,
        single_use=False,
        critical=False,
        hand=None,
        measurement=measurement_text(own.measure) if own.measure else None,
        spoils=(),
        changeover=change,
        is_block=True,
    )


def measurement_text(measure: Measurement) -> str:
    """Say what is measured and its limits: `pointer after two turns, at most 1 mm`."""
    words = [measure.what]
    if measure.at_least is not None and measure.at_least == measure.at_most:
        words.append(f"exactly {measure.at_least.quantity}")
    else:
        words += [
            f"{name} {limit.quantity}"
            for name, limit in (("at least", measure.at_least), ("at most", measure.at_most))
            if limit is not None
        ]
    return ", ".join(words)


def limit_text(limit: Sourced | None) -> str | None:
    """Print a limit with its source."""
    if limit is None:
        return None
    return f"{limit.quantity}" + (f" ({limit.source})" if limit.source else "")


def _optional(compiled: Compiled, plan: Plan) -> tuple[OptionalRemoval, ...]:
    lines = []
    for choice in room_choices(compiled.problem, plan):
        info = compiled.openings[choice.removal]
        lines.append(
            OptionalRemoval(
                object_id=info.object_id,
                object_name=object_name(compiled.machine, info.object_id),
                room=choice.room,
                taken=choice.taken,
                saves=choice.net,
            )
        )
    return tuple(lines)


def _opened_states(compiled: Compiled, plan: Plan) -> set[tuple[str, str]]:
    return {(compiled.openings[i].object_id, compiled.openings[i].state) for i in plan.ways}


def _touches(opened: set[tuple[str, str]], refs: Sequence[FactRef]) -> bool:
    objects = {object_id for object_id, _ in opened}
    return any(
        ref.object in objects if ref.state is None else (ref.object, ref.state) in opened
        for ref in refs
    )


def _cautions(compiled: Compiled, plan: Plan) -> tuple[str, ...]:
    opened = _opened_states(compiled, plan)

    def applies(caution: Caution) -> bool:
        return not caution.when or _touches(opened, caution.when)

    own = (c.text for c in compiled.machine.cautions if applies(c))
    always = drive_cautions(compiled.machine, {object_id for object_id, _ in opened})
    return tuple(dict.fromkeys((*own, *always)))


def _duties(compiled: Compiled, plan: Plan) -> tuple[DutyLine, ...]:
    opened = _opened_states(compiled, plan)
    named = {ref.id for work in compiled.works for ref in work.duties}

    def applies(duty: Duty) -> bool:
        return duty.id in named or _touches(opened, duty.opened_by)

    return tuple(
        DutyLine(d.id, d.text, d.after, d.limit, d.person, d.may_leave)
        for d in compiled.machine.duties.values()
        if applies(d)
    )


def _offers(compiled: Compiled) -> tuple[str, ...]:
    included = {work.id for work in compiled.works}
    offered = {
        ref.id: None for work in compiled.works for ref in work.offers if ref.id not in included
    }
    return tuple(offered)


def share(value: Fraction | None) -> str:
    """Print a share as a percentage with one decimal."""
    return "unknown" if value is None else f"{format_number(value * 100, 1)} %"
