"""How long drives take: 10,000 random layouts, routings of twelve, marks and clearance.

Also what must hold for all of them: no crash, every path closes to 1e-9 m, and a search
that is not complete says where it stopped.
"""

from __future__ import annotations

import json
import math
import random
import time
from fractions import Fraction
from pathlib import Path
from typing import Any

from witnessmark.engineering.belts.path import belt_path, closing_error
from witnessmark.engineering.belts.pulleys import Face, Pulley
from witnessmark.engineering.belts.routing import find_routings
from witnessmark.engineering.clearance import SliderCrank, Valve, inlet_lift, over_teeth
from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.diagnosis import diagnose
from witnessmark.engineering.timing.events import ValveEvents
from witnessmark.engineering.timing.readings import Reading
from witnessmark.engineering.timing.shafts import Role, Shaft, TimingRun

LAYOUTS = 10_000
ROUTED = 40
LIMITS = {"routing_of_12_worst_s": 1.0}


def _random_layout(chance: random.Random) -> list[Pulley]:
    return [
        Pulley(
            f"p{k}",
            chance.uniform(-0.4, 0.4),
            chance.uniform(-0.4, 0.4),
            chance.uniform(0.02, 0.2),
            face=chance.choice([Face.INSIDE, Face.INSIDE, Face.BACK]),
        )
        for k in range(chance.randint(2, 7))
    ]


def _twelve(chance: random.Random, *, faces_known: bool) -> list[Pulley]:
    """Twelve pulleys that do not touch, in a space the size of an engine's front."""
    pulleys: list[Pulley] = []
    while len(pulleys) < 12:
        face = chance.choice([Face.INSIDE, Face.INSIDE, Face.INSIDE, Face.BACK])
        new = Pulley(
            f"p{len(pulleys)}",
            chance.uniform(0, 0.6),
            chance.uniform(0, 0.5),
            chance.uniform(0.04, 0.12),
            face=face if faces_known else None,
        )
        if all(
            math.dist((new.x, new.y), (p.x, p.y)) > new.radius + p.radius + 0.004 for p in pulleys
        ):
            pulleys.append(new)
    return pulleys


def _layouts() -> dict[str, Any]:
    chance = random.Random(20260101)
    begun = time.perf_counter()
    laid, worst = 0, 0.0
    for _ in range(LAYOUTS):
        layout = _random_layout(chance)
        try:
            path = belt_path(layout)
        except RefusalError:
            continue
        laid += 1
        worst = max(worst, closing_error(path))
    return {
        "layouts": LAYOUTS,
        "layouts_laid": laid,
        "layouts_s": time.perf_counter() - begun,
        "worst_closing_error_m": worst,
        "closes_to_1e-9_m": worst < 1e-9,
    }


def _routings() -> dict[str, Any]:
    chance = random.Random(5)
    taken: list[float] = []
    complete, told = 0, True
    for number in range(ROUTED):
        pulleys = _twelve(chance, faces_known=number % 2 == 0)
        length = chance.uniform(1.8, 2.8)
        begun = time.perf_counter()
        search = find_routings(pulleys, length, 0.005 * length)
        taken.append(time.perf_counter() - begun)
        complete += search.complete
        told = told and (search.complete or search.stopped is not None)
    return {
        "routings_of_12": ROUTED,
        "routings_complete": complete,
        "routing_of_12_mean_s": sum(taken) / ROUTED,
        "routing_of_12_worst_s": max(taken),
        "incomplete_ones_say_where_they_stopped": told,
    }


def _marks() -> dict[str, Any]:
    run = TimingRun(
        (
            Shaft("crank", 22, Role.CRANK),
            Shaft("inlet", 44, Role.VALVES, "crank"),
            Shaft("exhaust", 44, Role.VALVES, "crank"),
            Shaft("pump", 33, Role.INJECTION, "crank"),
        )
    )
    readings = [
        Reading("crank", Fraction(0), Fraction(1)),
        Reading("inlet", Fraction(8), Fraction(1)),
        Reading("exhaust", Fraction(0), Fraction(1)),
        Reading("pump", Fraction(-11), Fraction(1)),
    ]
    begun = time.perf_counter()
    diagnose(run, readings)
    return {"diagnosis_s": time.perf_counter() - begun}


def _clearance() -> dict[str, Any]:
    events = ValveEvents(20, 45, 45, 20)
    valve = Valve("inlet", inlet_lift(events, 0.009), 0.0025, 20)
    begun = time.perf_counter()
    over_teeth(SliderCrank(0.045, 0.144), [valve], 18.0, range(-3, 4))
    return {"clearance_of_7_teeth_s": time.perf_counter() - begun}


def run(json_path: str | None) -> None:
    """Measure, print, and write the figures where asked."""
    figures = _layouts() | _routings() | _marks() | _clearance()
    figures["within_limits"] = {name: figures[name] <= limit for name, limit in LIMITS.items()}
    for name, value in figures.items():
        print(f"{name:42} {value:.4g}" if isinstance(value, float) else f"{name:42} {value}")
    if json_path is not None:
        Path(json_path).write_text(json.dumps(figures, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    run(None)
