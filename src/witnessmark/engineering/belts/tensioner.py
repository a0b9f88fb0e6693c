"""Tensioner travel: where a belt of a given length puts the pointer, and how far from a stop.

The belt does not stretch here: the sum finds where in its travel the tensioner makes the
path as long as the belt. How hard it then pulls is another sum.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from witnessmark.engineering.belts.path import BeltPath, belt_path
from witnessmark.engineering.refusal import RefusalError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from witnessmark.engineering.belts.pulleys import Pulley

STEPS = 720  # the travel is looked at in so many steps before each answer is refined


class Toward(StrEnum):
    """Which stop the tensioner moves towards."""

    START = "start stop"
    END = "end stop"


@dataclass(frozen=True, slots=True)
class Swing:
    """A pulley carried round a pivot: a swing arm, or an eccentric round its clamp bolt.

    Attributes
    ----------
    pivot_x, pivot_y : float
        Pivot of the arm, or centre of the eccentric's clamp bolt. [m]
    arm : float
        From the pivot to the pulley's centre: arm length or eccentricity. [m]
    start, end : float
        Angle of the arm at either stop, anticlockwise from the x axis. [degrees]
    pointer_at : float
        What the pointer shows at the start stop, when it has a scale. [degrees]
    """

    pivot_x: float
    pivot_y: float
    arm: float
    start: float
    end: float
    pointer_at: float = 0.0

    unit = "°"

    def __post_init__(self) -> None:
        if not 0.0 < self.arm < math.inf:
            raise RefusalError("the tensioner's arm has no length", "check pivot and pulley")
        if not 0.0 < abs(self.end - self.start) <= 360.0:
            raise RefusalError(
                f"a travel of {self.end - self.start:g}° is none, or more than a turn",
                "give the arm's angle at either stop",
            )

    def centre(self, position: float) -> tuple[float, float]:
        """Give the pulley's centre for an arm angle in degrees. [m]."""
        angle = math.radians(position)
        return (
            self.pivot_x + self.arm * math.cos(angle),
            self.pivot_y + self.arm * math.sin(angle),
        )

    def motion(self, position: float) -> complex:
        """Give how the centre moves per unit of position. [m/degree]."""
        return (
            math.radians(1.0)
            * self.arm
            * 1j
            * complex(math.cos(math.radians(position)), math.sin(math.radians(position)))
        )


@dataclass(frozen=True, slots=True)
class Slide:
    """A pulley carried in a straight slot.

    Attributes
    ----------
    x, y : float
        Pulley centre at position zero. [m]
    heading : float
        Direction of positive travel, anticlockwise from the x axis. [degrees]
    start, end : float
        Position at either stop. [m]
    """

    x: float
    y: float
    heading: float
    start: float
    end: float
    pointer_at: float = 0.0

    unit = "m"

    def __post_init__(self) -> None:
        if not 0.0 < abs(self.end - self.start) < math.inf:
            raise RefusalError("the slider has no travel", "give its position at either stop")

    def centre(self, position: float) -> tuple[float, float]:
        """Give the pulley's centre for a position. [m]."""
        step = position * self.motion(position)
        return self.x + step.real, self.y + step.imag

    def motion(self, _position: float) -> complex:
        """Give how the centre moves per unit of position. [m/m]."""
        angle = math.radians(self.heading)
        return complex(math.cos(angle), math.sin(angle))


Tensioner = Swing | Slide


@dataclass(frozen=True, slots=True)
class Setting:
    """One position of the tensioner at which the belt fits.

    Positions and distances are in degrees for a swing, metres for a slider.

    Attributes
    ----------
    position : float
        Arm angle or slider position.
    from_start, from_end : float
        Distance from either stop.
    pointer : float
        What the pointer shows: `pointer_at` plus the distance from the start stop.
    tightens : Toward
        The stop towards which the belt gets tighter.
    length_per_unit : float
        Change of the path's length per unit of position. [m/degree or m/m]
    with_shortest, with_longest : float or None
        Position for the shortest and the longest belt its tolerance allows; None when that
        belt cannot be taken up on this part of the travel.
    path : BeltPath
        The path with the tensioner there.
    """

    position: float
    from_start: float
    from_end: float
    pointer: float
    tightens: Toward
    length_per_unit: float
    with_shortest: float | None
    with_longest: float | None
    path: BeltPath

    @property
    def takes_up_tolerance(self) -> bool:
        """Say whether every belt within tolerance can be taken up here."""
        return self.with_shortest is not None and self.with_longest is not None


@dataclass(frozen=True, slots=True)
class Travel:
    """What a tensioner does with a belt: its settings, or why there is none.

    Attributes
    ----------
    settings : tuple of Setting
        Every position at which the belt fits, in order from the start stop.
    shortest, longest : float
        Shortest and longest path over the whole travel. [m]
    blocked : str or None
        Why part of the travel has no path, when part has none.
    """

    settings: tuple[Setting, ...]
    shortest: float
    longest: float
    blocked: str | None


@dataclass(frozen=True, slots=True)
class _Branch:
    """A stretch of travel over which the path's length only grows or only shrinks."""

    near: float
    far: float
    near_length: float
    far_length: float

    def holds(self, length: float) -> bool:
        low, high = sorted((self.near_length, self.far_length))
        return low <= length <= high


def tensioner_travel(
    pulleys: Sequence[Pulley],
    index: int,
    tensioner: Tensioner,
    belt_length: float,
    tolerance: float = 0.0,
    steps: int = STEPS,
) -> Travel:
    """Find where in its travel the tensioner takes up a belt.

    Parameters
    ----------
    pulleys : sequence of Pulley
        The layout in belt order; the tensioner's own position in it is not used.
    index : int
        Which of them the tensioner carries.
    tensioner : Swing or Slide
        How it moves, and between which stops.
    belt_length : float
        Length of the belt's pitch line. [m]
    tolerance : float
        Tolerance on that length, plus and minus. [m]
    steps : int
        How many places of the travel are looked at before each answer is refined.

    Returns
    -------
    Travel
        Every fitting position with its distances from the stops.

    Raises
    ------
    RefusalError
        If no part of the travel has a path, or the belt is too long or too short for all of
        it; the words say by how much.

    Notes
    -----
    The travel is looked at in so many steps; a stretch shorter than one step in which the path
    is possible, or twice turns round, may be missed. The change of length per unit of
    travel is (u_in - u_out) · dc/dq, with u the belt's headings at the pulley: arcs and the
    far ends of the spans add nothing to first order.
    """
    if not 0.0 < belt_length < math.inf or not 0.0 <= tolerance < belt_length:
        raise RefusalError("the belt's length or tolerance is not usable", "check both figures")

    def path_at(position: float) -> BeltPath | RefusalError:
        moved = list(pulleys)
        try:
            moved[index] = moved[index].moved_to(*tensioner.centre(position))
            return belt_path(moved)
        except RefusalError as refusal:
            return refusal

    def slope_at(position: float, path: BeltPath) -> float:
        change = path.spans[index - 1].heading - path.spans[index].heading
        motion = tensioner.motion(position)
        return change.real * motion.real + change.imag * motion.imag

    branches, refusal = _branches(tensioner, path_at, slope_at, steps)
    if not branches:
        assert refusal is not None
        raise RefusalError(
            f"no position of {pulleys[index].name} gives a path: {refusal.what}", refusal.hint
        )
    shortest = min(min(b.near_length, b.far_length) for b in branches)
    longest = max(max(b.near_length, b.far_length) for b in branches)
    settings: list[Setting] = []
    for branch in branches:
        if branch.holds(belt_length):
            setting = _setting(branch, tensioner, belt_length, path_at, slope_at)
            if settings and math.isclose(setting.position, settings[-1].position, abs_tol=1e-9):
                continue
            low: float | None = setting.position
            high = low
            if tolerance:
                low, high = (
                    _position(branch, length, path_at) if branch.holds(length) else None
                    for length in (belt_length - tolerance, belt_length + tolerance)
                )
            settings.append(replace(setting, with_shortest=low, with_longest=high))
    if not settings:
        raise _misfit(belt_length, shortest, longest)
    return Travel(tuple(settings), shortest, longest, None if refusal is None else refusal.what)


def _branches(
    tensioner: Tensioner,
    path_at: Callable[[float], BeltPath | RefusalError],
    slope_at: Callable[[float, BeltPath], float],
    steps: int,
) -> tuple[list[_Branch], RefusalError | None]:
    """Cut the travel into stretches with a path over which its length is monotone."""
    branches: list[_Branch] = []
    refusal: RefusalError | None = None
    before: tuple[float, BeltPath] | None = None
    for step in range(steps + 1):
        position = tensioner.start + (tensioner.end - tensioner.start) * step / steps
        path = path_at(position)
        if isinstance(path, RefusalError):
            refusal = refusal or path
            before = None
            continue
        if before is not None:
            _extend(branches, before, (position, path), path_at, slope_at)
        before = (position, path)
    return branches, refusal


def _extend(
    branches: list[_Branch],
    before: tuple[float, BeltPath],
    here: tuple[float, BeltPath],
    path_at: Callable[[float], BeltPath | RefusalError],
    slope_at: Callable[[float, BeltPath], float],
) -> None:
    """Add one step to the last branch, or start new ones where the length turns round."""
    points = [before, here]
    if slope_at(*before) * slope_at(*here) < 0.0:
        turning = _bisect(before[0], here[0], lambda q: _slope(q, path_at, slope_at))
        path = path_at(turning)
        if not isinstance(path, RefusalError):
            points.insert(1, (turning, path))
    for near, far in itertools.pairwise(points):
        last = branches[-1] if branches else None
        grows = far[1].length > near[1].length
        if (
            last is not None
            and last.far == near[0]
            and (last.far_length > last.near_length) == grows
        ):
            branches[-1] = replace(last, far=far[0], far_length=far[1].length)
        else:
            branches.append(_Branch(near[0], far[0], near[1].length, far[1].length))


def _slope(
    position: float,
    path_at: Callable[[float], BeltPath | RefusalError],
    slope_at: Callable[[float, BeltPath], float],
) -> float:
    path = path_at(position)
    return 0.0 if isinstance(path, RefusalError) else slope_at(position, path)


def _position(
    branch: _Branch, length: float, path_at: Callable[[float], BeltPath | RefusalError]
) -> float:
    """Position on a monotone branch at which the path has the wanted length."""

    def misfit(position: float) -> float:
        path = path_at(position)
        return 0.0 if isinstance(path, RefusalError) else path.length - length

    return _bisect(branch.near, branch.far, misfit)


def _bisect(low: float, high: float, function: Callable[[float], float]) -> float:
    """Halve an interval with a change of sign until no double lies between."""
    low_value = function(low)
    if low_value == 0.0:
        return low
    if function(high) == 0.0:
        return high
    for _ in range(80):
        middle = (low + high) / 2
        if middle in {low, high}:
            break
        value = function(middle)
        if (value > 0.0) == (low_value > 0.0):
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _setting(
    branch: _Branch,
    tensioner: Tensioner,
    length: float,
    path_at: Callable[[float], BeltPath | RefusalError],
    slope_at: Callable[[float, BeltPath], float],
) -> Setting:
    position = _position(branch, length, path_at)
    path = path_at(position)
    assert isinstance(path, BeltPath)
    forward = tensioner.end > tensioner.start
    longer_far = branch.far_length > branch.near_length
    from_start = abs(position - tensioner.start)
    return Setting(
        position=position,
        from_start=from_start,
        from_end=abs(tensioner.end - position),
        pointer=tensioner.pointer_at + (from_start if forward else -from_start),
        tightens=Toward.END if longer_far else Toward.START,
        length_per_unit=slope_at(position, path),
        with_shortest=None,
        with_longest=None,
        path=path,
    )


def _misfit(length: float, shortest: float, longest: float) -> RefusalError:
    if length > longest:
        return RefusalError(
            f"the belt is {(length - longest) * 1000:.6g} mm too long for the whole travel",
            "check the belt's length, its route and the tensioner's stops",
        )
    if length < shortest:
        return RefusalError(
            f"the belt is {(shortest - length) * 1000:.6g} mm too short for the whole travel",
            "check the belt's length, its route and the tensioner's stops",
        )
    return RefusalError(
        "the belt fits only in a part of the travel where no path is possible",
        "check the positions of the other pulleys",
    )
