"""Drain to a height, cap, fill, bleed, prime, run up and cold re-check, as plain data.

The plan answers "what, and not before when". A time that no source gives is not invented:
the step then waits for a condition a person can see.
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.coolant_circuit import Circuit, Draining, PointKind, drain_below

COOL_DOWN = 30 * 60.0
"""Wait before opening a hot system: automotive teaching task sheet, thermostat task. [s]"""
_TASK_SHEET = "automotive teaching task sheet, thermostat task"
_ARMY = "US Army/Air Force/Marine Corps TM 9-2815-256-24, 3-8, p. 3-21"
_PRACTICE = "general practice; the engine maker's instruction rules"
HOT = (
    "Hot, pressurised coolant scalds: let it cool, cover the cap with a rag, loosen it slowly "
    "to let the pressure out first."
)
POISON = (
    "Glycol is poisonous: catch and cap it, wipe spills at once; keep old coolant apart from oil."
)
DRIVES = "Keep fingers, hair and clothing away from belts and fan while it runs."


@dataclass(frozen=True, slots=True)
class NotBefore:
    """What a step waits for: seconds after another step, or a condition a person can see.

    `seconds` is None when no source gives a time. [s]
    """

    after: str
    seconds: float | None
    condition: str
    source: str


@dataclass(frozen=True, slots=True)
class FillingStep:
    """One step: what to do, what it waits for, cautions, source."""

    id: str
    what: str
    not_before: tuple[NotBefore, ...] = ()
    cautions: tuple[str, ...] = ()
    source: str = _PRACTICE


@dataclass(frozen=True, slots=True)
class Waits:
    """The maker's times [s], each with its source; None when the maker gives none."""

    cool_down: float = COOL_DOWN
    cool_down_source: str = _TASK_SHEET
    stand_before_recheck: float | None = None
    stand_source: str = ""


def filling_plan(
    circuit: Circuit, opened: str, drain: str, waits: Waits | None = None
) -> tuple[FillingStep, ...]:
    """Write the plan from a hot, full circuit to the cold re-check.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    opened : str
        The joint that is opened.
    drain : str
        The drain that is used.
    waits : Waits, optional
        The maker's waiting times.

    Returns
    -------
    tuple of FillingStep
        Steps in order, each with what it may not come before. [s]

    Raises
    ------
    RefusalError
        If the drain lies above the joint.
    """
    waits = waits or Waits()
    draining = drain_below(circuit, opened, drain)
    return (
        *_emptying(circuit, opened, drain, draining, waits),
        *_filling(circuit, opened, draining),
        *_proving(circuit, waits),
    )


def _emptying(
    circuit: Circuit, opened: str, drain: str, draining: Draining, waits: Waits
) -> list[FillingStep]:
    maker = circuit.source or _PRACTICE
    return [
        FillingStep("stop", "Stop the engine, key out, note on the wheel", source=_PRACTICE),
        FillingStep(
            "release",
            "Loosen the cap slowly to its first stop, let the pressure out, then take it off",
            (
                NotBefore(
                    "stop",
                    waits.cool_down,
                    "top hose cool enough to hold, and soft when squeezed",
                    waits.cool_down_source,
                ),
            ),
            (HOT,),
            _ARMY,
        ),
        FillingStep(
            "drain",
            f"Drain at {drain} to below {opened}: about {draining.out:.1f} L come out, "
            f"{draining.stays:.1f} L stay; measure what comes out",
            (_done("release"),),
            (POISON,),
            maker,
        ),
        FillingStep(
            "cap",
            f"Open {opened}; cap or plug every open end at once",
            (_done("drain"),),
            source=_PRACTICE,
        ),
    ]


def _filling(circuit: Circuit, opened: str, draining: Draining) -> list[FillingStep]:
    maker = circuit.source or _PRACTICE
    bleeds = sorted(
        (p for p in circuit.points if p.kind is PointKind.BLEED), key=lambda p: p.height
    )
    steps = [
        FillingStep(
            "close",
            f"Caps and plugs out and counted; {opened} made and tight; drain closed",
            (_done("cap"),),
            source=_PRACTICE,
        ),
        FillingStep(
            "fill",
            f"Bleeds open, heater at hot; fill slowly: {draining.out:.1f} L are due; "
            "measure what goes in",
            (_done("close"),),
            (POISON,),
            maker,
        ),
    ]
    before = "fill"
    for bleed in bleeds:
        name = f"bleed {bleed.name}"
        seen = NotBefore(before, None, "coolant runs from it without bubbles", _PRACTICE)
        steps.append(FillingStep(name, f"Close {bleed.name}", (seen,), source=_PRACTICE))
        before = name
    for part in circuit.prime:
        name = f"prime {part}"
        steps.append(
            FillingStep(
                name,
                f"Prime {part}: it must not run dry",
                (_done(before),),
                source=maker,
            )
        )
        before = name
    steps.append(
        FillingStep(
            "balance",
            "Compare litres in with litres out; if they differ, do not start: find the air",
            (_done(before),),
            source=_PRACTICE,
        )
    )
    return steps


def _proving(circuit: Circuit, waits: Waits) -> list[FillingStep]:
    maker = circuit.source or _PRACTICE
    run_up = circuit.run_up or "Run up until the thermostat opens and the heater blows hot"
    return [
        FillingStep(
            "run up",
            f"{run_up}; watch gauge and level, stop at once if the gauge climbs and the heater "
            "stays cold",
            (_done("balance"),),
            (DRIVES, HOT),
            maker,
        ),
        FillingStep("stop again", "Stop and let it stand", (_done("run up"),), source=_PRACTICE),
        FillingStep(
            "cold re-check",
            "Level at the cold mark, no weep at any joint touched; top up and write it down",
            (
                NotBefore(
                    "stop again",
                    waits.stand_before_recheck,
                    "engine cold to the touch all over",
                    waits.stand_source or _PRACTICE,
                ),
            ),
            (HOT,),
            maker,
        ),
    ]


def _done(step: str) -> NotBefore:
    return NotBefore(step, 0.0, "that step is done", _PRACTICE)
