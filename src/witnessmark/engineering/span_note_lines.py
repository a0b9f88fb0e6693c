"""Spectral lines of a stretch of sound: peaks that stand clear of the floor round them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]

CLEAR = 18.0
"""How far a line stands above the floor of its surroundings. [dB]

The floor is the lower 30 % mark, 4.5 dB under the mean of noise; a bin of pure noise passes
18 dB once in exp(10 ** 1.35) or about 5e9 bins.
"""
LOWEST = 20.0
"""Lowest note looked for. [Hz]"""
HIGHEST = 1_000.0
"""Highest fundamental looked for. [Hz]"""
_TOP_LINE = 1_850.0
_DEPTH = 50.0
_MOST = 30


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Levels [dB] at `step` [Hz] apart, and the width of a line [Hz]."""

    step: float
    level: Samples
    width: float

    def floor(self) -> Samples:
        """Find the level [dB] the lines stand on: the lower 30 % mark within 90 Hz."""
        import numpy as np

        # Points closer than half a line's width say the same thing over again.
        every = max(1, int(0.5 * self.width / self.step))
        sparse = self.level[: int(2_100 / self.step) : every]
        reach = min(len(sparse) // 2, int(90 / (every * self.step)))
        padded = np.pad(sparse, reach, mode="reflect")
        around = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1)
        marks = np.quantile(around, 0.3, axis=1)
        return np.interp(np.arange(len(self.level)), np.arange(len(marks)) * every, marks)


@dataclass(frozen=True, slots=True)
class Line:
    """A peak: `frequency` [Hz], `level` [dB] and how far it stands `above` the floor [dB].

    `width` [Hz] is that of the window's own line, or wider when the line itself is wide
    because it dies soon or echoes beat in it.
    """

    frequency: float
    level: float
    above: float
    width: float


def spectrum_of(stretch: Samples, rate: float, length: int | None = None) -> Spectrum:
    """Hann-windowed amplitude spectrum, several points to a line.

    Parameters
    ----------
    stretch : array
        Samples of one stretch.
    rate : float
        Samples per second. [Hz]
    length : int, optional
        Points of the transform, so that two stretches can share their frequencies.
    """
    import numpy as np

    window = np.hanning(len(stretch) + 2)[1:-1]
    points = length or 1 << (6 * len(stretch) - 1).bit_length()
    size = np.abs(np.fft.rfft(stretch * window, points)) * 2 / np.sum(window)
    level = 20 * np.log10(size + 1e-9)
    step = rate / points
    return Spectrum(step, level, 4 * rate / len(stretch))


def find_lines(spectrum: Spectrum) -> list[Line]:
    """Find the lines, strongest first; the skirts of a strong line are not lines."""
    import numpy as np

    level, step, floor = spectrum.level, spectrum.step, spectrum.floor()
    first, last = int(LOWEST / step), min(int(_TOP_LINE / step), len(level) - 2)
    places = np.arange(max(first, 1), last)
    here = level[places]
    tops = (here >= level[places - 1]) & (here > level[places + 1])
    places = places[tops & (here - floor[places] > CLEAR)]
    found: list[Line] = []
    for place in places[np.argsort(-level[places])]:
        line = _line_at(spectrum, floor, int(place))
        if found and (len(found) == _MOST or line.level < found[0].level - _DEPTH):
            break
        if not any(_is_skirt(line, strong, spectrum.width) for strong in found):
            found.append(line)
    return found


def level_near(spectrum: Spectrum, frequency: float) -> float:
    """Give the highest level [dB] within a quarter of a line's width of a frequency."""
    middle = round(frequency / spectrum.step)
    reach = max(1, int(0.25 * spectrum.width / spectrum.step))
    return float(spectrum.level[max(0, middle - reach) : middle + reach + 1].max())


def _is_skirt(line: Line, strong: Line, width: float) -> bool:
    apart = abs(line.frequency - strong.frequency)
    return apart < 0.6 * width or (apart < 3 * width and line.level < strong.level - 24)


def _line_at(spectrum: Spectrum, floor: Samples, place: int) -> Line:
    """Read the top between the points by a parabola through the three highest."""
    before, top, after = (float(v) for v in spectrum.level[place - 1 : place + 2])
    bend = before - 2 * top + after
    shift = 0.0 if bend == 0 else 0.5 * (before - after) / bend
    frequency = (place + shift) * spectrum.step
    width = max(spectrum.width, 2 * _half_height_width(spectrum, place))
    return Line(frequency, top, top - float(floor[place]), width)


def _half_height_width(spectrum: Spectrum, place: int) -> float:
    """Measure the width [Hz] at half the size: the narrower side, doubled."""
    import numpy as np

    reach = max(2, int(2.5 * spectrum.width / spectrum.step))
    lower = spectrum.level[place] - 6.02
    right = spectrum.level[place : place + reach] < lower
    left = spectrum.level[max(0, place - reach) : place + 1][::-1] < lower
    sides = [int(np.argmax(side)) if np.any(side) else reach for side in (left, right)]
    return 2 * min(sides) * spectrum.step
