"""Options that read a measured quantity with how far it may be off: `200 mm ± 1 mm`."""

from __future__ import annotations

import re
from typing import Any

import click

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.tension import Band
from witnessmark.quantities.reading import QuantityError, read_quantity, split_quantity
from witnessmark.quantities.units import Dimension

_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-)\s*")


class MeasuredType(click.ParamType[Band]):
    """Read a quantity above zero as a band: `100 Hz`, `100 Hz ± 2 %`, `100 Hz ± 1 Hz`."""

    def __init__(self, dimension: Dimension) -> None:
        self.dimension = dimension
        self.name = str(dimension)

    def convert(
        self,
        value: Any,  # noqa: ANN401 (click's own signature)
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Band:
        """Read the text."""
        try:
            return read_band(value, self.dimension)
        except (QuantityError, RefusalError) as error:
            self.fail(str(error), param, ctx)


def read_band(text: str, dimension: Dimension) -> Band:
    """Read a quantity with an accuracy in its own unit or in percent; exact without one.

    Raises
    ------
    QuantityError
        If a part cannot be read or measures something else.
    RefusalError
        If the band is not above zero.
    """
    figure, *accuracy = _PLUS_MINUS.split(text.strip(), maxsplit=1)
    middle = float(read_quantity(figure, dimension))
    if not accuracy:
        return Band.exact(middle)
    _, unit = split_quantity(accuracy[0])
    if unit.dimension is Dimension.RATIO:
        off = abs(middle) * float(read_quantity(accuracy[0], Dimension.RATIO))
    else:
        off = float(read_quantity(accuracy[0], dimension))
    return Band(middle - off, middle, middle + off)
