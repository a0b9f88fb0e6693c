"""The table of units, each an exact fraction of its SI unit.

Sources: SI Brochure (9th ed.) for the SI units and degrees; the International Yard and
Pound agreement of 1959 for inch (0.0254 m) and pound (0.45359237 kg); the 3rd CGPM (1901)
for standard gravity (9.80665 m/s²), from which lbf and kgf follow exactly; NIST SP 811
for the gallons (US 231 in³, imperial 4.54609 L). The radian alone is not exact: 180/π to
fifty digits.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class Dimension(StrEnum):
    """What kind of thing a quantity measures; the value is the word people read."""

    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    MASS = "mass"
    MASS_PER_LENGTH = "mass per length"
    TIME = "time"
    FREQUENCY = "frequency"
    FORCE = "force"
    STIFFNESS = "stiffness"
    TORQUE = "torque"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    ANGLE = "angle"
    SPEED = "rotational speed"
    RATIO = "ratio"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = factor × number + offset. Angles are held in degrees, exactly.

    `exact` is False for a unit whose factor cannot be written as a fraction.
    """

    symbol: str
    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)
    also: tuple[str, ...] = ()
    exact: bool = True


_F = Fraction
_INCH = _F(254, 10_000)
_POUND = _F(45_359_237, 100_000_000)
_GRAVITY = _F(980_665, 100_000)
_LBF = _POUND * _GRAVITY
_D = Dimension
_DEGREES_IN_RADIAN = _F("57.295779513082320876798154814105170332405472466564")

UNITS: tuple[Unit, ...] = (
    Unit("m", _D.LENGTH, _F(1)),
    Unit("mm", _D.LENGTH, _F(1, 1000)),
    Unit("cm", _D.LENGTH, _F(1, 100)),
    Unit("km", _D.LENGTH, _F(1000)),
    Unit("µm", _D.LENGTH, _F(1, 1_000_000), also=("um", "μm", "micron")),
    Unit("in", _D.LENGTH, _INCH, also=('"', "inch", "inches")),
    Unit("thou", _D.LENGTH, _INCH / 1000),
    Unit("ft", _D.LENGTH, _INCH * 12),
    Unit("mile", _D.LENGTH, _INCH * 12 * 5280, also=("miles", "mi")),
    Unit("m²", _D.AREA, _F(1), also=("m2",)),
    Unit("mm²", _D.AREA, _F(1, 1_000_000), also=("mm2",)),
    Unit("in²", _D.AREA, _INCH**2, also=("in2", "sq in")),
    Unit("m³", _D.VOLUME, _F(1), also=("m3",)),
    Unit("L", _D.VOLUME, _F(1, 1000), also=("l", "litre", "litres", "liter", "liters")),
    Unit("mL", _D.VOLUME, _F(1, 1_000_000), also=("ml", "cc", "cm³", "cm3")),
    Unit("US gal", _D.VOLUME, 231 * _INCH**3, also=("gal (US)",)),
    Unit("imp gal", _D.VOLUME, _F(454_609, 100_000_000), also=("gal (imp)", "UK gal")),
    Unit("kg", _D.MASS, _F(1)),
    Unit("g", _D.MASS, _F(1, 1000)),
    Unit("lb", _D.MASS, _POUND),
    Unit("kg/m", _D.MASS_PER_LENGTH, _F(1)),
    Unit("g/m", _D.MASS_PER_LENGTH, _F(1, 1000)),
    Unit("lb/ft", _D.MASS_PER_LENGTH, _POUND / (_INCH * 12)),
    Unit("s", _D.TIME, _F(1), also=("sec", "second", "seconds")),
    Unit("min", _D.TIME, _F(60), also=("minute", "minutes", "mins")),
    Unit("h", _D.TIME, _F(3600), also=("hr", "hour", "hours")),
    Unit("day", _D.TIME, _F(86_400), also=("days", "d")),
    Unit("week", _D.TIME, _F(604_800), also=("weeks",)),
    # A month or year of the calendar is not a fixed length; the mean Gregorian year is.
    Unit("month", _D.TIME, _F(31_556_952, 12), also=("months",)),
    Unit("year", _D.TIME, _F(31_556_952), also=("years",)),
    Unit("Hz", _D.FREQUENCY, _F(1)),
    Unit("kHz", _D.FREQUENCY, _F(1000)),
    Unit("N", _D.FORCE, _F(1)),
    Unit("kN", _D.FORCE, _F(1000)),
    Unit("MN", _D.FORCE, _F(1_000_000)),
    Unit("lbf", _D.FORCE, _LBF),
    Unit("kip", _D.FORCE, 1000 * _LBF, also=("kips", "klbf")),
    Unit("kgf", _D.FORCE, _GRAVITY, also=("kp",)),
    Unit("tonf (metric)", _D.FORCE, 1000 * _GRAVITY, also=("tf", "metric tonf")),
    Unit("N/m", _D.STIFFNESS, _F(1)),
    Unit("N/mm", _D.STIFFNESS, _F(1000)),
    Unit("kN/mm", _D.STIFFNESS, _F(1_000_000), also=("MN/m", "N/µm")),
    Unit("lbf/in", _D.STIFFNESS, _LBF / _INCH),
    Unit("Mlbf/in", _D.STIFFNESS, 1_000_000 * _LBF / _INCH),
    Unit("N·m", _D.TORQUE, _F(1), also=("Nm", "N m", "N.m", "N*m", "N-m")),
    Unit("N·cm", _D.TORQUE, _F(1, 100), also=("Ncm", "N cm")),
    Unit("kN·m", _D.TORQUE, _F(1000), also=("kNm",)),
    Unit(
        "lbf·ft",
        _D.TORQUE,
        _LBF * _INCH * 12,
        also=(
            "lbf ft",
            "lb ft",
            "lb·ft",
            "lb-ft",
            "ft·lbf",
            "ft lbf",
            "ft-lb",
            "ft lb",
            "ft·lb",
            "lbf-ft",
        ),
    ),
    Unit(
        "lbf·in",
        _D.TORQUE,
        _LBF * _INCH,
        also=(
            "lbf in",
            "lb in",
            "lb·in",
            "lb-in",
            "in·lbf",
            "in lbf",
            "in-lb",
            "in lb",
            "in·lb",
            "lbf-in",
        ),
    ),
    Unit("ozf·in", _D.TORQUE, _LBF * _INCH / 16, also=("ozf in", "oz in", "oz·in", "in oz")),
    Unit("kgf·m", _D.TORQUE, _GRAVITY, also=("kgf m", "kg m", "kgm", "kg·m", "mkg")),
    Unit("kgf·cm", _D.TORQUE, _GRAVITY / 100, also=("kgf cm", "kg cm", "kgcm", "kg·cm")),
    Unit("Pa", _D.PRESSURE, _F(1)),
    Unit("kPa", _D.PRESSURE, _F(1000)),
    Unit("MPa", _D.PRESSURE, _F(1_000_000), also=("N/mm²", "N/mm2")),
    Unit("GPa", _D.PRESSURE, _F(1_000_000_000)),
    Unit("kgf/mm²", _D.PRESSURE, _GRAVITY * 1_000_000, also=("kgf/mm2",)),
    Unit("bar", _D.PRESSURE, _F(100_000)),
    Unit("psi", _D.PRESSURE, _LBF / _INCH**2, also=("lbf/in²", "lbf/in2")),
    Unit("ksi", _D.PRESSURE, 1000 * _LBF / _INCH**2),
    Unit("K", _D.TEMPERATURE, _F(1)),
    Unit("°C", _D.TEMPERATURE, _F(1), _F(27_315, 100), also=("degC", "C")),
    Unit("°F", _D.TEMPERATURE, _F(5, 9), _F(45_967, 180), also=("degF", "F")),
    Unit("°", _D.ANGLE, _F(1), also=("deg", "degree", "degrees")),
    Unit("rad", _D.ANGLE, _DEGREES_IN_RADIAN, also=("radian", "radians"), exact=False),
    Unit("turn", _D.ANGLE, _F(360), also=("turns", "rev")),
    Unit("rpm", _D.SPEED, _F(1), also=("r/min", "1/min")),
    Unit("%", _D.RATIO, _F(1, 100), also=("percent",)),
    Unit("", _D.RATIO, _F(1)),
)

_MULTIPLICATION_SIGNS = re.compile(r"\s*[*⋅•]\s*|\s+·\s*|·\s+")
BY_NAME: dict[str, Unit] = {name: u for u in UNITS for name in (u.symbol, *u.also)}


def unit_named(name: str) -> Unit | None:
    """Find a unit by its symbol or another way people write it; None when unknown."""
    plain = " ".join(name.split())
    return BY_NAME.get(plain) or BY_NAME.get(_MULTIPLICATION_SIGNS.sub("·", plain))
