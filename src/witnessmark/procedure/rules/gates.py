"""Gates: points that are not passed until everything they list is closed."""

from __future__ import annotations

from witnessmark.procedure.rules.shapes import Clearance, Gate

UNDER_WORDS = ("under", "underneath", "pit")
"""Words in a position's name that mean that somebody is below the machine."""

_LOCKS_OUT = Clearance("lock", ("out",), "all")
_HOLDERS_OFF = Clearance("temporary", ("away",), "all", ("holder", "puller"))
_SHAFTS_PROVEN = Clearance("shaft", ("proven",), "all")
_NOTHING_SLACK = Clearance("joint", ("made",), "all")
_CARRYING = (
    "wheel",
    "suspension",
    "steering",
    "brake",
    "lifting",
)

GATES: tuple[Gate, ...] = (
    Gate(
        "first-spanner",
        "before the first spanner",
        ("begin",),
        (),
        ("parts opened and compared", "special tools in hand", "the customer's yes"),
    ),
    Gate(
        "going-under",
        "before going under",
        ("position under",),
        (Clearance("joint", ("made", "slack"), "disturbed", ("lifting",)),),
        ("what carries it, and on what",),
        registers=("conflicts",),
    ),
    Gate(
        "opening-pressure",
        "before opening pressure or charge",
        ("relieve", "drain", "pressurise"),
        (),
        ("cold, and the gauge at nothing",),
        registers=("not before",),
    ),
    Gate(
        "turning-by-hand",
        "before turning by hand",
        ("set-to-marks", "set-and-free", "prove", "belt-and-prove", "turn"),
        (
            Clearance("lock", ("out",), "holding"),
            Clearance("temporary", ("away",), "holding"),
        ),
        ("which way it turns, seen from where", "where the belt is"),
        registers=("conflicts",),
    ),
    Gate(
        "cranking",
        "before cranking",
        ("crank", "start"),
        (_LOCKS_OUT, _HOLDERS_OFF, _SHAFTS_PROVEN),
        ("for which purpose", "fuel cut unless it is to start"),
        passable=False,
        registers=("conflicts",),
        purposes=("to start", "to prime", "to test"),
    ),
    Gate(
        "first-start",
        "before the first start",
        ("start",),
        (
            _LOCKS_OUT,
            _SHAFTS_PROVEN,
            Clearance("circuit", ("ready", "filled"), "all"),
            Clearance("joint", ("made",), "all", ("head", "main", "rod", "cam", "crank",
                      "flywheel", "tensioner", "pressure")),
        ),
        ("oil and coolant in",),
        registers=("conflicts", "slack", "dropped", "tools", "open ends", "not before",
                   "litres short"),
    ),
    Gate(
        "covering",
        "before covering",
        ("refit",),
        (Clearance("joint", ("made",), "hidden"),),
        ("dropped things settled", "a look with a lamp"),
        registers=("dropped", "tools", "found wrong", "to be seen"),
    ),
    Gate(
        "lowering",
        "before lowering or rolling",
        ("lower", "position left under"),
        (Clearance("joint", ("made",), "disturbed", _CARRYING),),
        ("wheels tight, pedal firm, or move as it is, by name",),
        registers=("conflicts", "supports"),
    ),
    Gate(
        "closing-up",
        "before closing up",
        ("last refit",),
        (
            _LOCKS_OUT,
            Clearance("temporary", ("away",), "all"),
            _NOTHING_SLACK,
            Clearance("part", ("fitted",), "all"),
            Clearance("assembly", ("fitted",), "all"),
        ),
        ("count to nothing", "tools and rags counted", "caps on", "leaks looked for"),
        registers=("dropped", "tools", "supports", "open ends", "slack", "found wrong", "counts"),
    ),
    Gate(
        "handing-back",
        "before handing back",
        ("end",),
        (
            _LOCKS_OUT,
            Clearance("temporary", ("away",), "all"),
            _NOTHING_SLACK,
            Clearance("part", ("fitted",), "all"),
            Clearance("assembly", ("fitted",), "all"),
            Clearance("circuit", ("ready", "filled"), "all"),
            _SHAFTS_PROVEN,
            Clearance("make-safe", ("normal",), "all"),
        ),
        ("road test or trial run", "cold level, or booked", "duties said"),
        registers=("outstanding", "found wrong", "duties that keep it"),
    ),
    Gate(
        "walking-away",
        "before walking away",
        ("interruption",),
        (),
        ("interruption mark, or the handover sheet",),
        registers=("interruption",),
    ),
)  # fmt: skip
