"""Timing drives: shafts and ratios, floating sprockets, marks that meet, what is wrong."""

from witnessmark.engineering.timing.diagnosis import Diagnosis, Verdict, diagnose
from witnessmark.engineering.timing.events import ValveEvents
from witnessmark.engineering.timing.explanations import Explanation
from witnessmark.engineering.timing.floating import FloatingSprocket, Seating, seat_belt
from witnessmark.engineering.timing.meeting import Loop, Meeting, marks_meet
from witnessmark.engineering.timing.picture import draw_valve_timing
from witnessmark.engineering.timing.readings import (
    Reading,
    degrees_from_rim,
    degrees_from_teeth,
)
from witnessmark.engineering.timing.shafts import (
    Hold,
    Role,
    Shaft,
    ShaftState,
    TimingRun,
    degrees_per_tooth,
)

__all__ = [
    "Diagnosis",
    "Explanation",
    "FloatingSprocket",
    "Hold",
    "Loop",
    "Meeting",
    "Reading",
    "Role",
    "Seating",
    "Shaft",
    "ShaftState",
    "TimingRun",
    "ValveEvents",
    "Verdict",
    "degrees_from_rim",
    "degrees_from_teeth",
    "degrees_per_tooth",
    "diagnose",
    "draw_valve_timing",
    "marks_meet",
    "seat_belt",
]
