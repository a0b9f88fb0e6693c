"""Work units: how much thinking a plan may cost, counted instead of timed.

The same input must give the same answer on a slow machine and on a fast one, so nothing
in planning looks at a clock. Searches count what they touch; when the budget is spent
they stop and say so.
"""

from __future__ import annotations

DEFAULT_BUDGET = 20_000_000
"""About half a minute: a unit is one way looked at once, a microsecond or two."""


class OutOfWorkUnits(Exception):  # noqa: N818  (it is a named outcome, not an error)
    """The budget is spent; whoever set it turns this into a named outcome."""


class Meter:
    """Counts work units and stops the search that overspends.

    Parameters
    ----------
    budget : int
        Units that may be spent. [work units]
    """

    __slots__ = ("budget", "used")

    def __init__(self, budget: int = DEFAULT_BUDGET) -> None:
        self.budget = budget
        self.used = 0

    def spend(self, units: int) -> None:
        """Count some work.

        Raises
        ------
        OutOfWorkUnits
            When more has been used than the budget allows.
        """
        self.used += units
        if self.used > self.budget:
            raise OutOfWorkUnits
