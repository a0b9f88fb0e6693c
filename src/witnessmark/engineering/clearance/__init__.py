"""Clearance: slider-crank, valve lift, piston against valve. It never clears cranking."""

from witnessmark.engineering.clearance.lift_laws import LiftLaw, lift_law, motion
from witnessmark.engineering.clearance.piston_to_valve import (
    NEVER_CLEARS,
    Answer,
    ClearanceAnswer,
    LeastGap,
    Valve,
    belt_off,
    gap_at,
    least_gap,
    over_teeth,
    piston_to_valve,
)
from witnessmark.engineering.clearance.slider_crank import SliderCrank
from witnessmark.engineering.clearance.valve_lift import (
    LiftByLaw,
    LiftTable,
    exhaust_lift,
    inlet_lift,
    table_from_cam,
)

__all__ = [
    "NEVER_CLEARS",
    "Answer",
    "ClearanceAnswer",
    "LeastGap",
    "LiftByLaw",
    "LiftLaw",
    "LiftTable",
    "SliderCrank",
    "Valve",
    "belt_off",
    "exhaust_lift",
    "gap_at",
    "inlet_lift",
    "least_gap",
    "lift_law",
    "motion",
    "over_teeth",
    "piston_to_valve",
    "table_from_cam",
]
