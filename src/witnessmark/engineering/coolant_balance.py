"""Litres in against litres out, as a test for an airlock."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.engineering.refusal import RefusalError, require_above_zero


class Balance(StrEnum):
    """What litres in against litres out say."""

    AGREES = "agrees"
    SHORT = "air is likely trapped"
    OVER = "more went in than came out"
    NOT_DECIDED = "not decided"


@dataclass(frozen=True, slots=True)
class FillBalance:
    """Litres in against out: `missing` litres and how sure the measuring is [L]."""

    verdict: Balance
    missing: float
    uncertainty: float
    words: str


def airlock_test(
    out: float,
    into: float,
    *,
    uncertainty: float,
    spilt: float = 0.0,
    worth_deciding: float = 0.5,
) -> FillBalance:
    """Compare the litres that went in with those that came out.

    Parameters
    ----------
    out : float
        Litres drained and caught. [L]
    into : float
        Litres poured in. [L]
    uncertainty : float
        How far the two measurements together may be off. [L]
    spilt : float
        Litres lost otherwise: spilt, or taken away in a part that was renewed. [L]
    worth_deciding : float
        A shortfall from which air matters on this engine. [L]

    Returns
    -------
    FillBalance
        A balance that agrees does not replace a hot heater and the cold re-check.

    Raises
    ------
    RefusalError
        For figures below zero.
    """
    require_above_zero(out + spilt, "what came out")
    for name, value in (("what went in", into), ("what was spilt", spilt), ("out", out)):
        if value < 0.0:
            raise RefusalError(f"{name} is below zero", "check the figure")
    require_above_zero(uncertainty, "the uncertainty of the measuring")
    require_above_zero(worth_deciding, "the shortfall that matters")
    missing = out + spilt - into
    verdict, words = _weigh(missing, uncertainty, worth_deciding)
    return FillBalance(verdict, missing, uncertainty, words)


def _weigh(missing: float, uncertainty: float, worth_deciding: float) -> tuple[Balance, str]:
    if missing > uncertainty:
        return Balance.SHORT, (
            f"{missing:.1f} L less went in than came out: air is likely trapped; do not start, "
            "bleed again"
        )
    if missing < -uncertainty:
        return Balance.OVER, (
            f"{-missing:.1f} L more went in than came out: it was low before, had air in it, "
            "or it is leaking; look for it"
        )
    if uncertainty > worth_deciding:
        return Balance.NOT_DECIDED, (
            f"the measuring may be {uncertainty:.1f} L off, too much to tell: measure closer"
        )
    return (
        Balance.AGREES,
        "in agrees with out; the heater must still blow hot and the cold level hold",
    )
