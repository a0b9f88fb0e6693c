"""Recordings of plucked spans: how often the note is right, refused, or wrong unnoticed.

The synthetic plucks come whole from `synthetic_plucks.json`, whose parameters stood before
the detector was tuned. A 10 s recording is timed on its own.
"""

from __future__ import annotations

import json
import math
import time
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.synthetic_plucks import Recording, not_plucks, parameters, plucks
from witnessmark.engineering.span_note import find_note

TEN_SECONDS_LIMIT_S = 1.0


def try_plucks(name: str, every: int = 1) -> dict[str, Any]:
    """Try a set, or every so-many-th of it: counts, and the names of those that went wrong."""
    wrong_beyond = parameters()["wrong_beyond_fraction"]
    tried, refused, refused_though_right = 0, 0, 0
    wrong: list[str] = []
    begun = time.perf_counter()
    for recording in plucks(name, every):
        note = find_note(recording.samples, recording.rate)
        assert recording.frequency is not None
        tried += 1
        right = note.heard is not None and (
            abs(note.heard / recording.frequency - 1) <= wrong_beyond
        )
        if note.refused:
            refused += 1
            refused_though_right += right
        elif not right:
            wrong.append(f"{recording.name}: {note.frequency:.2f} for {recording.frequency:.2f} Hz")
    return {
        "tried": tried,
        "refused": refused,
        "refused_though_right": refused_though_right,
        "wrong_not_flagged": len(wrong),
        "wrong": wrong,
        "seconds": time.perf_counter() - begun,
    }


def try_not_plucks(every: int = 1) -> dict[str, Any]:
    """Try recordings with nothing plucked in them: each must be refused."""
    tried, taken = 0, []
    for recording in not_plucks(every):
        tried += 1
        if not find_note(recording.samples, recording.rate).refused:
            taken.append(recording.name)
    return {"tried": tried, "not_refused": len(taken), "taken": taken}


def ten_seconds() -> Recording:
    """Put a simple pluck into ten seconds of faint noise."""
    rng = np.random.default_rng(1)
    rate = 48_000
    samples = 1e-4 * rng.standard_normal(10 * rate)
    times = np.arange(2 * rate) / rate
    samples[rate : 3 * rate] += 0.3 * np.exp(-times / 0.15) * np.sin(2 * math.pi * 110.0 * times)
    return Recording("ten seconds", samples, rate, 110.0)


def run(json_path: str | None) -> None:
    """Try every set whole, print the counts and write them as JSON if asked."""
    found: dict[str, Any] = {}
    for name, chosen in parameters()["sets"].items():
        found[name] = try_plucks(name)
        _tell(name, found[name], chosen["limits"])
    found["not_plucks"] = try_not_plucks()
    _tell("not plucks", found["not_plucks"], parameters()["not_plucks"]["limits"])
    recording = ten_seconds()
    find_note(recording.samples, recording.rate)
    begun = time.perf_counter()
    find_note(recording.samples, recording.rate)
    found["ten_seconds_s"] = time.perf_counter() - begun
    print(f"a 10 s recording: {found['ten_seconds_s']:.2f} s, limit {TEN_SECONDS_LIMIT_S:g} s")
    if json_path is not None:
        Path(json_path).write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")


def _tell(name: str, counts: dict[str, Any], limits: dict[str, float]) -> None:
    for what, limit in limits.items():
        share = counts[what] / counts["tried"]
        verdict = "within" if share <= limit else "BEYOND"
        print(
            f"{name}: {counts[what]} of {counts['tried']} {what.replace('_', ' ')} "
            f"({share:.1%}), {verdict} the limit of {limit:.0%}"
        )
