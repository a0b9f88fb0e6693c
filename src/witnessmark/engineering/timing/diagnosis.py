"""What is wrong: the tooth errors that explain the marks, or "not decided".

Each driven shaft may sit some whole number of teeth out on its sprocket. With φ the crank's
offset, Rᵢ the ratio of shaft i and kᵢ its tooth error, its own offset is

    xᵢ = Rᵢ φ + (steps of its drivers) + kᵢ × 360° / zᵢ     (whole turns apart)

Every combination of whole kᵢ for which one φ satisfies all readings within their stated
accuracy explains the marks. Exactly one explanation: decided. None: no whole number of
teeth, so slack, stretch, a mark misread or a hub slipped; not decided. Several: the readings
are too coarse; not decided. Combinations that are the same engine seen a crank turn later
count once. Exact fractions throughout.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from witnessmark.engineering.timing.readings import Reading
    from witnessmark.engineering.timing.shafts import Role, Shaft, TimingRun

MOST_EXPLANATIONS = 20
MOST_COMBINATIONS = 20_000


class Verdict(StrEnum):
    """What the marks say."""

    RIGHT = "right"
    TEETH_OUT = "teeth out"
    NOT_DECIDED = "not decided"


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


@dataclass(frozen=True, slots=True)
class MeasuredError:
    """The error of one shaft as read, teeth or no teeth. Early is positive.

    Attributes
    ----------
    shaft : str
        Which shaft.
    role : Role
        Whether it is a valve or an injection error.
    crank_degrees : Fraction
        Error against the reference shaft. [crank degrees]
    accuracy : Fraction or None
        Plus and minus, from the stated accuracies; None when one was not stated.
        [crank degrees]
    teeth : Fraction
        The same error in teeth of its own sprocket.
    """

    shaft: str
    role: Role
    crank_degrees: Fraction
    accuracy: Fraction | None
    teeth: Fraction


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The verdict on the marks.

    Attributes
    ----------
    verdict : Verdict
        Right, teeth out, or not decided.
    why : str
        The reason, in words.
    reference : str
        The shaft the errors are counted from: the crank when it was read.
    explanations : tuple of Explanation
        The simplest first, at most 20.
    count : int
        How many explanations there are.
    measured : tuple of MeasuredError
        Errors as read, for every shaft read but the reference.
    not_read : tuple of str
        Shafts nobody read; nothing is said about them.
    """

    verdict: Verdict
    why: str
    reference: str
    explanations: tuple[Explanation, ...]
    count: int
    measured: tuple[MeasuredError, ...]
    not_read: tuple[str, ...]


def diagnose(run: TimingRun, readings: Sequence[Reading]) -> Diagnosis:
    """Find the tooth errors that explain the offsets of some marks.

    Parameters
    ----------
    run : TimingRun
        The shafts and what drives what.
    readings : sequence of Reading
        Offsets of any subset of marks, all read with the engine in one position. Give the
        crank as read too, or as 0 ± 0 when a pin sets it.

    Returns
    -------
    Diagnosis
        The verdict, the explanations and the errors in crank degrees.

    Raises
    ------
    RefusalError
        If fewer than two shafts were read, a shaft is unknown or was read twice, or the
        accuracies leave more combinations than can be told apart.

    Notes
    -----
    Only relative positions can be seen: a belt one tooth out at the crank sprocket is the
    same as every shaft on that belt one tooth out. Without a reading of the crank the shafts
    can be compared with each other only. Checked against trying every tooth.
    """
    by_shaft = _by_shaft(run, readings)
    reference = run.crank.name if run.crank.name in by_shaft else _first_read(run, by_shaft)
    measured = tuple(
        _measured(run, by_shaft[reference], reading)
        for name, reading in by_shaft.items()
        if name != reference
    )
    not_read = tuple(shaft.name for shaft in run.shafts if shaft.name not in by_shaft)

    def answer(verdict: Verdict, why: str, found: list[Explanation]) -> Diagnosis:
        shown = tuple(found[:MOST_EXPLANATIONS])
        return Diagnosis(verdict, why, reference, shown, len(found), measured, not_read)

    missing = [name for name, reading in by_shaft.items() if reading.accuracy is None]
    if missing:
        return answer(
            Verdict.NOT_DECIDED,
            f"no accuracy is stated for {', '.join(missing)}: say how well the mark was read",
            [],
        )
    found = _explanations(run, by_shaft, reference)
    verdict, why = _judge(run, by_shaft, reference, found, measured)
    return answer(verdict, why, found)


def _by_shaft(run: TimingRun, readings: Sequence[Reading]) -> dict[str, Reading]:
    by_shaft: dict[str, Reading] = {}
    for reading in readings:
        run.shaft(reading.shaft)
        if reading.shaft in by_shaft:
            raise RefusalError(
                f"{reading.shaft} was read twice", "give one reading with its accuracy"
            )
        by_shaft[reading.shaft] = reading
    if len(by_shaft) < 2:
        raise RefusalError(
            "one mark alone says nothing",
            "read at least two; give the crank as 0 ± 0 when a pin sets it",
        )
    return by_shaft


def _first_read(run: TimingRun, by_shaft: dict[str, Reading]) -> str:
    return next(s.name for s in run.from_crank_outwards() if s.name in by_shaft)


def _measured(run: TimingRun, reference: Reading, reading: Reading) -> MeasuredError:
    """Give the error of one shaft against the reference, as read, in crank degrees."""
    ratio, base = run.ratio(reading.shaft), run.ratio(reference.shaft)
    error = _nearest_turn(reading.offset - reference.offset * ratio / base) / ratio
    accuracy = None
    if reading.accuracy is not None and reference.accuracy is not None:
        accuracy = reading.accuracy / ratio + reference.accuracy / base
    shaft = run.shaft(reading.shaft)
    return MeasuredError(
        reading.shaft, shaft.role, error, accuracy, error * ratio / shaft.degrees_per_tooth
    )


def _nearest_turn(degrees: Fraction) -> Fraction:
    """Bring an angle to more than -180° and at most 180°."""
    return degrees - 360 * math.ceil(degrees / 360 - Fraction(1, 2))


def _explanations(
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
        name: _nearest_turn(standing) / run.ratio(name)
        for name, standing in partial.standing.items()
    }
    return Explanation(dict(partial.teeth), errors, turn, same)


def _judge(
    run: TimingRun,
    by_shaft: dict[str, Reading],
    reference: str,
    found: list[Explanation],
    measured: tuple[MeasuredError, ...],
) -> tuple[Verdict, str]:
    """Turn the explanations into a verdict and its reason."""
    if not found:
        return Verdict.NOT_DECIDED, _not_whole_teeth(measured)
    if len(found) > 1:
        return (
            Verdict.NOT_DECIDED,
            (
                f"{len(found)} different tooth errors suit these readings: read the marks more "
                "finely, or read more of them"
            ),
        )
    only = found[0]
    if not only.in_time:
        why = say_explanation(run, only, reference) + _coarse(run, by_shaft)
        if reference != run.crank.name:
            why += f"; {run.crank.name} was not read, so which of them is out is not decided"
        return Verdict.TEETH_OUT, why
    if reference != run.crank.name:
        return (
            Verdict.NOT_DECIDED,
            f"the shafts read agree with each other, but {run.crank.name} was not read",
        )
    if only.turns:
        return (
            Verdict.RIGHT,
            (
                f"in time, but {reference} stands {_turn_words(only.turns)} past the turn on which "
                "the marks meet: turn on and read again",
            ),
        )
    return (
        Verdict.RIGHT,
        "every mark read is right within its stated accuracy" + _coarse(run, by_shaft),
    )


def say_explanation(run: TimingRun, explanation: Explanation, reference: str) -> str:
    """Say an explanation in words."""
    if explanation.same_as_crank:
        k = explanation.same_as_crank
        others = {
            name: teeth
            for name, teeth in explanation.teeth.items()
            if teeth and run.shaft(name).driven_by != run.crank.name
        }
        words = (
            f"every shaft read on {run.crank.name}'s belt is {_teeth_words(k)}: the same as the "
            f"belt {_count(k)} out at {run.crank.name}"
        )
        more = [f"{name} {_teeth_words(k)}" for name, k in others.items()]
        return "; ".join([words, *more])
    out = [
        f"{name} {_teeth_words(teeth)} against {_against(run, name, reference)}"
        for name, teeth in explanation.teeth.items()
        if teeth
    ]
    return "; ".join(out) if out else "every shaft in time"


def _against(run: TimingRun, name: str, reference: str) -> str:
    """Name what a tooth error is counted against: the driver, or the shaft that was read."""
    driver = run.shaft(name).driven_by
    return driver if driver is not None and reference == run.crank.name else reference


def _count(teeth: int) -> str:
    return "1 tooth" if abs(teeth) == 1 else f"{abs(teeth)} teeth"


def _turn_words(turns: int) -> str:
    return "1 full turn" if turns == 1 else f"{turns} full turns"


def _teeth_words(teeth: int) -> str:
    return f"{_count(teeth)} {'early' if teeth > 0 else 'late'}"


def _coarse(run: TimingRun, by_shaft: dict[str, Reading]) -> str:
    """Warn where a reading could not tell half a tooth of slack from a whole tooth."""
    coarse = [
        name
        for name, reading in by_shaft.items()
        if reading.accuracy is not None
        and 4 * reading.accuracy >= run.shaft(name).degrees_per_tooth
    ]
    if not coarse:
        return ""
    return (
        f" (read only to a quarter of a tooth or worse on {', '.join(coarse)}: slack could pass "
        "for this)"
    )


def _not_whole_teeth(measured: tuple[MeasuredError, ...]) -> str:
    """Say what offsets that are no whole number of teeth look like."""
    teeth = [error.teeth for error in measured]
    if all(-1 < t <= 0 for t in teeth):
        looks = "all late by less than a tooth, as slack or stretch shows"
    elif all(0 <= t < 1 for t in teeth):
        looks = "all early by less than a tooth, as slack left on the wrong side shows"
    else:
        looks = "a mark misread, a slipped hub or key, or slack on top of teeth"
    return (
        f"no whole number of teeth suits these readings: {looks}. Take up the slack in the "
        "running direction and read again"
    )
