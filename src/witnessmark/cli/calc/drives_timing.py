"""`witnessmark calc timing` and `clearance`: what the marks say, and piston against valve."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from witnessmark.cli.calc.answers import Answer, QuantityType, rounded, write_drawing
from witnessmark.cli.calc.drives_belts import LENGTH, bad_options
from witnessmark.quantities.reading import Quantity, QuantityError
from witnessmark.quantities.units import Dimension

if TYPE_CHECKING:
    from witnessmark.cli.calc.drives_reading import ReadFloat, ReadShafts
    from witnessmark.engineering.clearance import ClearanceAnswer, SliderCrank, Valve
    from witnessmark.engineering.timing.diagnosis import Diagnosis, MeasuredError
    from witnessmark.engineering.timing.events import ValveEvents
    from witnessmark.engineering.timing.meeting import Loop
    from witnessmark.engineering.timing.shafts import TimingRun

ANGLE = QuantityType(Dimension.ANGLE)
_ERROR_WORDS = {
    "crank": "error",
    "valves": "valve error",
    "injection": "injection error",
    "other": "error",
}
_IGNITION = click.Choice(["spark", "compression", "unknown"])
_IGNITION_OPTION = click.option(
    "--ignition", type=_IGNITION, default="unknown", show_default=True, help="How it fires."
)


@click.command()
@click.option(
    "--shaft",
    "shafts",
    multiple=True,
    metavar="TEXT",
    help="'crank z=20' first, then 'inlet cam z=40 does=inlet', 'pump z=30 does=injection', "
    "'exhaust cam z=18 by=inlet cam driver=18', floats=5°.",
)
@click.option(
    "--mark",
    "marks",
    multiple=True,
    metavar="TEXT",
    help="'crank: pinned', 'inlet cam: 9° ± 1°', 'pump: 1 tooth late ± 0.2 teeth', "
    "'inlet cam: -3 mm on 60 mm ± 0.5 mm'. Ahead in the running direction is positive.",
)
@click.option("--accuracy", type=ANGLE, help="Accuracy of marks that state none: '1°'.")
@click.option(
    "--loop",
    "loops",
    multiple=True,
    metavar="TEXT",
    help="A printed belt or chain: 'belt z=151', 'chain z=44 on=inlet cam sprocket=18'.",
)
@click.option(
    "--float",
    "floats",
    multiple=True,
    metavar="TEXT",
    help="A floating sprocket: 'pump travel=12° at=-2° belt=3°'.",
)
@click.option(
    "--mid-slot", type=ANGLE, default="1°", show_default=True, help="What counts as mid-slot."
)
@click.option(
    "--events",
    metavar="TEXT",
    help="Valve events: 'ivo=20° ivc=35° evo=35° evc=10°', and fires=15° before top.",
)
@click.option("--title", default="Valve timing", show_default=True, help="Title of the picture.")
@click.option("--svg", type=click.Path(path_type=Path, dir_okay=False), help="Draw it there.")
@_IGNITION_OPTION
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def timing(
    shafts: tuple[str, ...],
    marks: tuple[str, ...],
    accuracy: Quantity | None,
    loops: tuple[str, ...],
    floats: tuple[str, ...],
    mid_slot: Quantity,
    events: str | None,
    title: str,
    svg: Path | None,
    ignition: str,
    as_json: bool,
) -> None:
    """Say which tooth errors explain the marks, in crank degrees.

    A tooth out is told apart from slack or stretch: whole teeth within the stated accuracy,
    otherwise "not decided". Also: degrees per tooth, floating sprockets, when marks and
    printing meet again, and the valve-timing picture.
    """
    from witnessmark.cli.calc import drives_reading as reading
    from witnessmark.engineering.timing.cautions import (
        MAKER_PREVAILS,
        TWO_TURNS,
        Ignition,
        turning_by_hand,
    )
    from witnessmark.engineering.timing.diagnosis import diagnose

    if not shafts and (marks or loops or floats):
        raise click.UsageError("give the shafts first: --shaft 'crank z=20' --shaft …")
    if not shafts and events is None:
        raise click.UsageError("nothing to work out: give --shaft and --mark, or --events")
    if svg is not None and events is None:
        raise click.UsageError("--svg draws valve events: give --events")
    answer = Answer("Timing")
    answer.cautions = [*turning_by_hand(Ignition(ignition)), TWO_TURNS, MAKER_PREVAILS]
    diagnosis: Diagnosis | None = None
    with bad_options():
        read = reading.read_shafts(shafts) if shafts else None
        if read is not None:
            run = read.run
            _tell_shafts(answer, run)
            if marks:
                default = None if accuracy is None else accuracy.si
                given = [reading.read_mark(mark, run, default) for mark in marks]
                diagnosis = diagnose(run, given)
                _tell_diagnosis(answer, run, diagnosis)
            _tell_meeting(answer, run, [reading.read_loop(text, run) for text in loops])
            for text in floats:
                _tell_float(answer, reading.read_float(text, run), mid_slot.si)
        if events is not None:
            given_events, fires = _read_events(events)
            found = _as_found(given_events, read, diagnosis)
            _tell_events(answer, given_events, found)
            if svg is not None:
                _draw(svg, title, given_events, found, fires)
                answer.line("drawing", str(svg))
    answer.give(as_json)


def _tell_shafts(answer: Answer, run: TimingRun) -> None:
    answer.data["shafts"] = []
    for shaft in run.shafts:
        own, crank = shaft.degrees_per_tooth, run.crank_degrees_per_tooth(shaft.name)
        ratio = run.ratio(shaft.name)
        answer.data["shafts"].append(
            {
                "name": shaft.name,
                "teeth": shaft.teeth,
                "turns_per_crank_turn": rounded(float(ratio)),
                "degrees_per_tooth": rounded(float(own)),
                "crank_degrees_per_tooth": rounded(float(crank)),
            }
        )
        answer.line(
            shaft.name,
            f"{shaft.teeth} teeth, ratio {ratio} to the crank; one tooth is {float(own):.4g}° of "
            f"its own, {float(crank):.4g}° of the crank",
        )


def _tell_diagnosis(answer: Answer, run: TimingRun, diagnosis: Diagnosis) -> None:
    from witnessmark.engineering.timing.diagnosis import say_explanation

    answer.data["diagnosis"] = {
        "verdict": str(diagnosis.verdict),
        "why": diagnosis.why,
        "counted_from": diagnosis.reference,
        "explanations": [
            {
                "teeth": explanation.teeth,
                "crank_degrees": {
                    name: rounded(float(e)) for name, e in explanation.crank_degrees.items()
                },
                "turns": explanation.turns,
            }
            for explanation in diagnosis.explanations
        ],
        "count": diagnosis.count,
        "as_read": [
            {
                "shaft": error.shaft,
                "does": str(error.role),
                "crank_degrees": rounded(float(error.crank_degrees)),
                "accuracy": None if error.accuracy is None else rounded(float(error.accuracy)),
                "teeth": rounded(float(error.teeth)),
                "whole_teeth": error.whole_teeth,
            }
            for error in diagnosis.measured
        ],
        "not_read": list(diagnosis.not_read),
    }
    answer.line("verdict", f"{diagnosis.verdict}: {diagnosis.why}")
    for error in diagnosis.measured:
        spread = "" if error.accuracy is None else f" ± {float(error.accuracy):.3g}°"
        answer.line(
            f"{error.shaft}, as read",
            f"{_ERROR_WORDS[str(error.role)]} {_signed(error.crank_degrees)}{spread} of the crank "
            f"({float(error.teeth):+.2f} teeth{_whole_words(error)})",
        )
    for number, explanation in enumerate(diagnosis.explanations, start=1):
        errors = ", ".join(
            f"{name} {_signed(e)}" for name, e in explanation.crank_degrees.items() if e
        )
        words = say_explanation(run, explanation, diagnosis.reference)
        answer.line(
            f"explanation {number}", words + (f"; in crank degrees: {errors}" if errors else "")
        )
    if diagnosis.not_read:
        answer.line("not read", ", ".join(diagnosis.not_read) + ": nothing is said about them")


def _whole_words(error: MeasuredError) -> str:
    if error.accuracy is None:
        return ""
    if error.whole_teeth is None:
        return ": not one whole number within its accuracy"
    return f": {error.whole_teeth:+d} within its accuracy" if error.whole_teeth else ": none out"


def _signed(degrees: Fraction) -> str:
    if degrees == 0:
        return "0°"
    return f"{float(abs(degrees)):.4g}° {'early' if degrees > 0 else 'late'}"


def _tell_meeting(answer: Answer, run: TimingRun, loops: list[Loop]) -> None:
    from witnessmark.engineering.timing.meeting import marks_meet

    meeting = marks_meet(run, loops)
    answer.data["marks_meet"] = {
        "crank_turns": meeting.shaft_marks,
        "crank_turns_with_printing": meeting.with_printing if loops else None,
        "loop_turns": meeting.loop_turns,
    }
    answer.line("marks meet", f"again after {meeting.shaft_marks} crank turns")
    for name, turns in meeting.loop_turns.items():
        answer.line(
            "printing",
            f"on {name} meets again with all marks after {meeting.with_printing} crank turns "
            f"({turns} of {name}); not before",
        )


def _tell_float(answer: Answer, read: ReadFloat, within: Fraction) -> None:
    from witnessmark.engineering.timing.floating import seat_belt

    sprocket = read.sprocket
    data: dict[str, Any] = {
        "shaft": read.shaft,
        "seats_any_belt": sprocket.seats_any_belt,
        "mid_slot": sprocket.mid_slot(within),
    }
    answer.data.setdefault("floating", []).append(data)
    enough = (
        "long enough to seat the belt wherever its teeth fall"
        if sprocket.seats_any_belt
        else "shorter than a tooth: not every belt position can be seated"
    )
    mid = "mid-slot now" if sprocket.mid_slot(within) else "not mid-slot now"
    answer.line(f"{read.shaft} floats", f"slots {enough}; {mid}")
    if read.phase is None:
        return
    seating = seat_belt(sprocket, read.phase)
    data["seats_deg"] = [rounded(float(seat.position)) for seat in seating.seats]
    data["short_by_deg"] = rounded(float(seating.short_by))
    nearest, central = seating.nearest, seating.most_central
    if nearest is None or central is None:
        answer.line(
            "", f"the belt cannot be seated: the slots are {float(seating.short_by):.4g}° short"
        )
        return
    data["nearest_turn_deg"] = rounded(float(nearest.turn))
    data["most_central_deg"] = rounded(float(central.position))
    turn = f"{float(abs(nearest.turn)):.4g}° {'on' if nearest.turn >= 0 else 'back'}"
    answer.line(
        "",
        f"nearest tooth: turn the sprocket {turn}, then {float(nearest.from_end):.4g}° from the "
        f"slot's end; most central seat {float(central.position):+.4g}° from the middle",
    )


def _read_events(text: str) -> tuple[ValveEvents, float | None]:
    from witnessmark.cli.calc.drives_words import degrees, split_keys
    from witnessmark.engineering.timing.events import ValveEvents

    head, values = split_keys(text.lower(), ("ivo", "ivc", "evo", "evc", "fires"))
    missing = [key for key in ("ivo", "ivc", "evo", "evc") if key not in values]
    if head or missing:
        raise QuantityError(
            f"'{text[:60]}' lacks {', '.join(missing) or 'a key'}",
            "write 'ivo=20° ivc=35° evo=35° evc=10°'",
        )
    numbers = {key: float(degrees(value)) for key, value in values.items()}
    events = ValveEvents(numbers["ivo"], numbers["ivc"], numbers["evo"], numbers["evc"])
    return events, numbers.get("fires")


def _as_found(
    events: ValveEvents, read: ReadShafts | None, diagnosis: Diagnosis | None
) -> ValveEvents | None:
    """Move the events by the errors found, when exactly one explanation was."""
    if read is None or diagnosis is None or diagnosis.count != 1:
        return None
    errors = diagnosis.explanations[0].crank_degrees
    moved = {"inlet": 0.0, "exhaust": 0.0}
    for shaft, valves in read.valves.items():
        for valve in moved if valves == "valves" else (valves,):
            moved[valve] = float(errors.get(shaft, 0))
    if not any(moved.values()):
        return None
    return events.moved(moved["inlet"], moved["exhaust"])


def _tell_events(answer: Answer, events: ValveEvents, found: ValveEvents | None) -> None:
    answer.data["events"] = _events_data(events)
    answer.line(
        "valves",
        f"inlet open {events.inlet_duration:g}°, exhaust open {events.exhaust_duration:g}°, "
        f"overlap {events.overlap:g}°",
    )
    if found is not None:
        answer.data["events_as_found"] = _events_data(found)
        answer.line(
            "as found",
            f"inlet opens {found.inlet_opens:g}° before top, exhaust shuts "
            f"{found.exhaust_closes:g}° after top, overlap {found.overlap:g}°",
        )


def _events_data(events: ValveEvents) -> dict[str, float]:
    return {
        "inlet_opens_before_top": rounded(events.inlet_opens),
        "inlet_closes_after_bottom": rounded(events.inlet_closes),
        "exhaust_opens_before_bottom": rounded(events.exhaust_opens),
        "exhaust_closes_after_top": rounded(events.exhaust_closes),
        "inlet_duration": rounded(events.inlet_duration),
        "exhaust_duration": rounded(events.exhaust_duration),
        "overlap": rounded(events.overlap),
    }


def _draw(
    svg: Path, title: str, events: ValveEvents, found: ValveEvents | None, fires: float | None
) -> None:
    from witnessmark.engineering.timing.picture import draw_valve_timing

    drawing = draw_valve_timing(events, title=title, as_found=found, injection_before_tdc=fires)
    write_drawing(svg, drawing)


@click.command()
@click.option("--stroke", type=LENGTH, help="Stroke: '90 mm'.")
@click.option("--rod", type=LENGTH, help="Connecting rod between centres: '144 mm'.")
@click.option(
    "--inlet",
    metavar="TEXT",
    help="'opens=20° closes=45° lift=9 mm gap=2.5 mm angle=20°': before top, after bottom dead "
    "centre; gap from the shut valve to the piston at top, along the valve; angle to the "
    "cylinder. Also law=cycloidal, peak=…, table=FILE, least=1 mm, accuracy=0.2 mm.",
)
@click.option("--exhaust", metavar="TEXT", help="The same: before bottom, after top dead centre.")
@click.option("--crank-teeth", type=click.IntRange(3), help="Teeth of the crank sprocket.")
@click.option("--per-tooth", type=ANGLE, help="Crank degrees for one tooth, instead.")
@click.option("--teeth", default="-3..3", show_default=True, help="Tooth errors to try.")
@_IGNITION_OPTION
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def clearance(
    stroke: Quantity | None,
    rod: Quantity | None,
    inlet: str | None,
    exhaust: str | None,
    crank_teeth: int | None,
    per_tooth: Quantity | None,
    teeth: str,
    ignition: str,
    as_json: bool,
) -> None:
    """Work out piston against valve over the cycle, for any tooth error.

    Answers only "no, because" or "not shown safe"; it never clears cranking. With a figure
    missing, valves are taken to touch.
    """
    from witnessmark.cli.calc.drives_reading import read_valve
    from witnessmark.engineering.clearance import (
        NEVER_CLEARS,
        SliderCrank,
        Valve,
        belt_off,
    )
    from witnessmark.engineering.clearance import (
        Answer as Verdict,
    )
    from witnessmark.engineering.timing.cautions import (
        MAKER_PREVAILS,
        Ignition,
        turning_by_hand,
    )

    if crank_teeth is not None and per_tooth is not None:
        raise click.UsageError("give --crank-teeth or --per-tooth, not both")
    step = 360 / crank_teeth if crank_teeth else None if per_tooth is None else float(per_tooth)
    errors = _tooth_errors(teeth) if step is not None else [0]
    with bad_options():
        crank = (
            None if stroke is None or rod is None else SliderCrank(float(stroke) / 2, float(rod))
        )
        valves = [
            Valve(name, None, None, None) if text is None else read_valve(name, text)
            for name, text in (("inlet", inlet), ("exhaust", exhaust))
        ]
        answers = _answers(crank, valves, step or 0.0, errors)
        off = [belt_off(valve) for valve in valves]
    worst = [a for a in answers if a.answer is Verdict.NO]
    overall = Verdict.NO if worst else Verdict.NOT_SHOWN_SAFE
    answer = Answer("Piston against valve")
    why = "no touch found in anything tried, by these figures alone"
    if worst:
        why = f"{worst[0].valve}, {_teeth_out(worst[0].teeth)}: {worst[0].why}"
    answer.data = {
        "answer": str(overall),
        "why": why,
        "per_tooth_crank_deg": None if step is None else rounded(step),
        "valves": [_clearance_data(a) for a in answers],
        "belt_off": [_clearance_data(a) for a in off],
    }
    answer.line("of all tried", f"{overall}{' ' if worst else ': '}{why}")
    for one in answers:
        answer.line(f"{one.valve}, {_teeth_out(one.teeth)}", _clearance_words(one))
    for one in off:
        answer.line(f"{one.valve}, belt off, fully open", _clearance_words(one))
    if step is None:
        answer.line("teeth", "crank degrees per tooth not given: only the belt in time was tried")
    answer.cautions = [NEVER_CLEARS, *turning_by_hand(Ignition(ignition)), MAKER_PREVAILS]
    answer.give(as_json)


def _answers(
    crank: SliderCrank | None, valves: list[Valve], step: float, errors: list[int]
) -> tuple[ClearanceAnswer, ...]:
    from witnessmark.engineering.clearance import over_teeth

    return over_teeth(crank, valves, step, errors)


def _tooth_errors(text: str) -> list[int]:
    """Read `-3..3` or `1`."""
    first, dots, last = text.partition("..")
    try:
        low = int(first)
        high = int(last) if dots else low
    except ValueError:
        raise click.BadParameter(f"'{text[:20]}' is not a range like -3..3") from None
    if not -60 <= low <= high <= 60:
        raise click.BadParameter(f"'{text[:20]}' is not a rising range within -60..60")
    return list(range(low, high + 1))


def _teeth_out(teeth: int | None) -> str:
    if not teeth:
        return "in time"
    count = "1 tooth" if abs(teeth) == 1 else f"{abs(teeth)} teeth"
    return f"{count} {'early' if teeth > 0 else 'late'}"


def _clearance_words(one: ClearanceAnswer) -> str:
    return f"{one.answer}{': ' if one.answer == 'not shown safe' else ' '}{one.why}"


def _clearance_data(one: ClearanceAnswer) -> dict[str, Any]:
    least = one.least
    return {
        "valve": one.valve,
        "teeth": one.teeth,
        "early_crank_deg": rounded(one.early),
        "answer": str(one.answer),
        "why": one.why,
        "least_gap_mm": None if least is None else rounded(least.gap * 1000),
        "at_crank_deg": None if least is None else rounded(least.angle),
        "missing": list(one.missing),
    }
