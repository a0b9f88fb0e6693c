"""Each small wrong put into the JavaScript side is noticed by the vectors."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from tests.ledger.mutations import JAVASCRIPT
from tests.ledger.vector_files import GENERATED

RUNNER = "runner/ledger_runner.js"
MODULES = Path(__file__).parents[2] / "src" / "witnessmark" / "workshop" / "static" / "ledger"


@pytest.fixture(scope="module")
def address(browser):
    browser.laid_out["/vectors.json"] = gzip.decompress(GENERATED.read_bytes())
    return "/vectors.json"


@pytest.mark.parametrize("mutation", JAVASCRIPT, ids=str)
def test_it_is_noticed(browser, address, mutation):
    assert (MODULES / mutation.module).read_text(encoding="utf-8").count(mutation.old) == 1
    name = f"m{JAVASCRIPT.index(mutation)}"
    browser.mutants[name] = mutation
    said = browser.call(RUNNER, "differences", f"/mutant/{name}", address, True)
    assert said["failed"] >= 1
