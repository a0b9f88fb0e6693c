"""`witnessmark calc`: the engineering sums by themselves."""

from __future__ import annotations

from witnessmark.cli.lazy import LazyGroup

_HERE = "witnessmark.cli.calc"

calc = LazyGroup(
    "calc",
    summary="Engineering sums by themselves. The maker's figures always prevail.",
    commands_at={
        "torque": (f"{_HERE}.fastening:torque", "Torque for a thread, class and friction."),
        "preload": (f"{_HERE}.fastening:preload", "Clamp force from a torque."),
        "angle": (f"{_HERE}.fastening:angle", "What a torque and an angle do to a bolt."),
        "wrench": (f"{_HERE}.fastening:wrench", "What to set the wrench to with an adapter."),
        "order": (f"{_HERE}.fastening_order:order", "In which order to tighten a group."),
        "size-table": (
            f"{_HERE}.fastening_size_table:size_table",
            "A torque by size alone, for a bracket or a cover.",
        ),
        "engagement": (f"{_HERE}.fastening:engagement", "Thread engagement and stripping."),
        "thread": (f"{_HERE}.fastening:thread", "The geometry of a thread."),
        "convert": (f"{_HERE}.fastening:convert", "Exact unit conversion."),
        "belt": (f"{_HERE}.drives:belt", "Length, wrap and spans of a belt."),
        "route": (f"{_HERE}.drives:route", "Routings that suit pulleys and a belt length."),
        "timing": (f"{_HERE}.drives:timing", "Which tooth errors explain the marks."),
        "clearance": (f"{_HERE}.drives:clearance", "Piston against valve over the cycle."),
        "tension": (f"{_HERE}.tension:tension", "Belt tension from frequency, force or torque."),
        "span": (f"{_HERE}.tension:span", "The note of a plucked span in a recording."),
        "fill": (f"{_HERE}.filling:fill", "The order of filling a machine's circuit."),
        "coolant": (f"{_HERE}.cooling:coolant", "Coolant strength, freezing and boiling."),
    },
)
