"""Proof, breaking and nut loads; classes and grades.

The standards multiply the stress area as printed (three figures) by the stress and round, so
the tolerance, set before looking, is half a unit in the last printed digit of the load plus
what half a unit of the printed area makes.
"""

from __future__ import annotations

import pytest

from tests.published.fasteners.rows import (
    examples,
    half_step,
    half_unit,
    key,
    read_rows,
    rows,
)
from witnessmark.engineering.fastening.bearing import pressure_limit
from witnessmark.engineering.fastening.preload import wanted_preload
from witnessmark.engineering.fastening.strength import nut_proof_load, strength_of
from witnessmark.engineering.fastening.threads import thread_geometry

KSI = 6_894_757.293168361


def _loads(table: str, prefix: str):
    return [
        pytest.param(
            row["thread"], column.removeprefix(prefix).removesuffix("_N").replace("_", "."),
            row["stress_area_mm2"], row[column], id=f"{row['thread']} {column}",
        )
        for row in rows(table)
        for column in row
        if column.startswith(prefix) and row[column]
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("thread", "name", "area", "load"),
    _loads("iso898_1_proof_loads", "proof_") + _loads("iso898_1_proof_loads_fine", "proof_"),
)
def test_proof_loads_agree_with_iso_898_1(thread, name, area, load) -> None:
    """ISO 898-1:2013 proof-load tables; the fine-pitch rows are from memory."""
    geometry = thread_geometry(thread)
    strength = strength_of(name, geometry)
    slack = half_step(load) + half_unit(area) * strength.proof / 1e6
    assert abs(strength.proof_load(geometry) - float(load)) <= slack


@pytest.mark.parametrize(
    ("thread", "name", "area", "load"), _loads("iso898_1_ultimate_loads", "ult_")
)
def test_breaking_loads_agree_with_iso_898_1(thread, name, area, load) -> None:
    """ISO 898-1 minimum ultimate tensile loads; the rows carry the corrected misprints."""
    geometry = thread_geometry(thread)
    strength = strength_of(name, geometry)
    slack = half_step(load) + half_unit(area) * strength.tensile / 1e6
    assert abs(strength.breaking_load(geometry) - float(load)) <= slack


@pytest.mark.parametrize(
    ("thread", "name", "load"),
    [
        pytest.param(row["thread"], name, row[f"class_{name}_N"], id=f"{row['thread']} {name}")
        for row in rows("iso898_2_nut_proof_loads")
        for name in ("8", "10", "12")
    ],
)
def test_nut_proof_loads_agree_with_en_20898_2(thread, name, load) -> None:
    """ISO 898-2 / EN 20898-2, style 1 nuts; the printed areas have three figures."""
    geometry = thread_geometry(thread)
    area_digits = 0.05 if geometry.stress_area < 100e-6 else 0.5
    slack = half_step(load) + area_digits * nut_proof_load(name, geometry) / (
        geometry.stress_area * 1e6
    )
    assert abs(nut_proof_load(name, geometry) - float(load)) <= slack


@pytest.mark.parametrize(
    "row", rows("iso898_1_classes"), ids=lambda r: key(r, "class", "size_range")
)
def test_class_values_agree_with_the_book_and_iso(row) -> None:
    """Shigley 9th ed., Table 8-11, p. 435; ISO 898-1 splits class 8.8 at 16 mm."""
    thread = "M20" if row["size_range"].startswith("M16-M36") else "M8"
    strength = strength_of(row["class"], thread_geometry(thread))
    assert strength.proof == float(row["proof_MPa"]) * 1e6
    assert strength.tensile == float(row["tensile_min_MPa"]) * 1e6
    assert strength.yielding == float(row["yield_min_MPa"]) * 1e6


SIZES = {
    "7/8-1-1/2": ("7/8-9", "1 1/2-6"),
    "1/4-1-1/2": ("1/4-20", "1 1/2-12"),
    "1/4-1": ("1/4-28", "1-8"),
    "1-1/8-1-1/2": ("1 1/8-7", "1 1/2-6"),
}


@pytest.mark.parametrize("row", rows("sae_j429"), ids=lambda r: key(r, "grade", "size_in"))
def test_grade_values_agree_at_both_ends_of_the_size_range(row) -> None:
    """SAE J429 via Shigley and Mischke, 5th ed. 1989, p. 341."""
    for thread in SIZES[row["size_in"]]:
        strength = strength_of(f"grade {row['grade']}", thread_geometry(thread))
        assert strength.proof == pytest.approx(float(row["proof_ksi"]) * KSI, rel=1e-12)
        assert strength.yielding == pytest.approx(float(row["yield_ksi"]) * KSI, rel=1e-12)
        assert strength.tensile == pytest.approx(float(row["tensile_ksi"]) * KSI, rel=1e-12)


@pytest.mark.parametrize("row", rows("surface_pressure_limits"), ids=lambda r: r["material"])
def test_permissible_pressures_agree_with_the_guide_values(row) -> None:
    """VDI 2230:2003 guide values, catalogue p. 678."""
    assert pressure_limit(row["material"]) == float(row["pG_MPa"]) * 1e6


def test_proof_shares_for_reusable_and_permanent_joints() -> None:
    """Shigley 8th ed. solutions 8-20, 8-37 (0.75) and 8-29 (0.9)."""
    shares = {r["practice"]: r["fraction"] for r in read_rows("preload_targets")}
    reusable = float(shares["reusable (non-permanent) connection"])
    assert wanted_preload(1000.0, "reusable") == reusable * 1000.0
    assert wanted_preload(1000.0, "permanent") == float(shares["permanent connection"]) * 1000.0


def test_navy_proof_capacity_of_a_quarter_inch_grade_8_bolt() -> None:
    """Naval Ships Technical Manual ch. 075, preface: 0.0318 in² × 120 000 psi = 3816 lbf.

    The manual's area has three figures, so the full area may be half a unit of it off.
    """
    example = examples()["navy-grade8-1-4-20"]
    geometry = thread_geometry("1/4-20")
    load = strength_of("grade 8", geometry).proof_load(geometry) / 4.4482216152605
    slack = half_unit(example["inputs"]["A_t_in2"]) * example["inputs"]["S_p_psi"]
    assert abs(load - example["expected"]["proof_load_lbf"]) <= slack + 0.5
