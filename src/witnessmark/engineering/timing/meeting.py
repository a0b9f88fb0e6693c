"""When marks meet again: shaft marks together, and the printing on belt or chain as well."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.shafts import MOST_TEETH, TimingRun

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Loop:
    """A belt or chain with printed marks: its teeth or links, and a sprocket it runs on."""

    name: str
    teeth: int
    on_shaft: str
    sprocket_teeth: int

    def __post_init__(self) -> None:
        for teeth in (self.teeth, self.sprocket_teeth):
            if not 3 <= teeth <= MOST_TEETH:
                raise RefusalError(f"{teeth} teeth cannot be right for {self.name}", "count again")


@dataclass(frozen=True, slots=True)
class Meeting:
    """After how many turns marks that meet now meet again.

    Attributes
    ----------
    shaft_marks : int
        Crank turns until every shaft mark is back.
    with_printing : int
        Crank turns until the printing on every belt or chain is back as well.
    shaft_turns : dict
        Turns of each shaft in `with_printing` crank turns.
    loop_turns : dict
        Turns of each belt or chain in `with_printing` crank turns.
    """

    shaft_marks: int
    with_printing: int
    shaft_turns: dict[str, int]
    loop_turns: dict[str, int]


def marks_meet(run: TimingRun, loops: Sequence[Loop] = ()) -> Meeting:
    """Find when shaft marks, and printed marks, meet again.

    Parameters
    ----------
    run : TimingRun
        The shafts.
    loops : sequence of Loop
        Belts and chains whose printing is to meet its marks as well.

    Returns
    -------
    Meeting
        The crank turns, and what everything else turns meanwhile.

    Notes
    -----
    A shaft is back after crank turns whose product with its ratio is whole, so the answer
    is the least common multiple of the ratios' denominators; a loop turns by sprocket teeth
    over its own teeth. Checked against turning tooth by tooth. For a belt of 151 teeth on a
    crank sprocket of 24 the printing is back after 24 belt turns, 151 of the crank.
    """
    ratios = {shaft.name: run.ratio(shaft.name) for shaft in run.shafts}
    loop_ratios = {
        loop.name: run.ratio(loop.on_shaft) * Fraction(loop.sprocket_teeth, loop.teeth)
        for loop in loops
    }
    shafts = math.lcm(*(ratio.denominator for ratio in ratios.values()))
    printing = math.lcm(shafts, *(ratio.denominator for ratio in loop_ratios.values()))
    return Meeting(
        shafts,
        printing,
        {name: int(ratio * printing) for name, ratio in ratios.items()},
        {name: int(ratio * printing) for name, ratio in loop_ratios.items()},
    )


def belt_turns_to_meet(belt_teeth: int, sprocket_teeth: int) -> int:
    """Belt turns until the same tooth meets the same groove: lcm(zb, z) / zb."""
    for teeth in (belt_teeth, sprocket_teeth):
        if not 3 <= teeth <= MOST_TEETH:
            raise RefusalError(f"{teeth} teeth cannot be right", "count again")
    return math.lcm(belt_teeth, sprocket_teeth) // belt_teeth
