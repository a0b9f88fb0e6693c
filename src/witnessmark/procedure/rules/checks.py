"""The rules that hold on every machine; which openings each lists is worked out per machine.

A check is made at the events it names. What it lists comes from the machine file: what
holds a part, which circuit a joint opens, what pins a shaft, what a bar forbids.
"""

from __future__ import annotations

from witnessmark.procedure.rules.shapes import Check, Event, Wanted

_BOTH = (Event.STRIP, Event.REFIT)
_OPEN, _SHUT = Wanted.OPEN, Wanted.SHUT

CHECKS: tuple[Check, ...] = (
    # What holds what
    Check("held", _OPEN, _BOTH, "{other} holds it and is {state}", lasting=True),
    Check("crosses", _OPEN, _BOTH, "{other} joins it to the rest and is {state}", lasting=True),
    Check("trapped", _OPEN, _BOTH, "{other} traps it and is {state}", lasting=True),
    # Circuits
    Check("opens", _OPEN, _BOTH, "it opens {other}, which is {state}", lasting=True),
    # Shafts, pins, marks
    Check("disturbs", _OPEN, _BOTH, "it may move {other}, which counts as {state}", lasting=True),
    Check("pins", _OPEN, _BOTH, "it holds {other}, which counts as {state}", lasting=True),
    Check("mark seen with", _OPEN, _BOTH, "the mark is read with {other} open; it is {state}"),
    Check("mark seen before", _SHUT, _BOTH, "the mark cannot be read: {other} is {state}"),
    Check("turning locked", _SHUT, (Event.ACT,), "{other} is {state} and locks what would turn"),
    Check("turning without bolt", _SHUT, (Event.ACT,), "{other} is {state}: nothing to turn by"),
    Check("turned", _OPEN, (Event.ACT,), "{other} is turned and loses its proof; it is {state}"),
    Check("running locked", _SHUT, (Event.ACT,), "{other} is {state}"),
    Check("running unproven", _SHUT, (Event.ACT,), "{other} is {state}"),
    Check("running dry", _SHUT, (Event.ACT,), "{other} is {state}"),
    # Bars of the machine file
    Check("barred while", _SHUT, (*_BOTH, Event.ACT), "{by} forbids it while {other} is {state}"),
    Check("barred unless", _OPEN, (*_BOTH, Event.ACT), "{by} forbids it unless {other} is open"),
    # What a way or a step says itself
    Check("way needs", _OPEN, _BOTH, "it needs {other} open; it is {state}", lasting=True),
    Check("way needs to strip", _OPEN, (Event.STRIP,), "it needs {other} open; it is {state}"),
    Check("way needs to refit", _OPEN, (Event.REFIT,), "it needs {other} open; it is {state}"),
    Check("way while fitted", _SHUT, _BOTH, "it is done while {other} is fitted; it is {state}"),
    Check("step needs", _OPEN, (Event.ACT,), "it needs {other} open; it is {state}"),
    Check("step before", _SHUT, (Event.ACT,), "it is done while {other} is shut; it is {state}"),
)
