"""Does this torque suit this bolt? The band of torques that could make sense."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.fastening.preload import ThreadAndHead
from witnessmark.engineering.fastening.strength import Strength
from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.fastening.tightening import tightening_torque
from witnessmark.engineering.refusal import RefusalError

# Our own rule, no source: where a joint states no least wanted clamp, a fifth of proof load
# counts as the least. It only ever raises a question; every table of torques by class in the tests
# lies above it.
LEAST_SHARE_OF_PROOF = 0.2


@dataclass(frozen=True, slots=True)
class PlausibleTorque:
    """The torques that could make sense for a bolt [N·m, N].

    From holding `least_clamp` at the lowest friction to reaching `proof_load` at the highest.
    `low` is 0 for a torque that an angle follows: it only makes the bolt snug.
    """

    low: float
    high: float
    least_clamp: float
    proof_load: float
    words: str

    def judge(self, torque: float) -> str | None:
        """Say why a torque [N·m] is implausible, band shown; None when it is plausible."""
        if self.low <= torque <= self.high:
            return None
        side = "too little" if torque < self.low else "too much"
        return f"{torque:.4g} N·m is {side} for this bolt: {self.words}"


def plausible_torque(
    geometry: ThreadGeometry,
    bearing_diameter: float,
    strength: Strength,
    friction: ThreadAndHead,
    *,
    least_clamp: float | None = None,
    angle_follows: bool = False,
) -> PlausibleTorque:
    """Give the band outside which a torque is implausible.

    Parameters
    ----------
    geometry : ThreadGeometry
        The thread.
    bearing_diameter : float
        Mean bearing diameter. [m]
    strength : Strength
        The class or grade in this size.
    friction : ThreadAndHead
        Friction range of the stated surface.
    least_clamp : float, optional
        The joint's least wanted clamp force; a fifth of proof load when not stated (our own
        rule, said in the words). [N]
    angle_follows : bool
        The torque is followed by an angle, so it has no lower end.

    Returns
    -------
    PlausibleTorque
        Band, loads and words that show them.

    Raises
    ------
    RefusalError
        If the least wanted clamp is above proof load or not above zero.
    """
    proof_load = strength.proof_load(geometry)
    stated = least_clamp is not None
    least = LEAST_SHARE_OF_PROOF * proof_load if least_clamp is None else least_clamp
    if not 0.0 < least <= proof_load:
        raise RefusalError(
            f"a least clamp of {least / 1000:.4g} kN does not lie between nothing and the proof "
            f"load of {proof_load / 1000:.4g} kN",
            "check clamp, class and size",
        )
    slippery, _, rough = friction.corners()
    low = tightening_torque(least, geometry, bearing_diameter, *slippery).total
    high = tightening_torque(proof_load, geometry, bearing_diameter, *rough).total
    if angle_follows:
        low = 0.0
    start = "0" if angle_follows else f"{low:.3g}"
    clamp = f"{least / 1000:.3g} kN" + ("" if stated else " (a fifth of proof load, our own rule)")
    words = (
        f"plausible from {start} to {high:.3g} N·m for {geometry.thread.designation} "
        f"{strength.name}, {friction}: from "
        + ("snug before an angle" if angle_follows else f"holding {clamp}")
        + f" to proof load {proof_load / 1000:.3g} kN"
    )
    return PlausibleTorque(low, high, least, proof_load, words)
