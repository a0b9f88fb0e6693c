"""`calc coolant`: what people read, what scripts get, how it says no."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from witnessmark.cli.calc import calc


def run(*arguments: str, code: int = 0):
    result = CliRunner().invoke(calc, ["coolant", *arguments])
    assert result.exit_code == code, result.output
    assert "Traceback" not in result.output
    return result


def answer(*arguments: str) -> dict:
    result = run(*arguments, "--json")
    assert len(result.stdout.splitlines()) == 1
    return json.loads(result.stdout)


def test_half_and_half_by_mass_for_a_script() -> None:
    """ASHRAE 2001: 50 % by mass, −33.8 °C; Melinder 2010: −36.03 °C."""
    found = answer("--glycol", "ethylene", "--mass-percent", "50")
    assert found["freezing_C"] == found["freezing_C_high"] == -33.8
    assert found["source"] == "ASHRAE Handbook Fundamentals 2001"
    assert found["freezing_C_low"] == pytest.approx(-36.028, abs=0.001)
    assert found["volume_percent"] == 47.6
    assert [f["freezing_C"] for f in found["figures"]] == [-33.8, -36.028, -35.994]


def test_by_volume_is_two_to_three_points_less_protection_than_it_sounds() -> None:
    """ASHRAE 2001: 47.6 % by volume is 50 % by mass; 50 % by volume protects further."""
    by_volume = answer("--glycol", "ethylene", "--volume-percent", "47.6")
    assert by_volume["freezing_C"] == -33.8
    assert answer("--glycol", "ethylene", "--volume-percent", "50 %")["freezing_C"] < -36.0


def test_the_warmest_source_may_be_another_for_propylene() -> None:
    found = answer("--glycol", "propylene", "--mass-percent", "50")
    assert found["freezing_C"] == max(f["freezing_C"] for f in found["figures"])
    assert found["source"] == "Melinder 2010, equation"


def test_zero_is_water_without_a_minus_sign() -> None:
    found = answer("--glycol", "ethylene", "--mass-percent", "0")
    assert found["freezing_C"] == 0.0
    assert "-0.0" not in json.dumps(found["freezing_C"])


def test_dangers_are_told_every_time() -> None:
    text = run("--glycol", "ethylene", "--mass-percent", "50").stdout
    assert "poisonous" in text
    assert "scalds" in text


@pytest.mark.parametrize(
    "strength",
    [["--mass-percent", "60.1"], ["--mass-percent", "100"], ["--volume-percent", "57.9"]],
)
def test_beyond_the_sources_exits_1(strength: list[str]) -> None:
    message = run("--glycol", "ethylene", *strength, "--json", code=1).stderr
    assert message.startswith("Refused:")
    assert "neat glycol protects less" in message


def test_the_strength_for_a_cold_is_found() -> None:
    found = answer("--glycol", "ethylene", "--protect-to", "-25 °C")
    assert found["freezing_C"] == pytest.approx(-25.0, abs=0.01)
    assert 42 <= found["mass_percent"] <= 43
    assert "colder than" in run("--glycol", "ethylene", "--protect-to", "-55 °C", code=1).stderr


def test_boiling_under_a_cap_at_an_altitude() -> None:
    """Row BP11: 1.1 bar at sea level, 121.96 °C for plain water."""
    found = answer("--cap", "1.1 bar")
    assert found["boiling_C"] == pytest.approx(121.96, abs=0.01)
    assert found["boiling_mixture_C"] is None
    high = answer("--cap", "1.1 bar", "--altitude", "2000 m")
    assert high["boiling_C"] < found["boiling_C"]
    mixed = answer("--glycol", "ethylene", "--volume-percent", "50", "--cap", "1.1 bar")
    assert mixed["boiling_C"] == found["boiling_C"]
    assert mixed["boiling_mixture_C"] > found["boiling_C"] + 5


def test_an_open_system_at_altitude() -> None:
    found = answer("--altitude", "3012.5 m")
    assert found["absolute_kPa"] == pytest.approx(70.0, abs=0.05)
    assert found["boiling_C"] == pytest.approx(89.93, abs=0.03)


def test_density_and_swelling() -> None:
    """ASHRAE: 50 % by volume at 80 °C, 1038.46 kg/m³ and 3512 J/(kg K)."""
    found = answer(
        "--glycol", "ethylene", "--volume-percent", "50", "--at", "80 °C", "--capacity", "8 L"
    )
    assert found["density_kg_m3"] == pytest.approx(1038.46, abs=0.2)
    assert found["specific_heat_J_kgK"] == pytest.approx(3512, abs=2)
    assert found["swollen_L"] == pytest.approx(8 * 1073.35 / 1038.46, abs=0.001)


def test_litres_to_exchange_add_and_refill() -> None:
    """Row CM4: 2.537 L of neat concentrate take 10 L from 33 to 50 %."""
    strengths = ["--present", "33", "--wanted", "50"]
    assert answer("--capacity", "10 L", *strengths)["exchange_L"] == pytest.approx(2.537, abs=1e-3)
    assert answer("--held", "6 L", *strengths)["add_L"] == pytest.approx(6 * 17 / 50)
    found = answer("--capacity", "8 L", "--left", "3 L", *strengths)
    assert found["concentrate_L"] == pytest.approx((8 * 50 - 3 * 33) / 100)
    assert found["concentrate_L"] + found["water_L"] + found["left_L"] == pytest.approx(8.0)


def test_a_top_up_without_room_is_refused() -> None:
    arguments = ["--held", "7.5 L", "--capacity", "8 L", "--present", "33", "--wanted", "50"]
    assert "room" in run(*arguments, code=1).stderr


@pytest.mark.parametrize(
    ("present", "wanted", "hint"),
    [("10", "50", "drains and fills with 100 %"), ("60", "20", "drains and fills with 0 %")],
)
def test_one_fill_that_cannot_reach_it_says_how_many_do(present, wanted, hint) -> None:
    arguments = ["--capacity", "8 L", "--left", "6 L", "--present", present, "--wanted", wanted]
    assert hint in run(*arguments, code=1).stderr


def test_premix_never_reaches_its_own_strength() -> None:
    """Row CM5: 50 % premix is refused for 50 % and beyond."""
    arguments = ["--capacity", "10 L", "--present", "33", "--wanted", "50", "--bottle", "50"]
    assert "never reaches" in run(*arguments, code=1).stderr


def test_the_airlock_test() -> None:
    found = answer("--out", "5 L", "--in", "2.4 L", "--off", "0.2 L")
    assert found["verdict"] == "air is likely trapped"
    assert found["missing_L"] == pytest.approx(2.6)
    found = answer("--out", "4 L", "--in", "5 L", "--spilt", "1 L", "--off", "0.2 L")
    assert found["verdict"] == "agrees"


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["--glycol", "ethylene"],
        ["--mass-percent", "50"],
        ["--glycol", "methanol", "--mass-percent", "50"],
        ["--glycol", "ethylene", "--mass-percent", "50", "--volume-percent", "50"],
        ["--glycol", "ethylene", "--mass-percent", "half"],
        ["--glycol", "ethylene", "--mass-percent", "nan"],
        ["--glycol", "ethylene", "--mass-percent", "-1"],
        ["--glycol", "ethylene", "--mass-percent", "101"],
        ["--cap", "1.1"],
        ["--at", "80 °C"],
        ["--present", "33"],
        ["--present", "33", "--wanted", "50"],
        ["--out", "5 L", "--in", "4 L"],
    ],
)
def test_bad_options_exit_2(arguments: list[str]) -> None:
    assert "Error" in run(*arguments, code=2).stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["--cap=-1 bar"],
        ["--altitude", "50 km"],
        ["--glycol", "ethylene", "--volume-percent", "5", "--at", "20 °C"],
        ["--glycol", "ethylene", "--volume-percent", "30", "--at", "-40 °C"],
        ["--capacity", "8 L", "--left", "9 L", "--present", "33", "--wanted", "50"],
        ["--out", "0 L", "--in", "4 L", "--off", "0.1 L"],
    ],
)
def test_figures_that_cannot_be_exit_1(arguments: list[str]) -> None:
    assert run(*arguments, code=1).stderr.startswith("Refused:")
