"""Valve events: when valves open and shut, how long, and how far an error moves them.

Angles are crank degrees. A camshaft of a four-stroke turns once for two crank turns and its
events are quoted in crank degrees (US DOE Diesel Engine Fundamentals, DOE-HDBK-1018/1-93;
handbook number from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError


@dataclass(frozen=True, slots=True)
class ValveEvents:
    """Opening and closing of both valves. A negative figure is on the other side.

    Attributes
    ----------
    inlet_opens : float
        Before top dead centre. [crank degrees]
    inlet_closes : float
        After bottom dead centre. [crank degrees]
    exhaust_opens : float
        Before bottom dead centre. [crank degrees]
    exhaust_closes : float
        After top dead centre. [crank degrees]
    """

    inlet_opens: float
    inlet_closes: float
    exhaust_opens: float
    exhaust_closes: float

    def __post_init__(self) -> None:
        for value in (
            self.inlet_opens,
            self.inlet_closes,
            self.exhaust_opens,
            self.exhaust_closes,
        ):
            if not math.isfinite(value) or abs(value) > 180:
                raise RefusalError(
                    f"a valve event {value:g}° from dead centre cannot be right",
                    "give crank degrees before or after the nearest dead centre",
                )
        for name, duration in (
            ("inlet", self.inlet_duration),
            ("exhaust", self.exhaust_duration),
        ):
            if not 0 < duration < 360:
                raise RefusalError(
                    f"the {name} valve would be open for {duration:g}°", "check both its events"
                )

    @property
    def inlet_duration(self) -> float:
        """How long the inlet valve is open: IVO + 180 + IVC. [crank degrees]."""
        return self.inlet_opens + 180 + self.inlet_closes

    @property
    def exhaust_duration(self) -> float:
        """How long the exhaust valve is open: EVO + 180 + EVC. [crank degrees]."""
        return self.exhaust_opens + 180 + self.exhaust_closes

    @property
    def overlap(self) -> float:
        """How long both are open about top dead centre: IVO + EVC. [crank degrees].

        Negative when the exhaust valve shuts before the inlet valve opens.
        """
        return self.inlet_opens + self.exhaust_closes

    def moved(self, inlet_early: float, exhaust_early: float) -> ValveEvents:
        """Give the events with the cams early (or, negative, late) by crank degrees."""
        return ValveEvents(
            self.inlet_opens + inlet_early,
            self.inlet_closes - inlet_early,
            self.exhaust_opens + exhaust_early,
            self.exhaust_closes - exhaust_early,
        )
