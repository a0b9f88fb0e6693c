"""What a phone must know of each object of a machine, as plain data.

The tables (`witnessmark.procedure.tables`) say which opening needs which; these rows say
what an object is: its pieces with their lengths and places, whether it is critical, used
once, tightened by an angle, what a lock holds, which joint sets a belt. No floats: lengths
are decimal strings in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from witnessmark.engineering.fastening.rules import further_pull_refusal
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Fastener, Joint, Machine, ObjectKind, OpeningSpec, Renewal
from witnessmark.procedure.rulebook import Plain
from witnessmark.quantities.reading import format_number

Row = dict[str, Plain]

CRUSHED = ("gasket", "seal", "o-ring", "sealing washer")
"""Kinds of part that are crushed once and renewed when their pattern is begun again."""


def objects_for(machine: Machine, derived: Derived | None = None) -> dict[str, Row]:
    """Give the rows of all objects of a machine by id, in the order of the file."""
    known = derived or Derived(machine)
    maker = _Rows(machine, known)
    return {id_: maker.row(id_, kind) for id_, (kind, _) in known.things.items()}


def blank_row(kind: str, name: str) -> Row:
    """Give the row of an object of which nothing is known but its kind and name."""
    return {
        "kind": kind,
        "name": name,
        "role": None,
        "critical": False,
        "where": None,
        "holds": [],
        "parts": [],
        "pieces": [],
        "order": None,
        "single_use": False,
        "angled": False,
        "stages": 0,
        "tightness": None,
        "source": None,
        "surface": None,
        "no_further_pull": None,
        "sets": None,
        "crushes": [],
        "renew": None,
        "waits": {},
        "permit": None,
    }


class _Rows:
    def __init__(self, machine: Machine, derived: Derived) -> None:
        self.machine = machine
        self.derived = derived
        self.sets = {
            run.tensioner.clamp.id: run.id
            for run in machine.runs.values()
            if run.tensioner is not None and run.tensioner.clamp is not None
        }

    def row(self, id_: str, kind: ObjectKind) -> Row:
        """Make the row of one object."""
        row = blank_row(kind.value, self.derived.things[id_][1].name)
        row["waits"] = _waits(self.derived.openings(id_))
        if kind is ObjectKind.PART:
            self._part(row, id_)
        elif kind is ObjectKind.ASSEMBLY:
            row["parts"] = [ref.id for ref in self.machine.assemblies[id_].parts]
        elif kind is ObjectKind.JOINT:
            self._joint(row, self.machine.joints[id_])
        elif kind is ObjectKind.LOCK:
            lock = self.machine.locks[id_]
            row |= {"where": lock.hole, "holds": [ref.id for ref in lock.holds]}
        elif kind is ObjectKind.TEMPORARY:
            thing = self.machine.temporaries[id_]
            row |= {"role": thing.kind, "where": thing.at}
            row["holds"] = [ref.id for ref in thing.holds]
        elif kind is ObjectKind.MAKE_SAFE:
            safe = self.machine.make_safes[id_]
            row |= {"permit": safe.permit, "critical": safe.permit is not None}
        return row

    def _part(self, row: Row, id_: str) -> None:
        part = self.machine.parts[id_]
        row |= {"role": part.kind, "where": part.where}
        row["renew"] = None if part.renew is Renewal.NEVER else part.renew.value

    def _joint(self, row: Row, joint: Joint) -> None:
        tightness = joint.tightness.tightness if joint.tightness is not None else None
        surfaces = (joint.surface,) if joint.surface is not None else ()
        row |= {
            "role": joint.role,
            "critical": joint.critical,
            "where": joint.where,
            "holds": list(self.derived.held_by(joint)),
            "pieces": list(_pieces(joint)),
            "order": list(joint.order) if isinstance(joint.order, tuple) else None,
            "single_use": joint.single_use,
            "surface": joint.surface,
            "sets": self.sets.get(joint.id),
            "crushes": list(self._crushed_by(joint)),
        }
        if joint.tightness is not None and tightness is not None:
            row |= {
                "tightness": str(tightness),
                "source": joint.tightness.source,
                "angled": tightness.angle_degrees > 0,
                "stages": len(joint.stages) or len(tightness.stages) or 1,
                "no_further_pull": further_pull_refusal(
                    tightness, surfaces, single_use=joint.single_use
                ),
            }

    def _crushed_by(self, joint: Joint) -> Iterator[str]:
        """Give the gaskets and seals that a joint presses: trapped by it or what it holds."""
        pressing = {joint.id, *self.derived.held_by(joint)}
        for part in self.machine.parts.values():
            if part.kind in CRUSHED and any(ref.id in pressing for ref in part.trapped_by):
                yield part.id


def _waits(openings: tuple[OpeningSpec, ...]) -> Row:
    """Give the waits of openings, either side, in tenths of a minute; the longest way's."""
    found: Row = {}
    for spec in openings:
        strip = max((way.wait_strip for way in spec.ways), default=0)
        refit = max((way.wait_refit for way in spec.ways), default=0)
        if strip or refit:
            found[spec.state] = {"strip": strip, "refit": refit}
    return found


def _pieces(joint: Joint) -> Iterator[Row]:
    """Give each fastener or hose end of a joint, one by one; a joint without any is one."""
    used = {fastener.hole for fastener in joint.fasteners if fastener.hole is not None}
    number = 0
    for fastener in joint.fasteners or (Fastener(joint.place),):
        for turn in range(fastener.count):
            number += 1
            id_ = fastener.hole if fastener.hole is not None and turn == 0 else str(number)
            while id_ != fastener.hole and id_ in used:
                number += 1
                id_ = str(number)
            yield _piece(id_, fastener)


def _piece(id_: str, fastener: Fastener) -> Row:
    thread = fastener.thread
    length = thread.length if thread is not None else None
    return {
        "id": id_,
        "name": fastener.name,
        "thread": thread.designation if thread is not None else None,
        "length": _millimetres(length),
        "head": fastener.head,
        "hole": fastener.hole,
        "at": [_millimetres(each) for each in fastener.at] if fastener.at is not None else None,
        "clamps": [ref.id for ref in fastener.clamps],
    }


def _millimetres(length: Fraction | None) -> str | None:
    return None if length is None else format_number(length * 1000)
