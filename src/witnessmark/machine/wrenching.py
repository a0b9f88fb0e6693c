"""Which torque wrench of a workshop's list serves a torque, and what to set on it.

The bridge from workshop files to `engineering.fastening.wrench`. The day of use is handed
in; without one, no wrench is called overdue.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from witnessmark.engineering.fastening import wrench as sums
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.model import Way
from witnessmark.machine.workshop import Adapter, Workshop, Wrench
from witnessmark.quantities.reading import Quantity, format_number
from witnessmark.quantities.units import BY_NAME, unit_named

NO_WRENCHES = "the list is empty"


@dataclass(frozen=True, slots=True)
class WrenchUse:
    """A wrench that serves a torque: what it is set to, in newton metres."""

    wrench: Wrench
    adapter: Adapter | None
    setting: Fraction
    check_due: date | None

    @property
    def words(self) -> str:
        """Print as `long wrench with crowfoot 17 mm, set 91 N·m; check due 2027-03-02`."""
        with_adapter = f" with {self.adapter.name}" if self.adapter is not None else ""
        due = (
            f"check due {self.check_due.isoformat()}"
            if self.check_due is not None
            else "no check date known"
        )
        return f"{self.wrench.name}{with_adapter}, set {self.setting_text}; {due}"

    @property
    def setting_text(self) -> str:
        """The setting as it is read on the scale, with N·m beside another unit."""
        newton_metres = f"{_three(self.setting)} N·m"
        unit = unit_named(self.wrench.unit)
        if unit is None or unit.symbol == "N·m":
            return newton_metres
        own = Quantity(self.setting, BY_NAME["N·m"]).in_unit(unit.symbol)
        return f"{_three(own)} {unit.symbol} ({newton_metres})"


def _three(number: Fraction) -> str:
    """Give a setting to a tenth below 100 and whole above, finer than any scale."""
    return format_number(number, 1 if number < 100 else 0)


def check_due(wrench: Wrench) -> date | None:
    """Give the day a wrench's next check is due: as written, or a year after the last.

    References
    ----------
    .. [1] ISO 6789: 12 months unless the workshop has its own interval (from memory).
    """
    if wrench.due is not None:
        return date.fromisoformat(wrench.due)
    if wrench.checked is None:
        return None
    last = date.fromisoformat(wrench.checked)
    year = last.year + 1
    if year > date.max.year:
        return date.max
    leap_day = (last.month, last.day) == (2, 29)
    return last.replace(year=year, day=28 if leap_day else last.day)


def adapter_on(tools: Iterable[str], workshop: Workshop) -> Adapter | None:
    """Give the adapter of the workshop's list among the tools of a step, by its name."""
    by_name = {adapter.name.lower(): adapter for adapter in workshop.adapters}
    return next((by_name[t.lower()] for t in tools if t.lower() in by_name), None)


def adapter_of(way: Way, workshop: Workshop) -> Adapter | None:
    """Give the adapter a way asks for, as its tool or among its aids."""
    tools = (way.tool, *way.aids) if way.tool is not None else way.aids
    return adapter_on(tools, workshop)


def _judged(
    torque: Fraction,
    workshop: Workshop,
    on: date | None,
    adapter: Adapter | None,
    *,
    must_show_value: bool,
) -> Iterator[tuple[Wrench, sums.WrenchChoice]]:
    for wrench in workshop.wrenches:
        if adapter is not None and not goes_on(adapter, wrench):
            continue
        due = check_due(wrench)
        tool = sums.Wrench(
            wrench.name,
            float(wrench.low),
            float(wrench.high),
            None if wrench.length is None else float(wrench.length),
            # Without a day, or without a date, nothing is called overdue.
            check_due=date.max if on is None or due is None else due,
            shows_value=wrench.shows_value,
        )
        try:
            choice = sums.judge_wrench(
                tool,
                float(torque),
                on or date.min,
                adapter=0.0 if adapter is None else float(adapter.length),
                angle=0.0 if adapter is None else float(adapter.at),
                must_show_value=must_show_value,
            )
        except RefusalError as error:
            choice = sums.WrenchChoice(tool, None, (error.what,))
        yield wrench, choice


def goes_on(adapter: Adapter, wrench: Wrench) -> bool:
    """Whether the squares of adapter and wrench are the same; unsaid ones are taken to be."""
    return adapter.drive is None or wrench.drive is None or adapter.drive == wrench.drive


def wrenches_serving(
    torque: Quantity,
    workshop: Workshop,
    *,
    on: date | None = None,
    adapter: Adapter | None = None,
    must_show_value: bool = False,
) -> tuple[WrenchUse, ...]:
    """Give the wrenches that serve a torque, the one with the narrowest range first.

    Parameters
    ----------
    torque : Quantity
        Wanted at the bolt.
    workshop : Workshop
        The list.
    on : date, optional
        The day of use; a wrench whose check was due before it does not serve.
    adapter : Adapter, optional
        What stands between wrench and bolt.
    must_show_value : bool
        The torque is a setting, held while something else is tightened.
    """
    if torque.si <= 0:
        return ()
    found = [
        WrenchUse(wrench, adapter, _setting(torque.si, wrench, adapter), check_due(wrench))
        for wrench, choice in _judged(
            torque.si, workshop, on, adapter, must_show_value=must_show_value
        )
        if choice.serves
    ]
    return tuple(sorted(found, key=lambda u: (u.wrench.high - u.wrench.low, u.wrench.id)))


def _setting(torque: Fraction, wrench: Wrench, adapter: Adapter | None) -> Fraction:
    if adapter is None or wrench.length is None:
        return torque
    setting = sums.wrench_setting(
        float(torque), float(wrench.length), float(adapter.length), float(adapter.at)
    )
    return Fraction(setting).limit_denominator(10**9)


def why_none_serves(
    torque: Quantity,
    workshop: Workshop,
    *,
    on: date | None = None,
    adapter: Adapter | None = None,
    must_show_value: bool = False,
) -> str:
    """Say of every wrench why it does not serve a torque; the nearest first."""
    if not workshop.wrenches:
        return NO_WRENCHES
    judged = list(_judged(torque.si, workshop, on, adapter, must_show_value=must_show_value))
    if not judged:
        return f"{adapter.name if adapter else 'it'} goes on no wrench of the list"
    judged.sort(key=lambda pair: (len(pair[1].reasons), _far(torque.si, pair[0])))
    return "; ".join(_reasons(choice) for _, choice in judged[:3])


def _reasons(choice: sums.WrenchChoice) -> str:
    return f"{choice.wrench.name}: {' and '.join(choice.reasons)}"


def _far(torque: Fraction, wrench: Wrench) -> Fraction:
    return max(wrench.low - torque, torque - wrench.high, Fraction(0))
