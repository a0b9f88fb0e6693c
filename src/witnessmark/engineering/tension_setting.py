"""How a maker has a belt tensioned: set, turn, slacken, set again, as plain data.

A setting is as many acts as the maker gives, each with what is read, at what belt
temperature, where the pointer ends and which way it turns. What was done is written beside
it, and the two are compared act by act.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.tension import Band


class Act(StrEnum):
    """What is done in one act of a setting."""

    SET = "set"
    TURN = "turn"
    SLACKEN = "slacken"
    CHECK = "check"


class Gauge(StrEnum):
    """What is read; the value names the unit of the band."""

    FREQUENCY = "Hz"
    TORQUE = "N·m"
    TENSION = "N"
    FORCE = "N across"
    DEFLECTION = "m"
    POINTER = "pointer only"


class Direction(StrEnum):
    """Which way, always as seen at the pulley end."""

    CLOCKWISE = "clockwise at the pulley end"
    ANTICLOCKWISE = "anticlockwise at the pulley end"


@dataclass(frozen=True, slots=True)
class SettingAct:
    """One act as the maker gives it; what the maker does not give is None.

    `reading` is in the unit of `gauge`; `belt_temperature` [°C] lowest and highest; `turns`
    of the crank; `pointer` where it ends, in the maker's words; `stand` [s] before reading.
    """

    act: Act
    source: str
    gauge: Gauge | None = None
    reading: Band | None = None
    belt_temperature: tuple[float, float] | None = None
    pointer: str | None = None
    direction: Direction | None = None
    turns: float | None = None
    stand: float | None = None
    hold_while: str | None = None

    def __post_init__(self) -> None:
        """Refuse an act that says nothing to do."""
        if not self.source:
            raise RefusalError(f"the act '{self.act}' names no source", "say whose figure it is")
        if self.act is Act.TURN and (self.turns is None or self.direction is None):
            raise RefusalError("a turn needs turns and a direction", "write both")
        reads = self.act in {Act.SET, Act.CHECK}
        if reads and self.reading is None and self.pointer is None:
            raise RefusalError(
                f"the act '{self.act}' reads nothing", "give a band or where the pointer ends"
            )
        if self.reading is not None and self.gauge in {None, Gauge.POINTER}:
            raise RefusalError("a reading without its gauge", "say what is read and in what unit")


@dataclass(frozen=True, slots=True)
class Setting:
    """All acts of tensioning one belt, in order."""

    belt: str
    acts: tuple[SettingAct, ...]

    def __post_init__(self) -> None:
        """Refuse a setting that never sets, or leaves the belt slack."""
        if not any(act.act is Act.SET for act in self.acts):
            raise RefusalError(f"{self.belt} is never set", "give at least one act that sets it")
        last = [a.act for a in self.acts if a.act in {Act.SET, Act.SLACKEN}][-1]
        if last is Act.SLACKEN:
            raise RefusalError(f"{self.belt} is left slack", "the last act must set it")


@dataclass(frozen=True, slots=True)
class Done:
    """One act as it was done; None for what was not looked at."""

    act: Act
    reading: Band | None = None
    belt_temperature: float | None = None
    pointer: str | None = None
    direction: Direction | None = None
    turns: float | None = None
    stood: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing about one act: `place` counts from 1; `settled` is False while it is open."""

    place: int
    settled: bool
    words: str


def compare(setting: Setting, done: Sequence[Done]) -> tuple[Finding, ...]:
    """Compare what was done with what the maker gives, act by act.

    Parameters
    ----------
    setting : Setting
        The maker's acts.
    done : sequence of Done
        What was done, in order.

    Returns
    -------
    tuple of Finding
        A reading only settles when its whole band lies inside the maker's; one that
        straddles an end is "not decided".
    """
    findings: list[Finding] = []
    for place, wanted in enumerate(setting.acts, start=1):
        if place > len(done):
            findings.append(Finding(place, settled=False, words=f"'{wanted.act}' not done yet"))
            continue
        found = done[place - 1]
        if found.act is not wanted.act:
            words = (
                f"'{found.act}' was done where '{wanted.act}' is due: begin again at act {place}"
            )
            return (*findings, Finding(place, settled=False, words=words))
        open_words = _differences(wanted, found)
        findings += [Finding(place, settled=False, words=w) for w in open_words]
        if not open_words:
            findings.append(Finding(place, settled=True, words=f"'{wanted.act}' as given"))
    for place in range(len(setting.acts) + 1, len(done) + 1):
        words = f"'{done[place - 1].act}' was done after the last act: read the tension again"
        findings.append(Finding(place, settled=False, words=words))
    return tuple(findings)


def is_tensioned(setting: Setting, done: Sequence[Done]) -> bool:
    """Whether every act is done as the maker gives it."""
    return all(finding.settled for finding in compare(setting, done))


def _differences(wanted: SettingAct, found: Done) -> list[str]:
    said = [
        _reading_words(wanted, found),
        _temperature_words(wanted, found),
        _same_words("pointer", wanted.pointer, found.pointer),
        _same_words("direction", wanted.direction, found.direction),
        _at_least_words("turns", wanted.turns, found.turns, "turns"),
        _at_least_words("standing", wanted.stand, found.stood, "s"),
    ]
    return [words for words in said if words]


def _reading_words(wanted: SettingAct, found: Done) -> str | None:
    if wanted.reading is None:
        return None
    due = f"{wanted.reading.low:g} to {wanted.reading.high:g} {wanted.gauge}"
    if found.reading is None:
        return f"reading missing: {due} is due"
    if wanted.reading.holds(found.reading):
        return None
    was = f"{found.reading.nominal:g} ({found.reading.low:g} to {found.reading.high:g})"
    if wanted.reading.apart_from(found.reading):
        return f"reads {was}, {due} is due: set again"
    return f"not decided: {was} straddles the end of {due}; read closer"


def _temperature_words(wanted: SettingAct, found: Done) -> str | None:
    if wanted.belt_temperature is None:
        return None
    low, high = wanted.belt_temperature
    if found.belt_temperature is None:
        return f"belt temperature missing: {low:g} to {high:g} °C is due"
    if low <= found.belt_temperature <= high:
        return None
    return f"belt at {found.belt_temperature:g} °C, {low:g} to {high:g} °C is due: let it stand"


def _same_words(what: str, wanted: str | None, found: str | None) -> str | None:
    if wanted is None or found == wanted:
        return None
    return f"{what}: '{found or 'not looked at'}', '{wanted}' is due"


def _at_least_words(what: str, wanted: float | None, found: float | None, unit: str) -> str | None:
    if wanted is None or (found is not None and found >= wanted):
        return None
    return f"{what}: {'none written' if found is None else f'{found:g} {unit}'}, {wanted:g} due"
