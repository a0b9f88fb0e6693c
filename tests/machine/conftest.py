"""Tests speak the format: the docstring of a test is the file, a fixture reads it."""

from __future__ import annotations

from textwrap import dedent

import pytest

from tests.machine.written import check_text


@pytest.fixture
def said(request) -> list[str]:
    """Every complaint about the machine file in the test's docstring, as printed."""
    return [str(found) for found in check_text(document(request))]


@pytest.fixture
def codes(request) -> list[str]:
    """The code of every complaint about the machine file in the test's docstring."""
    return [found.code for found in check_text(document(request))]


def document(request) -> str:
    """The docstring of a test, its first line the first line of the file."""
    text = request.function.__doc__
    assert text, "the test has no file in its docstring"
    return dedent(text).lstrip("\n")
