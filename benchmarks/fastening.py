"""How long the fastening sums take: a million clamp-force bands, a cover of forty bolts."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from pathlib import Path

from witnessmark.engineering.fastening.bearing import bearing_of
from witnessmark.engineering.fastening.preload import clamp_force_bands
from witnessmark.engineering.fastening.swaps import Bolt, Hole, analyse_swaps
from witnessmark.engineering.fastening.threads import thread_geometry
from witnessmark.quantities.threads import read_thread

BANDS = 1_000_000
BOLTS = 40
LIMITS = {"million_bands_s": 1.0, "swaps_of_40_bolts_s": 0.05}
_REPEATS = 5


def _best(act: Callable[[], object]) -> float:
    """Give the shortest of a few runs by the clock [s]."""
    taken = []
    for _ in range(_REPEATS):
        begun = time.perf_counter()
        act()
        taken.append(time.perf_counter() - begun)
    return min(taken)


def _bands() -> Callable[[], object]:
    import numpy as np

    chance = np.random.default_rng(20260101)
    sizes = [thread_geometry(d) for d in ("M6", "M8", "M10", "M12", "M14x1.5", "M16")]
    faces = np.array([bearing_of(g).mean_diameter for g in sizes])
    pitches = np.array([g.pitch for g in sizes])
    diameters = np.array([g.pitch_diameter for g in sizes])
    which = chance.integers(0, len(sizes), BANDS)
    torques = chance.uniform(5.0, 200.0, BANDS)
    low = chance.uniform(0.06, 0.14, BANDS)
    high = low + chance.uniform(0.0, 0.1, BANDS)
    columns = (torques, pitches[which], diameters[which], faces[which], low, high)
    return lambda: clamp_force_bands(*columns)


def _swaps() -> Callable[[], object]:
    """Forty bolts of forty lengths: the worst case, for alike bolts are judged once."""
    thread = read_thread("M8")
    lengths = [0.020 + 0.0015 * i for i in range(BOLTS)]
    holes = tuple(
        Hole(f"hole {i}", thread, length - 0.010, 0.018, 0.010) for i, length in enumerate(lengths)
    )
    bolts = tuple(Bolt(f"bolt {i}", thread, n, f"hole {i}") for i, n in enumerate(lengths))
    return lambda: analyse_swaps(holes, bolts)


def run(json_path: str | None = None) -> None:
    """Measure, print, and write the figures to a JSON file when a path is given."""
    measured = {
        "million_bands_s": _best(_bands()),
        "swaps_of_40_bolts_s": _best(_swaps()),
    }
    for name, seconds in measured.items():
        verdict = "within" if seconds < LIMITS[name] else "OVER"
        print(f"{name:<22} {seconds:8.4f} s  {verdict} {LIMITS[name]:g} s")
    if json_path is not None:
        Path(json_path).write_text(
            json.dumps({"measured": measured, "limits": LIMITS}, indent=1) + "\n", encoding="utf-8"
        )


if __name__ == "__main__":
    run()
