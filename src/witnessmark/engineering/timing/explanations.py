"""Every combination of whole tooth errors that explains the marks read.

With φ the reference's offset, Rᵢ the ratio of shaft i to the reference and kᵢ its tooth
error, the shaft's own offset is

    xᵢ = Rᵢ φ + (steps of its drivers) + kᵢ × 360° / zᵢ     (whole turns apart)

A combination explains the marks when one φ satisfies every reading within its accuracy.
Combinations that are the same engine seen a turn later count once. Exact fractions.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from witnessmark.engineering.timing.readings import Reading
    from witnessmark.engineering.timing.shafts import Shaft, TimingRun

MOST_COMBINATIONS = 2_000


@dataclass(frozen=True, slots=True)
class Explanation:
    """One way the marks can be as they were read.

    Attributes
    ----------
    teeth : dict
        Tooth error of each shaft against what drives it; ahead is positive, 0 is right.
    crank_degrees : dict
        Error of each shaft against the crank, ahead (early) positive. [crank degrees]
    turns : int
        Turns the reference shaft stands away from the turn on which all marks meet.
    same_as_crank : int
        When every shaft on the crank's own belt is out by the same teeth: that number, which
        is the belt out by as many teeth at the crank sprocket; otherwise 0.
    """

    teeth: dict[str, int]
    crank_degrees: dict[str, Fraction]
    turns: int
    same_as_crank: int

    @property
    def in_time(self) -> bool:
        """Whether no shaft is out."""
        return all(k == 0 for k in self.teeth.values())


def find_explanations(
    run: TimingRun, by_shaft: dict[str, Reading], reference: str
) -> list[Explanation]:
    """Find every explanation, the simplest first, each engine position once."""
    choice = _Choice(run, by_shaft, reference)
    seen: dict[tuple[Fraction, ...], Explanation] = {}
    tried = 0
    for turn in range(choice.turns):
        for partial in choice.complete(turn):
            tried += 1
            if tried > MOST_COMBINATIONS:
                raise RefusalError(
                    "the readings leave too many possibilities",
                    "read the marks more finely, or read the shafts in between as well",
                )
            key = choice.engine_position(partial, turn)
            explanation = _explanation(run, partial, turn)
            if key not in seen or _cost(explanation) < _cost(seen[key]):
                seen[key] = explanation
    return sorted(seen.values(), key=_cost)


def _cost(explanation: Explanation) -> tuple[int, int, int, tuple[int, ...]]:
    """Order explanations: fewest places out, fewest teeth, fewest turns."""
    teeth = tuple(explanation.teeth.values())
    places = 1 if explanation.same_as_crank else sum(k != 0 for k in teeth)
    return places, sum(abs(k) for k in teeth), explanation.turns, teeth


@dataclass(frozen=True, slots=True)
class _Partial:
    """Tooth errors chosen so far, and the interval of the reference's offset they leave.

    `standing` is each shaft's offset left when the reference is at its mark. [degrees]
    """

    low: Fraction
    high: Fraction
    teeth: dict[str, int]
    standing: dict[str, Fraction]


class _Choice:
    """Every choice of whole tooth errors that the readings allow."""

    def __init__(self, run: TimingRun, by_shaft: dict[str, Reading], reference: str) -> None:
        self.run = run
        self.by_shaft = by_shaft
        # The reference is where errors are counted from, so neither it nor what drives it
        # can be seen to be out.
        self.fixed = {reference, *_drivers(run, reference)}
        wanted = {name for read in by_shaft for name in (read, *_drivers(run, read))}
        self.shafts = [
            s for s in run.from_crank_outwards() if s.name in wanted and s.driven_by is not None
        ]
        base = run.ratio(reference)
        self.relative = {s.name: run.ratio(s.name) / base for s in self.shafts}
        self.turns = math.lcm(*(ratio.denominator for ratio in self.relative.values()))
        self.start = self._interval(run.shaft(reference))

    def _interval(self, shaft: Shaft) -> tuple[Fraction, Fraction]:
        """Give the least and greatest offset a shaft may truly have. [degrees]."""
        reading = self.by_shaft[shaft.name]
        assert reading.accuracy is not None
        slack = reading.accuracy + shaft.floats
        return reading.offset - slack, reading.offset + slack

    def complete(self, turn: int) -> Iterator[_Partial]:
        """Give every complete choice with the reference so many turns on."""
        yield from self._extend(_Partial(*self.start, {}, {}), turn)

    def engine_position(self, partial: _Partial, turn: int) -> tuple[Fraction, ...]:
        """Give what can be told of the engine: the same for the same engine a turn later."""
        return tuple(
            (partial.standing[s.name] + self.relative[s.name] * 360 * turn) % 360
            for s in self.shafts
        )

    def _extend(self, partial: _Partial, turn: int) -> Iterator[_Partial]:
        if len(partial.teeth) == len(self.shafts):
            yield partial
            return
        shaft = self.shafts[len(partial.teeth)]
        assert shaft.driven_by is not None
        driver = partial.standing.get(shaft.driven_by, Fraction(0))
        base = driver * self.run.step_ratio(shaft.name)
        for teeth, low, high in self._possible_teeth(shaft, base, turn, partial):
            chosen = _Partial(
                low,
                high,
                partial.teeth | {shaft.name: teeth},
                partial.standing | {shaft.name: base + teeth * shaft.degrees_per_tooth},
            )
            yield from self._extend(chosen, turn)

    def _possible_teeth(
        self, shaft: Shaft, base: Fraction, turn: int, partial: _Partial
    ) -> Iterator[tuple[int, Fraction, Fraction]]:
        """Give each possible tooth error and the interval of the reference's offset it leaves."""
        if shaft.name in self.fixed:
            yield 0, partial.low, partial.high
            return
        if shaft.name not in self.by_shaft:
            for teeth in range(-((shaft.teeth - 1) // 2), shaft.teeth // 2 + 1):
                yield teeth, partial.low, partial.high
            return
        pitch, ratio = shaft.degrees_per_tooth, self.relative[shaft.name]
        least, greatest = (end - base - ratio * 360 * turn for end in self._interval(shaft))
        first = math.ceil((least - ratio * partial.high) / pitch)
        last = math.floor((greatest - ratio * partial.low) / pitch)
        for line in range(first, min(last, first + shaft.teeth - 1) + 1):
            low = max(partial.low, (least - line * pitch) / ratio)
            high = min(partial.high, (greatest - line * pitch) / ratio)
            yield _nearest_count(line, shaft.teeth), low, high


def _drivers(run: TimingRun, name: str) -> list[str]:
    """Name everything between a shaft and the crank, the crank included."""
    drivers = []
    shaft = run.shaft(name)
    while shaft.driven_by is not None:
        shaft = run.shaft(shaft.driven_by)
        drivers.append(shaft.name)
    return drivers


def _nearest_count(line: int, teeth: int) -> int:
    """Bring a tooth count to within half a turn: more than -z/2 and at most z/2."""
    return line - teeth * math.ceil(Fraction(line, teeth) - Fraction(1, 2))


def _explanation(run: TimingRun, partial: _Partial, turn: int) -> Explanation:
    crank = run.crank.name
    on_belt = [
        teeth
        for name, teeth in partial.teeth.items()
        if run.shaft(name).driven_by == crank and run.shaft(name).driver_teeth is None
    ]
    same = on_belt[0] if len(on_belt) > 1 and len(set(on_belt)) == 1 else 0
    errors = {
        name: nearest_turn(standing) / run.ratio(name)
        for name, standing in partial.standing.items()
    }
    return Explanation(dict(partial.teeth), errors, turn, same)


def nearest_turn(degrees: Fraction) -> Fraction:
    """Bring an angle to more than -180° and at most 180°."""
    return degrees - 360 * math.ceil(degrees / 360 - Fraction(1, 2))
