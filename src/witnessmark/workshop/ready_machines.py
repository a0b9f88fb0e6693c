"""What follows from a machine file, worked out once for many plans on it, and kept a while."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import Any

from witnessmark.ledger.pack import machine_pack
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Machine
from witnessmark.procedure.tables import MachineTables, tables_for

MOST_KEPT = 16


@dataclass(frozen=True, slots=True)
class ReadyMachine:
    """A machine with what follows from it; `rows` is its part of every pack, not to be changed."""

    machine: Machine
    derived: Derived
    tables: MachineTables
    rows: dict[str, Any]


_turn = Lock()
_kept: OrderedDict[int, ReadyMachine] = OrderedDict()


def ready(machine: Machine) -> ReadyMachine:
    """Give a machine made ready; known again as long as the library keeps the same one.

    The library reads a file anew when it changed, and so gives another machine.
    """
    with _turn:
        known = _kept.get(id(machine))
        if known is not None and known.machine is machine:
            _kept.move_to_end(id(machine))
            return known
    derived = Derived(machine)
    tables = tables_for(machine, derived)
    made = ReadyMachine(machine, derived, tables, machine_pack(machine, derived, tables))
    with _turn:
        _kept[id(machine)] = made
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made
