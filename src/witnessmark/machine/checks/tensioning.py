"""Rules on tensioners: what they are held at, how they travel, and how a belt is tensioned."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.checks.context import Context
from witnessmark.machine.checks.drives import MOST_PULLEYS
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.run_tension import has_travel, tension_setting, travel_of

STEPS = 24
"""So many places of a travel are looked at here; papers look closer. A choice for speed."""
MOST_TRAVELS = 4
"""Travels are looked at for so many runs with an arm or a slot; no machine has more."""


def settings_are_clamped(context: Context) -> Iterator[Complaint]:
    """A torque held on a tensioner is a setting: some joint clamps it, with its own tightness."""
    for run in context.machine.runs.values():
        tensioner = run.tensioner
        if tensioner is not None and tensioner.setting is not None and tensioner.clamp is None:
            yield complaint("setting-without-clamp", tensioner.setting.place, run=run.id)


def travels_take_up_the_belt(context: Context) -> Iterator[Complaint]:
    """Somewhere between its stops the tensioner makes the way round as long as the belt."""
    travelling = [run for run in context.machine.runs.values() if has_travel(run)]
    few = sum(len(run.pulleys) for run in travelling) <= MOST_PULLEYS // MOST_TRAVELS
    for run in travelling if few and len(travelling) <= MOST_TRAVELS else ():
        try:
            travel_of(run, STEPS)
        except RefusalError as refusal:
            assert run.tensioner is not None
            place = run.tensioner.place
            yield complaint("no-travel", place, run=run.id, what=refusal.what, do=refusal.hint)


def belts_are_set_in_the_end(context: Context) -> Iterator[Complaint]:
    """The acts of tensioning can be done as written, and leave the belt set."""
    for run in context.machine.runs.values():
        try:
            tension_setting(run)
        except RefusalError as refusal:
            assert run.tensioner is not None
            place = run.tensioner.place
            yield complaint("tension-acts", place, run=run.id, what=refusal.what, do=refusal.hint)


RULES = (settings_are_clamped, travels_take_up_the_belt, belts_are_set_in_the_end)
