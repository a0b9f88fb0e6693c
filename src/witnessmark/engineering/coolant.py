"""Coolant strength: which glycol, how much by mass or by volume, and when it freezes.

Percent by mass and percent by volume differ by two to three points for ethylene glycol, so
every figure here says which it is. The sources differ too, by 1.6 K at 40 % and 2.9 K at
60 % of ethylene glycol; the warmer figure is the one to rely on.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from witnessmark.engineering import coolant_tables as tables
from witnessmark.engineering.coolant_curve import straight, through
from witnessmark.engineering.refusal import RefusalError

CAUTIONS = (
    "Glycol is poisonous and tastes sweet: drip trays, no open tins, children and animals away.",
    "A field refractometer reads the glycol that is there; a bottle's label does not.",
)
_TIE = 0.005


class Glycol(StrEnum):
    """The two glycols the tables are for; the value is the word on the command line."""

    ETHYLENE = "ethylene"
    PROPYLENE = "propylene"


@dataclass(frozen=True, slots=True)
class Sourced:
    """A figure and the source that gives it."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Freezing:
    """Freezing points [°C] of one strength; `figures` holds one for each source that reaches it.

    `mass_percent` is what was looked up; `volume_percent` the ASHRAE pair to it.
    """

    glycol: Glycol
    mass_percent: float
    volume_percent: float
    figures: tuple[Sourced, ...]

    @property
    def warmest(self) -> Sourced:
        """The figure to rely on: the source that says it freezes first."""
        high = max(figure.value for figure in self.figures)
        return next(figure for figure in self.figures if figure.value > high - _TIE)

    @property
    def low(self) -> float:
        """Coldest figure of the sources [°C]."""
        return min(figure.value for figure in self.figures)

    @property
    def high(self) -> float:
        """Warmest figure of the sources [°C]."""
        return self.warmest.value


def mass_percent(glycol: Glycol, volume_percent: float) -> float:
    """Turn percent by volume into percent by mass, by the ASHRAE pairs.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    volume_percent : float
        Percent by volume. [%]

    Returns
    -------
    float
        Percent by mass. [%]

    Raises
    ------
    RefusalError
        Outside the pairs: above 57.8 % (ethylene) or 60 % (propylene) by volume.
    """
    pairs = [(volume, mass) for mass, volume, _ in _ashrae(glycol)]
    _require_within(volume_percent, pairs[-1][0], "by volume")
    return straight(pairs, volume_percent)


def volume_percent(glycol: Glycol, mass_percent: float) -> float:
    """Turn percent by mass into percent by volume, by the ASHRAE pairs.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    mass_percent : float
        Percent by mass. [%]

    Returns
    -------
    float
        Percent by volume. [%]

    Raises
    ------
    RefusalError
        Outside 0 to 60 % by mass.
    """
    pairs = [(mass, volume) for mass, volume, _ in _ashrae(glycol)]
    _require_within(mass_percent, pairs[-1][0], "by mass")
    return straight(pairs, mass_percent)


def freezing(glycol: Glycol, mass_percent: float) -> Freezing:
    """Look up the freezing point in every source that reaches the strength.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    mass_percent : float
        Percent by mass. [%]

    Returns
    -------
    Freezing
        Figures of the sources. [°C]

    Raises
    ------
    RefusalError
        Above 60 % by mass. Beyond it the published figures disagree and neat glycol protects
        less, so nothing is extrapolated.

    Notes
    -----
    Tables are read exactly at their points and by a monotone cubic between; the equation is
    evaluated as printed. Sources: see `coolant_tables`.
    """
    volume = volume_percent(glycol, mass_percent)
    figures = [Sourced(through(_ashrae_curve(glycol), mass_percent), tables.ASHRAE)]
    melinder = _melinder(glycol)
    if melinder[0][0] <= mass_percent <= melinder[-1][0]:
        figures.append(Sourced(through(melinder, mass_percent), tables.MELINDER_TABLE))
    off = mass_percent - equation(glycol).strength
    value = sum(c * off**power for power, c in enumerate(equation(glycol).freezing))
    figures.append(Sourced(value, tables.MELINDER_EQUATION))
    return Freezing(glycol, mass_percent, volume, tuple(figures))


def strength_for(glycol: Glycol, celsius: float) -> float:
    """Find the weakest mix that every source says is still liquid at a temperature.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    celsius : float
        Coldest temperature to stand. [°C]

    Returns
    -------
    float
        Percent by mass. [%]

    Raises
    ------
    RefusalError
        If it is colder than the sources reach at 60 % by mass.
    """
    strongest = freezing(glycol, 60.0)
    if celsius < strongest.high:
        raise RefusalError(
            f"{celsius:g} °C is colder than the sources reach ({strongest.high:.1f} °C at 60 % "
            "by mass)",
            "ask the maker of the coolant; more glycol may protect less",
        )
    low, high = 0.0, 60.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if freezing(glycol, middle).high > celsius else (low, middle)
    return high


def equation(glycol: Glycol) -> tables.MelinderEquation:
    """Give the Melinder coefficients of a glycol."""
    if glycol is Glycol.ETHYLENE:
        return tables.ETHYLENE_EQUATION
    return tables.PROPYLENE_EQUATION


def _ashrae(glycol: Glycol) -> tuple[tuple[float, float, float], ...]:
    if glycol is Glycol.ETHYLENE:
        return tables.ETHYLENE_FREEZING
    return tables.PROPYLENE_FREEZING


def _ashrae_curve(glycol: Glycol) -> list[tuple[float, float]]:
    return [(mass, celsius) for mass, _, celsius in _ashrae(glycol)]


def _melinder(glycol: Glycol) -> list[tuple[float, float]]:
    if glycol is Glycol.ETHYLENE:
        return list(tables.MELINDER_ETHYLENE_FREEZING)
    return list(tables.MELINDER_PROPYLENE_FREEZING)


def _require_within(percent: float, most: float, how: str) -> None:
    if not 0.0 <= percent <= most:
        raise RefusalError(
            f"{percent:g} % {how} is outside the sources' 0 to {most:g} %",
            "nothing is extrapolated: beyond it figures disagree and neat glycol protects less",
        )
