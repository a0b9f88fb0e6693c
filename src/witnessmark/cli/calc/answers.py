"""How a sum answers on the command line: aligned text for people, one JSON object for scripts."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any, NoReturn

import click

from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.reading import Quantity, QuantityError, read_quantity
from witnessmark.quantities.units import Dimension


class Refused(click.ClickException):
    """A sum that says no: the reason goes to stderr and the exit code is 1."""

    exit_code = 1

    def show(self, file: Any = None) -> None:  # noqa: ANN401 (click's own signature)
        """Print the reason."""
        click.echo(f"Refused: {self.message}", file=file, err=True)


@contextmanager
def refusals() -> Iterator[None]:
    """Turn a refusal of the core into exit code 1 with its reason on stderr."""
    try:
        yield
    except (RefusalError, QuantityError) as error:
        raise Refused(str(error)) from None


class QuantityType(click.ParamType[Quantity]):
    """An option that reads a quantity of one dimension; what it cannot read is a bad option."""

    def __init__(self, dimension: Dimension) -> None:
        self.dimension = dimension
        self.name = str(dimension)

    def convert(
        self,
        value: Any,  # noqa: ANN401 (click's own signature)
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Quantity:
        """Read the text."""
        if isinstance(value, Quantity):
            return value
        try:
            return read_quantity(value, self.dimension)
        except QuantityError as error:
            self.fail(str(error), param, ctx)


class ReadType(click.ParamType[object]):
    """An option read by a function of the core."""

    def __init__(self, name: str, read: Callable[[str], object]) -> None:
        self.name = name
        self.read = read

    def convert(
        self,
        value: Any,  # noqa: ANN401 (click's own signature)
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> object:
        """Read the text; a refusal is not a bad option."""
        if not isinstance(value, str):
            return value
        try:
            return self.read(value)
        except QuantityError as error:
            self.fail(str(error), param, ctx)
        except RefusalError as error:
            raise Refused(str(error)) from None


@dataclass
class Answer:
    """What a sum found: `data` for scripts, `lines` for people, cautions and sources for both."""

    title: str
    data: dict[str, Any] = field(default_factory=dict)
    lines: list[tuple[str, str]] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)

    def line(self, label: str, words: str) -> None:
        """Add a line for people."""
        self.lines.append((label, words))

    def give(self, as_json: bool) -> None:
        """Print the answer."""
        if as_json:
            whole = self.data | {"cautions": self.cautions, "sources": self.sources}
            click.echo(json.dumps(whole, ensure_ascii=False))
            return
        click.echo(self.title)
        width = max((len(label) for label, _ in self.lines), default=0)
        for label, words in self.lines:
            click.echo(f"  {label:<{width}}  {words}")
        for caution in self.cautions:
            click.echo(f"  ! {caution}")
        for source in self.sources:
            click.echo(f"  source: {source}")


def rounded(value: float) -> float:
    """Drop float noise: nine significant digits."""
    return float(f"{value:.9g}")


def shown(value: float, unit: str = "", digits: int = 4) -> str:
    """Print a number for people: so many significant digits, no exponent."""
    text = "0" if value == 0.0 else format(Decimal(f"{value:.{digits - 1}e}"), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return f"{text} {unit}".rstrip()


def never(message: str) -> NoReturn:
    """Stop on options that do not go together; a bad option, exit code 2."""
    raise click.UsageError(message)


def write_drawing(path: Path, drawing: str) -> None:
    """Write an SVG file; a refusal when it cannot be written."""
    try:
        path.write_text(drawing, encoding="utf-8")
    except OSError as error:
        raise Refused(f"the drawing cannot be written to {path}: {error.strerror}") from None
