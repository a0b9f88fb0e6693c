"""Which fundamental explains the lines: members of its series found, and members missing.

A plucked stiff span sounds at f_n = n f_1 sqrt((1 + B n²) / (1 + B)), B >= 0 for bending
stiffness (the textbook stiff string; B = 0 is the ideal string of f_n = n f_1). A candidate
is good when its series explains most of what is heard and few of its members are missing:
the true fundamental's half explains as much but misses every other member.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.engineering.span_note_lines import HIGHEST, LOWEST

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from witnessmark.engineering.span_note_lines import Line

STIFFEST = 0.003
"""Largest stiffness B that is tried. [-]"""
_MEMBERS = 12
_DEPTH = 50.0
_MISSING_COSTS = 0.6


@dataclass(frozen=True, slots=True)
class Series:
    """A candidate: `frequency` [Hz] of its first member and the lines it explains by number.

    `explained` is the share of what is heard, `missing` the share of members not heard up to
    the highest heard, `spread` the relative standard error of the frequency. [-]
    """

    frequency: float
    stiffness: float
    members: Mapping[int, Line]
    explained: float
    missing: float
    spread: float

    @property
    def score(self) -> float:
        """How well the series explains the lines; 1 is wholly."""
        return self.explained - _MISSING_COSTS * self.missing


def rank_series(lines: Sequence[Line], width: float) -> list[Series]:
    """Rank the fundamentals that the strongest lines may be members of, best first.

    Parameters
    ----------
    lines : sequence of Line
        Lines, strongest first.
    width : float
        Width of a line. [Hz]
    """
    tried: list[tuple[float, dict[int, Line]]] = []
    starts = sorted({line.frequency / n for line in lines[:10] for n in range(1, 9)})
    for start in starts:
        if 0.9 * LOWEST <= start <= HIGHEST and (members := _members(lines, start, width)):
            score = _explained(members, lines) - _MISSING_COSTS * _missing(members)
            if all(members != others for _, others in tried):
                tried.append((score, members))
    tried.sort(key=lambda one: -one[0])
    return [_series(members, lines) for _, members in tried[:6]]


def _series(members: dict[int, Line], lines: Sequence[Line]) -> Series:
    frequency, stiffness, spread = _fit(members)
    return Series(
        frequency, stiffness, members, _explained(members, lines), _missing(members), spread
    )


def _explained(members: Mapping[int, Line], lines: Sequence[Line]) -> float:
    """Share of what is heard, counted in decibels over the depth that is looked at."""
    bottom = lines[0].level - _DEPTH
    heard = sum(line.level - bottom for line in lines)
    return sum(line.level - bottom for line in members.values()) / heard


def _missing(members: Mapping[int, Line]) -> float:
    """Share of members not heard below the highest that is; low members count more."""
    due = {n: 1 / math.sqrt(n) for n in range(1, max(members) + 1)}
    return sum(size for n, size in due.items() if n not in members) / sum(due.values())


def _members(lines: Sequence[Line], start: float, width: float) -> dict[int, Line]:
    """Go up the series, learning the stiffness from the highest member found so far."""
    found: dict[int, Line] = {}
    taken: set[float] = set()
    stiffest, softest, first = STIFFEST, 0.0, start
    for number in range(1, _MEMBERS + 1):
        low = number * first * _stretch(number, softest)
        high = number * first * _stretch(number, stiffest)
        slack = max(0.012 * number * start, 0.15 * width)
        near = [
            line
            for line in lines
            if low - slack <= line.frequency <= high + slack and line.frequency not in taken
        ]
        if near:
            found[number] = max(near, key=lambda line: line.level)
            taken.add(found[number].frequency)
            if number >= 4 and len(found) >= 3:
                seen = _stiffness_from(found)
                softest, stiffest = 0.7 * seen, min(STIFFEST, 1.3 * seen + 0.0002)
    return found


def _stiffness_from(members: Mapping[int, Line]) -> float:
    """Stiffness by a straight line through (f_n / n)² against n², weighted by n."""
    points = [(n, n * n, (line.frequency / n) ** 2) for n, line in members.items()]
    total = sum(w for w, _, _ in points)
    x_mean = sum(w * x for w, x, _ in points) / total
    y_mean = sum(w * y for w, _, y in points) / total
    slope = sum(w * (x - x_mean) * (y - y_mean) for w, x, y in points)
    slope /= sum(w * (x - x_mean) ** 2 for w, x, _ in points)
    return min(STIFFEST, max(0.0, slope / (y_mean - slope * x_mean)))


def _stretch(number: int, stiffness: float) -> float:
    return math.sqrt((1 + stiffness * number**2) / (1 + stiffness))


def _fit(members: Mapping[int, Line]) -> tuple[float, float, float]:
    """First member [Hz], stiffness and relative standard error that fit the lines best."""
    best = (math.inf, 0.0, 0.0, 0.0)
    for step in range(13 if len(members) > 1 else 1):
        stiffness = STIFFEST * step / 12
        misfit, frequency, spread = _centre(members, stiffness)
        misfit += (stiffness / 0.001) ** 2
        if misfit < best[0]:
            best = (misfit, frequency, stiffness, spread)
    return best[1], best[2], best[3]


def _centre(members: Mapping[int, Line], stiffness: float) -> tuple[float, float, float]:
    """Mean of what each member says of the first: misfit, mean [Hz], relative error.

    A line is read to a twenty-fifth of its width at best and worse near the floor; a higher
    member also carries what the model of the span leaves out. Members that lie badly (pulled
    by an echo or by hum) count less and less.
    """
    loudest = max(line.level for line in members.values())
    values, errors = [], []
    for n, line in members.items():
        noise = 10 ** (-min(line.above, line.level - loudest + _DEPTH) / 20)
        read = line.width * (0.04 + noise) / n
        values.append(line.frequency / n / _stretch(n, stiffness))
        errors.append(math.hypot(read, 0.003 * values[-1] if n > 1 else 0.0))
    pairs = list(zip(values, errors, strict=True))
    mean = min(pairs, key=lambda pair: pair[1])[0]
    weights: list[float] = []
    for _ in range(5):
        weights = [1 / (e**2 + ((v - mean) / 2) ** 2) for v, e in pairs]
        mean = sum(w * v for w, (v, _) in zip(weights, pairs, strict=True)) / sum(weights)
    misfit = sum(4 * math.log1p(((v - mean) / e / 2) ** 2) for v, e in pairs)
    scatter = max(1.0, misfit / max(1, len(pairs) - 1))
    return misfit, mean, math.sqrt(scatter / sum(weights)) / mean
