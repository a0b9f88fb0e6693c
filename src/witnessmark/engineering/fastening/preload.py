"""Clamp force and torque as bands: what friction and the way of tightening leave open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.engineering.fastening.friction import Friction
from witnessmark.engineering.fastening.scatter import Scatter, preload_band
from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.fastening.tightening import (
    VDI_PITCH,
    VDI_THREAD,
    assembly_preload,
    clamp_force,
    tightening_torque,
)
from witnessmark.engineering.refusal import RefusalError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

# Share of proof load wanted as clamp: Shigley, ch. 8 solutions, eqs 8-30 and 8-31.
PROOF_SHARES: dict[str, float] = {"reusable": 0.75, "permanent": 0.90}
NO_BAND = "nothing: one friction value and no method"


@dataclass(frozen=True, slots=True)
class Band:
    """A low, a nominal and a high value of one quantity."""

    low: float
    nominal: float
    high: float

    def __post_init__(self) -> None:
        """Keep the three in order."""
        assert self.low <= self.nominal <= self.high

    def times(self, factor: float) -> Band:
        """Multiply all three, as into another unit."""
        return Band(self.low * factor, self.nominal * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class ThreadAndHead:
    """The two frictions of a bolt: in the thread and under the head."""

    thread: Friction
    head: Friction

    @classmethod
    def same(cls, friction: Friction) -> ThreadAndHead:
        """One friction for both."""
        return cls(friction, friction)

    def corners(self) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        """Give (thread, head) at the low end, the middle and the high end."""
        thread, head = self.thread, self.head
        return (
            (thread.low, head.low),
            (thread.nominal, head.nominal),
            (thread.high, head.high),
        )

    @property
    def is_range(self) -> bool:
        """Whether either is a range."""
        return self.thread.is_range or self.head.is_range

    def __str__(self) -> str:
        """Print one friction, or both when they differ."""
        if (self.thread.low, self.thread.high) == (self.head.low, self.head.high):
            return f"friction {self.thread}"
        return f"friction {self.thread} in the thread, {self.head} under the head"


def band_words(friction: ThreadAndHead, scatter: Scatter | None) -> str:
    """Say what made a band."""
    causes = [str(friction)] if friction.is_range else []
    if scatter is not None:
        causes.append(f"method {scatter}")
    return "; ".join(causes) or NO_BAND


def clamp_band(
    torque: float,
    geometry: ThreadGeometry,
    bearing_diameter: float,
    friction: ThreadAndHead,
    scatter: Scatter | None = None,
) -> Band:
    """Clamp force from a torque, with what friction and method leave open.

    Parameters
    ----------
    torque : float
        Tightening torque. [N·m]
    geometry : ThreadGeometry
        The thread.
    bearing_diameter : float
        Mean bearing diameter. [m]
    friction : ThreadAndHead
        Friction values or ranges. The most clamp comes at the lowest friction.
    scatter : Scatter, optional
        The way of tightening. Its published figure already holds the usual friction, so the
        wider of the two bands counts, not their product.

    Returns
    -------
    Band
        Clamp force. [N]
    """
    high, nominal, low = (
        clamp_force(torque, geometry, bearing_diameter, thread, head)
        for thread, head in friction.corners()
    )
    return _with_scatter(Band(low, nominal, high), scatter)


def _with_scatter(band: Band, scatter: Scatter | None) -> Band:
    if scatter is None:
        return band
    low, high = preload_band(band.nominal, scatter.high)
    return Band(min(band.low, low), band.nominal, max(band.high, high))


@dataclass(frozen=True, slots=True)
class TorqueForClamp:
    """Torque and the clamp force it is for, over a friction range [N·m, N].

    `safe_torque` is the torque for the lowest friction: at any friction in the range it
    does not go past the use or clamp force asked for.
    """

    torque: Band
    force: Band
    safe_torque: float


def torque_for_use(
    use: float,
    yielding: float,
    geometry: ThreadGeometry,
    bearing_diameter: float,
    friction: ThreadAndHead,
    scatter: Scatter | None = None,
) -> TorqueForClamp:
    """Torque and clamp force that use a share of yield under tension and torsion together.

    Parameters
    ----------
    use : float
        Share of R_p0.2 used, as in `assembly_preload`. [-]
    yielding : float
        R_p0.2 or lower yield point. [Pa]
    geometry, bearing_diameter, friction, scatter
        As in `clamp_band`.

    Returns
    -------
    TorqueForClamp
        At higher friction the torque is higher and the clamp force lower.
    """
    forces = [assembly_preload(use, yielding, geometry, t) for t, _ in friction.corners()]
    return _torque_for(forces, geometry, bearing_diameter, friction, scatter)


def torque_for_clamp(
    force: float,
    geometry: ThreadGeometry,
    bearing_diameter: float,
    friction: ThreadAndHead,
    scatter: Scatter | None = None,
) -> TorqueForClamp:
    """Torque for a wanted clamp force [N], over a friction range; as `torque_for_use`."""
    return _torque_for([force] * 3, geometry, bearing_diameter, friction, scatter)


def _torque_for(
    forces: list[float],
    geometry: ThreadGeometry,
    bearing_diameter: float,
    friction: ThreadAndHead,
    scatter: Scatter | None,
) -> TorqueForClamp:
    torques = [
        tightening_torque(force, geometry, bearing_diameter, thread, head).total
        for force, (thread, head) in zip(forces, friction.corners(), strict=True)
    ]
    return TorqueForClamp(
        torque=Band(torques[0], torques[1], torques[2]),
        force=_with_scatter(Band(forces[2], forces[1], forces[0]), scatter),
        safe_torque=torques[0],
    )


def wanted_preload(proof_load: float, practice: str) -> float:
    """Clamp force wanted: 0.75 of proof load if reusable, 0.90 if permanent [N].

    Raises
    ------
    RefusalError
        If the practice is neither.

    References
    ----------
    .. [1] Budynas and Nisbett, solutions to Shigley 8th ed., ch. 8, eqs 8-30 and 8-31.
    """
    share = PROOF_SHARES.get(practice)
    if share is None:
        raise RefusalError(
            f"'{practice}' is not a practice known here", f"choose {' or '.join(PROOF_SHARES)}"
        )
    return share * proof_load


def clamp_force_bands(
    torque: ArrayLike,
    pitch: ArrayLike,
    pitch_diameter: ArrayLike,
    bearing_diameter: ArrayLike,
    friction_low: ArrayLike,
    friction_high: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Clamp force bands of many bolts at once, 60° threads, one friction for both faces.

    Parameters
    ----------
    torque : array_like
        Tightening torques. [N·m]
    pitch, pitch_diameter, bearing_diameter : array_like
        Sizes, broadcast against the torques. [m]
    friction_low, friction_high : array_like
        Ends of the friction range. [-]

    Returns
    -------
    tuple of arrays
        Low, nominal and high clamp force. [N]

    Raises
    ------
    RefusalError
        If a size, torque or friction is not above zero, or a range is upside down.

    Notes
    -----
    The same formula and constants as `clamp_force` (VDI 2230).
    """
    import numpy as np

    low, high = np.asarray(friction_low, float), np.asarray(friction_high, float)
    columns = [np.asarray(c, float) for c in (torque, pitch, pitch_diameter, bearing_diameter)]
    if not (all(np.all(c > 0.0) for c in columns) and np.all(low > 0.0) and np.all(low <= high)):
        raise RefusalError(
            "a torque, size or friction is not above zero, or a range is upside down",
            "check the columns",
        )
    turning, lead, middle, ring = columns
    base = VDI_PITCH * lead
    slope = VDI_THREAD * middle + ring / 2.0
    return (
        turning / (base + slope * high),
        turning / (base + slope * ((low + high) / 2.0)),
        turning / (base + slope * low),
    )
