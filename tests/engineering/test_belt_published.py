"""Belts against handbook examples and standards; every row names its source in the file.

Rows `read` or `computed` must each be covered by a function here, or be listed as a bare
fact about a standard. Rows from memory are checked only where another row stands beside them.
"""

from __future__ import annotations

import csv
import itertools
import math
from fractions import Fraction
from pathlib import Path

import pytest

from witnessmark.engineering.belts.path import belt_path
from witnessmark.engineering.belts.pulleys import Pulley, pitch_diameter, pitch_line_diameter
from witnessmark.engineering.belts.standard_lengths import (
    INCH,
    section_pitch,
    standard_belt,
    teeth_of_length,
)
from witnessmark.engineering.belts.two_pulleys import (
    centre_distance,
    centre_distance_short_form,
    crossed_belt_length,
    crossed_belt_length_short_form,
    crossed_belt_wrap,
    next_step,
    open_belt_length,
    open_belt_length_short_form,
    open_belt_wraps,
)
from witnessmark.engineering.refusal import RefusalError

PUBLISHED = Path(__file__).parents[1] / "published" / "belts"
IN = 0.0254


def rows(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def two(first: float, second: float, centres: float) -> list[Pulley]:
    return [Pulley("first", 0, 0, first), Pulley("second", centres, 0, second)]


def stepped() -> list[float]:
    length = open_belt_length(2 * 0.10667, 2 * 0.040, 0.720)
    return [1000 * r for r in next_step(length, 2.0, 0.720)]


def triangle() -> float:
    corners = [(0.0, 0.0), (0.3, 0.0), (0.0, 0.4)]
    return 1000 * belt_path([Pulley(f"{x},{y}", x, y, 0.1) for x, y in corners]).length


SHIGLEY = two(18 * IN, 6 * IN, 96 * IN)
EXAMPLES = {
    "BL1": lambda: [belt_path(SHIGLEY).contacts[1].wrap],
    "BL2": lambda: [belt_path(SHIGLEY).contacts[0].wrap],
    "BL3": lambda: [belt_path(SHIGLEY).length / IN],
    "BL4": lambda: [centre_distance_short_form(54, 6, 4)],
    "BL5": lambda: [math.degrees(belt_path(two(6 * IN, 4 * IN, 19.12 * IN)).contacts[1].wrap)],
    "BL8": lambda: [100 * open_belt_length_short_form(0.5, 0.3, 5.0)],
    "BL10": stepped,
    "BL11": lambda: [triangle()],
    # Row BL12 is from memory; it is the definition with 24 teeth of 9.525 mm.
    "BL12": lambda: [1000 * pitch_diameter(24, 0.009525)],
    "BL13": lambda: [
        belt_path(
            [
                Pulley("large", 0, 0, 6 * IN, teeth=36),
                Pulley("small", 19.12 * IN, 0, 4 * IN, teeth=24),
            ]
        )
        .contacts[1]
        .teeth_in_mesh
    ],
    "BL14": lambda: [standard_belt("124L").length / INCH],
}


@pytest.mark.parametrize("row", rows("worked_examples.csv"), ids=lambda row: row["id"])
def test_worked_example(row: dict[str, str]) -> None:
    wanted = [float(value) for value in row["value"].split(";")]
    got = [float(value) for value in EXAMPLES[row["id"]]()]
    assert got == pytest.approx(wanted, rel=0, abs=float(row["tolerance"]) + 1e-12), row["source"]


def test_exact_centre_distance_agrees_with_the_printed_one_to_its_digits() -> None:
    # Wentzell, Machine Design, Example 14.2: 19.12 in by the short form.
    assert centre_distance(54 * IN, 6 * IN, 4 * IN) / IN == pytest.approx(19.12, abs=0.01)


@pytest.mark.parametrize("row", rows("imperial_pitch_lengths.csv"), ids=lambda r: r["designation"])
def test_standard_inch_length(row: dict[str, str]) -> None:
    belt = standard_belt(row["designation"])
    assert belt.teeth == int(row["teeth"])
    assert belt.pitch / INCH == Fraction(row["pitch_in"])
    assert belt.length / INCH == Fraction(row["pitch_length_in"])
    assert belt.tolerance is not None
    assert belt.tolerance / INCH == Fraction(row["tolerance_in"])
    assert teeth_of_length(belt.length, section_pitch(row["section"])) == int(row["teeth"])


FACTS_ONLY = {
    "ISO5296", "ISO19347", "ISO13050-14", "ISO9010", "ISO21342", "PK-de", "PK-g2g", "PK-K", "DEF",
}  # fmt: skip


@pytest.mark.parametrize(
    "row",
    [r for r in rows("standards.csv") if r["status"] == "read" and r["id"] not in FACTS_ONLY],
    ids=lambda row: row["id"],
)
def test_standard(row: dict[str, str]) -> None:
    if row["id"].startswith("P-"):
        section = row["id"].removeprefix("P-")
        assert section_pitch(section) * 1000 == Fraction(row["value"])
    elif row["id"] == "PK-be":
        assert 1000 * pitch_line_diameter(0.060, float(row["value"]) / 1000) == pytest.approx(64)
    elif row["id"] == "ISO13050-99":
        names = [name for name in row["value"].split() if name.endswith("M")]
        for name in names:
            pitch = 8 if name.endswith("8M") else 14
            belt = standard_belt(f"{pitch * 100} {name}")
            assert (belt.section, belt.teeth) == (name, 100)
            assert belt.pitch == Fraction(pitch, 1000)
    else:
        assert row["id"] == "ISO13050-name"
        assert standard_belt("1400 S14M").designation == "1400 S14M"


def test_section_from_memory_is_marked_and_carries_no_tolerance() -> None:
    belt = standard_belt("60XXL")
    assert "from memory" in belt.source
    assert belt.tolerance is None


@pytest.mark.parametrize("text", ["", "124", "124Q", "125L", "0L", "1" * 60 + "L", "1001 H8M"])
def test_designations_that_are_none_are_refused(text: str) -> None:
    with pytest.raises(RefusalError):
        standard_belt(text)


def test_a_length_that_is_no_whole_number_of_pitches_is_refused() -> None:
    with pytest.raises(RefusalError, match=r"33\.0667 pitches"):
        teeth_of_length(Fraction("12.4"), Fraction("0.375"))
    with pytest.raises(RefusalError, match="above zero"):
        teeth_of_length(Fraction(0), Fraction("0.375"))


@pytest.mark.parametrize(
    ("large", "small", "centres"), [(0.5, 0.1, 0.31), (0.3, 0.3, 1.0), (0.2, 0.05, 4.0)]
)
def test_closed_forms_agree_with_the_path(large: float, small: float, centres: float) -> None:
    path = belt_path(two(large, small, centres))
    assert open_belt_length(large, small, centres) == pytest.approx(path.length, rel=1e-14)
    assert open_belt_wraps(large, small, centres) == pytest.approx([c.wrap for c in path.contacts])
    crossed = belt_path(two(large, small, centres), crossed=True)
    assert crossed_belt_length(large, small, centres) == pytest.approx(crossed.length, rel=1e-14)
    assert crossed_belt_wrap(large, small, centres) == pytest.approx(crossed.contacts[0].wrap)
    assert centre_distance(path.length, large, small) == pytest.approx(centres, rel=1e-9)


def test_short_forms_near_the_exact_ones_from_below_as_pulleys_part() -> None:
    for exact, short in (
        (open_belt_length, open_belt_length_short_form),
        (crossed_belt_length, crossed_belt_length_short_form),
    ):
        errors = [exact(0.5, 0.2, c) - short(0.5, 0.2, c) for c in (0.5, 1.0, 2.0, 4.0)]
        # The next term of the series falls with the cube of the distance.
        ratios = [a / b for a, b in itertools.pairwise(errors)]
        assert ratios[-1] == pytest.approx(8, rel=0.1)
        assert all(e > 0 for e in errors)


def test_steps_keep_the_belt_length_for_any_ratio() -> None:
    length = open_belt_length(0.2, 0.1, 0.7)
    for ratio in (0.25, 0.5, 1.0, 3.0):
        first, second = next_step(length, ratio, 0.7)
        assert second / first == pytest.approx(ratio)
        assert open_belt_length(2 * max(first, second), 2 * min(first, second), 0.7) == (
            pytest.approx(length, rel=1e-12)
        )


@pytest.mark.parametrize(
    "sum_",
    [
        lambda: open_belt_length(0.5, 0.1, 0.3),
        lambda: open_belt_length(0.5, -0.1, 1),
        lambda: centre_distance(0.5, 0.5, 0.1),
        lambda: centre_distance(math.nan, 0.5, 0.1),
        lambda: centre_distance_short_form(0.5, 0.5, 0.1),
        lambda: next_step(1.0, 2.0, 0.7),
        lambda: next_step(9.0, 2.0, 0.7),
        lambda: pitch_line_diameter(0.06, -0.001),
        lambda: section_pitch("Q"),
    ],
)
def test_impossible_drives_are_refused(sum_: object) -> None:
    with pytest.raises(RefusalError):
        sum_()
