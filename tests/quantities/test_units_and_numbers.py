"""Units are exact fractions of SI, and numbers are read as people write them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.quantities.conversion import convert
from witnessmark.quantities.reading import (
    QuantityError,
    format_number,
    read_number,
    read_quantity,
    shorten,
)
from witnessmark.quantities.units import BY_NAME, UNITS, Dimension, unit_named

NUMBERS = st.decimals(
    min_value=-99_999, max_value=99_999, places=6, allow_nan=False, allow_infinity=False
)


def test_every_name_of_a_unit_leads_to_one_unit() -> None:
    names = [name for unit in UNITS for name in (unit.symbol, *unit.also)]
    assert len(names) == len(set(names))


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("22 N·m", Dimension.TORQUE, Fraction(22)),
        ("22 Nm", Dimension.TORQUE, Fraction(22)),
        ("22 N*m", Dimension.TORQUE, Fraction(22)),
        ("7.5 L", Dimension.VOLUME, Fraction(75, 10_000)),
        ("3/8 in", Dimension.LENGTH, Fraction(9525, 1_000_000)),
        ("1 1/2 in", Dimension.LENGTH, Fraction(381, 10_000)),
        ('3/8"', Dimension.LENGTH, Fraction(9525, 1_000_000)),
        ("20 °C", Dimension.TEMPERATURE, Fraction(29_315, 100)),
        ("-40 °F", Dimension.TEMPERATURE, Fraction(23_315, 100)),
        ("−5 °C", Dimension.TEMPERATURE, Fraction(26_815, 100)),
        ("90°", Dimension.ANGLE, Fraction(90)),
        ("1/4 turn", Dimension.ANGLE, Fraction(90)),
        ("1 h 20", Dimension.TIME, Fraction(4800)),
        ("1 h 20 min", Dimension.TIME, Fraction(4800)),
        ("50 %", Dimension.RATIO, Fraction(1, 2)),
        ("0.5", Dimension.RATIO, Fraction(1, 2)),
        ("1 kip", Dimension.FORCE, Fraction(8_896_443_230_521, 2_000_000_000)),
    ],
)
def test_quantities_are_read_as_people_write_them(text, dimension, si) -> None:
    assert read_quantity(text, dimension).si == si


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("22", Dimension.TORQUE, "has no unit"),
        ("7,5 L", Dimension.VOLUME, "comma"),
        ("22 Nmm2", Dimension.TORQUE, "not a unit known here"),
        ("fast", Dimension.TORQUE, "not a number with a unit"),
        ("1/0 in", Dimension.LENGTH, "divides by zero"),
        ("22 mm", Dimension.TORQUE, "is a length, but a torque is wanted"),
        ("9" * 90 + " mm", Dimension.LENGTH, "not a number with a unit"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(text, dimension, says) -> None:
    with pytest.raises(QuantityError, match=says):
        read_quantity(text, dimension)


def test_a_misspelt_unit_brings_the_nearest_one() -> None:
    with pytest.raises(QuantityError, match="did you mean 'lbf·ft'"):
        read_quantity("5 lbf·ftt", Dimension.TORQUE)


def test_an_error_tells_unreadable_from_wrong_unit() -> None:
    for text, kind in (("22 furlongs", "unreadable"), ("22 mm", "wrong-unit")):
        with pytest.raises(QuantityError) as caught:
            read_quantity(text, Dimension.TORQUE)
        assert caught.value.kind == kind


@given(NUMBERS)
def test_a_decimal_is_read_exactly(number) -> None:
    assert read_number(f"{number:f}") == Fraction(number)


@given(NUMBERS)
def test_a_printed_number_reads_back_to_itself(number) -> None:
    assert read_number(format_number(Fraction(number))) == Fraction(number)


@given(NUMBERS, st.sampled_from([u for u in UNITS if u.symbol]), st.data())
def test_there_and_back_between_units_is_exact(number, unit, data) -> None:
    other = data.draw(st.sampled_from([u for u in UNITS if u.dimension is unit.dimension]))
    there = convert(f"{number:f} {unit.symbol}", other.symbol)
    back = there.exact * other.factor + other.offset
    assert (back - unit.offset) / unit.factor == Fraction(number)


def test_printed_decimals_are_all_there_when_they_end() -> None:
    """1 lbf·ft is 1.3558179483314004 N·m exactly: pound, inch and standard gravity are defined."""
    assert convert("1 lbf·ft", "N·m").decimal_text == "1.3558179483314004"
    assert convert("1 lbf·ft", "N·m").fraction_text == "3389544870828501/2500000000000000"
    endless = convert("1 N·m", "lbf·ft").decimal_text
    assert endless.endswith("…")
    assert endless.startswith("0.7375621492772653")
    assert convert("3 in", "mm").decimal_text == "76.2"


def test_only_the_radian_is_not_exact() -> None:
    assert [u.symbol for u in UNITS if not u.exact] == ["rad"]
    turn = convert("180°", "rad")
    assert not turn.is_exact
    assert turn.value == 3.141592653589793


def test_units_of_other_things_are_refused() -> None:
    with pytest.raises(QuantityError, match="measures length, not torque"):
        convert("25 N·m", "mm")
    with pytest.raises(QuantityError, match="not a unit known here"):
        convert("25 N·m", "bananas")


def test_multiplication_signs_are_interchangeable() -> None:
    for name in ("lbf·ft", "lbf*ft", "lbf ft", "lbf ⋅ ft", "lbf · ft"):
        assert unit_named(name) is BY_NAME["lbf·ft"]


def test_long_texts_are_cut_in_messages() -> None:
    assert len(shorten("x" * 500)) == 80
    assert shorten("a\n b") == "a b"


def test_quantities_print_in_their_own_unit_without_noise() -> None:
    assert str(read_quantity("0.1 lbf·ft", Dimension.TORQUE)) == "0.1 lbf·ft"
    assert str(read_quantity("1/3 in", Dimension.LENGTH)) == "0.333333 in"
    assert str(read_quantity("90 deg", Dimension.ANGLE)) == "90°"
    assert format_number(Fraction(-1, 10**9)) == "0"
    assert format_number(Fraction(5, 2), 0) == "2"
