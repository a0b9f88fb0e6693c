"""What a work's own step brings into the order of a plan: what it says, and what its acts ask."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from witnessmark.machine.complaints import Complaint
from witnessmark.machine.derived import Derived
from witnessmark.machine.model import WorkStep
from witnessmark.procedure.levels import Levels
from witnessmark.procedure.rulebook import RULE_BOOK
from witnessmark.procedure.rules.shapes import Wanted
from witnessmark.procedure.step_acts import Acting, StepAct, as_found, is_open, read_acts
from witnessmark.procedure.tables import Demand, MachineTables, Opened
from witnessmark.procedure.written import Written


def order_of_step(
    step: WorkStep, derived: Derived, tables: MachineTables, levels: Levels, written: Written
) -> tuple[tuple[Demand, ...], tuple[Complaint, ...]]:
    """Give what must be open and what shut when a step is done, each once, and complaints.

    Its acts are done in thought on the objects they name: whatever an act asks of other
    objects is asked of the step; what it asks of its own objects must come out right.
    """
    rows = [
        *written.demands("step needs", Wanted.OPEN, step.needs),
        *written.demands("step before", Wanted.SHUT, step.before),
    ]
    acts, troubles = read_acts(step, derived)
    found, more = as_found(acts, step)
    complaints = [Complaint(t.place, t.code, t.what, t.to_do) for t in (*troubles, *more)]
    if complaints:
        return tuple(_each_once(rows)), tuple(complaints)
    for object_, state in found.items():
        rows += _found_so(object_, state, step, tables, levels)
    opened = frozenset(o for row in rows if row.wanted is Wanted.OPEN for o, _ in row.openings)
    acting = Acting(derived, tables, written, dict(found), opened)
    for each in acts:
        before = dict(acting.at)
        for _, row in acting.do(each):
            rest, wrong = _of_others(row, found, before, tables)
            if wrong is not None:
                complaints.append(_against(each, step, row, wrong, before))
            rows += rest
    return tuple(_each_once(rows)), tuple(complaints)


def _found_so(
    object_: str, state: str, step: WorkStep, tables: MachineTables, levels: Levels
) -> Iterator[Demand]:
    """Say that an object a step acts on must be found as the step leaves it, no deeper."""
    kind = tables.kinds[object_]
    depth = RULE_BOOK.depth(kind, state)
    for level in levels.of(object_):
        passed = RULE_BOOK.depth(kind, level.states[-1]) <= depth
        wanted = Wanted.OPEN if passed else Wanted.SHUT
        of = " ".join(level.key)
        yield Demand("as found", wanted, of, (level.key,), step.id, step.place)
        if not passed:
            return


def _of_others(
    row: Demand, own: Mapping[str, str], at: Mapping[str, str], tables: MachineTables
) -> tuple[list[Demand], Opened | None]:
    """Split a demand: what is left to ask of other objects, and what is wrong with its own."""
    known = [opened for opened in row.openings if opened[0] in own]
    others = tuple(opened for opened in row.openings if opened[0] not in own)
    rest = [replace(row, openings=others)]
    standing = [opened for opened in known if is_open(tables, at, opened)]
    if row.wanted is Wanted.SHUT:
        return (rest if others else []), (standing[0] if standing else None)
    if standing:
        return [], None
    if known and not others:
        return [], known[0]
    return rest, None


def _against(
    each: StepAct, step: WorkStep, row: Demand, wrong: Opened, at: Mapping[str, str]
) -> Complaint:
    object_ = wrong[0]
    return Complaint(
        each.place,
        "plan-act-against-rule",
        f"step '{step.id}' would '{each.text}' while its own '{object_}' is {at[object_]}",
        f"change the order of its acts (rule '{row.check}', from '{row.by}')",
    )


def _each_once(rows: Iterable[Demand]) -> Iterator[Demand]:
    seen: set[tuple[Wanted, tuple[Opened, ...]]] = set()
    for row in rows:
        if (row.wanted, row.openings) not in seen:
            seen.add((row.wanted, row.openings))
            yield row
