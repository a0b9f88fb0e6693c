"""The note of a plucked span from a recording: fundamental, confidence, or a refusal.

The span's tension goes with the square of its note, so a harmonic read as the fundamental
is a fourfold error and worse than no answer. The strongest line is often not the
fundamental; the series of lines is looked at whole, over three lengths of time, and a note
is given only when they agree and what they give dies away as a plucked span does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.engineering.span_note_lines import find_lines, level_near, spectrum_of
from witnessmark.engineering.span_note_series import rank_series
from witnessmark.engineering.span_note_sound import energy, hear, unusable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from witnessmark.engineering.span_note_lines import Line, Spectrum
    from witnessmark.engineering.span_note_series import Series
    from witnessmark.engineering.span_note_sound import Heard

ENOUGH = 0.45
"""Confidence below which no note is given. [-]"""
CLOSE_ENOUGH = 0.009
"""Largest relative standard error with which a note is given. [-]"""
_LOOKS = (0.25, 0.5, 1.0)
_SAME = 0.03
_ALONE = 1.5
_AFTER_THE_FINGER = 0.008
_DIES_BY = 2.0


@dataclass(frozen=True, slots=True)
class SpanNote:
    """What was heard.

    `frequency` [Hz] is None when refused; `confidence` lies between 0 and 1; `why` says why
    it was refused, and `notes` what else to know. `low` and `high` [Hz] are two standard
    errors either side. `heard` [Hz] is what was found even when it is not given, `harmonics`
    the lines [Hz] taken as its series by number, `hum` the mains hum found [Hz].
    """

    frequency: float | None
    confidence: float
    why: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    heard: float | None = None
    harmonics: tuple[tuple[int, float], ...] = ()
    hum: tuple[float, ...] = ()
    spectrum: Spectrum | None = None

    @property
    def refused(self) -> bool:
        """True when no note is given."""
        return self.frequency is None


@dataclass(frozen=True, slots=True)
class _Look:
    """One length of time looked at: lines that die away, lines that do not, series."""

    spectrum: Spectrum
    dying: list[Line]
    steady: list[Line]
    ranked: list[Series]

    @property
    def best(self) -> Series:
        return self.ranked[0]

    @property
    def weight(self) -> float:
        return max(0.0, self.best.score) * _evidence(self.best)

    @property
    def margin(self) -> float:
        """How far the best series is ahead of the next different one."""
        others = [s.score for s in self.ranked[1:] if not _same(s.frequency, self.best.frequency)]
        return self.best.score - max([0.0, *others])


def find_note(
    samples: ArrayLike, rate: float, expected: tuple[float, float] | None = None
) -> SpanNote:
    """Find the fundamental of a plucked span in a recording.

    Parameters
    ----------
    samples : array_like
        One channel of the recording, any scale.
    rate : float
        Samples per second. [Hz]
    expected : tuple of float, optional
        Lowest and highest note expected. [Hz] A note whose half, third ... sixth lies in
        this band is refused as a harmonic; a note merely outside it is given and noted.

    Returns
    -------
    SpanNote
        The note, or why there is none.

    Notes
    -----
    Looked for between 20 and 1000 Hz. A record of T seconds cannot by itself tell apart
    notes nearer than about 2/T; where lines are read finer than that it is by their shape.
    """
    reason = unusable(samples, rate)
    if reason is not None:
        return SpanNote(None, 0.0, why=(reason,))
    heard = hear(samples, rate)
    looks = [look for seconds in _LOOKS if (look := _look(heard, seconds)) is not None]
    if not looks:
        return SpanNote(
            None, 0.0, why=("the pluck is too near the end: record until it has died away",)
        )
    hum = tuple(frequency for frequency, _ in heard.hum)
    telling = [look for look in looks if look.ranked]
    drowned = _only_steady(heard, looks)
    if drowned or not telling:
        why = drowned or "no note stands clear of the noise: pluck nearer the microphone"
        return SpanNote(None, 0.0, why=(why,), hum=hum, spectrum=looks[-1].spectrum)
    return _judge(telling, hum, expected)


def _look(heard: Heard, seconds: float) -> _Look | None:
    """Look at the pluck for some seconds and compare with when it is quiet."""
    start = heard.start + int(_AFTER_THE_FINGER * heard.rate)
    end = start + int(seconds * heard.rate)
    if min(end, len(heard.samples)) - start < 0.7 * seconds * heard.rate:
        return None
    loud, quiet = slice(start, end), _quiet(heard, start, end)
    if quiet is None:
        return None
    spectrum = spectrum_of(heard.samples[loud], heard.rate)
    points = round(heard.rate / spectrum.step)
    calm, raw, raw_calm = (
        spectrum_of(samples[part], heard.rate, points)
        for samples, part in (
            (heard.samples, quiet),
            (heard.raw, loud),
            (heard.raw, quiet),
        )
    )
    dying: list[Line] = []
    steady: list[Line] = []
    for line in find_lines(spectrum):
        if hum := _hum_at(line, heard, spectrum):
            # The fit empties the quiet of hum, so a fall only counts if the raw sound falls.
            fell = level_near(raw, hum[0]) - level_near(raw_calm, hum[0])
            if fell > _DIES_BY and line.level > hum[1] - 20 and _dies(line, calm):
                dying.append(line)
        else:
            (dying if _dies(line, calm) else steady).append(line)
    return _Look(spectrum, dying, steady, rank_series(dying, spectrum.width) if dying else [])


def _quiet(heard: Heard, start: int, end: int) -> slice | None:
    """Find the quietest stretch before the pluck or after what is looked at."""
    import numpy as np

    for length in (end - start, (end - start) // 2):
        level = energy(heard.samples, heard.rate, length / heard.rate)
        free = np.ones(len(level), dtype=bool)
        free[max(0, heard.start - length - int(0.03 * heard.rate)) : end] = False
        if np.any(free):
            begin = int(np.argmin(np.where(free, level, np.inf)))
            return slice(begin, begin + length)
    return None


def _hum_at(line: Line, heard: Heard, spectrum: Spectrum) -> tuple[float, float] | None:
    """Give the wave of hum that a line cannot be told from, if there is one."""
    near = (h for h in heard.hum if abs(line.frequency - h[0]) < 0.35 * spectrum.width)
    return next(near, None)


def _dies(line: Line, calm: Spectrum) -> bool:
    """Whether a line is weaker in the quiet by more than its own noise could make it."""
    fell = line.level - level_near(calm, line.frequency)
    return fell > _DIES_BY + 80 * 10 ** (-line.above / 20)


def _only_steady(heard: Heard, looks: Sequence[_Look]) -> str | None:
    """Say what steady sound drowns the pluck, if one does."""
    dying = max((line.level for look in looks for line in look.dying), default=-math.inf)
    hum = max((level for _, level in heard.hum), default=-math.inf)
    steady = max((line.level for look in looks for line in look.steady), default=-math.inf)
    if hum > dying + 20 and hum >= steady:
        return "only mains hum is heard: switch lamps and chargers off, hold the phone nearer"
    if steady > dying + 8:
        return "the sound is steady and does not die away: stop what is running and pluck again"
    return None


def _judge(
    looks: Sequence[_Look], hum: tuple[float, ...], expected: tuple[float, float] | None
) -> SpanNote:
    """Let the looks vote, take the closest reading of the winner, and decide."""
    votes = [
        sum(o.weight for o in looks if _same(o.best.frequency, look.best.frequency))
        for look in looks
    ]
    leader = looks[votes.index(max(votes))].best.frequency
    agreeing = [look for look in looks if _same(look.best.frequency, leader)]
    frequency, spread = _together(agreeing)
    chosen = max(agreeing, key=lambda look: look.best.score / look.best.spread)
    agreement = max(votes) / (sum(look.weight for look in looks) or 1.0)
    clarity = min(1.0, max(0.0, max(look.margin for look in agreeing) / 0.3))
    confidence = max(_evidence(look.best) for look in agreeing) * agreement * clarity
    why = _doubts(frequency, spread, confidence, expected)
    return SpanNote(
        frequency=None if why else frequency,
        confidence=confidence,
        why=why,
        notes=_remarks(frequency, chosen.best, expected, hum),
        low=frequency * (1 - 2 * spread),
        high=frequency * (1 + 2 * spread),
        heard=frequency,
        harmonics=tuple((n, line.frequency) for n, line in sorted(chosen.best.members.items())),
        hum=hum,
        spectrum=chosen.spectrum,
    )


def _together(looks: Sequence[_Look]) -> tuple[float, float]:
    """Mean of what the looks read [Hz] and its relative standard error.

    The looks share their sound, so the error is never less than the closest look's own, and
    it is more where they differ by more than they should.
    """
    closest = min(look.best.spread for look in looks)
    sizes = [(look.weight / look.best.spread) ** 2 for look in looks]
    mean = sum(s * look.best.frequency for s, look in zip(sizes, looks, strict=True)) / sum(sizes)
    if len(looks) == 1:
        return mean, _ALONE * closest
    differ = sum(((look.best.frequency / mean - 1) / look.best.spread) ** 2 for look in looks)
    return mean, closest * math.sqrt(max(1.0, differ / len(looks)))


def _evidence(series: Series) -> float:
    """How much stands clear of the noise, from 0 to 1: one faint line is little."""
    clear = sum(max(0.0, line.above - 16) for line in series.members.values())
    return 1 - math.exp(-clear / 12)


def _same(one: float, other: float) -> bool:
    return abs(one / other - 1) < _SAME


def _doubts(
    frequency: float, spread: float, confidence: float, expected: tuple[float, float] | None
) -> tuple[str, ...]:
    reasons = []
    if confidence < ENOUGH:
        reasons.append(
            f"not sure enough: {frequency:.1f} Hz at confidence {confidence:.2f}, "
            f"{ENOUGH:g} is needed; pluck again, nearer and in the middle of the span"
        )
    if spread > CLOSE_ENOUGH:
        reasons.append(
            f"the note cannot be read closer than {100 * spread:.1f} %: "
            "it dies too soon or echoes; shield the microphone and pluck again"
        )
    if expected is not None and (number := _harmonic_of(frequency, expected)):
        reasons.append(
            f"{frequency:.1f} Hz is likely harmonic {number} of "
            f"{frequency / number:.1f} Hz, which lies in the expected "
            f"{expected[0]:g} to {expected[1]:g} Hz: pluck in the middle of the span"
        )
    return tuple(reasons)


def _harmonic_of(frequency: float, expected: tuple[float, float]) -> int | None:
    low, high = expected
    if frequency <= high:
        return None
    return next((n for n in range(2, 7) if low <= frequency / n <= high), None)


def _remarks(
    frequency: float,
    series: Series,
    expected: tuple[float, float] | None,
    hum: tuple[float, ...],
) -> tuple[str, ...]:
    said = []
    if 1 not in series.members:
        said.append("the fundamental itself is not heard; it is worked out from its harmonics")
    if hum:
        said.append(f"mains hum at {hum[0]:.1f} Hz and its multiples was taken out")
    if expected is not None and frequency < expected[0]:
        said.append(f"below the expected {expected[0]:g} to {expected[1]:g} Hz")
    if expected is not None and frequency > expected[1]:
        said.append(f"above the expected {expected[0]:g} to {expected[1]:g} Hz")
    return tuple(said)
