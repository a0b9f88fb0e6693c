"""Kinds of object and their states (S2)."""

from __future__ import annotations

from witnessmark.procedure.rules.shapes import Kind, State

_PART_STATES = (
    State("fitted", 0, "fitted"),
    State("moved", 1, "moved", opening=True),
    State("off", 2, "off", opening=True),
)

KINDS: tuple[Kind, ...] = (
    Kind("part", "part", "the part", _PART_STATES),
    Kind("assembly", "assembly", "the assembly", _PART_STATES),
    Kind(
        "joint",
        "joint",
        "each fastener, hose end or connector",
        (
            State("made", 0, "made"),
            State("slack", 1, "slack", opening=True),
            State("cracked", 1, "cracked off"),
            State("backed off", 1, "backed off"),
            State("finger-tight", 1, "finger-tight"),
            State("nipped", 1, "nipped up"),
            State("part-tightened", 1, "part-tightened, {k} of {n}"),
            State("in to turn", 1, "in to turn", momentary=True),
            State("unknown", 1, "not known"),
            State("out", 2, "out", opening=True),
        ),
    ),
    Kind(
        "circuit",
        "circuit",
        "the circuit",
        (
            State("ready", 0, "filled, bled and checked"),
            State("filled", 1, "filled, not yet bled or primed", may_outlive=True),
            State("relieved", 1, "relieved", opening=True),
            State("held back", 1, "held back"),
            State("drained", 2, "drained", opening=True),
            State("dirty", 3, "dirty"),
        ),
    ),
    Kind(
        "shaft",
        "shaft",
        "the shaft",
        (
            State("proven", 0, "proven"),
            State("unproven", 1, "unproven, belt on", opening=True),
            State("held", 2, "belt off, held"),
            State("free", 2, "belt off, free", opening=True),
        ),
    ),
    Kind(
        "lock",
        "lock or pin",
        "the hole",
        (State("out", 0, "out"), State("in", 1, "in", opening=True)),
    ),
    Kind(
        "temporary",
        "temporary thing",
        "the place",
        (State("away", 0, "away"), State("fitted", 1, "fitted", opening=True)),
    ),
    Kind(
        "make-safe",
        "make-safe",
        "the make-safe",
        (State("normal", 0, "normal"), State("safe", 1, "made safe", opening=True)),
    ),
)

SIZE_TABLE_ROLES = ("bracket", "cover")
"""Joints for which a named person may take a size table's figure: what is allowed, no more."""

CRITICAL_ROLES = (
    "head",
    "main",
    "rod",
    "cam",
    "crank",
    "flywheel",
    "clutch",
    "tensioner",
    "brake",
    "steering",
    "suspension",
    "wheel",
    "restraint",
    "lifting",
    "pressure",
)
"""Joints that kill engines or people: without a sourced figure they stay outstanding."""
