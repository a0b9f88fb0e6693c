"""Every public fastening sum says what goes in, what comes out, in which unit and by whom."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re

import pytest

import witnessmark.engineering.fastening as package

FUNCTIONS = [
    pytest.param(function, id=f"{module.name}.{name}")
    for module in pkgutil.iter_modules(package.__path__)
    for name, function in inspect.getmembers(
        importlib.import_module(f"{package.__name__}.{module.name}"), inspect.isfunction
    )
    if not name.startswith("_") and function.__module__ == f"{package.__name__}.{module.name}"
]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_described_arguments_are_the_real_ones(function) -> None:
    described = re.search(
        r"\n *Parameters\n *-+\n(.*?)(?:\n *(?:Returns|Raises|Notes|References)\n *-+|\Z)",
        inspect.getdoc(function) or "",
        flags=re.DOTALL,
    )
    if described is None:
        return
    names = [
        name.strip()
        for line in re.findall(r"^(\w[\w, ]*?)(?: : .*)?$", described[1], flags=re.MULTILINE)
        for name in line.split(",")
    ]
    assert names == list(inspect.signature(function).parameters)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_sum_that_gives_a_number_gives_its_unit(function) -> None:
    if inspect.signature(function).return_annotation in {"float", "float | None"}:
        assert re.search(r"\[[^\]]+\]", inspect.getdoc(function) or "")
