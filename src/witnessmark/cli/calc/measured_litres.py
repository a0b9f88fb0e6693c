"""Litres out against litres in: the options that `calc coolant` and `calc fill` share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

import click

from witnessmark.cli.calc.answers import Answer, QuantityType, never, rounded
from witnessmark.engineering.coolant_balance import airlock_test
from witnessmark.quantities.reading import Quantity
from witnessmark.quantities.units import Dimension

VOLUME = QuantityType(Dimension.VOLUME)

_Command = TypeVar("_Command", bound=Callable[..., Any])

_OPTIONS = (
    click.option(
        "--out", "drained", type=VOLUME, help="Litres that came out, for the airlock test: '5.2 L'"
    ),
    click.option("--in", "poured", type=VOLUME, help="Litres that went in."),
    click.option(
        "--spilt", type=VOLUME, help="Litres lost otherwise, or gone with a renewed part."
    ),
    click.option("--off", type=VOLUME, help="How far the two together may be off: '0.2 L'"),
)


def litres_options(command: _Command) -> _Command:
    """Offer the measured litres; the command takes them on as `MeasuredLitres(**measured)`."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


@dataclass(frozen=True, slots=True)
class MeasuredLitres:
    """What was measured, as far as it was given."""

    drained: Quantity | None
    poured: Quantity | None
    spilt: Quantity | None
    off: Quantity | None

    @property
    def given(self) -> bool:
        """Whether litres out or in were measured."""
        return self.drained is not None or self.poured is not None

    def tell_balance(self, answer: Answer) -> None:
        """Tell whether air is trapped, from litres out against litres in."""
        if self.drained is None or self.poured is None or self.off is None:
            never("the airlock test needs --out, --in and --off")
        found = airlock_test(
            float(self.drained) * 1000,
            float(self.poured) * 1000,
            uncertainty=float(self.off) * 1000,
            spilt=0.0 if self.spilt is None else float(self.spilt) * 1000,
        )
        answer.data |= {"missing_L": rounded(found.missing), "verdict": found.verdict.value}
        answer.line("airlock test", found.words)
