"""Belt tension against printed examples; every row names its source in the file.

Rows are of tests/published/belt_tension/worked_examples.csv and the tension rows of
tests/published/signal/worked_examples.csv. Rows `read` or `computed` must each be checked
here, at the row's own tolerance.
"""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import pytest

from witnessmark.engineering import tension as t

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(file: str) -> dict[str, dict[str, str]]:
    with (PUBLISHED / file).open(encoding="utf-8", newline="") as stream:
        return {row["id"]: row for row in csv.DictReader(stream)}


EXAMPLES = rows("belt_tension/worked_examples.csv")
SIGNAL = rows("signal/worked_examples.csv")


def given_in(row: dict[str, str]) -> dict[str, float]:
    """The row's own inputs: `L=2.0 m; m=0.0072 kg/m` as a dictionary of plain numbers."""
    found = re.findall(r"(\w+)=([0-9.e-]+)", row["inputs"])
    return {name: float(value) for name, value in found}


def check(row: dict[str, str], value: float) -> None:
    assert value == pytest.approx(float(row["value"]), abs=float(row["tolerance"])), row["source"]


@pytest.mark.parametrize("key", ["VT1", "VT2", "VT4", "VT5", "VT7", "VT8", "VT9"])
def test_frequency_of_a_string(key: str) -> None:
    """OpenStax, University Physics, normal modes of a standing wave; modes 1, 3, 5, 9 and 100."""
    row = EXAMPLES[key]
    g = given_in(row)
    check(row, t.span_frequency(g["T"], g["L"], g["m"], int(g["n"])))


def test_vt11_speed_of_a_wave_on_the_high_e_string() -> None:
    g = given_in(EXAMPLES["VT11"])
    check(EXAMPLES["VT11"], t.wave_speed(g["T"], g["m"]))


def test_vt12_tension_of_the_low_e_string() -> None:
    g = given_in(EXAMPLES["VT12"])
    check(EXAMPLES["VT12"], t.tension_from_speed(g["v"], g["m"]))


def test_vt14_mass_of_a_round_wire() -> None:
    """Balabhaskar, Srinivasa Rao and Sanjeeva Rao, BSc First Year Physics, ch. 11, example 5."""
    g = given_in(EXAMPLES["VT14"])
    check(EXAMPLES["VT14"], t.mass_of_round(g["rho"], g["r"]))


@pytest.mark.parametrize("key", ["VT16", "VT17"])
def test_tension_from_the_note(key: str) -> None:
    g = given_in(EXAMPLES[key])
    check(EXAMPLES[key], t.tension_from_frequency(g["f"], g["L"], g["m"]))


def test_df1_rope_pulled_five_degrees_aside() -> None:
    """OpenStax, College Physics: 686 N on a wire at 5° (printed 3900 N and 3.94e3 N)."""
    check(EXAMPLES["DF1"], t.tension_from_slope(686.0, 5.0))


def test_df3_force_for_a_sixty_fourth_of_the_span() -> None:
    check(EXAMPLES["DF3"], t.deflection_force(160.0, 1 / 64, 1.0))


def test_id1_two_strands_on_a_free_pulley() -> None:
    """OpenStax, University Physics, leg traction: 2 m g cos(b), strands b either side."""
    weight, half = 10.0 * 9.80, 35.0
    wrap = 180.0 - 2 * half
    expected = 2 * weight * math.cos(math.radians(half))
    assert t.pulley_load(weight, wrap) == pytest.approx(expected, rel=1e-12)
    assert EXAMPLES["ID1"]["value"] == "2 m g cos(b)"


@pytest.mark.parametrize(("key", "wrap"), [("ID2", 60.0), ("ID3", 90.0)])
def test_load_on_an_idler(key: str, wrap: float) -> None:
    check(EXAMPLES[key], t.pulley_load(200.0, wrap))


def test_id6_torque_on_a_tensioner_arm() -> None:
    check(EXAMPLES["ID6"], t.tensioner_torque(200.0, 0.040, 60.0, 90.0))
    assert t.tension_from_torque(8.0, 0.040, 60.0, 90.0) == pytest.approx(200.0, rel=1e-12)


def test_sg1_free_length_of_the_physics_book_string() -> None:
    """427.23 m/s and 329.63 Hz of one example give a 648 mm string."""
    row = SIGNAL["SG1"]
    tension = t.tension_from_speed(427.23, 3.09e-4)
    check(row, t.span_length(329.63, tension, 3.09e-4))


def test_sg2_one_percent_of_frequency_is_two_of_tension() -> None:
    base, moved = (t.tension_from_frequency(f, 0.2, 0.1) for f in (100.0, 101.0))
    check(SIGNAL["SG2"], 100 * (moved / base - 1))


def test_sg3_two_percent_of_span_is_four_of_tension() -> None:
    base, moved = (t.tension_from_frequency(100.0, length, 0.1) for length in (0.2, 0.204))
    check(SIGNAL["SG3"], 100 * (moved / base - 1))


def test_every_tension_row_is_covered() -> None:
    """SG4 and SG6 are of the note detector; all the others are above."""
    here = Path(__file__).read_text(encoding="utf-8")
    wanted = [k for k, r in EXAMPLES.items() if r["status"] in {"read", "computed"}]
    wanted += [k for k in SIGNAL if k not in {"SG4", "SG6"}]
    assert [k for k in wanted if f'"{k}"' not in here] == []


def test_published_masses_are_whole_belts_not_strips() -> None:
    """ML1 to ML3 (Khurmi and Gupta): the mass is of the whole width, as the formula wants it.

    The rows from memory are orders of magnitude and stand in no formula here.
    """
    masses = rows("belt_tension/mass_per_length.csv")
    read = {k: float(r["mass_kg_per_m"]) for k, r in masses.items() if r["status"] == "read"}
    assert set(read) >= {"ML1", "ML2", "ML3"}
    for mass in read.values():
        whole = t.tension_from_frequency(30.0, 0.5, mass)
        assert whole == pytest.approx(mass * 900.0, rel=1e-12)
        assert t.mass_of_sample(mass * 1.7, 1.7) == pytest.approx(mass, rel=1e-12)
