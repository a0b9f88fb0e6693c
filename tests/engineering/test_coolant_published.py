"""Coolant against handbook tables, open data and textbook examples; sources in the files.

A row is compared with its own source at its printed digits, and with the other sources at
the band by which the sources are known to differ. CoolProp 8.0.0 is the reference for the
computed rows and shares no code with what it checks.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from CoolProp import CoolProp

from witnessmark.engineering import coolant_tables as tables
from witnessmark.engineering.coolant import (
    Glycol,
    freezing,
    mass_percent,
    strength_for,
    volume_percent,
)
from witnessmark.engineering.coolant_boiling import (
    EBULLIOSCOPIC,
    MOLAR_MASS,
    MOLAR_MASS_WATER,
    STANDARD_PRESSURE,
    USUAL_CAPS,
    ambient_pressure,
    boiling,
    ideal_elevation,
    saturation_temperature,
    water_mole_fraction,
)
from witnessmark.engineering.coolant_mixing import blend, exchange, glycol_for_mass_percent
from witnessmark.engineering.coolant_properties import (
    density,
    plain_density,
    plain_specific_heat,
    specific_heat,
)
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.reading import read_quantity
from witnessmark.quantities.units import Dimension

PUBLISHED = Path(__file__).parents[1] / "published" / "coolant"
PSI = float(read_quantity("1 psi", Dimension.PRESSURE))
ABSOLUTE_ZERO = 273.15


def rows(file: str) -> list[dict[str, str]]:
    with (PUBLISHED / file).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def glycol_of(row: dict[str, str]) -> Glycol:
    return Glycol(row["fluid"].split()[0])


def by_id(entries: list[dict[str, str]]):
    return {"argvalues": entries, "ids": [row["id"] for row in entries]}


FREEZING = rows("freezing_point.csv")
ASHRAE_ROWS = [r for r in FREEZING if r["source"].startswith("ASHRAE")]
MELINDER_ROWS = [r for r in FREEZING if r["source"].startswith("Melinder")]
COMPUTED_ROWS = [r for r in FREEZING if r["status"] == "computed"]
EXAMPLES = {row["id"]: row for row in rows("worked_examples.csv")}


def figure(row: dict[str, str], source: str, mass: float | None = None) -> float:
    found = freezing(glycol_of(row), float(row["mass_pct"]) if mass is None else mass)
    return next(f.value for f in found.figures if f.source == source)


def test_every_freezing_row_belongs_to_a_source_below() -> None:
    assert len(ASHRAE_ROWS) + len(MELINDER_ROWS) + len(COMPUTED_ROWS) == len(FREEZING)
    assert {r["status"] for r in ASHRAE_ROWS + MELINDER_ROWS} == {"read"}


@pytest.mark.parametrize("row", **by_id(ASHRAE_ROWS))
def test_ashrae_freezing_points_at_their_printed_digits(row) -> None:
    assert figure(row, tables.ASHRAE) == float(row["freezing_C"])


@pytest.mark.parametrize("row", **by_id(ASHRAE_ROWS))
def test_ashrae_pairs_of_mass_and_volume(row) -> None:
    mass, volume = float(row["mass_pct"]), float(row["volume_pct"])
    assert volume_percent(glycol_of(row), mass) == pytest.approx(volume, abs=1e-9)
    assert mass_percent(glycol_of(row), volume) == pytest.approx(mass, abs=1e-9)


@pytest.mark.parametrize("row", **by_id(MELINDER_ROWS))
def test_melinder_freezing_points_at_their_printed_digits(row) -> None:
    value = figure(row, tables.MELINDER_TABLE)
    assert value == pytest.approx(float(row["freezing_C"]), abs=0.00501)


@pytest.mark.parametrize("row", **by_id([r for r in COMPUTED_ROWS if not r["volume_pct"]]))
def test_melinder_equation_against_coolprop_by_mass(row) -> None:
    """CoolProp MEG and MPG take the mass fraction, 0 to 0.6."""
    value = figure(row, tables.MELINDER_EQUATION)
    assert value == pytest.approx(float(row["freezing_C"]), abs=0.0006)
    fluid = "MEG" if glycol_of(row) is Glycol.ETHYLENE else "MPG"
    share = float(row["mass_pct"]) / 100
    kelvin = CoolProp.PropsSI("T_freeze", "T", 300, "P", 101325, f"INCOMP::{fluid}[{share}]")
    assert value == pytest.approx(kelvin - ABSOLUTE_ZERO, abs=1e-6)


@pytest.mark.parametrize("row", **by_id([r for r in COMPUTED_ROWS if r["volume_pct"]]))
def test_melinder_equation_against_coolprop_by_volume(row) -> None:
    """Volume turned into mass by straight lines between the ASHRAE pairs."""
    mass = mass_percent(glycol_of(row), float(row["volume_pct"]))
    assert mass == pytest.approx(float(row["mass_pct"]), abs=0.00501)
    value = figure(row, tables.MELINDER_EQUATION, mass)
    assert value == pytest.approx(float(row["freezing_C"]), abs=0.0006)


@pytest.mark.parametrize("row", **by_id(FREEZING))
def test_every_row_lies_between_the_figures_given(row) -> None:
    """What is quoted is the warmest, and all sources together hold every published row."""
    found = freezing(glycol_of(row), float(row["mass_pct"]))
    # The figure was printed for a percent by mass rounded to a hundredth.
    assert found.low - 0.02 <= float(row["freezing_C"]) <= found.high + 0.02
    assert (
        found.warmest.value
        == found.high
        == pytest.approx(max(f.value for f in found.figures), abs=0.005)
    )


@pytest.mark.parametrize("glycol", list(Glycol))
@pytest.mark.parametrize("mass", range(0, 61, 2))
def test_the_sources_differ_by_no_more_than_is_known(glycol: Glycol, mass: int) -> None:
    """0.5 K to 30 % by mass and 3 K above."""
    found = freezing(glycol, float(mass))
    assert found.high - found.low <= (0.51 if mass <= 30 else 3.0)


@pytest.mark.parametrize(("mass", "apart"), [(20, 0.2), (30, 0.5), (40, 1.6), (50, 2.2), (60, 2.9)])
def test_ashrae_is_the_warmer_for_ethylene_glycol(mass: int, apart: float) -> None:
    found = freezing(Glycol.ETHYLENE, float(mass))
    assert found.warmest.source == tables.ASHRAE
    assert found.high - found.low == pytest.approx(apart, abs=0.06)


@pytest.mark.parametrize(("glycol", "most"), [(Glycol.ETHYLENE, 57.8), (Glycol.PROPYLENE, 60.0)])
def test_beyond_the_sources_it_is_refused(glycol: Glycol, most: float) -> None:
    """Beyond 60 % by mass published figures disagree and neat glycol protects less."""
    assert mass_percent(glycol, most) == pytest.approx(60.0)
    for refused in (
        lambda: freezing(glycol, 60.01),
        lambda: freezing(glycol, 100.0),
        lambda: freezing(glycol, -1.0),
        lambda: mass_percent(glycol, most + 0.01),
        lambda: volume_percent(glycol, 60.01),
        lambda: strength_for(glycol, -60.0),
        lambda: boiling(0.0, 0.0, glycol, 61.0),
    ):
        with pytest.raises(RefusalError):
            refused()


PROPERTIES = rows("properties.csv")


@pytest.mark.parametrize("row", **by_id(PROPERTIES))
def test_density_and_heat_at_their_printed_digits(row) -> None:
    where = (glycol_of(row), float(row["volume_pct"]), float(row["temp_C"]))
    assert density(*where).value == pytest.approx(float(row["density_kg_m3"]), abs=1e-9)
    assert specific_heat(*where).value == pytest.approx(float(row["cp_J_kgK"]), abs=1e-9)
    assert density(*where).source == specific_heat(*where).source == tables.ASHRAE


def test_the_slip_in_the_density_file_is_not_carried() -> None:
    """10 % ethylene glycol at 30 °C: the file's 1009.62 breaks the series, 1009.9 is due."""
    assert density(Glycol.ETHYLENE, 10, 30).value == pytest.approx(1009.9, abs=0.05)


@pytest.mark.parametrize(("glycol", "fluid"), [(Glycol.ETHYLENE, "MEG"), (Glycol.PROPYLENE, "MPG")])
@pytest.mark.parametrize("mass", [0, 10, 25, 40, 60])
@pytest.mark.parametrize("celsius", [5, 20, 60, 95])
def test_plain_density_and_heat_against_coolprop(glycol, fluid, mass, celsius) -> None:
    name = f"INCOMP::{fluid}[{mass / 100}]"
    state = ("T", celsius + ABSOLUTE_ZERO, "P", 101325, name)
    assert plain_density(glycol, mass, celsius).value == pytest.approx(
        CoolProp.PropsSI("D", *state), rel=1e-9
    )
    assert plain_specific_heat(glycol, mass, celsius).value == pytest.approx(
        CoolProp.PropsSI("C", *state), rel=1e-9
    )


BOILING = rows("boiling_point.csv")


@pytest.mark.parametrize("row", **by_id([r for r in BOILING if r["status"] == "read"]))
def test_steam_table_at_the_vacuum_side(row) -> None:
    """Ohio University tables: whole degrees against pressures of three or four figures."""
    pressure = float(row["absolute_kPa"])
    digits = len(row["absolute_kPa"].partition(".")[2])
    low, high = (
        saturation_temperature(1000 * (pressure + off))
        for off in (-0.5 * 10**-digits, 0.5 * 10**-digits)
    )
    assert low - 0.005 <= float(row["water_boils_C"]) <= high + 0.005


@pytest.mark.parametrize("row", **by_id([r for r in BOILING if r["status"] == "computed"]))
def test_boiling_under_a_cap_against_iapws_95(row) -> None:
    pascal = float(row["absolute_kPa"]) * 1000
    value = saturation_temperature(pascal)
    assert value == pytest.approx(float(row["water_boils_C"]), abs=0.008)
    reference = CoolProp.PropsSI("T", "P", pascal, "Q", 0, "Water") - ABSOLUTE_ZERO
    assert value == pytest.approx(reference, abs=0.004)
    if row["gauge"]:
        cap = float(read_quantity(row["gauge"], Dimension.PRESSURE))
        found = boiling(cap)
        assert found.absolute == pytest.approx(pascal, abs=0.6)
        assert found.water == pytest.approx(float(row["water_boils_C"]), abs=0.008)


@pytest.mark.parametrize(
    ("pascal", "kelvin"), [(0.1e6, 372.755919), (1e6, 453.035632), (10e6, 584.149488)]
)
def test_saturation_at_the_verification_values_of_if97(pascal: float, kelvin: float) -> None:
    """IAPWS-IF97 (2007), table 36, from memory; CoolProp stands beside it above."""
    assert saturation_temperature(pascal) == pytest.approx(kelvin - ABSOLUTE_ZERO, abs=5e-7)


@pytest.mark.parametrize("pascal", [600.0, 22.1e6])
def test_pressures_beyond_the_water_equation_are_refused(pascal: float) -> None:
    with pytest.raises(RefusalError, match="kPa absolute"):
        saturation_temperature(pascal)


def test_cm1_blend_of_two_antifreezes() -> None:
    """OpenStax, algebra, m82498: 240 L of 50 % from 40 % and 70 %."""
    assert blend(240, 40, 70, 50) == (160.0, 80.0)
    assert EXAMPLES["CM1"]["value"] == "160; 80"


def test_cm3_ethylene_glycol_by_weight_is_not_by_volume() -> None:
    """1000 gal to 30 % by weight take 277.6 gal; by volume it would be 300."""
    litres = glycol_for_mass_percent(1000, 30, 1.1155)
    assert litres == pytest.approx(float(EXAMPLES["CM3"]["value"]), abs=0.1)


def test_cm4_and_cm5_litres_to_exchange() -> None:
    for key, figures in (("CM4", (10, 33, 50, 100)), ("CM5", (10, 33, 45, 50))):
        row = EXAMPLES[key]
        assert exchange(*figures) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("wanted", [50, 51, 60])
def test_cm5_premix_never_reaches_its_own_strength(wanted: float) -> None:
    with pytest.raises(RefusalError, match="never reaches"):
        exchange(10, 33, wanted, 50)


def test_cm7_mole_fraction_of_equal_volumes() -> None:
    """OpenStax, Chemistry, m68783: 2.22 kg glycol and 2.00 kg water."""
    share = 1 - water_mole_fraction(Glycol.ETHYLENE, 100 * 2.22 / 4.22)
    assert share == pytest.approx(float(EXAMPLES["CM7"]["value"]), abs=5e-4)
    assert (MOLAR_MASS[Glycol.ETHYLENE], MOLAR_MASS_WATER) == (62.07, 18.02)


def test_cm8_ideal_boiling_point_and_the_estimate_that_is_given() -> None:
    """The dilute formula says 109.2 °C; the estimate given stays under it.

    From memory, real 50 % by volume boils at 106 to 108 °C.
    """
    assert 100 + ideal_elevation(17.9) == pytest.approx(float(EXAMPLES["CM8"]["value"]), abs=0.1)
    assert EBULLIOSCOPIC == 0.512
    mixture = boiling(0, 0, Glycol.ETHYLENE, mass_percent(Glycol.ETHYLENE, 50)).mixture
    assert 106.0 <= mixture <= 108.0


def test_cm9_density_of_concentrate() -> None:
    """9.26 lb in 4.00 US quarts: 1.11 g/mL, near the relative density of CM3."""
    pounds = float(read_quantity("9.26 lb", Dimension.MASS))
    gallon = float(read_quantity("1 US gal", Dimension.VOLUME))
    row = EXAMPLES["CM9"]
    assert pounds / gallon / 1000 == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


def test_cm10_usual_caps() -> None:
    """CM10, Auto Upkeep: 8 to 16 psi; a cap far outside is asked about, not refused."""
    assert pytest.approx((8 * PSI, 16 * PSI), rel=0.01) == USUAL_CAPS
    assert len(boiling(90_000).notes) == 1
    assert any("usual" in note for note in boiling(1_100_000).notes)
    assert any("usual" in note for note in boiling(1_500).notes)


def test_cm11_the_rule_of_three_fahrenheit_a_psi_is_not_used() -> None:
    rise = (boiling(15 * PSI).water - boiling(0.0).water) * 1.8 / 15
    row = EXAMPLES["CM11"]
    assert rise == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))
    assert rise < 2.6


def test_every_worked_example_is_covered() -> None:
    here = Path(__file__).read_text(encoding="utf-8")
    assert [k for k in EXAMPLES if k not in here] == []


@pytest.mark.parametrize(
    ("metres", "pascal"), [(0, 101_325), (1_000, 89_874.6), (2_000, 79_495.2), (3_000, 70_108.5)]
)
def test_standard_atmosphere(metres: float, pascal: float) -> None:
    """ISO 2533 tables, from memory; the reference rows at 70 and 90 kPa stand beside them."""
    assert ambient_pressure(metres) == pytest.approx(pascal, abs=0.1)


def test_altitude_lowers_the_boiling_point_as_the_steam_table_says() -> None:
    """At 3,013 m the air stands at 70.0 kPa, where water boils at 89.93 °C (row BP25)."""
    assert ambient_pressure(3_012.5) == pytest.approx(70_000, abs=20)
    assert boiling(0.0, 3_012.5).water == pytest.approx(89.93, abs=0.02)
    assert boiling(0.0, 0.0).absolute == STANDARD_PRESSURE
