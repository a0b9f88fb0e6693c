"""The path of a run's belt, laid over its pulleys as the machine file gives them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from witnessmark.machine.model import Pulley, Run

if TYPE_CHECKING:
    from witnessmark.engineering.belts.path import BeltPath
    from witnessmark.engineering.belts.pulleys import Pulley as LaidPulley


def is_laid_out(run: Run) -> bool:
    """Tell whether the file gives enough of a run to lay its belt: places and sizes of pulleys."""
    return len(run.pulleys) > 1 and all(
        pulley.at is not None and _has_size(run, pulley) for pulley in run.pulleys
    )


def _has_size(run: Run, pulley: Pulley) -> bool:
    return pulley.diameter is not None or (pulley.teeth is not None and run.pitch is not None)


def lay_run(run: Run) -> BeltPath | None:
    """Lay the belt of a run over its pulleys, in the order the file gives them.

    The order says which way the belt runs. Where it leaves that open (two pulleys), the
    direction of the run decides. A toothed pulley's size comes from its teeth and the run's
    pitch, unless a diameter is given.

    Raises
    ------
    RefusalError
        If no belt can be laid so; the words say why.
    """
    if not is_laid_out(run):
        return None
    # Not at the top: a machine without runs is read sooner without them.
    from witnessmark.engineering.belts.path import belt_path
    from witnessmark.engineering.belts.pulleys import Direction
    from witnessmark.engineering.refusal import RefusalError

    pulleys = laid_pulleys(run)
    known = Direction(run.direction) if run.direction else None
    first = replace(pulleys[0], turns=known)
    if len(pulleys) == 2:
        return belt_path([first, *pulleys[1:]])
    try:
        return belt_path(pulleys)
    except RefusalError as refusal:
        try:
            return belt_path([first, *pulleys[1:]])
        except RefusalError:
            raise refusal from None


def laid_pulleys(run: Run) -> list[LaidPulley]:
    """Give the pulleys of a run that is laid out, as the sums about belts hold them."""
    return [_laid(run, pulley) for pulley in run.pulleys]


def _laid(run: Run, pulley: Pulley) -> LaidPulley:
    from witnessmark.engineering.belts.pulleys import Face, chain_pitch_diameter, pitch_diameter
    from witnessmark.engineering.belts.pulleys import Pulley as LaidPulley

    assert pulley.at is not None
    if pulley.diameter is not None:
        diameter = float(pulley.diameter)
    else:
        assert pulley.teeth is not None
        assert run.pitch is not None
        from_teeth = chain_pitch_diameter if run.drive == "chain" else pitch_diameter
        diameter = from_teeth(pulley.teeth, float(run.pitch))
    return LaidPulley(
        pulley.id,
        float(pulley.at[0]),
        float(pulley.at[1]),
        diameter,
        pulley.teeth,
        Face(pulley.face),
    )


def belt_length(run: Run) -> Fraction | None:
    """Give the belt's own length in metres: as written, or its teeth times the pitch."""
    if run.length is not None:
        return run.length
    if run.teeth is not None and run.pitch is not None:
        return run.teeth * run.pitch
    return None
