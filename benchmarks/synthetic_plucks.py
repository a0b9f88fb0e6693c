"""Make synthetic recordings of plucked spans from the committed parameters.

The sum of decaying modes is the textbook solution of a plucked stiff string; nothing here
is shared with the detector it tries.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Samples = NDArray[np.float64]

_FILE = Path(__file__).with_name("synthetic_plucks.json")


@dataclass(frozen=True, slots=True)
class Recording:
    """A made recording with its truth: `frequency` [Hz] of the first mode, None for no pluck."""

    name: str
    samples: Samples
    rate: int
    frequency: float | None


@cache
def parameters() -> dict[str, Any]:
    """Read the committed parameters."""
    read: dict[str, Any] = json.loads(_FILE.read_text(encoding="utf-8"))
    return read


def plucks(name: str, every: int = 1) -> Iterator[Recording]:
    """Make the recordings of a set, or every so-many-th of them."""
    chosen = parameters()["sets"][name]
    for number in range(0, chosen["count"], every):
        yield make_pluck(name, number)


def make_pluck(name: str, number: int) -> Recording:
    """Make one recording of a set by its number."""
    common, chosen = parameters()["common"], parameters()["sets"][name]
    rng = np.random.default_rng(parameters()["seed"] + chosen["first"] + number)
    rate = int(rng.choice(common["rate_Hz"]))
    count = int(rate * rng.uniform(*common["seconds"]))
    start = min(int(rate * rng.uniform(*common["lead_in_seconds"])), count // 3)
    frequency = _log_uniform(rng, common["frequency_log_Hz"])
    clean = np.zeros(count)
    clean[start:] = _ring(rng, frequency, count - start, rate)
    clean = _with_click(rng, _with_echoes(rng, clean, rate), start, rate)
    power = float(np.mean(clean[start : start + rate] ** 2))
    noise = _noise(rng, count, rng.uniform(*common["noise_exponent"]))
    noise *= math.sqrt(power * 10 ** (-rng.uniform(*chosen["signal_to_noise_dB"]) / 10))
    hum = _hum(rng, count, rate)
    if rng.uniform() < chosen["hum_share_of_recordings"]:
        hum *= math.sqrt(power * 10 ** (-rng.uniform(*chosen["hum_below_pluck_dB"]) / 10))
    else:
        hum *= 0.0
    return Recording(f"{name} {number}", _recorded(rng, clean + noise + hum), rate, frequency)


def not_plucks(every: int = 1) -> Iterator[Recording]:
    """Make recordings with nothing plucked in them."""
    chosen = parameters()["not_plucks"]
    for place, kind in enumerate(chosen["kinds"]):
        for number in range(0, chosen["count_of_each"], every):
            yield _make_other(kind, chosen["first"] + 1000 * place + number)


def _make_other(kind: str, number: int) -> Recording:
    common = parameters()["common"]
    rng = np.random.default_rng(parameters()["seed"] + number)
    rate = int(rng.choice(common["rate_Hz"]))
    count = int(rate * rng.uniform(*common["seconds"]))
    times = np.arange(count) / rate
    match kind:
        case "white noise":
            sound = _noise(rng, count, 0.0)
        case "pink noise":
            sound = _noise(rng, count, 1.0)
        case "hum":
            sound = _hum(rng, count, rate)
        case "hum in noise":
            level = 10 ** (-rng.uniform(0, 30) / 20)
            sound = _hum(rng, count, rate) + level * _noise(rng, count, 0.5)
        case "steady tone":
            tone = _log_uniform(rng, common["frequency_log_Hz"])
            sound = sum(
                (np.sin(2 * math.pi * n * tone * times + rng.uniform(0, 6.28)) / n)
                for n in range(1, 6)
            ) + 0.03 * _noise(rng, count, 0.0)
        case "clicks":
            sound = 0.001 * _noise(rng, count, 0.0)
            for _ in range(5):
                sound = _with_click(rng, sound, int(rng.integers(0, count - 1)), rate, 1.0)
        case _:
            sound = np.zeros(count)
    return Recording(f"{kind} {number}", _recorded(rng, sound), rate, None)


def _log_uniform(rng: np.random.Generator, ends: list[float]) -> float:
    return math.exp(rng.uniform(math.log(ends[0]), math.log(ends[1])))


def _ring(rng: np.random.Generator, frequency: float, count: int, rate: int) -> Samples:
    """Sum the decaying modes of a plucked span as a microphone takes them."""
    common = parameters()["common"]
    decay = _log_uniform(rng, common["decay_log_seconds"])
    extra = rng.uniform(*common["extra_decay_per_mode"])
    position = rng.uniform(*common["pluck_position"])
    power = rng.uniform(*common["amplitude_falls_as_mode_to_power"])
    stiffness = rng.uniform(*common["stiffness"])
    cut = rng.uniform(*common["microphone_low_cut_Hz"])
    times = np.arange(count) / rate
    ring = np.zeros(count)
    for mode in range(1, int(rng.integers(common["modes"][0], common["modes"][1] + 1)) + 1):
        pitch = mode * frequency * math.sqrt((1 + stiffness * mode**2) / (1 + stiffness))
        phase = rng.uniform(0, 2 * math.pi)
        if pitch > 0.45 * rate:
            continue
        size = abs(math.sin(mode * math.pi * position)) / mode**power
        size *= pitch / math.hypot(pitch, cut)
        fade = np.exp(-times * (1 + extra * (mode - 1)) / decay)
        ring += size * fade * np.sin(2 * math.pi * pitch * times + phase)
    return ring


def _with_echoes(rng: np.random.Generator, sound: Samples, rate: int) -> Samples:
    common = parameters()["common"]
    heard = sound.copy()
    for _ in range(int(rng.integers(common["echoes"][0], common["echoes"][1] + 1))):
        delay = int(rate * rng.uniform(*common["echo_delay_seconds"]))
        gain = rng.uniform(*common["echo_gain"])
        heard[delay:] += gain * sound[: len(sound) - delay]
    return heard


def _with_click(
    rng: np.random.Generator, sound: Samples, start: int, rate: int, size: float | None = None
) -> Samples:
    """Add the noise of the finger leaving the belt: a short burst of white noise."""
    common = parameters()["common"]
    if size is None:
        size = rng.uniform(*common["finger_click_of_peak"]) * float(np.max(np.abs(sound)))
    length = min(int(6 * common["finger_click_seconds"] * rate), len(sound) - start)
    burst = rng.standard_normal(length)
    burst *= np.exp(-np.arange(length) / (common["finger_click_seconds"] * rate))
    clicked = sound.copy()
    clicked[start : start + length] += size / 3 * burst
    return clicked


def _noise(rng: np.random.Generator, count: int, exponent: float) -> Samples:
    """Noise of unit mean square whose power falls as frequency to the exponent."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    shape = np.maximum(np.arange(len(spectrum)), 1) ** (-exponent / 2)
    noise: Samples = np.fft.irfft(spectrum * shape, count)
    return noise / math.sqrt(float(np.mean(noise**2)))


def _hum(rng: np.random.Generator, count: int, rate: int) -> Samples:
    """Mains hum of unit mean square."""
    common = parameters()["common"]
    mains = float(rng.choice(common["mains_Hz"]))
    mains *= 1 + rng.uniform(-common["mains_drift"], common["mains_drift"])
    times = np.arange(count) / rate
    hum = np.zeros(count)
    for n in range(
        1, int(rng.integers(common["hum_harmonics"][0], common["hum_harmonics"][1])) + 1
    ):
        hum += np.sin(2 * math.pi * n * mains * times + rng.uniform(0, 6.28)) * rng.uniform(0.2, 1)
    return hum / math.sqrt(float(np.mean(hum**2)))


def _recorded(rng: np.random.Generator, sound: Samples) -> Samples:
    """Set the level and round to the bits of the recorder."""
    common = parameters()["common"]
    peak = float(np.max(np.abs(sound)))
    level = rng.uniform(*common["peak_level"])
    steps = 2.0 ** (common["bits"] - 1)
    scaled = sound if peak == 0 else sound * (level / peak)
    return np.asarray(np.round(scaled * steps) / steps, dtype=np.float64)
