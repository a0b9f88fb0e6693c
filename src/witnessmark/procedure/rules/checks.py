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
    Check(
        "held", _OPEN, _BOTH, "held by {by}",
        "still held by {other}, {state}", lasting=True,
    ),
    Check(
        "crosses", _OPEN, _BOTH, "joined to the rest by {by}",
        "still joined to the rest by {other}, {state}", lasting=True,
    ),
    Check(
        "trapped", _OPEN, _BOTH, "trapped by {by}",
        "still trapped by {other}, {state}", lasting=True,
    ),
    # Circuits
    Check(
        "opens", _OPEN, _BOTH, "it opens {by}",
        "it opens {other}, which is {state}", lasting=True,
    ),
    # Shafts, pins, marks
    Check(
        "disturbs", _OPEN, _BOTH, "{by} may move, and is proved again after it",
        "{other} may move, which counts as {state}", lasting=True,
    ),
    Check(
        "pins", _OPEN, _BOTH, "it holds {by}, which is set to its mark first",
        "it holds {other}, which counts as {state}", lasting=True,
    ),
    Check(
        "mark seen with", _OPEN, _BOTH, "the mark of {by} is read with {other}",
        "the mark is read with {other} {wanted}; it is {state}",
    ),
    Check(
        "mark seen before", _SHUT, _BOTH, "the mark of {by} cannot be read any more after it",
        "the mark cannot be read: {other} is {state}",
    ),
    Check(
        "turning locked", _SHUT, (Event.ACT,), "{by} locks what turns",
        "{other} is {state} and locks what would turn",
    ),
    Check(
        "turning without bolt", _SHUT, (Event.ACT,), "{by} is what it is turned by",
        "{other} is {state}: nothing to turn by",
    ),
    Check(
        "turned", _OPEN, (Event.ACT,), "{by} is turned, and is proved after it",
        "{other} is turned and loses its proof; it counts as {state}",
    ),
    Check(
        "running locked", _SHUT, (Event.ACT,), "{by} would break when it runs",
        "{other} is {state}",
    ),
    Check(
        "running unproven", _SHUT, (Event.ACT,), "{by} is proved before it runs",
        "{other} is {state}",
    ),
    Check(
        "running dry", _SHUT, (Event.ACT,), "{by} is filled before it runs",
        "{other} is {state}",
    ),
    # Bars of the machine file
    Check(
        "barred while", _SHUT, (*_BOTH, Event.ACT), "the bar {by} forbids it while {other}",
        "{by} forbids it while {other} is {state}",
    ),
    Check(
        "barred unless", _OPEN, (*_BOTH, Event.ACT), "the bar {by} forbids it unless {other}",
        "{by} forbids it unless {other} is {wanted}; it is {state}", lasting=True,
    ),
    # What a way or a step says itself
    Check(
        "way needs", _OPEN, _BOTH, "its way needs {other}",
        "it needs {other} {wanted}; it is {state}", lasting=True,
    ),
    Check(
        "way needs to strip", _OPEN, (Event.STRIP,), "its way needs {other} to strip",
        "it needs {other} {wanted}; it is {state}",
    ),
    Check(
        "way needs to refit", _OPEN, (Event.REFIT,), "its way needs {other} to refit",
        "it needs {other} {wanted}; it is {state}",
    ),
    Check(
        "way while fitted", _SHUT, _BOTH, "its way comes before {other}",
        "it is done while {other} is fitted; it is {state}",
    ),
    Check(
        "step needs", _OPEN, (Event.ACT,), "the step needs {other}",
        "it needs {other} {wanted}; it is {state}",
    ),
    Check(
        "step before", _SHUT, (Event.ACT,), "the step is not done during {other}",
        "it is not done while {other} is {state}",
    ),
    Check(
        "as found", _OPEN, (Event.ACT,), "the step leaves {other} as it finds it",
        "{other} is {state} and would not be left as found",
    ),
)  # fmt: skip
