"""`witnessmark calc order`: a tightening order from where the holes sit."""

from __future__ import annotations

from pathlib import Path

import click

from witnessmark.cli.calc.answers import Answer, ReadType, refusals, write_drawing
from witnessmark.cli.calc.fastening_options import json_option, svg_option
from witnessmark.engineering.fastening.orders import (
    Spot,
    slackening_order,
    tightening_order,
)
from witnessmark.engineering.fastening.passes import slackening_passes, tightening_passes
from witnessmark.engineering.fastening.pictures import order_picture
from witnessmark.quantities.reading import QuantityError, read_number, read_quantity, shorten
from witnessmark.quantities.tightness import Tightness, read_tightness
from witnessmark.quantities.units import Dimension


def read_hole(text: str) -> Spot:
    """Read a hole as `NAME=X,Y mm`.

    Raises
    ------
    QuantityError
        If it is not written so.
    """
    name, equals, place = text.partition("=")
    across, comma, up = place.partition(",")
    if not equals or not comma or not name.strip():
        raise QuantityError(
            f"'{shorten(text)}' is not a hole with its place", "write it like '3=120,-35 mm'"
        )
    upward = read_quantity(up.strip(), Dimension.LENGTH)
    sideways = read_number(across.strip()) * upward.unit.factor
    return Spot(name.strip(), float(sideways), float(upward))


HOLE = ReadType("hole", read_hole)
TIGHTNESS = ReadType("tightness", read_tightness)


@click.command()
@click.option(
    "--hole",
    "holes",
    type=HOLE,
    multiple=True,
    required=True,
    metavar="NAME=X,Y UNIT",
    help="A hole and its place, y upwards: '3=120,-35 mm'. One option for each hole.",
)
@click.option("--given", help="The maker's order, which outranks all: '3 1 4 2'")
@click.option("--tightness", type=TIGHTNESS, help="To split into rounds: '20 N·m + 90°'")
@svg_option
@json_option
def order(
    holes: tuple[Spot, ...],
    given: str | None,
    tightness: Tightness | None,
    svg: Path | None,
    as_json: bool,
) -> None:
    """Order the bolts of a group, from where the holes sit."""
    with refusals():
        named = None if given is None else tuple(given.replace(",", " ").split())
        found = tightening_order(holes, named)
        # A maker's order for tightening says nothing of slackening: the same, backwards.
        slack = slackening_order(holes) if named is None else slackening_order(holes, named[::-1])
        passes = () if tightness is None else tightening_passes(found, tightness)
        picture = order_picture(holes, found, "Tightening order")
    answer = Answer(f"Order of {len(holes)} holes")
    answer.data = {
        "order": list(found.names),
        "pattern": found.pattern,
        "why": found.why,
        "slackening": list(slack.names),
        "rounds": [{"words": one.words, "order": list(one.names)} for one in passes],
    }
    answer.line("tighten", " ".join(found.names))
    answer.line("because", found.why)
    answer.line("slacken", " ".join(slack.names))
    answer.line("", "; then ".join(one.words for one in slackening_passes(slack)))
    for one in passes:
        answer.line(f"round {one.number}", f"{one.words} on every bolt")
    answer.sources = [
        "rings: ASME PCC-1 legacy cross pattern (from memory)",
        "heads and covers: general practice, from the middle outwards (from memory)",
    ]
    answer.cautions = ["The maker's order prevails."]
    if svg is not None:
        write_drawing(svg, picture)
        answer.line("drawing", str(svg))
    answer.give(as_json)
