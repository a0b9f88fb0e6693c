"""What a step at a belt drive says besides: marks, locks, route, tension; and its cautions."""

from __future__ import annotations

from collections.abc import Collection

from witnessmark.engineering.coolant_filling import DRIVES, HOT, POISON
from witnessmark.engineering.timing.cautions import (
    FINGERS,
    NEVER_CRANK_LOCKED,
    SPRUNG_TENSIONER,
)
from witnessmark.machine.circuit_filling import holds_coolant
from witnessmark.machine.model import Machine, ObjectKind, Run
from witnessmark.machine.run_path import belt_length
from witnessmark.machine.run_tension import act_lines
from witnessmark.quantities.reading import format_number

BEFORE_IT_COMES_OFF = (
    "before it comes off: photograph the route, mark the running direction on the belt, "
    "write down where the pointer stands"
)
LOCK_IN = "in until it is written down as out: nothing turns, nobody cranks"
LOCK_OUT = "out and counted before anything turns"
PINS_FIRST = "once every pin and lock is out and counted, not before:"
RUNNING_DIRECTION = "turn in the running direction only: {}"


def drive_lines(
    machine: Machine, kind: ObjectKind, object_id: str, state: str, *, strip: bool, final: bool
) -> tuple[str, ...]:
    """Say what else a step at a drive asks for, from what the file says of its runs.

    `final` tells that a joint is brought to its final tightness by this half.
    """
    if kind is ObjectKind.LOCK:
        return (LOCK_IN if strip else LOCK_OUT,)
    if kind is ObjectKind.SHAFT:
        return _shaft_lines(machine, object_id, strip=strip)
    found: list[str] = []
    for run in machine.runs.values():
        belt = run.belt.id if run.belt is not None else None
        if kind is ObjectKind.PART and belt == object_id and state == "off":
            found += (BEFORE_IT_COMES_OFF,) if strip else _fitted(machine, run)
        clamp = run.tensioner.clamp if run.tensioner is not None else None
        clamps = kind is ObjectKind.JOINT and clamp is not None and clamp.id == object_id
        if clamps and final and not strip:
            found += _set(machine, run)
    return tuple(found)


def _shaft_lines(machine: Machine, object_id: str, *, strip: bool) -> tuple[str, ...]:
    shaft = machine.shafts[object_id]
    lines = []
    if shaft.turned_by is not None:
        direction = shaft.direction or "not stated, read it off the machine"
        lines.append(RUNNING_DIRECTION.format(direction))
        if not strip:
            lines += [
                f"then the tension of the {run.name} again, as read when it was set"
                for run in machine.runs.values()
                if run.timing and run.tensioner is not None
                if (shaft.run is not None and shaft.run.id == run.id)
                or any(p.shaft is not None and p.shaft.id == object_id for p in run.pulleys)
            ]
    return tuple(lines)


def _fitted(machine: Machine, run: Run) -> list[str]:
    """Say what is checked of a belt when it is fitted: its length and its way round."""
    length = belt_length(run)
    noun = "links" if run.drive == "chain" else "teeth"
    size = [f"{run.teeth} {noun}" if run.teeth is not None else ""]
    size.append(f"{format_number(length * 1000, 1)} mm" if length is not None else "")
    told = ", ".join(words for words in size if words)
    lines = [f"check the length against the old one: {told or 'the file does not say'}"]
    if run.pulleys:
        names = ", ".join(
            pulley.id.replace("-", " ") + (" (back of the belt)" if pulley.face == "back" else "")
            for pulley in run.pulleys
        )
        runs = f", running {run.direction}" if run.direction else ""
        seen = run.viewpoint or machine.viewpoint
        lines.append(f"check the route: {names}{runs}" + (f", seen {seen}" if seen else ""))
    return lines


def _set(machine: Machine, run: Run) -> list[str]:
    tensioner = run.tensioner
    assert tensioner is not None
    acts = act_lines(run, run.viewpoint or machine.viewpoint)
    if acts:
        lines = [f"{number}. {words}" for number, words in enumerate(acts, 1)]
        turns = [number for number, act in enumerate(tensioner.acts) if act.act == "turn"]
        if turns and machine.locks:
            lines.insert(turns[0], PINS_FIRST)
        return lines
    pointer = tensioner.pointer
    return [f"pointer {pointer}"] if pointer and pointer != "none" else []


def drive_cautions(machine: Machine, opened: Collection[str]) -> tuple[str, ...]:
    """Give the cautions of drives and coolant for the objects a plan opens."""
    found: dict[str, None] = {}
    if any(lock in opened for lock in machine.locks):
        found[NEVER_CRANK_LOCKED] = None
    for run in machine.runs.values():
        touched = {ref.id for ref in (run.belt, *(p.part for p in run.pulleys)) if ref is not None}
        clamp = run.tensioner.clamp if run.tensioner is not None else None
        if clamp is not None:
            touched.add(clamp.id)
        if touched.intersection(opened):
            found[FINGERS] = None
            if run.tensioner is not None:
                found[SPRUNG_TENSIONER] = None
    for circuit in machine.circuits.values():
        if circuit.id in opened and holds_coolant(circuit):
            found |= dict.fromkeys((HOT, POISON, DRIVES))
    return tuple(found)
