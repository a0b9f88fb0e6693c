"""Rules on belt and chain runs: the route can be laid, closes, and turns what it should."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Run
from witnessmark.machine.run_path import belt_length, lay_run
from witnessmark.quantities.reading import format_number

if TYPE_CHECKING:
    from witnessmark.engineering.belts.path import BeltPath

TENSIONED = Fraction(1, 100)
"""How far a belt's length may differ from its route where a tensioner takes up the rest.

The route is drawn with the tensioner somewhere in its travel, and pulleys are measured to
about a millimetre. A choice of this program, not a maker's tolerance.
"""
FIXED = Fraction(1, 200)
"""The same where nothing takes up the difference: the accuracy of measuring alone."""


MOST_PULLEYS = 200
"""Routes are laid as long as all runs together have no more pulleys than this.

Laying compares every span with every pulley; no machine has a tenth as many.
"""


def _few_pulleys(context: Context) -> bool:
    return sum(len(run.pulleys) for run in context.machine.runs.values()) <= MOST_PULLEYS


def pulleys_are_few_enough(context: Context) -> Iterator[Complaint]:
    """The runs of one machine have no more pulleys than can be laid out at once."""
    if not _few_pulleys(context):
        yield complaint("too-many-pulleys", context.machine.place, limit=MOST_PULLEYS)


def _laid(context: Context) -> Iterator[tuple[Run, BeltPath]]:
    """Give the runs whose route the file describes and that can be laid."""
    for run in context.machine.runs.values() if _few_pulleys(context) else ():
        try:
            path = lay_run(run)
        except RefusalError:
            continue  # a complaint of its own
        if path is not None:
            yield run, path


def routes_can_be_laid(context: Context) -> Iterator[Complaint]:
    """A belt can lie on its pulleys as the file places them."""
    for run in context.machine.runs.values() if _few_pulleys(context) else ():
        try:
            lay_run(run)
        except RefusalError as refusal:
            yield complaint("no-route", run.place, run=run.id, what=refusal.what, do=refusal.hint)


def belts_fit_their_routes(context: Context) -> Iterator[Complaint]:
    """A belt is as long as its way round, but for what the tensioner takes up."""
    for run, path in _laid(context):
        length = belt_length(run)
        if length is None:
            continue
        tensioned = run.tensioner is not None and run.tensioner.pulley is not None
        most = length * (TENSIONED if tensioned else FIXED)
        if abs(path.length - length) > most:
            yield complaint(
                "belt-does-not-fit",
                run.place,
                run=run.id,
                belt=_length_words(run, length),
                route=_length_words(run, Fraction(path.length)),
            )


def _length_words(run: Run, length: Fraction) -> str:
    words = f"{format_number(length * 1000, 1)} mm"
    if run.pitch is None:
        return words
    return f"{words} ({format_number(length / run.pitch, 1)} teeth)"


def teeth_agree_with_ratios(context: Context) -> Iterator[Complaint]:
    """A shaft's ratio is that of its pulley's teeth to those of the run's first pulley."""
    shafts = context.machine.shafts
    for run in context.machine.runs.values():
        if not run.pulleys or run.pulleys[0].teeth is None or run.pulleys[0].shaft is None:
            continue
        driver = run.pulleys[0].teeth
        first = shafts.get(run.pulleys[0].shaft.id)
        start = first.ratio if first is not None and first.ratio is not None else Fraction(1)
        for pulley in run.pulleys[1:]:
            shaft = shafts.get(pulley.shaft.id) if pulley.shaft is not None else None
            if shaft is None or shaft.ratio is None or not pulley.teeth:
                continue
            found = start * driver / pulley.teeth
            if found != shaft.ratio:
                yield complaint(
                    "ratio-clash",
                    pulley.place,
                    shaft=shaft.id,
                    ratio=shaft.ratio,
                    driver=driver,
                    teeth=pulley.teeth,
                    found=found,
                )


def pulleys_turn_with_their_shafts(context: Context) -> Iterator[Complaint]:
    """The route turns every pulley the way its shaft turns, seen from the same side."""
    machine = context.machine
    for run, path in _laid(context):
        if run.direction is not None and path.runs != run.direction:
            yield complaint(
                "runs-backwards",
                run.place,
                run=run.id,
                found=path.runs,
                wanted=run.direction,
            )
            continue  # every shaft would say the same again
        if run.viewpoint and machine.viewpoint and run.viewpoint != machine.viewpoint:
            continue  # a shaft's direction is seen from the machine's viewpoint
        for pulley, contact in zip(run.pulleys, path.contacts, strict=True):
            shaft = machine.shafts.get(pulley.shaft.id) if pulley.shaft is not None else None
            if shaft is None or shaft.direction is None or shaft.direction == contact.direction:
                continue
            yield complaint(
                "turns-backwards",
                pulley.place,
                pulley=pulley.id,
                found=contact.direction,
                shaft=shaft.id,
                wanted=shaft.direction,
            )


def floating_sprockets_seat(context: Context) -> Iterator[Complaint]:
    """A floating sprocket reaches the belt's nearest tooth wherever that lies.

    Teeth come every 360/z degrees, so slots of half a tooth either way always meet one.
    """
    for run in context.machine.runs.values():
        for pulley in run.pulleys:
            if pulley.floating is None or not pulley.teeth:
                continue
            needed = Fraction(180, pulley.teeth)
            if pulley.floating < needed:
                yield complaint(
                    "float-too-small",
                    pulley.place,
                    pulley=pulley.id,
                    floating=f"{format_number(pulley.floating, 2)}°",
                    needed=f"{format_number(needed, 2)}°",
                )


RULES = (
    pulleys_are_few_enough,
    routes_can_be_laid,
    belts_fit_their_routes,
    teeth_agree_with_ratios,
    pulleys_turn_with_their_shafts,
    floating_sprockets_seat,
)
