"""When coolant boils: pressure cap, altitude, and what the glycol adds."""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.coolant import Glycol
from witnessmark.engineering.refusal import RefusalError

ZERO_CELSIUS = 273.15
STANDARD_PRESSURE = 101_325.0
"""Standard sea-level pressure, ISO 2533. [Pa]"""
USUAL_CAPS = (55_000.0, 110_000.0)
"""Usual range of pressure caps, 8 to 16 psi: Auto Upkeep, radiator cap. [Pa]"""

MOLAR_MASS_WATER = 18.02
"""OpenStax, Chemistry, m68783. [g/mol]"""
MOLAR_MASS = {Glycol.ETHYLENE: 62.07, Glycol.PROPYLENE: 76.09}
"""Ethylene glycol C2H6O2: OpenStax, Chemistry, m68783. Propylene glycol C3H8O2: from the
standard atomic weights (76.095). [g/mol]"""
EBULLIOSCOPIC = 0.512
"""Of water: OpenStax, Chemistry, "Colligative Properties", m68783. [K kg/mol]"""

# IAPWS-IF97 (2007), region 4, table 34: coefficients n1 to n10 of the saturation equation.
_N = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
    -0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
    -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip
_LOWEST_PRESSURE, _HIGHEST_PRESSURE = 611.213, 22.064e6


@dataclass(frozen=True, slots=True)
class Boiling:
    """Boiling point at an absolute pressure [Pa].

    `water` [°C] is plain water's and the one to rely on; `mixture` [°C] is the ideal-solution
    estimate for the glycol named, None without glycol.
    """

    absolute: float
    ambient: float
    water: float
    mixture: float | None
    notes: tuple[str, ...]


def saturation_temperature(pressure: float) -> float:
    """Boiling point of water: IAPWS-IF97 region 4, backward equation 31.

    Parameters
    ----------
    pressure : float
        Absolute pressure, 611.213 Pa to 22.064 MPa. [Pa]

    Returns
    -------
    float
        Temperature. [°C]

    Raises
    ------
    RefusalError
        Outside the equation's range.
    """
    if not _LOWEST_PRESSURE <= pressure <= _HIGHEST_PRESSURE:
        raise RefusalError(
            f"{pressure / 1000:g} kPa absolute is outside what the water equation covers",
            "check the unit of the cap",
        )
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = math.sqrt(math.sqrt(pressure / 1e6))
    e = beta**2 + n3 * beta + n6
    f = n1 * beta**2 + n4 * beta + n7
    g = n2 * beta**2 + n5 * beta + n8
    d = 2 * g / (-f - math.sqrt(f**2 - 4 * e * g))
    kelvin = (n10 + d - math.sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2
    return kelvin - ZERO_CELSIUS


def ambient_pressure(altitude: float) -> float:
    """Pressure of the standard atmosphere: ISO 2533, troposphere.

    Parameters
    ----------
    altitude : float
        Geopotential altitude, −500 to 11 000. [m]

    Returns
    -------
    float
        Pressure. [Pa] Weather moves it by some 3 kPa either way.

    Raises
    ------
    RefusalError
        Outside that range.
    """
    if not -500.0 <= altitude <= 11_000.0:
        raise RefusalError(f"{altitude:g} m is not an altitude to work at", "check the unit")
    lapse, sea_level = 0.0065, 288.15
    exponent = 9.80665 / (lapse * 287.05287)
    return STANDARD_PRESSURE * float((1 - lapse * altitude / sea_level) ** exponent)


def water_mole_fraction(glycol: Glycol, mass_percent: float) -> float:
    """Share of the molecules that are water.

    Parameters
    ----------
    glycol : Glycol
        Which glycol.
    mass_percent : float
        Percent by mass. [%]

    Returns
    -------
    float
        Mole fraction of water. [-]
    """
    moles = mass_percent / MOLAR_MASS[glycol]
    water = (100.0 - mass_percent) / MOLAR_MASS_WATER
    return water / (water + moles)


def ideal_elevation(molality: float) -> float:
    """Boiling point rise of an ideal dilute solution at 1 atm: 0.512 m.

    A textbook estimate, high for strong coolant; shown so that it is not mistaken for more.

    Parameters
    ----------
    molality : float
        Glycol per kilogram of water. [mol/kg]

    Returns
    -------
    float
        Rise. [K]
    """
    return EBULLIOSCOPIC * molality


def boiling(
    cap: float = 0.0,
    altitude: float = 0.0,
    glycol: Glycol | None = None,
    mass_percent: float = 0.0,
) -> Boiling:
    """Boiling point under a pressure cap at an altitude.

    Parameters
    ----------
    cap : float
        Gauge pressure the cap holds; 0 for an open system. [Pa]
    altitude : float
        Where the machine works. [m]
    glycol : Glycol, optional
        For the estimate of what the glycol adds.
    mass_percent : float
        Percent by mass of the glycol. [%]

    Returns
    -------
    Boiling
        Plain water's boiling point and the estimate for the mixture. [°C]

    Raises
    ------
    RefusalError
        For a negative cap, an altitude out of range or glycol beyond 60 % by mass.

    Notes
    -----
    The mixture is taken as ideal (Raoult): water boils out of it when its share of the
    vapour pressure reaches the cap's, and the glycol's own vapour pressure is left out. The
    rule of 3 °F per psi is about a fifth too high at 15 psi and is not used.
    """
    if cap < 0.0:
        raise RefusalError("a cap cannot hold a pressure below zero", "give the gauge pressure")
    if not 0.0 <= mass_percent <= 60.0:
        raise RefusalError(f"{mass_percent:g} % by mass is beyond 60 %", "nothing is extrapolated")
    ambient = ambient_pressure(altitude)
    absolute = ambient + cap
    mixture = None
    if glycol is not None:
        mixture = saturation_temperature(absolute / water_mole_fraction(glycol, mass_percent))
    notes = ["holds only with a good cap, tight hoses and the system full"]
    if cap > 0.0 and not USUAL_CAPS[0] * 0.99 <= cap <= USUAL_CAPS[1] * 1.01:
        notes.append("outside the usual 55 to 110 kPa (8 to 16 psi) of caps: check figure and unit")
    return Boiling(absolute, ambient, saturation_temperature(absolute), mixture, tuple(notes))
