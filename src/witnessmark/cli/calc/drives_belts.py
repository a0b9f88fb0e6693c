"""`witnessmark calc belt` and `route`: a belt laid over pulleys, and its routing found again."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from witnessmark.cli.calc.answers import (
    Answer,
    QuantityType,
    Refused,
    refusals,
    rounded,
    shown,
    write_drawing,
)
from witnessmark.quantities.reading import Quantity, QuantityError
from witnessmark.quantities.units import Dimension

if TYPE_CHECKING:
    from witnessmark.engineering.belts.path import BeltPath, Contact
    from witnessmark.engineering.belts.routing import Routing
    from witnessmark.engineering.belts.tensioner import Setting, Tensioner, Travel

LENGTH = QuantityType(Dimension.LENGTH)
SPEED = QuantityType(Dimension.SPEED)
DEFAULT_SHARE = 0.005

_Command = TypeVar("_Command", bound=Callable[..., Any])

_LAYOUT_OPTIONS = (
    click.option(
        "--pulley",
        "pulleys",
        multiple=True,
        required=True,
        metavar="TEXT",
        help="'crank 0,0 mm d=150 mm face=inside', or z=24 p=9.525 mm, or z=24 section=L; also "
        "turns=clockwise, line=2 mm. x to the right, y up. Once for each pulley.",
    ),
    click.option("--viewpoint", help="Where it is seen from: 'pulley end'."),
    click.option("--title", default="Belt route", show_default=True, help="Title of a drawing."),
    click.option("--json", "as_json", is_flag=True, help="Print one JSON object."),
)


def layout_options(command: _Command) -> _Command:
    """Ask for pulleys, and for how to show them."""
    for option in reversed(_LAYOUT_OPTIONS):
        command = option(command)
    return command


@contextmanager
def bad_options() -> Iterator[None]:
    """Turn what cannot be read into a bad option, and what cannot be into a refusal."""
    with refusals():
        try:
            yield
        except QuantityError as error:
            raise click.UsageError(str(error)) from None


@click.command()
@layout_options
@click.option("--crossed", is_flag=True, help="A flat belt crossed between two pulleys.")
@click.option("--rpm", type=SPEED, help="Speed of the first pulley: '3000 rpm'.")
@click.option("--length", type=LENGTH, help="Length of the belt in hand: '1250 mm'.")
@click.option("--tolerance", type=LENGTH, help="Tolerance on that length: '2 mm'.")
@click.option("--belt", "designation", help="A standard toothed belt instead: 124L, '1200 H8M'.")
@click.option(
    "--tensioner",
    metavar="TEXT",
    help="'idler swing pivot=10,20 mm from=30° to=80°', 'idler eccentric bolt=…', "
    "'idler slider heading=90° from=-5 mm to=15 mm'.",
)
@click.option("--svg", type=click.Path(path_type=Path, dir_okay=False), help="Draw it there.")
def belt(
    pulleys: tuple[str, ...],
    viewpoint: str | None,
    title: str,
    as_json: bool,
    crossed: bool,
    rpm: Quantity | None,
    length: Quantity | None,
    tolerance: Quantity | None,
    designation: str | None,
    tensioner: str | None,
    svg: Path | None,
) -> None:
    """Lay a belt or chain over pulleys, in the order it meets them.

    Gives its length, the spans, and for every pulley the wrap, the direction, the teeth in
    mesh and its turns for one turn of the first. With a belt length and a tensioner it says
    where the tensioner ends up.
    """
    from witnessmark.cli.calc.drives_reading import read_pulleys, read_tensioner
    from witnessmark.engineering.belts.drawing import draw_route
    from witnessmark.engineering.belts.path import belt_path
    from witnessmark.engineering.belts.pulleys import Face
    from witnessmark.engineering.belts.tensioner import Swing, tensioner_travel
    from witnessmark.engineering.timing.cautions import MAKER_PREVAILS, near_drives

    if tensioner and length is None and designation is None:
        raise click.UsageError("--tensioner needs the belt's length: give --length or --belt")
    if length is not None and designation is not None:
        raise click.UsageError("give --length or --belt, not both")
    if tolerance is not None and length is None:
        raise click.UsageError("--tolerance belongs to --length")
    with bad_options():
        answer = Answer("Belt")
        layout = read_pulleys(pulleys, Face.INSIDE)
        wanted, within = _wanted_length(answer, length, tolerance, designation)
        pivot: tuple[float, float] | None = None
        index: int | None = None
        if tensioner and wanted is not None:
            index, motion = read_tensioner(tensioner, layout)
            travel = tensioner_travel(layout, index, motion, wanted, within)
            path = travel.settings[0].path
            if isinstance(motion, Swing):
                pivot = motion.pivot_x, motion.pivot_y
            _tell_path(answer, path, rpm)
            _tell_travel(answer, travel, motion)
        else:
            path = belt_path(layout, crossed=crossed)
            _tell_path(answer, path, rpm)
            if wanted is not None:
                _tell_misfit(answer, path, wanted, within)
    if svg is not None:
        write_drawing(
            svg,
            draw_route(path, title=title, viewpoint=viewpoint, pivot=pivot, tensioner=index),
        )
        answer.line("drawing", str(svg))
    answer.data["viewpoint"] = viewpoint
    answer.line("seen from", viewpoint or "not stated: say it wherever a direction is passed on")
    answer.cautions += [*near_drives(), MAKER_PREVAILS]
    answer.give(as_json)


def _wanted_length(
    answer: Answer,
    length: Quantity | None,
    tolerance: Quantity | None,
    designation: str | None,
) -> tuple[float | None, float]:
    """Give the belt's length and tolerance from what was written. [m]."""
    if length is not None:
        return float(length), 0.0 if tolerance is None else float(tolerance)
    if designation is None:
        return None, 0.0
    from witnessmark.engineering.belts.standard_lengths import standard_belt

    belt = standard_belt(designation)
    answer.sources.append(f"{belt.designation}: {belt.source}")
    answer.data["belt"] = {
        "designation": belt.designation,
        "teeth": belt.teeth,
        "pitch_mm": float(belt.pitch * 1000),
        "length_mm": float(belt.length * 1000),
        "tolerance_mm": None if belt.tolerance is None else float(belt.tolerance * 1000),
    }
    answer.line(
        "belt",
        f"{belt.designation}: {belt.teeth} teeth, {shown(float(belt.length) * 1000, 'mm', 6)}",
    )
    return float(belt.length), float(belt.tolerance or 0)


def _tell_path(answer: Answer, path: BeltPath, rpm: Quantity | None) -> None:
    answer.data |= path_data(path)
    answer.line("length", shown(path.length * 1000, "mm", 7))
    answer.line("belt runs", f"{path.runs} round its loop")
    speed = None if rpm is None else float(rpm)
    if speed is not None:
        answer.data["belt_speed_m_s"] = rounded(path.belt_speed(speed))
        answer.line("belt speed", shown(path.belt_speed(speed), "m/s"))
    for order, (contact, span) in enumerate(zip(path.contacts, path.spans, strict=True), start=1):
        words = _contact_words(contact)
        if speed is not None:
            answer.data["pulleys"][order - 1]["rpm"] = rounded(contact.turns * speed)
            words += f", {shown(abs(contact.turns) * speed, 'rpm')}"
        answer.line(f"{order} {contact.pulley.name}", words)
        twist = ", twisted" if span.twisted else ""
        answer.line("", f"then a span of {shown(span.length * 1000, 'mm', 6)}{twist}")


def path_data(path: BeltPath) -> dict[str, Any]:
    """Give a path as plain data. `turns` counts per turn of the first pulley, with its sign."""
    return {
        "length_mm": rounded(path.length * 1000),
        "runs": str(path.runs),
        "pulleys": [
            {
                "order": order,
                "name": contact.pulley.name,
                "face": str(contact.pulley.face),
                "direction": str(contact.direction),
                "wrap_deg": rounded(math.degrees(contact.wrap)),
                "turns": rounded(contact.turns),
                "teeth_in_mesh": contact.teeth_in_mesh,
                "diameter_mm": rounded(contact.pulley.diameter * 1000),
            }
            for order, contact in enumerate(path.contacts, start=1)
        ],
        "spans_mm": [rounded(span.length * 1000) for span in path.spans],
    }


def _contact_words(contact: Contact) -> str:
    teeth = contact.teeth_in_mesh
    return (
        f"{contact.pulley.face}, turns {contact.direction}, "
        f"wrap {shown(math.degrees(contact.wrap), '°', 5).replace(' °', '°')}, "
        f"{shown(contact.turns, 'turns')} per turn of 1"
        + ("" if teeth is None else f", {teeth} teeth in mesh")
    )


def _tell_misfit(answer: Answer, path: BeltPath, wanted: float, within: float) -> None:
    over = path.length - wanted
    answer.data["misfit_mm"] = rounded(over * 1000)
    answer.data["fits"] = abs(over) <= within
    answer.line(
        "belt in hand",
        f"{shown(abs(over) * 1000, 'mm')} too {'short' if over > 0 else 'long'} for this path"
        if over
        else "as long as this path",
    )


def _tell_travel(answer: Answer, travel: Travel, motion: Tensioner) -> None:
    unit, scale = ("°", 1.0) if motion.unit == "°" else ("mm", 1000.0)
    answer.data["tensioner"] = {
        "unit": "deg" if unit == "°" else "mm",
        "shortest_path_mm": rounded(travel.shortest * 1000),
        "longest_path_mm": rounded(travel.longest * 1000),
        "blocked": travel.blocked,
        "settings": [_setting_data(s, scale) for s in travel.settings],
    }

    def words(value: float) -> str:
        return shown(value * scale, unit).replace(" °", "°")

    for setting in travel.settings:
        answer.line(
            "tensioner",
            f"at {words(setting.position)}: {words(setting.from_start)} from the start stop, "
            f"{words(setting.from_end)} from the end stop; pointer {words(setting.pointer)}; "
            f"tightens towards the {setting.tightens}",
        )
        ends = [
            f"{name} {'out of reach' if at is None else words(at)}"
            for name, at in (
                ("shortest belt", setting.with_shortest),
                ("longest belt", setting.with_longest),
            )
        ]
        answer.line("", f"within tolerance: {', '.join(ends)}")
    if travel.blocked:
        answer.line("", f"part of the travel has no path: {travel.blocked}")
    if len(travel.settings) > 1:
        answer.cautions.append(
            "The belt fits at more than one position: the maker says towards which side it is set."
        )


def _setting_data(setting: Setting, scale: float) -> dict[str, Any]:
    def number(value: float | None) -> float | None:
        return None if value is None else rounded(value * scale)

    return {
        "position": number(setting.position),
        "from_start": number(setting.from_start),
        "from_end": number(setting.from_end),
        "pointer": number(setting.pointer),
        "tightens_towards": str(setting.tightens),
        "mm_per_unit": rounded(setting.length_per_unit * 1000 / scale),
        "with_shortest": number(setting.with_shortest),
        "with_longest": number(setting.with_longest),
    }


@click.command()
@layout_options
@click.option("--length", type=LENGTH, required=True, help="Length of the belt: '1250 mm'.")
@click.option(
    "--tolerance", type=LENGTH, help="How far the length may be off: '5 mm'. 0.5 % when not given."
)
@click.option("--most", type=click.IntRange(1, 100), default=20, show_default=True)
@click.option(
    "--svg", type=click.Path(path_type=Path, file_okay=False), help="Draw each into that folder."
)
def route(
    pulleys: tuple[str, ...],
    viewpoint: str | None,
    title: str,
    as_json: bool,
    length: Quantity,
    tolerance: Quantity | None,
    most: int,
    svg: Path | None,
) -> None:
    """Find the routings that suit pulleys and a belt length.

    Pulleys in any order. A face or direction that is not given is not known, and both are
    tried.
    """
    from witnessmark.cli.calc.drives_reading import read_pulleys
    from witnessmark.engineering.belts.drawing import draw_route
    from witnessmark.engineering.belts.routing import find_routings
    from witnessmark.engineering.timing.cautions import near_drives

    within = DEFAULT_SHARE * float(length) if tolerance is None else float(tolerance)
    with bad_options():
        search = find_routings(read_pulleys(pulleys, None), float(length), within, most=most)
    answer = Answer("Routings")
    answer.data = {
        "fitting": search.fitting,
        "tolerance_mm": rounded(within * 1000),
        "complete": search.complete,
        "stopped": search.stopped,
        "routings": [
            path_data(r.path) | {"order": list(r.order), "misfit_mm": rounded(r.misfit * 1000)}
            for r in search.routings
        ],
    }
    assumed = "; 0.5 %, none was given" if tolerance is None else ""
    answer.line("fit", f"{search.fitting} within ±{shown(within * 1000, 'mm')}{assumed}")
    if search.stopped:
        answer.line("not complete", search.stopped)
    if search.fitting == 0 and search.routings:
        answer.line("none fits", "the nearest in length follow")
    for number, routing in enumerate(search.routings, start=1):
        answer.line(f"{number}", _routing_words(routing))
    if svg is not None:
        drawings = [
            draw_route(r.path, title=f"{title}, possibility {number}", viewpoint=viewpoint)
            for number, r in enumerate(search.routings, start=1)
        ]
        _write_all(svg, drawings)
        answer.line("drawings", str(svg))
    answer.cautions = [
        (
            "A routing that fits is not yet the maker's: compare with the diagram or the old belt, "
            "and check which way the pump turns."
        ),
        *near_drives(),
    ]
    answer.give(as_json)


def _routing_words(routing: Routing) -> str:
    parts = [
        contact.pulley.name + (" (back)" if contact.pulley.face == "back" else "")
        for contact in routing.path.contacts
    ]
    off = routing.misfit * 1000
    return (
        f"{' > '.join(parts)}; {routing.path.contacts[0].pulley.name} turns "
        f"{routing.path.contacts[0].direction}; path {shown(abs(off), 'mm')} "
        f"{'longer' if off > 0 else 'shorter'} than the belt"
    )


def _write_all(folder: Path, drawings: list[str]) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"{folder} cannot be made: {error.strerror}") from None
    for number, drawing in enumerate(drawings, start=1):
        write_drawing(folder / f"route-{number:02}.svg", drawing)
