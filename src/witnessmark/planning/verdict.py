"""How good a plan is and how sure that is, in words."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from witnessmark.planning.job import share
from witnessmark.planning.planner import PlanResult
from witnessmark.quantities.duration import minutes_text


def verdict_lines(result: PlanResult) -> Iterator[str]:
    """Say how good the plan is, and how sure that is."""
    assert result.total_cost is not None, "asked only of a result with a plan"
    total, bound = minutes_text(result.total_cost), minutes_text(result.total_bound)
    if result.gap == 0:
        yield f"{total}: shortest by the minutes and prices in this file, proven"
        return
    yield f"{total}: shortest found by the minutes and prices in this file; none is below {bound}"
    access = "proven" if result.access_proven else "not proven"
    yield f"gap {share(result.gap)}; what comes off is {access}{_changeover_gap(result)}"


def _changeover_gap(result: PlanResult) -> str:
    """Say how far the minutes for changing place and tool may be from their least."""
    if not result.changeover_cost:
        return ""
    spare = result.changeover_cost - result.changeover_bound
    gap = share(Fraction(spare, result.changeover_cost))
    return f"; on change-over minutes alone the gap is {gap} ({minutes_text(spare)})"
