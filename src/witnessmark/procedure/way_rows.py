"""What the ways of a machine file ask for themselves, as plain rows beside the tables.

The planner chooses one way of each opening; at the bench the person says which was taken,
or the plan's is meant.
"""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.machine.derived import Derived
from witnessmark.machine.model import Way
from witnessmark.procedure.compiled import Compiled
from witnessmark.procedure.plan import Plan
from witnessmark.procedure.rulebook import Plain, plain
from witnessmark.procedure.rules.shapes import Event
from witnessmark.procedure.tables import Demand
from witnessmark.procedure.written import Written

Rows = dict[str, Plain]


def ways_for(derived: Derived) -> Rows:
    """Give the rows of every way of every opening, by `object state` and way."""
    written = Written(derived)
    return {
        f"{fact.object} {spec.state}": _rows(written, spec.ways, None)
        for fact in derived.all_openings()
        for spec in derived.openings(fact.object)
        if spec.state == fact.state
    }


def planned_ways(compiled: Compiled, plan: Plan) -> Rows:
    """Give the rows of the openings in a plan, which stand in place of the machine's own.

    Where a plan takes several states in one go, its joined way stands at the last of them
    and the states between have none.
    """
    written = Written(compiled.derived)
    found: Rows = {}
    for index, choice in plan.ways.items():
        info = compiled.openings[index]
        for state in info.states:
            found[f"{info.object_id} {state}"] = {}
        found[f"{info.object_id} {info.state}"] = _rows(written, info.ways, choice)
    return found


def _rows(written: Written, ways: Iterable[Way], planned: int | None) -> Rows:
    return {
        way.id: {
            "planned": number == planned,
            "strip": [demand_row(row) for row in written.of_way(way, Event.STRIP)],
            "refit": [demand_row(row) for row in written.of_way(way, Event.REFIT)],
        }
        for number, way in enumerate(ways)
    }


def demand_row(demand: Demand) -> Plain:
    """Write one demand as plain data; the place as `file:line:column`."""
    row = plain(demand)
    assert isinstance(row, dict)
    return {**row, "place": str(demand.place)}
