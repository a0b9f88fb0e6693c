"""Piston against valve: "no, because", or "not shown safe". Never "yes".

With the valve along its own axis, the gap at a crank angle a is

    gap(a) = gap at top dead centre, valve shut + drop(a) × cos(valve angle) - lift(a + error)

where the error is how many crank degrees the cam is early. The crown under the valve is
taken as flat and square to the valve. Carbon, a skimmed head, a stretched rod, a bent valve,
lash and speed are not in the sum, so it can show a touch but never clear one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from witnessmark.engineering.clearance.slider_crank import SliderCrank
    from witnessmark.engineering.clearance.valve_lift import Lift

STEP = 0.5  # crank degrees of the first look; each dip is then closed in on

NEVER_CLEARS = (
    "This sum never clears cranking or starting. It knows nothing of carbon, skimmed heads, "
    "bent valves or wear."
)


class Answer(StrEnum):
    """All this sum ever answers."""

    NO = "no, because"
    NOT_SHOWN_SAFE = "not shown safe"


@dataclass(frozen=True, slots=True)
class Valve:
    """A valve over its piston. What is not known is None.

    Attributes
    ----------
    name : str
        What people call it.
    lift : Lift or None
        Its lift over the cycle.
    gap_shut : float or None
        From the shut valve to the piston at top dead centre, along the valve. [m]
    angle : float or None
        Between the valve and the cylinder's axis. [degrees]
    least_gap : float or None
        The maker's least gap; a touch alone counts when None. [m]
    accuracy : float
        How far the figures together may be off, plus and minus. [m]
    """

    name: str
    lift: Lift | None
    gap_shut: float | None
    angle: float | None
    least_gap: float | None = None
    accuracy: float = 0.0

    def __post_init__(self) -> None:
        if self.angle is not None and not abs(self.angle) < 90.0:
            raise RefusalError(
                f"{self.name} at {self.angle:g}° to the cylinder cannot be right",
                "give the angle between valve and cylinder axis",
            )
        for value in (self.gap_shut or 0.0, self.least_gap or 0.0, self.accuracy):
            if not 0.0 <= value < math.inf:
                raise RefusalError(
                    f"a gap or accuracy of {self.name} is below zero", "check the figures"
                )


@dataclass(frozen=True, slots=True)
class LeastGap:
    """The smallest gap over the cycle and where it comes. [m, crank degrees].

    `angle` is after the overlap top dead centre, -360 to 360.
    """

    gap: float
    angle: float


@dataclass(frozen=True, slots=True)
class ClearanceAnswer:
    """The answer for one valve at one error of its cam.

    Attributes
    ----------
    answer : Answer
        "No, because" or "not shown safe".
    why : str
        The reason, in words.
    valve : str
        Which valve.
    early : float
        How early the cam is; late is negative. [crank degrees]
    teeth : int or None
        The same in teeth, when asked for by teeth.
    least : LeastGap or None
        The smallest gap; None when figures are missing.
    missing : tuple of str
        The figures that are missing.
    """

    answer: Answer
    why: str
    valve: str
    early: float
    teeth: int | None
    least: LeastGap | None
    missing: tuple[str, ...]


def gap_at(crank: SliderCrank, valve: Valve, angle: float, early: float = 0.0) -> float:
    """Gap between valve and piston at a crank angle. [m].

    Parameters
    ----------
    crank : SliderCrank
        Crank and rod.
    valve : Valve
        The valve, with lift and gap known.
    angle : float
        After the overlap top dead centre. [crank degrees]
    early : float
        How early its cam is. [crank degrees]

    Returns
    -------
    float
        The gap along the valve; below zero they would have met. [m]

    Raises
    ------
    RefusalError
        If the valve's lift or gap is missing.
    """
    if valve.lift is None or valve.gap_shut is None or valve.angle is None:
        raise RefusalError(f"figures of {valve.name} are missing", "valves are taken to touch")
    down = crank.drop(angle) * math.cos(math.radians(valve.angle))
    return valve.gap_shut + down - valve.lift.lift(angle + early)


def least_gap(crank: SliderCrank, valve: Valve, early: float = 0.0) -> LeastGap:
    """Find the smallest gap over two crank turns.

    Looks every half degree, then closes in on every dip that could be the deepest. Checked
    against a sweep at a hundredth of a degree.
    """
    count = int(720 / STEP)
    gaps = [gap_at(crank, valve, -360 + STEP * i, early) for i in range(count)]
    best = LeastGap(math.inf, 0.0)
    for i, gap in enumerate(gaps):
        if gap <= gaps[i - 1] and gap <= gaps[(i + 1) % count]:
            angle = -360 + STEP * i
            deepest = _close_in(
                lambda a: gap_at(crank, valve, a, early), angle - STEP, angle + STEP
            )
            if deepest.gap < best.gap:
                best = deepest
    return best


def _close_in(function: Callable[[float], float], low: float, high: float) -> LeastGap:
    """Close in on a dip by thirds."""
    for _ in range(60):
        third = (high - low) / 3
        if function(low + third) <= function(high - third):
            high -= third
        else:
            low += third
    angle = (low + high) / 2
    return LeastGap(function(angle), angle)


def piston_to_valve(
    crank: SliderCrank | None, valve: Valve, early: float = 0.0, teeth: int | None = None
) -> ClearanceAnswer:
    """Say whether a valve would meet its piston, with its cam early by crank degrees.

    Parameters
    ----------
    crank : SliderCrank or None
        Crank and rod; None when not known.
    valve : Valve
        The valve; missing figures are None.
    early : float
        How early the cam is; late is negative. [crank degrees]
    teeth : int or None
        The same in teeth, for the words.

    Returns
    -------
    ClearanceAnswer
        "No, because" with the reason, or "not shown safe".

    Notes
    -----
    With any figure missing the valves are taken to touch. The gap must stay above the
    maker's least gap (above zero when none is given) by more than the accuracy; rules of
    thumb for built engines are never used in its place.
    """
    missing = _missing_of_valve(valve)
    if crank is None:
        return _figures_missing(valve, ("crank radius and rod length", *missing), early, teeth)
    if missing:
        return _figures_missing(valve, missing, early, teeth)
    return _answer(valve, least_gap(crank, valve, early), early, teeth)


def over_teeth(
    crank: SliderCrank | None,
    valves: Iterable[Valve],
    crank_degrees_per_tooth: float,
    teeth: Iterable[int],
) -> tuple[ClearanceAnswer, ...]:
    """Answer for every valve at every tooth error of its cam; early teeth are positive."""
    errors = list(teeth)
    return tuple(
        piston_to_valve(crank, valve, k * crank_degrees_per_tooth, k)
        for valve in valves
        for k in errors
    )


def belt_off(valve: Valve) -> ClearanceAnswer:
    """Say whether a valve left fully open would be met by the piston with the belt off.

    With the belt off the crank turns and the cam does not: at top dead centre the gap is
    the gap with the valve shut less whatever lift it stands at, at worst its greatest.
    """
    if valve.lift is None or valve.gap_shut is None:
        # The valve's angle plays no part at top dead centre.
        missing = _missing_of_valve(replace(valve, angle=0.0))
        return _figures_missing(valve, missing)
    least = LeastGap(valve.gap_shut - valve.lift.most, 0.0)
    return _answer(valve, least, place="at top dead centre")


def _answer(
    valve: Valve,
    least: LeastGap,
    early: float = 0.0,
    teeth: int | None = None,
    place: str | None = None,
) -> ClearanceAnswer:
    wanted = valve.least_gap or 0.0
    answer = Answer.NO if least.gap - valve.accuracy <= wanted else Answer.NOT_SHOWN_SAFE
    why = _reason(valve, least, answer, place or _place(least.angle))
    return ClearanceAnswer(answer, why, valve.name, early, teeth, least, ())


def _figures_missing(
    valve: Valve, missing: tuple[str, ...], early: float = 0.0, teeth: int | None = None
) -> ClearanceAnswer:
    why = f"figures are missing ({', '.join(missing)}); valves are taken to touch"
    return ClearanceAnswer(Answer.NO, why, valve.name, early, teeth, None, missing)


def _missing_of_valve(valve: Valve) -> tuple[str, ...]:
    missing = []
    if valve.lift is None:
        missing.append(f"lift of {valve.name}")
    if valve.gap_shut is None:
        missing.append(f"gap of {valve.name} at top dead centre")
    if valve.angle is None:
        missing.append(f"angle of {valve.name} to the cylinder")
    return tuple(missing)


def _reason(valve: Valve, least: LeastGap, answer: Answer, place: str) -> str:
    gap = f"{least.gap * 1000:.2f} mm"
    if answer is Answer.NOT_SHOWN_SAFE:
        return f"least gap {gap} {place}, by these figures alone"
    if least.gap <= 0:
        return f"{valve.name} and piston would meet by {-least.gap * 1000:.2f} mm {place}"
    if valve.least_gap is not None and least.gap <= valve.least_gap:
        return f"least gap {gap} {place} is not above the maker's {valve.least_gap * 1000:.2f} mm"
    return f"least gap {gap} {place} is within the accuracy of ±{valve.accuracy * 1000:.2f} mm"


def _place(angle: float) -> str:
    dead_centre = "overlap" if abs(angle) <= 180 else "firing"
    after = angle if abs(angle) <= 180 else angle - math.copysign(360, angle)
    if round(after, 1) == 0:
        return f"at {dead_centre} top dead centre"
    return f"{abs(after):.1f}° {'after' if after > 0 else 'before'} {dead_centre} top dead centre"
