"""Self-locking nuts: the torque they take of their own, and whether a used one may go on."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.threads import Thread, read_thread

_POUND_INCH = 0.1129848290276167


@dataclass(frozen=True, slots=True)
class FinalTorque:
    """What the wrench must show when the nut drags: wanted + drag [N·m]."""

    least: float
    most: float
    drag: float


def final_torque(least: float, most: float, drag: float) -> FinalTorque:
    """Add the drag measured while running down to the wanted torque [N·m].

    A castle nut starts lining up at the least wanted torque plus drag and never goes past
    the most plus drag; if hole and slot do not meet, another washer or nut.

    Raises
    ------
    RefusalError
        If the torques are upside down or the drag below zero.

    References
    ----------
    .. [1] FAA AC 43.13-1B (9/8/98), para. 7-40.
    """
    if not 0.0 < least <= most:
        raise RefusalError("the wanted torques are upside down", "least first, then most")
    if drag < 0.0:
        raise RefusalError(f"a drag of {drag:g} N·m cannot be", "measure it while running down")
    return FinalTorque(least + drag, most + drag, drag)


# Least breakaway torque of a used self-locking nut, pound-inches. US Army
# TM 10-5430-232-12&P, Table I-2; 5/16-24, 1/2-20 and the sizes above 7/8 from memory of the
# same figures in nut standards.
_BREAKAWAY: dict[str, float] = {
    "#10-32": 2.0, "1/4-28": 3.5, "5/16-24": 6.5, "3/8-24": 9.5, "7/16-20": 14.0,
    "1/2-20": 18.0, "9/16-18": 24.0, "5/8-18": 32.0, "3/4-16": 50.0, "7/8-14": 70.0,
    "1-12": 90.0, "1-14": 92.0, "1 1/8-12": 117.0, "1 1/4-12": 143.0,
}  # fmt: skip
BREAKAWAY_SOURCE = "US Army TM 10-5430-232-12&P, Table I-2"

# Least prevailing torque of re-used self-locking nuts, pound-inches. FAA AC 43.13-1B,
# Table 7-2.
_REUSED: dict[str, float] = {
    "7/16-20": 8, "1/2-20": 10, "9/16-18": 13, "5/8-18": 18, "3/4-16": 27, "7/8-14": 40,
    "1-14": 55, "1 1/8-12": 73, "1 1/4-12": 94, "7/16-14": 8, "1/2-13": 10, "9/16-12": 14,
    "5/8-11": 20, "3/4-10": 27, "7/8-9": 40, "1-8": 51, "1 1/8-8": 68, "1 1/4-8": 88,
}  # fmt: skip
REUSED_SOURCE = "FAA AC 43.13-1B, Table 7-2"


def _row(table: dict[str, float], thread: Thread | str, source: str) -> float:
    given = read_thread(thread) if isinstance(thread, str) else thread
    figure = table.get(given.designation.rsplit(" ", 1)[0])
    if given.family != "unified" or figure is None:
        raise RefusalError(
            f"{source} has no row for {given.designation}", "ask the maker, or fit a new nut"
        )
    return figure * _POUND_INCH


def least_breakaway(thread: Thread | str) -> float:
    """Least breakaway torque of a used self-locking nut [N·m].

    Raises
    ------
    RefusalError
        If the table has no row for the thread.

    References
    ----------
    .. [1] US Army TM 10-5430-232-12&P, Table I-2.
    """
    return _row(_BREAKAWAY, thread, BREAKAWAY_SOURCE)


def least_prevailing(thread: Thread | str) -> float:
    """Least prevailing torque of a re-used self-locking nut on aircraft [N·m].

    Raises
    ------
    RefusalError
        If the table has no row for the thread.

    References
    ----------
    .. [1] FAA AC 43.13-1B (9/8/98), Table 7-2.
    """
    return _row(_REUSED, thread, REUSED_SOURCE)


def judge_used_nut(thread: Thread | str, breakaway: float) -> str:
    """Say whether a used self-locking nut may go back on, from its breakaway torque [N·m]."""
    least = least_breakaway(thread)
    if breakaway < least:
        return f"do not re-use: {breakaway:.2f} N·m is under the least of {least:.2f} N·m"
    return f"grips enough: {breakaway:.2f} N·m against the least of {least:.2f} N·m"
