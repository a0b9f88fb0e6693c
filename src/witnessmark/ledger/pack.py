"""The job pack: everything a bench needs, frozen as plain data.

A pack holds the machine's objects, the rule book, the machine's tables and the plan. It
knows no path of the disk it was made on and holds no floats, so that the same machine and
works give the same bytes and digest everywhere.
"""

from __future__ import annotations

from typing import Any

from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Duty, Machine
from witnessmark.procedure.compiled import Compiled
from witnessmark.procedure.object_rows import objects_for
from witnessmark.procedure.plan import Plan
from witnessmark.procedure.plan_rows import blocks_for, plan_for
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.tables import MachineTables, tables_for
from witnessmark.procedure.way_rows import planned_ways, ways_for

Data = dict[str, Any]

FORMAT = 1
"""Raised whenever a pack's shape changes."""


def job_pack(
    compiled: Compiled, plan: Plan, texts: Data | None = None, machine: Data | None = None
) -> Data:
    """Make the pack of a planned job.

    `texts` are drawings and cards, handed in; `machine` is the `machine_pack` of its machine,
    when that was made before: nothing of it is changed.
    """
    made = machine or machine_pack(compiled.machine, compiled.derived, compiled.tables)
    planned = {
        "ways": planned_ways(compiled, plan),
        "plan": plan_for(compiled, plan),
        "blocks": blocks_for(compiled),
        "works": [{"id": work.id, "name": work.name} for work in compiled.works],
        "texts": dict(texts or {}),
    }
    pack = {**made, **_without_paths(planned)}
    pack["tables"] = {**made["tables"], "ways": {**made["tables"]["ways"], **pack.pop("ways")}}
    return pack


def machine_pack(
    machine: Machine, derived: Derived | None = None, tables: MachineTables | None = None
) -> Data:
    """Make a pack without works: a machine that is described, and no plan yet."""
    known = derived or Derived(machine)
    rows: Data = dict((tables or tables_for(machine, known)).as_data())
    rows["ways"] = ways_for(known)
    pack = empty_pack(machine.id, machine.name)
    pack["machine"] |= {"maker": machine.maker, "source": machine.source}
    pack["objects"] = objects_for(machine, known)
    pack["tables"] = rows
    pack["duties"] = {duty.id: _duty(duty, known) for duty in machine.duties.values()}
    return _without_paths(pack)


def empty_pack(id_: str, name: str) -> Data:
    """Make the pack of a machine that nobody has described: rules, and no object."""
    tables: Data = {
        "kinds": {},
        "names": {},
        "demands": {},
        "turns_with": {},
        "belts": {},
        "proved": [],
        "proof_turns": [],
        "disturbs": {},
        "single_use": [],
        "asks": [],
        "ways": {},
    }
    return {
        "format": FORMAT,
        "machine": {"id": id_, "name": name, "maker": None, "source": None},
        "rules": dict(RULE_BOOK.as_data()),
        "tables": tables,
        "objects": {},
        "plan": {"steps": []},
        "blocks": {},
        "works": [],
        "duties": {},
        "texts": {},
    }


def pack_digest(pack: Data) -> str:
    """Give the digest of a pack's canonical bytes: what events and papers call it by.

    Raises
    ------
    NotCanonicalError
        If the pack holds what no pack may hold.
    """
    return digest(canonical_bytes(pack))


def _duty(duty: Duty, derived: Derived) -> Data:
    opened = [
        f"{opening.object} {opening.state}"
        for ref in duty.opened_by
        for opening in derived.supporters(derived.resolve(ref))
    ]
    return {
        "says": duty.text,
        "opened_by": opened,
        "after": duty.after,
        "limit": duty.limit,
        "person": duty.person,
        "may_leave": duty.may_leave,
    }


def _without_paths(value: Data) -> Data:
    """Keep of every place only the file's own name."""
    return {key: _bare(key, each) for key, each in value.items()}


def _bare(key: str, value: object) -> object:
    if isinstance(value, dict):
        return _without_paths(value)
    if isinstance(value, list):
        return [_bare("", each) for each in value]
    if key == "place" and isinstance(value, str):
        return value.replace("\\", "/").rsplit("/", 1)[-1]
    return value
