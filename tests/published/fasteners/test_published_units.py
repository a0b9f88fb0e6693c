"""Unit factors and the unit pairs printed in manuals."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from tests.published.fasteners.rows import half_unit, key, rows
from witnessmark.quantities.conversion import convert

CONVERSIONS = rows("unit_conversions")


@pytest.mark.parametrize("row", CONVERSIONS, ids=[key(r, "from", "to") for r in CONVERSIONS])
def test_factors_agree_with_scipy_constants_and_pint(row) -> None:
    """As held by scipy 1.17.1 constants and pint 0.25.3, to one unit of their last place."""
    found = convert(f"1 {row['from']}", row["to"])
    assert found.value == pytest.approx(float(row["factor"]), rel=4e-16)
    assert found.is_exact is (row["exact"] != "irrational")


WITH_EXACT = [r for r in CONVERSIONS if re.search(r"yes \(([\d.]+)\)", r["exact"])]


@pytest.mark.parametrize("row", WITH_EXACT, ids=[key(r, "from", "to") for r in WITH_EXACT])
def test_exact_factors_agree_digit_by_digit(row) -> None:
    """The exact decimals from the definitions of inch, pound and standard gravity."""
    match = re.search(r"yes \(([\d.]+)\)", row["exact"])
    assert match is not None
    found = convert(f"1 {row['from']}", row["to"]).exact
    assert abs(found - Fraction(match[1])) <= Fraction(half_unit(match[1]))


PAIRS = rows("unit_pairs_printed")
# Pairs that no rounding of the exact factor gives; they are not made to pass.
PAIR_EXCEPTIONS = {
    ("270", "365"): "366.07 N·m: rounded to the nearest five",
    ("43", "4.3"): "4.385 kgf·m: the manual divides by ten",
}


@pytest.mark.parametrize("row", PAIRS, ids=[key(r, "value_from", "unit_from") for r in PAIRS])
def test_printed_pairs_agree_after_rounding_in_one_direction(row) -> None:
    """US Army TM 10-3930-669-20, TM 55-1905-223-24-1, an outboard service manual.

    A manual rounds from the unit it was written in, and does not say which: one direction
    must agree within half a unit of the printed digits.
    """
    there = convert(f"{row['value_from']} {row['unit_from']}", row["unit_to"]).value
    back = convert(f"{row['value_to']} {row['unit_to']}", row["unit_from"]).value
    agrees = abs(there - float(row["value_to"])) <= half_unit(row["value_to"]) or abs(
        back - float(row["value_from"])
    ) <= half_unit(row["value_from"])
    assert agrees is ((row["value_from"], row["value_to"]) not in PAIR_EXCEPTIONS)
