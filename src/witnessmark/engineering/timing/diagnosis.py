"""What is wrong: the tooth errors that explain the marks, or "not decided".

Exactly one combination of whole teeth suits every reading within its stated accuracy:
decided. None: no whole number of teeth, so slack, stretch, a mark misread or a hub slipped;
not decided. Several: the readings are too coarse; not decided.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.explanations import (
    Explanation,
    find_explanations,
    nearest_turn,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

    from witnessmark.engineering.timing.readings import Reading
    from witnessmark.engineering.timing.shafts import Role, TimingRun

MOST_EXPLANATIONS = 20


class Verdict(StrEnum):
    """What the marks say."""

    RIGHT = "right"
    TEETH_OUT = "teeth out"
    NOT_DECIDED = "not decided"


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
    whole_teeth : int or None
        The one whole number of teeth within that accuracy, taken by itself; None when none
        or several are, or no accuracy was stated.
    """

    shaft: str
    role: Role
    crank_degrees: Fraction
    accuracy: Fraction | None
    teeth: Fraction
    whole_teeth: int | None


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
    found = find_explanations(run, by_shaft, reference)
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
    error = nearest_turn(reading.offset - reference.offset * ratio / base) / ratio
    accuracy = None
    if reading.accuracy is not None and reference.accuracy is not None:
        accuracy = reading.accuracy / ratio + reference.accuracy / base
    shaft = run.shaft(reading.shaft)
    per_tooth = run.crank_degrees_per_tooth(shaft.name)
    whole = None
    if accuracy is not None:
        least = math.ceil((error - accuracy) / per_tooth)
        whole = least if least == math.floor((error + accuracy) / per_tooth) else None
    return MeasuredError(reading.shaft, shaft.role, error, accuracy, error / per_tooth, whole)


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
        where = f"{reference} stands {_turn_words(only.turns)} past the turn on which marks meet"
        return Verdict.RIGHT, f"in time, but {where}: turn on and read again"
    why = "every mark read is right within its stated accuracy"
    return Verdict.RIGHT, why + _coarse(run, by_shaft)


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
