"""The hybrid logical clock of an event: near the wall clock, never behind what was seen.

After Kulkarni, Demirbas and others, "Logical Physical Clocks" (2014): milliseconds of the
wall clock where they have moved on, and a counter where they have not. The clock only settles
the order of events that knew nothing of each other; a wall clock wrong by days does no harm.
"""

from __future__ import annotations

from collections.abc import Iterable

Clock = tuple[int, int]
"""Milliseconds and a counter."""

START: Clock = (0, 0)


def tick(latest: Clock, wall: int) -> Clock:
    """Give the clock of a device's next event.

    Parameters
    ----------
    latest : clock
        The latest the device has written or seen.
    wall : int
        What its wall clock says now. [ms]
    """
    if wall > latest[0]:
        return (wall, 0)
    return (latest[0], latest[1] + 1)


def latest_of(clocks: Iterable[Clock]) -> Clock:
    """Give the latest of the clocks that a device has written or seen."""
    return max(clocks, default=START)
