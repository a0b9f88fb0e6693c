"""Passes and stages: a group is tightened bit by bit, every bolt before the next bit."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from witnessmark.engineering.fastening.orders import TighteningOrder
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.tightness import Tightness
from witnessmark.quantities.units import Dimension

# Shares of the final torque by practice. Flange: gasket maker procedure, and an article on
# ASME PCC-1 appendix F; legacy: ASME PCC-1 Table 2, from memory, middle of its ranges.
FLANGE_SHARES = (0.30, 0.60, 1.00)
LEGACY_SHARES = (0.25, 0.60, 1.00)


@dataclass(frozen=True, slots=True)
class Pass:
    """One round over every bolt of a group.

    Either a torque [N·m] or an angle [degrees] is set. `again` is a last round at full
    torque until nothing moves.
    """

    number: int
    names: tuple[str, ...]
    torque: float | None
    angle: float | None
    words: str
    again: bool = False


def tightening_passes(
    order: TighteningOrder,
    tightness: Tightness,
    *,
    shares: tuple[float, ...] = (1.0,),
    last_round: tuple[str, ...] | None = None,
) -> tuple[Pass, ...]:
    """Turn an order and a tightness into rounds over all the bolts.

    Parameters
    ----------
    order : TighteningOrder
        The order of the group.
    tightness : Tightness
        Torque and angle stages, each done on every bolt before the next begins.
    shares : tuple of float
        Shares of the first torque stage, rising, the last one 1. `FLANGE_SHARES` for flanges
        and gaskets.
    last_round : tuple of str, optional
        Names round the joint for a last round at the final torque until no nut moves. Only
        for a torque without an angle after it.

    Returns
    -------
    tuple of Pass
        Rounds in order.

    Raises
    ------
    RefusalError
        If the tightness is a word, the shares do not rise to 1, or a last round is asked
        for after an angle.

    References
    ----------
    .. [1] US Army TM 10-3930-669-20, app. E: all screws in turn at every torque and angle
       stage. Flange shares: gasket maker procedure.
    """
    _refuse_shares(shares)
    if not tightness.stages:
        raise RefusalError(f"'{tightness}' has no torque", "a word is done once, in the same order")
    torques = [s for s in tightness.stages if s.dimension is Dimension.TORQUE]
    angled = len(torques) < len(tightness.stages)
    if last_round is not None and angled:
        raise RefusalError("a round at torque cannot follow an angle", "leave out the last round")
    first = float(torques[0].si)
    rounds: list[tuple[float | None, float | None, str]] = [
        (share * first, None, str(torques[0]) if share == 1.0 else f"{share:.0%} of {torques[0]}")
        for share in shares
    ]
    for stage in tightness.stages[1:]:
        turn = stage.dimension is Dimension.ANGLE
        value = float(stage.si)
        rounds.append((None, value, f"a further {stage}") if turn else (value, None, str(stage)))
    passes = [
        Pass(number, order.names, torque, angle, words)
        for number, (torque, angle, words) in enumerate(rounds, start=1)
    ]
    if last_round is not None:
        words = f"{torques[-1]} round the joint until no bolt moves"
        passes.append(
            Pass(len(passes) + 1, last_round, float(torques[-1].si), None, words, again=True)
        )
    return tuple(passes)


def _refuse_shares(shares: tuple[float, ...]) -> None:
    rising = all(a < b for a, b in pairwise(shares))
    if not shares or shares[0] <= 0.0 or shares[-1] != 1.0 or not rising:
        raise RefusalError("the shares do not rise to 1", "write them like 0.3, 0.6, 1")


def slackening_passes(order: TighteningOrder) -> tuple[Pass, ...]:
    """Slacken in stages: crack each a quarter turn, then half, then out.

    `order` is a slackening order. General engine practice, from memory: a head or cover let
    go at once on one side bends.
    """
    return (
        Pass(1, order.names, None, -90.0, "crack each a quarter turn"),
        Pass(2, order.names, None, -180.0, "half a turn more"),
        Pass(3, order.names, None, None, "out by hand"),
    )
