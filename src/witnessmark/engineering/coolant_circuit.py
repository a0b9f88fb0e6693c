"""A coolant circuit by heights: what may be opened at a level, and how far to drain.

Levels are heights in one upright frame of the machine as it stands. [m]
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.engineering.refusal import RefusalError


class PointKind(StrEnum):
    """What a place on the circuit is."""

    DRAIN = "drain"
    JOINT = "joint"
    BLEED = "bleed"
    FILLER = "filler"


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the circuit and its height [m]."""

    name: str
    kind: PointKind
    height: float


@dataclass(frozen=True, slots=True)
class Circuit:
    """A coolant circuit: its points, and how much it holds below each height.

    `levels` are pairs of height [m] and litres below it, rising, the last being full. `prime`
    names what must not run dry, `run_up` the maker's words for how to run it up.
    """

    name: str
    points: tuple[Point, ...]
    levels: tuple[tuple[float, float], ...]
    prime: tuple[str, ...] = ()
    run_up: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        """Refuse a table of levels that does not rise."""
        pairs = zip(self.levels, self.levels[1:], strict=False)
        if len(self.levels) < 2 or any(a[0] >= b[0] or a[1] > b[1] for a, b in pairs):
            raise RefusalError(
                f"the levels of {self.name} do not rise",
                "give heights and litres below them, lowest first",
            )

    @property
    def capacity(self) -> float:
        """Litres it holds, full."""
        return self.levels[-1][1]

    def litres_below(self, height: float) -> float:
        """Interpolate the litres below a height [m]."""
        if height <= self.levels[0][0]:
            return self.levels[0][1]
        for (low, below), (high, above) in zip(self.levels, self.levels[1:], strict=False):
            if height <= high:
                return below + (above - below) * (height - low) / (high - low)
        return self.capacity

    def point(self, name: str) -> Point:
        """Give a point by its name."""
        for point in self.points:
            if point.name == name:
                return point
        raise RefusalError(
            f"{self.name} has no point called {name}",
            f"known: {', '.join(p.name for p in self.points)}",
        )


@dataclass(frozen=True, slots=True)
class Ruling:
    """Whether something may be done, and why."""

    allowed: bool
    why: str


def may_open(
    circuit: Circuit,
    name: str,
    *,
    level: float,
    pressure_released: bool,
    filling: bool = False,
) -> Ruling:
    """Say whether a point may be opened at a level.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        The point.
    level : float
        Height the coolant stands at. [m]
    pressure_released : bool
        Whether it is cold and the cap has been loosened.
    filling : bool
        Whether it is being filled with the cap off.

    Returns
    -------
    Ruling
        A joint above the level and a bleed screw while filling may be opened.
    """
    point = circuit.point(name)
    if not pressure_released and not filling:
        return Ruling(allowed=False, why="it may be hot and under pressure: release it first")
    if point.kind in {PointKind.FILLER, PointKind.DRAIN}:
        return Ruling(allowed=True, why="that is what it is for")
    if point.kind is PointKind.BLEED and filling:
        return Ruling(allowed=True, why="a bleed screw is open while it is being filled")
    if point.height > level:
        return Ruling(allowed=True, why="the coolant stands below it")
    litres = circuit.litres_below(level) - circuit.litres_below(point.height)
    return Ruling(allowed=False, why=f"{litres:.1f} L stand above it: drain below it first")


@dataclass(frozen=True, slots=True)
class Draining:
    """Litres that come out, litres that stay, and the height it stands at after [L, L, m]."""

    out: float
    stays: float
    level: float


def drain_below(circuit: Circuit, name: str, drain: str, level: float | None = None) -> Draining:
    """Work out a drain to just below a joint.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        The joint to be opened.
    drain : str
        The drain that is used.
    level : float, optional
        Height it stands at now; full when not given. [m]

    Returns
    -------
    Draining
        What comes out and what stays.

    Raises
    ------
    RefusalError
        If the drain lies above the joint.
    """
    target, tap = circuit.point(name).height, circuit.point(drain).height
    now = circuit.levels[-1][0] if level is None else level
    if tap >= target:
        raise RefusalError(
            f"{drain} lies above {name}: it cannot be drained below it there",
            "use a lower drain or a hose at the lowest joint",
        )
    after = min(now, target)
    out = circuit.litres_below(now) - circuit.litres_below(after)
    return Draining(out, circuit.litres_below(after), after)
