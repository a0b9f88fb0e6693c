"""The torque wrench: what to set with an adapter on, and which wrench may be used."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from witnessmark.engineering.refusal import RefusalError, require_above_zero

# A setting wrench is not used below this share of its maximum. From memory; older practice.
# The 2017 edition of ISO 6789 starts the range at the lowest mark.
LOWEST_SHARE = 0.20
# ISO 6789 default interval between checks. From memory.
CHECK_MONTHS = 12
CHECK_POINTS = (0.20, 0.60, 1.00)


def effective_lever(length: float, adapter: float, angle: float) -> float:
    """Lever of wrench and adapter together: L + E cos a [m].

    Parameters
    ----------
    length : float
        From the drive centre to the middle of the grip, L. [m]
    adapter : float
        From the drive centre to the middle of the bolt, E. [m]
    angle : float
        0 points straight out, 90 across, 180 back towards the grip, a. [degrees]

    Returns
    -------
    float
        The effective lever. [m]

    Raises
    ------
    RefusalError
        If the length is not above zero, the angle is no number, or the adapter reaches back
        to the grip.

    References
    ----------
    .. [1] US Army TM 9-254, figs 4-5 and 4-6 (straight case L + E; the angled figure is
       unclear in the copy read, L + E cos a is what the straight case comes from).
    """
    require_above_zero(length, "the length of the wrench")
    if adapter < 0.0:
        raise RefusalError("an adapter cannot be shorter than nothing", "use the angle instead")
    if not math.isfinite(angle):
        raise RefusalError(f"an angle of {angle:g}° points nowhere", "give 0 to 180 degrees")
    quarter_turns = angle / 90.0
    cosine = math.cos(math.radians(angle))
    if quarter_turns == int(quarter_turns):
        cosine = (1.0, 0.0, -1.0, 0.0)[int(quarter_turns) % 4]
    lever = length + adapter * cosine
    if lever <= 1e-9:
        raise RefusalError(
            "the adapter reaches back to the grip", "no setting can serve; turn it outwards"
        )
    return lever


def wrench_setting(torque: float, length: float, adapter: float, angle: float) -> float:
    """Give what to set so that the bolt gets a torque through an adapter.

    Parameters
    ----------
    torque : float
        Wanted at the bolt. [N·m]
    length, adapter, angle : float
        As in `effective_lever`. [m, m, degrees]

    Returns
    -------
    float
        T L/(L + E cos a). [N·m]

    References
    ----------
    .. [1] US Navy NAVEDTRA 14315, figs 3-43 to 3-45.
    """
    require_above_zero(torque, "the torque")
    return torque * length / effective_lever(length, adapter, angle)


def torque_at_bolt(setting: float, length: float, adapter: float, angle: float) -> float:
    """Give what reaches the bolt at a setting: S (L + E cos a)/L [N·m].

    Parameters as in `wrench_setting`.

    References
    ----------
    .. [1] US Army TM 9-254, figs 4-5 and 4-6.
    """
    require_above_zero(setting, "the setting")
    return setting * effective_lever(length, adapter, angle) / length


def permissible_deviation(setting: float) -> float:
    """Share a checked setting wrench may be off: 6 % to 10 N·m, 4 % above [-].

    References
    ----------
    .. [1] ISO 6789, adjustable scale, type II class A, as in a tool maker's guide, p. 5.
    """
    return 0.06 if setting <= 10.0 else 0.04


@dataclass(frozen=True, slots=True)
class Wrench:
    """A torque wrench of a workshop's list [N·m, m].

    `shows_value` is True for a dial, beam or display that shows the torque while it is held.
    `check_due` is None when nobody wrote it down.
    """

    name: str
    lowest: float
    highest: float
    length: float | None = None
    check_due: date | None = None
    shows_value: bool = False


@dataclass(frozen=True, slots=True)
class WrenchChoice:
    """One wrench against one step. `reasons` is empty when it may be used [N·m]."""

    wrench: Wrench
    setting: float | None
    reasons: tuple[str, ...]

    @property
    def serves(self) -> bool:
        """Whether the wrench may be used."""
        return not self.reasons


def judge_wrench(
    wrench: Wrench,
    torque: float,
    on: date,
    *,
    adapter: float = 0.0,
    angle: float = 0.0,
    must_show_value: bool = False,
) -> WrenchChoice:
    """Say whether a wrench serves a torque on a day, and what to set.

    Parameters
    ----------
    wrench : Wrench
        The wrench.
    torque : float
        Wanted at the bolt. [N·m]
    on : date
        The day of use, given by the caller.
    adapter, angle : float
        As in `effective_lever`. [m, degrees]
    must_show_value : bool
        The step is a setting held while something else is tightened (a tensioner), so the
        wrench must show its value.

    Returns
    -------
    WrenchChoice
        Setting and every reason against it.
    """
    reasons: list[str] = []
    setting: float | None = torque
    if adapter > 0.0:
        if wrench.length is None:
            setting = None
            reasons.append("its length is not known, so the adapter cannot be allowed for")
        else:
            setting = wrench_setting(torque, wrench.length, adapter, angle)
    if setting is not None:
        reasons += _out_of_range(wrench, setting)
    if wrench.check_due is None:
        reasons.append("no check date is known")
    elif wrench.check_due < on:
        reasons.append(f"its check was due {wrench.check_due.isoformat()}")
    if must_show_value and not wrench.shows_value:
        reasons.append("it does not show its value while it is held")
    return WrenchChoice(wrench, setting, tuple(reasons))


def _out_of_range(wrench: Wrench, setting: float) -> list[str]:
    shown = f"{setting:.4g} N·m"
    if setting > wrench.highest:
        return [f"{shown} is above its {wrench.highest:g} N·m"]
    if setting < wrench.lowest:
        return [f"{shown} is below its {wrench.lowest:g} N·m"]
    if not wrench.shows_value and setting < LOWEST_SHARE * wrench.highest:
        return [f"{shown} is below a fifth of its {wrench.highest:g} N·m"]
    return []


def choose_wrench(
    wrenches: tuple[Wrench, ...],
    torque: float,
    on: date,
    *,
    adapter: float = 0.0,
    angle: float = 0.0,
    must_show_value: bool = False,
) -> tuple[WrenchChoice, ...]:
    """Judge every wrench, the ones that serve first, the best placed in its range foremost.

    A torque in the middle of the range comes before one at its ends. Parameters as in
    `judge_wrench`.
    """

    def misplaced(choice: WrenchChoice) -> float:
        middle = (choice.wrench.lowest + choice.wrench.highest) / 2.0
        return abs((choice.setting or 0.0) - middle) / choice.wrench.highest

    judged = [
        judge_wrench(w, torque, on, adapter=adapter, angle=angle, must_show_value=must_show_value)
        for w in wrenches
    ]
    return tuple(sorted(judged, key=lambda c: (not c.serves, misplaced(c), c.wrench.name)))
