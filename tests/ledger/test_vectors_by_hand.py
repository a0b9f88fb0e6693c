"""The rules, case by case: written by hand from what must be so, not from what a program says."""

from __future__ import annotations

import pytest

from tests.ledger.short_words import cases, faults, vector_of
from tests.ledger.vector_files import answer, read_file

CASES = cases()


@pytest.fixture(scope="module")
def packs():
    return read_file()["packs"]


def test_there_are_more_than_two_hundred_and_each_names_its_rule():
    assert len({case["it"] for case in CASES}) == len(CASES) >= 200
    assert all(case["rule"] for case in CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["it"])
def test_the_rule_holds(case, packs):
    vector, named = vector_of(case, packs)
    pack = packs[vector["pack"]]
    assert faults(case["then"], answer(pack, vector), named, pack, vector["asks"]) == []
