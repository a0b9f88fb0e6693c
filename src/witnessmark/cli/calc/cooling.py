"""`witnessmark calc coolant`: strength, freezing, boiling, litres, airlock."""

from __future__ import annotations

import math
from typing import Any

import click

from witnessmark.cli.calc.answers import Answer, QuantityType, never, refusals, rounded, shown
from witnessmark.cli.calc.measured_litres import VOLUME, MeasuredLitres, litres_options
from witnessmark.engineering.coolant import (
    CAUTIONS,
    Freezing,
    Glycol,
    freezing,
    mass_percent,
    strength_for,
    volume_percent,
)
from witnessmark.engineering.coolant_boiling import ZERO_CELSIUS, boiling
from witnessmark.engineering.coolant_filling import HOT
from witnessmark.engineering.coolant_mixing import exchange, refill, rounds_to_reach, top_up
from witnessmark.engineering.coolant_properties import density, specific_heat, swollen_volume
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.reading import Quantity
from witnessmark.quantities.units import Dimension

_PRESSURE = QuantityType(Dimension.PRESSURE)
_LENGTH = QuantityType(Dimension.LENGTH)
_TEMPERATURE = QuantityType(Dimension.TEMPERATURE)
_BALANCE = "volumes taken to add; real glycol and water shrink slightly"


class PercentType(click.ParamType[float]):
    """Read a percent: `50` or `50 %`, from 0 to 100."""

    name = "percent"

    def convert(
        self,
        value: Any,  # noqa: ANN401 (click's own signature)
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> float:
        """Read the text."""
        try:
            percent = float(str(value).strip().removesuffix("%"))
        except ValueError:
            self.fail(f"'{value}' is not a percent: write 50", param, ctx)
        if not (math.isfinite(percent) and 0.0 <= percent <= 100.0):
            self.fail(f"'{value}' is not between 0 and 100 %", param, ctx)
        return percent


_PERCENT = PercentType()


@click.command()
@click.option("--glycol", type=click.Choice([g.value for g in Glycol]), help="Which glycol.")
@click.option("--mass-percent", "by_mass", type=_PERCENT, help="Strength by mass: 50")
@click.option("--volume-percent", "by_volume", type=_PERCENT, help="Strength by volume: 50")
@click.option("--protect-to", type=_TEMPERATURE, help="Find the strength for this cold: '-25 °C'")
@click.option("--at", "temperature", type=_TEMPERATURE, help="Density and heat at: '80 °C'")
@click.option("--cap", type=_PRESSURE, help="Pressure cap, for the boiling point: '1.1 bar'")
@click.option("--altitude", type=_LENGTH, help="Where it works, for boiling: '1500 m'")
@click.option("--capacity", type=VOLUME, help="What the system holds, full: '8 L'")
@click.option("--left", type=VOLUME, help="What stays behind after draining: '3 L'")
@click.option("--held", type=VOLUME, help="What is in it now, for topping up: '6 L'")
@click.option("--present", type=_PERCENT, help="Strength now, by volume: 33")
@click.option("--wanted", type=_PERCENT, help="Strength wanted, by volume: 50")
@click.option(
    "--bottle", type=_PERCENT, default=100.0, show_default=True, help="Strength poured, by volume."
)
@litres_options
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def coolant(
    glycol: str | None,
    by_mass: float | None,
    by_volume: float | None,
    protect_to: Quantity | None,
    temperature: Quantity | None,
    cap: Quantity | None,
    altitude: Quantity | None,
    capacity: Quantity | None,
    left: Quantity | None,
    held: Quantity | None,
    present: float | None,
    wanted: float | None,
    bottle: float,
    as_json: bool,
    **measured: Any,  # noqa: ANN401 - the litres, typed in `MeasuredLitres`
) -> None:
    """Coolant strength, freezing and boiling; litres to add or exchange; airlock test."""
    kind = None if glycol is None else Glycol(glycol)
    _require_consistent(kind, by_mass, by_volume, protect_to)
    answer = Answer("Coolant", cautions=[HOT, *CAUTIONS])
    mass = by_mass
    with refusals():
        if kind is not None and protect_to is not None:
            mass = _tell_strength(answer, kind, protect_to)
        elif kind is not None and by_volume is not None:
            mass = mass_percent(kind, by_volume)
        if kind is not None and mass is not None:
            _tell_freezing(answer, freezing(kind, mass))
        if temperature is not None:
            _tell_properties(answer, kind, mass, temperature, capacity)
        if cap is not None or altitude is not None:
            _tell_boiling(answer, cap, altitude, kind, mass)
        if present is not None or wanted is not None:
            _tell_litres(answer, capacity, left, held, (present, wanted, bottle))
        litres = MeasuredLitres(**measured)
        if litres.given:
            litres.tell_balance(answer)
    if not answer.data:
        never(
            "give --glycol and a strength, --cap or --altitude, --present and --wanted, "
            "or --out and --in"
        )
    answer.give(as_json)


def _require_consistent(
    kind: Glycol | None,
    by_mass: float | None,
    by_volume: float | None,
    protect_to: Quantity | None,
) -> None:
    strengths = [s for s in (by_mass, by_volume, protect_to) if s is not None]
    if len(strengths) > 1:
        never("give one of --mass-percent, --volume-percent and --protect-to")
    if strengths and kind is None:
        never("say which glycol: --glycol ethylene or --glycol propylene")
    if kind is not None and not strengths:
        never("give --mass-percent, --volume-percent or --protect-to")


def _tell_strength(answer: Answer, kind: Glycol, cold: Quantity) -> float:
    mass = strength_for(kind, float(cold) - ZERO_CELSIUS)
    answer.data["protect_to_C"] = rounded(float(cold) - ZERO_CELSIUS)
    answer.line("for", f"{cold}, at least, by every source")
    return mass


def _tell_freezing(answer: Answer, found: Freezing) -> None:
    answer.data |= {
        "glycol": found.glycol.value,
        "mass_percent": round(found.mass_percent, 3),
        "volume_percent": round(found.volume_percent, 3),
        "freezing_C": _celsius(found.warmest.value),
        "source": found.warmest.source,
        "freezing_C_low": _celsius(found.low),
        "freezing_C_high": _celsius(found.high),
        "figures": [{"source": f.source, "freezing_C": _celsius(f.value)} for f in found.figures],
    }
    answer.line(
        "strength",
        f"{shown(found.mass_percent, '%', 3)} by mass, "
        f"{shown(found.volume_percent, '%', 3)} by volume, {found.glycol.value} glycol",
    )
    answer.line("freezes", f"{found.warmest.value:.1f} °C: the warmest of the sources")
    for figure in found.figures:
        answer.line("", f"{figure.value:.1f} °C  {figure.source}")
    answer.sources.append(found.warmest.source)


def _celsius(value: float) -> float:
    """Round to a thousandth of a kelvin, and leave no minus on zero."""
    return round(value, 3) + 0.0


def _tell_properties(
    answer: Answer,
    kind: Glycol | None,
    mass: float | None,
    temperature: Quantity,
    capacity: Quantity | None,
) -> None:
    if kind is None or mass is None:
        never("--at needs --glycol and a strength")
    celsius, volume = float(temperature) - ZERO_CELSIUS, volume_percent(kind, mass)
    weight, heat = density(kind, volume, celsius), specific_heat(kind, volume, celsius)
    answer.data |= {
        "temperature_C": rounded(celsius),
        "density_kg_m3": round(weight.value, 2),
        "specific_heat_J_kgK": round(heat.value, 1),
    }
    answer.line(f"at {temperature}", f"{weight.value:.1f} kg/m³, {heat.value:.0f} J/(kg K)")
    if capacity is not None:
        whole = float(capacity) * 1000
        swollen = swollen_volume(whole, kind, volume, 20.0, celsius)
        answer.data["swollen_L"] = round(swollen, 3)
        answer.line("swells", f"{shown(whole, 'L')} at 20 °C take {shown(swollen, 'L')}")
    answer.sources.append(f"density and heat: {weight.source}, inhibited")


def _tell_boiling(
    answer: Answer,
    cap: Quantity | None,
    altitude: Quantity | None,
    kind: Glycol | None,
    mass: float | None,
) -> None:
    found = boiling(
        0.0 if cap is None else float(cap),
        0.0 if altitude is None else float(altitude),
        kind if mass is not None else None,
        mass or 0.0,
    )
    answer.data |= {
        "boiling_C": round(found.water, 2),
        "boiling_mixture_C": None if found.mixture is None else round(found.mixture, 1),
        "absolute_kPa": round(found.absolute / 1000, 3),
        "ambient_kPa": round(found.ambient / 1000, 3),
    }
    answer.line("boils", f"{found.water:.1f} °C: plain water; rely on this")
    if found.mixture is not None:
        answer.line("", f"about {found.mixture:.0f} °C for the mix, as an ideal solution")
    answer.line("pressure", f"{found.absolute / 1000:.1f} kPa absolute")
    answer.cautions += found.notes
    answer.sources.append("boiling: IAPWS-IF97; air: ISO 2533; mix: ideal solution (Raoult)")


def _tell_litres(
    answer: Answer,
    capacity: Quantity | None,
    left: Quantity | None,
    held: Quantity | None,
    strengths: tuple[float | None, float | None, float],
) -> None:
    present, wanted, bottle = strengths
    if present is None or wanted is None:
        never("give --present and --wanted together")
    if capacity is None and held is None:
        never("give --capacity, with --left after a drain, or --held for topping up")
    if held is not None:
        _tell_top_up(answer, held, capacity, (present, wanted, bottle))
    elif left is not None and capacity is not None:
        _tell_refill(answer, capacity, left, (present, wanted, bottle))
    elif capacity is not None:
        litres = exchange(float(capacity) * 1000, present, wanted, bottle)
        answer.data["exchange_L"] = rounded(litres)
        answer.line("exchange", f"drain {shown(litres, 'L', 3)}, pour as much of {bottle:g} %")
    answer.sources.append(f"litres: balance by volume, {_BALANCE}")


def _tell_top_up(
    answer: Answer,
    held: Quantity,
    capacity: Quantity | None,
    strengths: tuple[float, float, float],
) -> None:
    room = math.inf
    if capacity is not None:
        room = float(capacity) * 1000 - float(held) * 1000
    litres = top_up(float(held) * 1000, *strengths, room)
    answer.data["add_L"] = rounded(litres)
    answer.line("add", f"{shown(litres, 'L', 3)} of {strengths[2]:g} %")


def _tell_refill(
    answer: Answer, capacity: Quantity, left: Quantity, strengths: tuple[float, float, float]
) -> None:
    present, wanted, bottle = strengths
    whole, stays = float(capacity) * 1000, float(left) * 1000
    try:
        charge = refill(whole, stays, present, wanted, bottle)
    except RefusalError as error:
        if bottle == 0.0 or not 0.0 <= stays < whole:
            raise
        poured = 0.0 if wanted < present else bottle
        rounds = rounds_to_reach(whole, stays, present, wanted, poured)
        hint = f"{rounds.rounds} drains and fills with {poured:g} % reach {rounds.reached:.1f} %"
        raise RefusalError(error.what, hint) from None
    answer.data |= {
        "concentrate_L": rounded(charge.concentrate),
        "water_L": rounded(charge.water),
        "left_L": rounded(charge.stays),
    }
    answer.line(
        "pour",
        f"{shown(charge.concentrate, 'L', 3)} of {bottle:g} % and {shown(charge.water, 'L', 3)} "
        "of water",
    )
