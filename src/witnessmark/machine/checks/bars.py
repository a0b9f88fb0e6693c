"""Rules on bars, and on the pins and locks they guard against."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.machine.acts import ActError, read_act
from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.derived import bar_asks
from witnessmark.machine.model import Bar


def locks_are_barred(context: Context) -> Iterator[Complaint]:
    """Every pin or lock is mentioned by a bar, so that nothing is forced against it."""
    mentioned = {
        ref.object for bar in context.machine.bars.values() for ref in (*bar.while_, *bar.unless)
    }
    mentioned |= {_barred_object(bar) for bar in context.machine.bars.values()}
    for lock in context.machine.locks.values():
        if lock.id not in mentioned:
            yield complaint("lock-without-bar", lock.place, lock=lock.id)


def _barred_object(bar: Bar) -> str:
    try:
        return read_act(bar.never).object or ""
    except ActError:
        return ""


def bars_do_something(context: Context) -> Iterator[Complaint]:
    """A bar compiles into order, or asks for evidence, permission or a purpose."""
    for bar in context.machine.bars.values():
        resolved = all(context.derived.find(ref) for ref in (*bar.while_, *bar.unless))
        if not resolved or bar_asks(bar) or not _readable(context, bar):
            continue
        if not context.derived.bar_effects(bar) and not context.derived.tangled:
            yield complaint("bar-does-nothing", bar.place, bar=bar.id)


def _readable(context: Context, bar: Bar) -> bool:
    """Tell whether what is barred is known; if not, another rule complains."""
    try:
        act = read_act(bar.never)
    except ActError:
        return False
    return act.object is None or context.kind_word(act.object) is not None


RULES = (locks_are_barred, bars_do_something)
