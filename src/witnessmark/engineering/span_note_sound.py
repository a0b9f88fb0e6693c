"""Make a recording ready: the band a span sounds in, the pluck found, mains hum taken out.

Pure on arrays of samples; reading files belongs to the edge. The steps are ordinary signal
processing (discrete Fourier transform, weighted least squares); no published constants.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Samples = NDArray[np.float64]

LOWEST_RATE = 2_000.0
"""Fewest samples per second that can carry a span's note. [Hz]"""
SHORTEST = 0.2
"""Shortest recording that can be judged. [s]"""
LONGEST = 120.0
"""Longest recording that is taken whole. [s]"""
TOP = 2_000.0
"""Nothing above this is used: spans sound far below. [Hz]"""
_BOTTOM = 12.0
_MAINS = (50.0, 60.0)
_MAINS_WANDERS = 0.004
_HUM_HARMONICS = 10
_HUM_TELLS = 6
_HEARD_OUT = 0.25


@dataclass(frozen=True, slots=True)
class Heard:
    """A recording made ready.

    `samples` at `rate` [Hz] hold only the band of a span, hum taken out, and `raw` the same
    with the hum; `start` is the sample where the strongest pluck is at its height; `hum`
    holds the frequency [Hz] and level [dB] of each wave of mains hum taken out.
    """

    samples: Samples
    raw: Samples
    rate: float
    start: int
    hum: tuple[tuple[float, float], ...]


def unusable(samples: ArrayLike, rate: float) -> str | None:
    """Say why a recording cannot be judged at all, or None when it can."""
    import numpy as np

    array = np.asarray(samples)
    if array.ndim != 1:
        return "the samples are not one channel: choose one side of the recording"
    if not np.isfinite(rate) or rate < LOWEST_RATE:
        return f"only {rate:g} samples a second: at least {LOWEST_RATE:g} are needed"
    if len(array) < SHORTEST * rate:
        return f"shorter than {SHORTEST:g} s: record from before the pluck until it has died away"
    if len(array) > LONGEST * rate:
        return f"longer than {LONGEST:g} s: cut it to the pluck"
    if not np.isrealobj(array) or not np.all(np.isfinite(array)):
        return "some samples are not numbers: the recording is damaged"
    if np.ptp(array) == 0:
        return "nothing is heard: the recording is silent"
    return None


def hear(samples: ArrayLike, rate: float) -> Heard:
    """Make a usable recording ready: band, pluck, hum.

    Parameters
    ----------
    samples : array_like
        One channel, any scale, for which `unusable` gave None.
    rate : float
        Samples per second. [Hz]
    """
    import numpy as np

    narrow, slower = _narrowed(np.asarray(samples, dtype=np.float64), rate)
    narrow /= float(np.max(np.abs(narrow))) or 1.0
    quiet, hum = _without_hum(narrow, slower)
    return Heard(quiet, narrow, slower, _loudest(quiet, slower), hum)


def energy(samples: Samples, rate: float, seconds: float) -> Samples:
    """Take the mean square over a window that starts at each sample."""
    import numpy as np

    width = max(1, int(seconds * rate))
    total = np.concatenate([[0.0], np.cumsum(samples**2)])
    means: Samples = np.maximum((total[width:] - total[:-width]) / width, 0.0)
    return means


def _loudest(samples: Samples, rate: float) -> int:
    """Find where it is loudest, not so near the end that nothing can be heard of it.

    A steady sound may by chance be loudest at its end; a pluck there is much louder than all
    before it, and its place is given so that it can be refused.
    """
    import numpy as np

    level = energy(samples, rate, 0.05)
    heard = level[: max(1, len(level) - int(_HEARD_OUT * rate))]
    last, early = int(np.argmax(level)), int(np.argmax(heard))
    return last if level[last] > 4 * heard[early] else early


def _narrowed(samples: Samples, rate: float) -> tuple[Samples, float]:
    """Keep the band of a span and as few samples as hold it, by the Fourier transform."""
    import numpy as np
    from scipy import fft

    # Silence behind the end keeps the end from ringing into the beginning.
    padded = fft.next_fast_len(len(samples) + int(0.2 * rate), real=True)
    transform = fft.rfft(samples - np.mean(samples), padded)
    frequencies = np.arange(len(transform)) * rate / padded
    top = min(TOP, 0.45 * rate)
    transform *= np.clip((frequencies - _BOTTOM) / 6, 0, 1)
    transform *= np.clip((top - frequencies) / (0.1 * top), 0, 1)
    kept = int(np.searchsorted(frequencies, top))
    fewer = 2 * kept
    narrow = fft.irfft(transform[: kept + 1], fewer) * (fewer / padded)
    return np.asarray(narrow[: int(len(samples) * fewer / padded)]), fewer * rate / padded


def _without_hum(samples: Samples, rate: float) -> tuple[Samples, tuple[tuple[float, float], ...]]:
    """Fit mains hum where the recording is quiet and take it out of the whole.

    Hum is steady and a pluck is not, so the least-squares fit weighs each moment by how
    quiet it is; what it finds there is carried through the pluck.
    """
    import numpy as np

    calm = energy(samples, rate, 0.04)
    calm = np.concatenate([calm, np.full(len(samples) - len(calm), calm[-1])])
    calm = np.maximum(np.roll(calm, int(0.02 * rate)), 1e-12)
    weight = 1.0 / (calm + np.quantile(calm, 0.05)) ** 1.5
    weight /= float(np.max(weight))
    base = _mains_frequency(samples * weight, rate)
    waves = _waves(len(samples), base, rate)
    found, halves = _fitted(samples, waves, weight)
    rest = samples - np.einsum("i,ij->j", found, waves)
    sizes = np.abs(_as_complex(found))
    # A wave fitted to noise alone comes out about this big.
    effective = np.sum(weight) ** 2 / np.sum(weight**2)
    by_chance = np.sqrt(4 * np.sum(weight * rest**2) / np.sum(weight) / effective)
    real = sizes > 4 * by_chance
    # Hum is the same in the earlier and the later half of the quiet; a dying note is not.
    real &= np.abs(_as_complex(halves[0]) - _as_complex(halves[1])) < 0.5 * sizes
    if not np.any(real[:3]):
        return samples, ()
    found[~np.repeat(real, 2)] = 0.0
    hum = [(float((k + 1) * base), float(20 * np.log10(sizes[k]))) for k in np.flatnonzero(real)]
    return samples - np.einsum("i,ij->j", found, waves), tuple(hum)


def _fitted(
    samples: Samples, waves: Samples, weight: Samples
) -> tuple[Samples, tuple[Samples, Samples]]:
    """Fit waves by weighted least squares to the whole and to each half of the weight."""
    import numpy as np

    weighted = waves * weight
    middle = int(np.searchsorted(np.cumsum(weight), 0.5 * np.sum(weight)))
    parts = []
    for part in (slice(0, middle), slice(middle, None)):
        # einsum stays in one thread: the library behind @ may stall a second on a busy machine.
        products = np.einsum("ij,kj->ik", weighted[:, part], waves[:, part])
        parts.append((products, np.einsum("ij,j->i", weighted[:, part], samples[part])))
    (first, first_side), (last, last_side) = parts
    keep = 1e-9 * float(np.trace(first + last)) * np.eye(len(waves))
    return (
        np.linalg.solve(first + last + keep, first_side + last_side),
        (np.linalg.solve(first + keep, first_side), np.linalg.solve(last + keep, last_side)),
    )


def _as_complex(pairs: Samples) -> NDArray[np.complex128]:
    return pairs[0::2] + 1j * pairs[1::2]


def _mains_frequency(samples: Samples, rate: float) -> float:
    """Find the base [Hz] near 50 or 60 Hz whose first harmonics together are strongest.

    Sizes are summed, not powers, so that one strong line of a pluck does not draw the base.
    """
    import numpy as np

    best = (-1.0, _MAINS[0])
    for mains in _MAINS:
        # Blocks of whole periods, whose sums then only turn as the base is off its nominal.
        block = round(5 * rate / mains)
        count = len(samples) // block
        whole = samples[: count * block]
        turn = np.exp(-2j * np.pi * mains / rate * np.arange(len(whole)))
        offsets = np.arange(-_MAINS_WANDERS, _MAINS_WANDERS, 2e-5) * mains
        middles = (np.arange(count) + 0.5) * block / rate
        wave, total = np.ones(len(whole), dtype=complex), np.zeros(len(offsets))
        for number in range(1, _HUM_TELLS + 1):
            wave = wave * turn
            blocks = (whole * wave).reshape(count, block).sum(axis=1)
            turned = np.exp(-2j * np.pi * number * np.outer(offsets, middles))
            total += np.abs(np.einsum("ij,j->i", turned, blocks))
        top = int(np.argmax(total))
        best = max(best, (float(total[top]), mains + float(offsets[top])))
    return best[1]


def _waves(count: int, base: float, rate: float) -> Samples:
    """Cosine and sine of the base and its harmonics, one row each."""
    import numpy as np

    turn = np.exp(2j * np.pi * base / rate * np.arange(count))
    wave = np.ones(count, dtype=complex)
    rows = []
    for number in range(1, _HUM_HARMONICS + 1):
        wave = wave * turn
        if number * base < 0.45 * rate:
            rows += [wave.real, wave.imag]
    return np.stack(rows)
