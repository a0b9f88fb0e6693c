"""Final tightness as people write it: `22 N·m`, `60 N·m + 90°`, `seated`, `clicked`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from witnessmark.quantities.reading import (
    Quantity,
    QuantityError,
    read_quantity,
    shorten,
    split_quantity,
)
from witnessmark.quantities.units import Dimension

FINAL_WORDS = ("seated", "clicked", "hand-tight")
_NOT_FINAL = ("finger-tight", "nipped", "slack", "loose")


@dataclass(frozen=True, slots=True)
class Tightness:
    """Either a word (`seated`, `clicked`, `hand-tight`) or stages of torque and angle.

    `stages` are in order; each is a torque [N·m] or an angle [degrees] added to the last.
    """

    word: str | None = None
    stages: tuple[Quantity, ...] = ()

    @property
    def torque(self) -> Quantity | None:
        """The last torque stage, if there is one."""
        torques = [s for s in self.stages if s.dimension is Dimension.TORQUE]
        return torques[-1] if torques else None

    @property
    def angle_degrees(self) -> float:
        """All angle stages together, in degrees."""
        return float(sum(s.si for s in self.stages if s.dimension is Dimension.ANGLE))

    def __str__(self) -> str:
        """Print as written."""
        return self.word or " + ".join(str(stage) for stage in self.stages)


def read_tightness(text: str) -> Tightness:
    """Read a tightness: one of the final words, or torque and angle stages joined by `+`.

    Raises
    ------
    QuantityError
        If it cannot be read, begins with an angle, or is a state that is not final.
    """
    stripped = " ".join(text.split())
    word = stripped.lower().replace(" ", "-")
    if word in FINAL_WORDS:
        return Tightness(word=word)
    if word in _NOT_FINAL:
        raise QuantityError(
            f"'{stripped}' is a state on the way, not a final tightness",
            f"give a torque or one of: {', '.join(FINAL_WORDS)}",
        )
    stages = tuple(_stage(part.strip(), text) for part in re.split(r"\+", stripped))
    if stages[0].dimension is not Dimension.TORQUE:
        raise QuantityError(
            f"'{shorten(text)}' begins with an angle",
            "an angle starts from a torque: '60 N·m + 90°'",
        )
    return Tightness(stages=stages)


def _stage(part: str, whole: str) -> Quantity:
    _, unit = split_quantity(part)
    if unit.dimension not in {Dimension.TORQUE, Dimension.ANGLE}:
        raise QuantityError(
            f"'{shorten(part)}' in '{shorten(whole)}' is a {unit.dimension}",
            "a tightness is made of torques and angles: '60 N·m + 90°'",
            "wrong-unit",
        )
    stage = read_quantity(part, unit.dimension)
    if stage.si <= 0:
        raise QuantityError(f"'{shorten(part)}' is not above zero", "give the maker's figure")
    return stage
