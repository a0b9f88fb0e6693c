"""Each small wrong put into the Python side is noticed by the vectors."""

from __future__ import annotations

import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.ledger.mutations import PYTHON
from tests.ledger.vector_files import read_file, unlabelled

ANEW = (
    "witnessmark.ledger",
    *(f"witnessmark.procedure.{each}" for each in ("book", "standing", "demands", "interpreter")),
    "tests.ledger.vector_files",
)


class Mutant(importlib.abc.MetaPathFinder, importlib.abc.InspectLoader):
    """Loads one module with a text replaced."""

    def __init__(self, name: str, source: str) -> None:
        self.name = name
        self.source = source

    def find_spec(self, fullname, *_):
        found = fullname == self.name
        return importlib.machinery.ModuleSpec(fullname, self) if found else None

    def get_source(self, _):
        return self.source


def source_of(module: str) -> str:
    spec = importlib.util.find_spec(module)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).read_text(encoding="utf-8")


@contextmanager
def loaded(mutation) -> Iterator:
    """Give `answer` of modules loaded anew with the mutation; then all is as it was."""
    mutant = Mutant(mutation.module, source_of(mutation.module).replace(mutation.old, mutation.new))
    kept = {name: sys.modules.pop(name) for name in list(sys.modules) if name.startswith(ANEW)}
    sys.meta_path.insert(0, mutant)
    try:
        yield importlib.import_module("tests.ledger.vector_files").answer
    finally:
        sys.meta_path.remove(mutant)
        for name in [name for name in sys.modules if name.startswith(ANEW)]:
            del sys.modules[name]
        sys.modules.update(kept)
        for name, module in kept.items():
            parent, _, child = name.rpartition(".")
            setattr(sys.modules[parent], child, module)


@pytest.fixture(scope="module")
def content():
    found = read_file()
    return found["packs"], [unlabelled(each) for each in found["vectors"]]


@pytest.mark.parametrize("mutation", PYTHON, ids=str)
def test_it_is_noticed(mutation, content):
    packs, vectors = content
    assert source_of(mutation.module).count(mutation.old) == 1
    with loaded(mutation) as answer:
        assert any(is_answered_otherwise(answer, packs, each) for each in vectors)


def is_answered_otherwise(answer, packs, vector) -> bool:
    try:
        got = answer(packs[vector["pack"]], vector)
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
        return True
    return json.loads(json.dumps(got)) != vector["expected"]
