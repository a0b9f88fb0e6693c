"""Builders: what may be said of the things a machine is made of."""

from __future__ import annotations

from witnessmark.machine.entry import Entry
from witnessmark.machine.model import (
    Assembly,
    Circuit,
    Fastener,
    Finding,
    Inspection,
    Joint,
    JointKind,
    Lock,
    MakeSafe,
    Mark,
    ObjectKind,
    OpeningSpec,
    Part,
    PartLine,
    Renewal,
    Shaft,
    Spoil,
    Temporary,
    Way,
)
from witnessmark.machine.states import OPENINGS
from witnessmark.quantities.units import Dimension

THINGS = tuple(kind.value for kind in ObjectKind)
"""Every kind of thing that has states."""

PART, JOINT, CIRCUIT, SHAFT = ("part",), ("joint",), ("circuit",), ("shaft",)
POSITION, RUN, WORK, DUTY, PULLEY = ("position",), ("run",), ("work",), ("duty",), ("pulley",)

DIRECTIONS = ("clockwise", "anticlockwise")
TEMPORARY_KINDS = ("holder", "puller", "support", "workshop bolt")
SINGLE_WAY = "only"
"""The id of a way that is described without a name of its own."""


def way(entry: Entry) -> Way:
    """Build one way to take an opening, and back."""
    return _way(entry, entry.id)


def _way(entry: Entry, id_: str) -> Way:
    spoils = entry.words_by_ref("spoils", tuple(Spoil), PART)
    return Way(
        id=id_,
        place=entry.place,
        strip=entry.needed_minutes("strip"),
        refit=entry.needed_minutes("refit"),
        needs=entry.facts("needs"),
        while_fitted=entry.facts("while_fitted"),
        strip_needs=entry.facts("strip_needs"),
        refit_needs=entry.facts("refit_needs"),
        position=entry.ref("position", POSITION),
        tool=entry.text("tool"),
        aids=entry.texts("aids"),
        skill=entry.text("skill"),
        people=entry.whole("people", least=1, otherwise=1),
        wait_strip=entry.minutes("wait_strip"),
        wait_refit=entry.minutes("wait_refit"),
        spoils={part: Spoil(word) for part, word in spoils.items()},
        risk=entry.text("risk"),
        text=entry.text("text"),
        refit_text=entry.text("refit_text"),
        why=entry.text("why"),
        caution=entry.text("caution"),
    )


def _several_ways(entry: Entry) -> OpeningSpec:
    ways = entry.by_id("ways", way)
    return OpeningSpec(entry.id, entry.place, tuple(ways.values()), entry.text("how"))


def _single_way(entry: Entry) -> OpeningSpec:
    how = entry.text("how")
    return OpeningSpec(entry.id, entry.place, (_way(entry, SINGLE_WAY),), how)


def openings(entry: Entry, kind: ObjectKind) -> tuple[OpeningSpec, ...]:
    """Build the openings an object describes, shallowest first."""
    found = (entry.fork(s, "ways", _several_ways, _single_way) for s in OPENINGS[kind])
    return tuple(spec for spec in found if spec is not None)


def line(entry: Entry) -> PartLine | None:
    """Build what is ordered; None when neither number nor price is given."""
    number, price = entry.text("number"), entry.number("price")
    pack = entry.whole("pack", least=1, otherwise=1)
    if number is None and price is None:
        return None
    return PartLine(number, price, entry.place, pack)


def part(entry: Entry) -> Part:
    """Build a part."""
    return Part(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        openings=openings(entry, ObjectKind.PART),
        where=entry.text("where"),
        lifts=entry.text("lifts"),
        mass=entry.sourced("mass", Dimension.MASS),
        store=entry.text("store"),
        renew=Renewal(entry.word("renew", tuple(Renewal)) or Renewal.NEVER),
        line=line(entry),
        bound=entry.text("bound"),
        trapped_by=entry.refs("trapped_by", PART),
        fitted_with=entry.refs("fitted_with", PART),
        inspections=tuple(entry.by_id("inspect", inspection).values()),
        fixed=entry.flag("fixed"),
        kind=entry.text("kind"),
    )


def inspection(entry: Entry) -> Inspection:
    """Build what to look for or to measure on a part."""
    return Inspection(
        id=entry.id,
        place=entry.place,
        look_for=entry.text("look_for"),
        measure=entry.text("measure"),
        at_least=entry.sourced("at_least", None),
        at_most=entry.sourced("at_most", None),
        findings=tuple(entry.by_id("findings", finding).values()),
    )


def finding(entry: Entry) -> Finding:
    """Build what an inspection may find, and what it leads to."""
    return Finding(
        id=entry.id,
        text=entry.needed_text("text"),
        parts=entry.refs("parts", PART),
        works=entry.refs("works", WORK),
        place=entry.place,
    )


def assembly(entry: Entry) -> Assembly:
    """Build an assembly: parts that come off together."""
    return Assembly(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        parts=entry.refs("parts", PART, needed=True),
        openings=openings(entry, ObjectKind.ASSEMBLY),
        lifts=entry.text("lifts"),
        store=entry.text("store"),
    )


def joint(entry: Entry) -> Joint:
    """Build a joint."""
    return Joint(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        kind=JointKind(entry.needed_word("kind", tuple(JointKind))),
        holds=entry.refs("holds", PART, needed=True),
        to=entry.ref("to", PART),
        openings=openings(entry, ObjectKind.JOINT),
        fasteners=entry.each("fasteners", fastener),
        tightness=entry.tightness("tightness"),
        stages=entry.tightnesses("stages"),
        order=entry.order("order", ("cross", "spiral")),
        slackening=entry.order("slackening", ("reverse", "cross", "spiral")),
        surface=entry.text("surface"),
        single_use=entry.flag("single_use"),
        critical=entry.flag("critical"),
        line=line(entry),
        hand=entry.word("hand", ("right", "left")),
        viewpoint=entry.text("viewpoint"),
        opens=entry.refs("opens", CIRCUIT),
        where=entry.text("where"),
        role=entry.text("role"),
        least_clamp=entry.sourced("least_clamp", Dimension.FORCE),
    )


def fastener(entry: Entry) -> Fastener:
    """Build one fastener, or several alike."""
    depth = entry.quantity("hole_depth", Dimension.LENGTH)
    return Fastener(
        place=entry.place,
        count=entry.whole("count", least=1, otherwise=1),
        hole=entry.text("hole"),
        at=entry.point("at"),
        thread=entry.thread("thread"),
        strength=entry.text("class"),
        head=entry.text("head"),
        hole_thread=entry.thread("hole_thread"),
        hole_depth=depth,
        blind=entry.flag("blind", otherwise=depth is not None),
        clamped=entry.quantity("clamped", Dimension.LENGTH),
        clamps=entry.refs("clamps", PART),
        washer=entry.text("washer"),
        name=entry.text("name"),
    )


def circuit(entry: Entry) -> Circuit:
    """Build a circuit of fluid or air."""
    return Circuit(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        fluid=entry.needed_text("fluid"),
        openings=openings(entry, ObjectKind.CIRCUIT),
        specification=entry.text("specification"),
        capacity=entry.sourced("capacity", Dimension.VOLUME),
        stays_behind=entry.sourced("stays_behind", Dimension.VOLUME),
        refilled=entry.flag("refilled", otherwise=True),
        level=entry.sourced("level", Dimension.LENGTH),
        heights=entry.sourced_by_ref("heights", Dimension.LENGTH, JOINT),
        comes_out=entry.sourced_by_ref("comes_out", Dimension.VOLUME, JOINT),
        drain=entry.text("drain"),
        cap=entry.text("cap"),
        fill=entry.text("fill"),
        bleed=entry.text("bleed"),
        prime=entry.text("prime"),
        check=entry.text("check"),
        caution=entry.text("caution"),
        line=line(entry),
    )


def mark(entry: Entry) -> Mark:
    """Build a timing mark."""
    return Mark(
        text=entry.needed_text("text"),
        place=entry.place,
        seen_with=entry.facts("seen_with"),
        seen_only_before=entry.facts("seen_only_before"),
    )


def shaft(entry: Entry) -> Shaft:
    """Build a shaft of a run."""
    return Shaft(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        openings=openings(entry, ObjectKind.SHAFT),
        run=entry.ref("run", RUN),
        mark=entry.one("mark", mark),
        disturbed_by=entry.facts("disturbed_by"),
        turned_by=entry.ref("turned_by", JOINT),
        direction=entry.word("direction", DIRECTIONS),
        ratio=entry.number("ratio", above_zero=True),
        proof=entry.text("proof"),
        turns=entry.number("turns", above_zero=True),
    )


def lock(entry: Entry) -> Lock:
    """Build a pin or lock, by the hole it occupies."""
    return Lock(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        hole=entry.needed_text("hole"),
        holds=entry.refs("holds", SHAFT, needed=True),
        openings=openings(entry, ObjectKind.LOCK),
        special_tool=entry.text("special_tool"),
    )


def temporary(entry: Entry) -> Temporary:
    """Build a holder, puller, support or workshop bolt."""
    return Temporary(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        kind=entry.needed_word("kind", TEMPORARY_KINDS),
        at=entry.text("at"),
        holds=entry.refs("holds", THINGS),
        openings=openings(entry, ObjectKind.TEMPORARY),
        special_tool=entry.text("special_tool"),
        caution=entry.text("caution"),
    )


def make_safe(entry: Entry) -> MakeSafe:
    """Build something that is made safe first."""
    return MakeSafe(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        openings=openings(entry, ObjectKind.MAKE_SAFE),
        permit=entry.text("permit"),
        proof=entry.text("proof"),
        lapses=entry.flag("lapses"),
        caution=entry.text("caution"),
    )


def special_tool(entry: Entry) -> PartLine | None:
    """Build what is known of a special tool; None when only its name is."""
    return line(entry)
