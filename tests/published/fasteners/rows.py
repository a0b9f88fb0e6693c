"""Reads the published rows beside it, and how finely a figure was printed."""

from __future__ import annotations

import csv
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    """All rows of one table."""
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    assert found, f"{name} is empty"
    return found


def read_rows(name: str) -> list[dict[str, str]]:
    """The rows that were seen on a page (status `read`, perhaps with a remark)."""
    return [row for row in rows(name) if row["status"].startswith("read")]


def remembered_rows(name: str) -> list[dict[str, str]]:
    """The rows written from memory of a named standard."""
    return [row for row in rows(name) if not row["status"].startswith("read")]


def examples() -> dict[str, dict[str, Any]]:
    """Worked examples by their id."""
    with (HERE / "worked_examples.toml").open("rb") as file:
        return {e["id"]: e for e in tomllib.load(file)["example"]}


def half_unit(printed: str | float) -> float:
    """Half a unit in the last printed digit: 0.005 for 7.35, 0.5 for 125."""
    return 0.5 * float(Decimal(1).scaleb(int(Decimal(str(printed)).as_tuple().exponent)))


def half_step(printed: str) -> float:
    """As `half_unit`, but trailing zeros of a whole number were not read off: 50 for 33700."""
    number = Decimal(printed)
    if number == number.to_integral_value():
        number = number.normalize()
    return 0.5 * float(Decimal(1).scaleb(int(number.as_tuple().exponent)))


def key(row: dict[str, str], *columns: str) -> str:
    """A name for a row in a test report."""
    return " ".join(row[column] for column in columns)
