"""`witnessmark calc belt|route|timing|clearance`."""

from __future__ import annotations

from witnessmark.cli.calc.drives_belts import belt, route
from witnessmark.cli.calc.drives_timing import clearance, timing

__all__ = ["belt", "clearance", "route", "timing"]
