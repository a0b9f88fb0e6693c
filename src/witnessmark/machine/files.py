"""What stands at the top of the three kinds of file: machine, workshop, state."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from witnessmark.machine import jobs, sections
from witnessmark.machine.entry import Entry
from witnessmark.machine.model import (
    Caution,
    FactRef,
    IdRef,
    JobState,
    ObjectKind,
    Place,
)
from witnessmark.machine.workshop import Adapter, Workshop, Wrench
from witnessmark.quantities.units import Dimension

FORMAT_VERSION = 1
"""The version of all three kinds of file that is written and read now."""

VERSION_KEYS = ("witnessmark", "workshop", "state")
"""The key that every kind of file begins with: its kind and version."""


@dataclass(frozen=True, slots=True)
class Section:
    """A section of a machine file: its key, what builds one of its things, where they go.

    `kind` is the word for one of them; things that have states share one set of names.
    """

    key: str
    build: Callable[[Entry], Any]
    field: str
    kind: str
    has_states: bool = False


def _with_states(key: str, build: Callable[[Entry], Any], field_: str, kind: ObjectKind) -> Section:
    return Section(key, build, field_, kind.value, has_states=True)


SECTIONS: tuple[Section, ...] = (
    _with_states("parts", sections.part, "parts", ObjectKind.PART),
    _with_states("assemblies", sections.assembly, "assemblies", ObjectKind.ASSEMBLY),
    _with_states("joints", sections.joint, "joints", ObjectKind.JOINT),
    _with_states("circuits", sections.circuit, "circuits", ObjectKind.CIRCUIT),
    _with_states("shafts", sections.shaft, "shafts", ObjectKind.SHAFT),
    Section("runs", jobs.run, "runs", "run"),
    _with_states("locks", sections.lock, "locks", ObjectKind.LOCK),
    _with_states("temporary", sections.temporary, "temporaries", ObjectKind.TEMPORARY),
    _with_states("make_safe", sections.make_safe, "make_safes", ObjectKind.MAKE_SAFE),
    Section("rooms", jobs.room, "rooms", "room"),
    Section("bars", jobs.bar, "bars", "bar"),
    Section("works", jobs.work, "works", "work"),
    Section("duties", jobs.duty, "duties", "duty"),
    Section("materials", jobs.material, "materials", "material"),
)


@dataclass(frozen=True, slots=True)
class MachineFile:
    """What one machine file, or one file it includes, says by itself."""

    place: Place
    machine: str | None = None
    name: str | None = None
    maker: str | None = None
    source: str | None = None
    viewpoint: str | None = None
    include: tuple[tuple[str, Place], ...] = ()
    positions: Mapping[str, str] = field(default_factory=dict)
    things: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    """By section key, then id."""
    cautions: tuple[Caution, ...] = ()
    special_tools: Mapping[str, Any] = field(default_factory=dict)


def machine_file(entry: Entry, *, included: bool = False) -> MachineFile:
    """Build what one machine file says; an included one names no machine of its own."""
    entry.text("witnessmark")
    machine = None if included else entry.text("machine")
    name = None if included else entry.text("name")
    maker = None if included else entry.text("maker")
    return MachineFile(
        place=entry.place,
        machine=machine,
        name=name,
        maker=maker,
        source=entry.sources_figures("source"),
        viewpoint=entry.text("viewpoint"),
        include=entry.placed_texts("include"),
        positions=entry.texts_by_id("positions"),
        things={section.key: entry.by_id(section.key, section.build) for section in SECTIONS},
        cautions=entry.each("cautions", jobs.caution),
        special_tools=entry.by_text("special_tools", sections.special_tool),
    )


def workshop_file(entry: Entry) -> Workshop:
    """Build a workshop file."""
    entry.text("workshop")
    usual = Workshop(name="", file="")
    rate = entry.number("rate")
    moves = entry.moves("moves")
    return Workshop(
        name=entry.text("name") or "",
        file=entry.place.file,
        place=entry.place,
        currency=entry.text("currency") or usual.currency,
        rate_per_hour=usual.rate_per_hour if rate is None else rate,
        position_change=entry.minutes("position_change", otherwise=usual.position_change),
        tool_change=entry.minutes("tool_change", otherwise=usual.tool_change),
        moves=_both_ways(moves),
        move_places={(a, b): place for a, row in moves.items() for b, (_, place) in row.items()},
        wrenches=tuple(entry.by_id("wrenches", wrench).values()),
        adapters=tuple(entry.by_id("adapters", adapter).values()),
        tools=frozenset(entry.texts("tools")),
        special_tools=frozenset(entry.texts("special_tools")),
        stock=entry.wholes_by_text("stock"),
        second_torque_unit=entry.torque_unit("second_torque_unit") or usual.second_torque_unit,
        first_position=entry.text("first_position") or usual.first_position,
        risk_minutes=entry.minutes_by_text("risk"),
    )


def _both_ways(
    written: Mapping[str, Mapping[str, tuple[int, Place]]],
) -> Mapping[str, Mapping[str, int]]:
    """Complete the moves: one that is written one way only takes as long the other way."""
    moves: dict[str, dict[str, int]] = {a: {} for a in written}
    for a, row in written.items():
        for b, (time, _) in row.items():
            moves[a][b] = time
            if a not in written.get(b, {}):
                moves.setdefault(b, {})[a] = time
    return moves


def wrench(entry: Entry) -> Wrench:
    """Build a torque wrench."""
    return Wrench(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        low=entry.needed_quantity("from", Dimension.TORQUE),
        high=entry.needed_quantity("to", Dimension.TORQUE),
        drive=entry.text("drive"),
        shows_value=entry.flag("shows_value"),
        checked=entry.date("checked"),
        due=entry.date("due"),
        length=entry.quantity("length", Dimension.LENGTH),
        unit=entry.torque_unit("unit") or "N·m",
    )


def adapter(entry: Entry) -> Adapter:
    """Build an adapter for torque wrenches."""
    return Adapter(
        id=entry.id,
        name=entry.name(),
        place=entry.place,
        length=entry.needed_quantity("length", Dimension.LENGTH),
        at=entry.quantity("at", Dimension.ANGLE) or Fraction(0),
        drive=entry.text("drive"),
    )


def state_file(entry: Entry) -> JobState:
    """Build a state file."""
    entry.text("state")
    machine, place = entry.placed_text("machine")
    opened: tuple[FactRef, ...] = entry.facts("open")
    by: tuple[tuple[FactRef, IdRef], ...] = entry.refs_by_fact("by")
    return JobState(
        IdRef(machine, place),
        entry.place,
        opened,
        by,
        entry.ways_of_facts("struck"),
        entry.facts("been"),
        tuple(IdRef(step, at) for step, at in entry.placed_texts("done")),
    )
