"""Density, specific heat and swelling of coolant with temperature."""

from __future__ import annotations

from witnessmark.engineering import coolant_tables as tables
from witnessmark.engineering.coolant import Glycol, Sourced, equation
from witnessmark.engineering.coolant_curve import through
from witnessmark.engineering.refusal import RefusalError, require_above_zero

_Grid = tuple[tuple[float, tuple[float | None, ...]], ...]
_HOTTEST = 100.0


def density(glycol: Glycol, volume_percent: float, celsius: float) -> Sourced:
    """Density of inhibited coolant from the ASHRAE table.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    volume_percent : float
        Percent by volume, 10 to 60. [%]
    celsius : float
        Temperature, from where it is liquid to 100. [°C]

    Returns
    -------
    Sourced
        Density. [kg/m³]

    Raises
    ------
    RefusalError
        Outside the table, or where it stands frozen.
    """
    grid = tables.ETHYLENE_DENSITY if glycol is Glycol.ETHYLENE else tables.PROPYLENE_DENSITY
    return Sourced(_read(grid, volume_percent, celsius), tables.ASHRAE)


def specific_heat(glycol: Glycol, volume_percent: float, celsius: float) -> Sourced:
    """Specific heat of inhibited coolant from the ASHRAE table.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    volume_percent : float
        Percent by volume, 10 to 60. [%]
    celsius : float
        Temperature, from where it is liquid to 100. [°C]

    Returns
    -------
    Sourced
        Specific heat. [J/(kg K)]

    Raises
    ------
    RefusalError
        Outside the table, or where it stands frozen.
    """
    grid = tables.ETHYLENE_HEAT if glycol is Glycol.ETHYLENE else tables.PROPYLENE_HEAT
    return Sourced(_read(grid, volume_percent, celsius), tables.ASHRAE)


def plain_density(glycol: Glycol, mass_percent: float, celsius: float) -> Sourced:
    """Density of plain, uninhibited glycol and water by the Melinder equation.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    mass_percent : float
        Percent by mass, 0 to 60. [%]
    celsius : float
        Temperature up to 100. [°C]

    Returns
    -------
    Sourced
        Density. [kg/m³]

    Raises
    ------
    RefusalError
        Outside the equation's range.
    """
    return Sourced(
        _evaluate(glycol, equation(glycol).density, mass_percent, celsius),
        tables.MELINDER_EQUATION,
    )


def plain_specific_heat(glycol: Glycol, mass_percent: float, celsius: float) -> Sourced:
    """Specific heat of plain, uninhibited glycol and water by the Melinder equation.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    mass_percent : float
        Percent by mass, 0 to 60. [%]
    celsius : float
        Temperature up to 100. [°C]

    Returns
    -------
    Sourced
        Specific heat. [J/(kg K)]

    Raises
    ------
    RefusalError
        Outside the equation's range.
    """
    return Sourced(
        _evaluate(glycol, equation(glycol).heat, mass_percent, celsius), tables.MELINDER_EQUATION
    )


def swollen_volume(
    volume: float, glycol: Glycol, volume_percent: float, cold: float, hot: float
) -> float:
    """Volume a charge takes at another temperature: V2 = V1 rho1 / rho2, mass kept.

    Parameters
    ----------
    volume : float
        Volume at the first temperature. [any unit of volume]
    glycol : Glycol
        Which glycol.
    volume_percent : float
        Percent by volume, 10 to 60. [%]
    cold, hot : float
        First and second temperature. [°C]

    Returns
    -------
    float
        Volume at the second temperature. [the same unit]

    Raises
    ------
    RefusalError
        Outside the ASHRAE density table.
    """
    require_above_zero(volume, "the volume")
    first = density(glycol, volume_percent, cold).value
    return volume * first / density(glycol, volume_percent, hot).value


def _read(grid: _Grid, volume_percent: float, celsius: float) -> float:
    """Read along the temperature in each column, then across the columns."""
    across = []
    for column, percent in enumerate(tables.VOLUME_PERCENTS):
        points = [(t, cell) for t, row in grid if (cell := row[column]) is not None]
        if points[0][0] <= celsius <= points[-1][0]:
            across.append((float(percent), through(points, celsius)))
    if len(across) > 1 and across[0][0] <= volume_percent <= across[-1][0]:
        return through(across, volume_percent)
    if not 10.0 <= volume_percent <= 60.0:
        raise RefusalError(
            f"{volume_percent:g} % by volume is outside the table's 10 to 60 %",
            "nothing is extrapolated",
        )
    raise RefusalError(
        f"at {celsius:g} °C the table has no figure for {volume_percent:g} % by volume",
        "it is frozen, near freezing or above 100 °C there",
    )


def _evaluate(
    glycol: Glycol, coefficients: tuple[float, ...], mass_percent: float, celsius: float
) -> float:
    if not 0.0 <= mass_percent <= tables.MELINDER_MOST:
        raise RefusalError(
            f"{mass_percent:g} % by mass is outside the equation's 0 to 60 %",
            "nothing is extrapolated",
        )
    whole = equation(glycol)
    x = mass_percent - whole.strength
    freezes = sum(c * x**power for power, c in enumerate(whole.freezing))
    if not freezes - 0.05 <= celsius <= _HOTTEST:
        raise RefusalError(
            f"{celsius:g} °C is outside the equation's {freezes:.1f} °C (freezing) to 100 °C",
            "nothing is extrapolated",
        )
    y = celsius - whole.temperature
    terms = zip(coefficients, tables.POWERS, strict=True)
    return sum(c * x**i * y**j for c, (i, j) in terms)
