"""Builders: drives, rooms, bars, works and what outlives a visit."""

from __future__ import annotations

from witnessmark.machine.entry import Entry
from witnessmark.machine.model import (
    ArmTravel,
    Bar,
    Caution,
    Duty,
    FactRef,
    Material,
    Measurement,
    Pulley,
    RoomSaving,
    RoomSpec,
    Run,
    SlotTravel,
    TensionAct,
    Tensioner,
    Work,
    WorkStep,
)
from witnessmark.machine.sections import (
    DIRECTIONS,
    DUTY,
    JOINT,
    PART,
    POSITION,
    PULLEY,
    SHAFT,
    WORK,
    line,
)
from witnessmark.quantities.units import Dimension

TENSION_ACTS = ("set", "turn", "slacken", "check")


def run(entry: Entry) -> Run:
    """Build a belt or chain run."""
    return Run(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        belt=entry.ref("belt", PART),
        drive=entry.word("drive", ("belt", "chain")) or "belt",
        pulleys=tuple(entry.by_id("pulleys", pulley).values()),
        tensioner=entry.one("tensioner", tensioner),
        viewpoint=entry.text("viewpoint"),
        direction=entry.word("direction", DIRECTIONS),
        pitch=entry.quantity("pitch", Dimension.LENGTH),
        teeth=entry.maybe_whole("teeth", least=1),
        length=entry.quantity("length", Dimension.LENGTH),
        width=entry.quantity("width", Dimension.LENGTH),
        mass=entry.sourced("mass", Dimension.MASS_PER_LENGTH),
        timing=entry.flag("timing"),
    )


def pulley(entry: Entry) -> Pulley:
    """Build a pulley or sprocket of a run."""
    return Pulley(
        id=entry.id,
        place=entry.place,
        at=entry.point("at"),
        diameter=entry.quantity("diameter", Dimension.LENGTH),
        teeth=entry.maybe_whole("teeth", least=1),
        face=entry.word("face", ("inside", "back")) or "inside",
        shaft=entry.ref("shaft", SHAFT),
        part=entry.ref("part", PART),
        floating=entry.quantity("floating", Dimension.ANGLE),
    )


def tensioner(entry: Entry) -> Tensioner:
    """Build how a run is tensioned."""
    return Tensioner(
        place=entry.place,
        kind=entry.needed_text("kind"),
        pulley=entry.ref("pulley", PULLEY),
        clamp=entry.ref("clamp", JOINT),
        setting=entry.tightness("setting"),
        text=entry.text("text"),
        pointer=entry.text("pointer"),
        arm=entry.one("arm", arm),
        slot=entry.one("slot", slot),
        acts=entry.each("acts", tension_act),
    )


def arm(entry: Entry) -> ArmTravel:
    """Build the travel of a swing arm or an eccentric."""
    return ArmTravel(
        place=entry.place,
        pivot=entry.point("pivot"),
        start=entry.needed_quantity("from", Dimension.ANGLE),
        end=entry.needed_quantity("to", Dimension.ANGLE),
    )


def slot(entry: Entry) -> SlotTravel:
    """Build the travel of a slider."""
    return SlotTravel(
        place=entry.place,
        heading=entry.needed_quantity("heading", Dimension.ANGLE),
        start=entry.needed_quantity("from", Dimension.LENGTH),
        end=entry.needed_quantity("to", Dimension.LENGTH),
    )


def tension_act(entry: Entry) -> TensionAct:
    """Build one act of tensioning."""
    return TensionAct(
        place=entry.place,
        act=entry.needed_word("act", TENSION_ACTS),
        at_least=entry.sourced("at_least", None),
        at_most=entry.sourced("at_most", None),
        coldest=entry.sourced("coldest", Dimension.TEMPERATURE),
        warmest=entry.sourced("warmest", Dimension.TEMPERATURE),
        pointer=entry.text("pointer"),
        direction=entry.word("direction", DIRECTIONS),
        turns=entry.number("turns", above_zero=True),
        stand=entry.minutes("stand"),
    )


def room(entry: Entry) -> RoomSpec:
    """Build a room: removals that are not needed but save time elsewhere."""
    return RoomSpec(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        opening=entry.fact("for"),
        way=entry.text("way"),
        made_by=entry.by_fact("made_by", saving),
    )


def saving(entry: Entry, fact: FactRef) -> RoomSaving:
    """Build what one removal saves on either side."""
    return RoomSaving(fact, entry.minutes("strip"), entry.minutes("refit"), entry.place)


def bar(entry: Entry) -> Bar:
    """Build what may never happen in which state."""
    never, never_place = entry.placed_text("never")
    return Bar(
        id=entry.id,
        place=entry.place,
        never=never,
        while_=entry.facts("while"),
        unless=entry.facts("unless"),
        purpose=entry.text("purpose"),
        evidence=entry.text("evidence"),
        permit=entry.text("permit"),
        why=entry.text("why"),
        never_place=never_place,
    )


def work(entry: Entry) -> Work:
    """Build a named job."""
    return Work(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        goals=entry.facts("goals"),
        steps=tuple(entry.by_id("steps", step).values()),
        calls=entry.refs("calls", WORK),
        renews=entry.refs("renews", (*PART, *JOINT)),
        offers=entry.refs("offers", (*WORK, *PART)),
        duties=entry.refs("duties", DUTY),
    )


def step(entry: Entry) -> WorkStep:
    """Build a work's own step."""
    acts = entry.placed_texts("acts")
    return WorkStep(
        id=entry.id,
        text=entry.needed_text("text"),
        place=entry.place,
        time=entry.needed_minutes("time"),
        needs=entry.facts("needs"),
        before=entry.facts("before"),
        after=entry.refs("after", ("step",)),
        position=entry.ref("position", POSITION),
        tool=entry.text("tool"),
        aids=entry.texts("aids"),
        people=entry.whole("people", least=1, otherwise=1),
        wait=entry.minutes("wait"),
        acts=tuple(text for text, _ in acts),
        act_places=tuple(place for _, place in acts),
        effect=entry.text("effect"),
        measure=entry.one("measure", measurement),
        why=entry.text("why"),
        caution=entry.text("caution"),
    )


def measurement(entry: Entry) -> Measurement:
    """Build a reading taken in a step."""
    return Measurement(
        what=entry.needed_text("what"),
        place=entry.place,
        at_least=entry.sourced("at_least", None),
        at_most=entry.sourced("at_most", None),
        chooses=entry.ref("chooses", PART),
        candidates=entry.texts("candidates"),
    )


def duty(entry: Entry) -> Duty:
    """Build what may outlive the visit."""
    return Duty(
        id=entry.id,
        text=entry.needed_text("text"),
        place=entry.place,
        opened_by=entry.facts("opened_by"),
        after=entry.text("after"),
        limit=entry.text("limit"),
        person=entry.text("person"),
        may_leave=entry.flag("may_leave", otherwise=True),
    )


def material(entry: Entry) -> Material:
    """Build a sealant, grease, threadlocker or cleaner."""
    return Material(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        amount=entry.sourced("amount", None),
        used_by=entry.facts("used_by"),
        line=line(entry),
        caution=entry.text("caution"),
    )


def caution(entry: Entry) -> Caution:
    """Build a caution that is printed first."""
    return Caution(entry.needed_text("text"), entry.place, entry.facts("when"))
