"""`witnessmark calc tension|span`: belt tension, and the note of a span from a recording."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from witnessmark.cli.calc.answers import Answer, Refused, never, refusals, rounded, shown
from witnessmark.cli.calc.measured import MeasuredType
from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.tension import CAUTIONS, STIFF, Band, Span, TensionerArm
from witnessmark.engineering.tension_readings import (
    Readings,
    by_deflection,
    by_frequency,
    by_torque,
    read_as,
)
from witnessmark.quantities.units import Dimension

if TYPE_CHECKING:
    from witnessmark.engineering.span_note import SpanNote

_LENGTH = MeasuredType(Dimension.LENGTH)
_MASS = MeasuredType(Dimension.MASS_PER_LENGTH)
_FREQUENCY = MeasuredType(Dimension.FREQUENCY)
_FORCE = MeasuredType(Dimension.FORCE)
_TORQUE = MeasuredType(Dimension.TORQUE)
_ANGLE = MeasuredType(Dimension.ANGLE)
_NO_ACCURACY = "no accuracy was given, so no band: write '200 mm ± 1 mm' or '100 Hz ± 2 %'"
_SOURCES = {
    "frequency": "T = 4 m L² f²: OpenStax, University Physics, standing waves on a string",
    "force": "F = 2 T sin a, tan a = 2 h/L: OpenStax, College Physics, tightrope",
    "torque": "M = 2 T sin(w/2) r sin(phi): OpenStax, University Physics, common forces",
    "tension": "as given",
}


@click.command()
@click.option("--span", "length", type=_LENGTH, help="Free span between tangent points: '200 mm'")
@click.option("--mass", type=_MASS, help="Mass per metre of the whole width: '0.1 kg/m'")
@click.option("--frequency", type=_FREQUENCY, help="Note of the plucked span: '100 Hz ± 1 Hz'")
@click.option("--force", type=_FORCE, help="Force across the middle of the span: '20 N'")
@click.option("--deflection", type=_LENGTH, help="How far that moves it: '3 mm ± 0.2 mm'")
@click.option("--torque", type=_TORQUE, help="Torque held on the tensioner: '12 N·m ± 4 %'")
@click.option("--arm", type=_LENGTH, help="Tensioner pivot to pulley centre: '40 mm'")
@click.option("--wrap", type=_ANGLE, help="Angle of belt on the tensioner's pulley: '60°'")
@click.option("--arm-angle", type=_ANGLE, help="Between arm and load; 90° if not given.")
@click.option("--tension", "given", type=_FORCE, help="A strand tension to tell the other ways.")
@click.option("--wanted", type=_FORCE, help="The maker's tension, to judge by: '160 N ± 10 %'")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def tension(
    length: Band | None,
    mass: Band | None,
    frequency: Band | None,
    force: Band | None,
    deflection: Band | None,
    torque: Band | None,
    arm: Band | None,
    wrap: Band | None,
    arm_angle: Band | None,
    given: Band | None,
    wanted: Band | None,
    as_json: bool,
) -> None:
    """Belt tension from frequency, force or torque, and each told in the other ways."""
    if (arm is None) is not (wrap is None):
        never("give --arm and --wrap together")
    if arm_angle is not None and arm is None:
        never("--arm-angle goes with --arm and --wrap")
    ways = {"frequency": frequency, "force": force, "torque": torque, "tension": given}
    chosen = [name for name, band in ways.items() if band is not None]
    if len(chosen) != 1:
        never("give one of --frequency, --force, --torque or --tension")
    how = chosen[0]
    tensioner = None
    if arm is not None and wrap is not None:
        tensioner = TensionerArm(arm, wrap, arm_angle or Band.exact(90.0))
    with refusals():
        found = _found(ways, length, mass, deflection, tensioner)
        readings = read_as(found, length=length, mass=mass, deflection=deflection, arm=tensioner)
    answer = Answer(f"Belt tension by {how}")
    _tell_readings(answer, readings, how)
    if wanted is not None:
        _judge(answer, found, wanted)
    answer.cautions = list(CAUTIONS)
    if how in {"frequency", "force"}:
        answer.cautions.append(STIFF)
    if found.low == found.high:
        answer.cautions.append(_NO_ACCURACY)
    answer.sources = [_SOURCES[how]]
    answer.give(as_json)


def _found(
    ways: dict[str, Band | None],
    length: Band | None,
    mass: Band | None,
    deflection: Band | None,
    tensioner: TensionerArm | None,
) -> Band:
    if (note := ways["frequency"]) is not None:
        if length is None or mass is None:
            never("--frequency needs --span and --mass")
        return by_frequency(Span(length, mass), note)
    if (press := ways["force"]) is not None:
        if length is None or deflection is None:
            never("--force needs --deflection and --span")
        return by_deflection(length, press, deflection)
    if (held := ways["torque"]) is not None:
        if tensioner is None:
            never("--torque needs --arm and --wrap")
        return by_torque(tensioner, held)
    assert ways["tension"] is not None
    return ways["tension"]


def _tell_readings(answer: Answer, readings: Readings, how: str) -> None:
    answer.data["method"] = how
    rows: list[tuple[str, str, Band | None, str]] = [
        ("tension", "tension_N", readings.tension, "N"),
        ("note of the span", "frequency_Hz", readings.frequency, "Hz"),
        ("force across it", "force_N", readings.force, "N"),
        ("torque on the tensioner", "torque_Nm", readings.torque, "N·m"),
        ("load on its pulley", "pulley_load_N", readings.load, "N"),
    ]
    for label, key, band, unit in rows:
        name, _, suffix = key.rpartition("_")
        answer.data[key] = None if band is None else rounded(band.nominal)
        answer.data[f"{name}_low_{suffix}"] = None if band is None else rounded(band.low)
        answer.data[f"{name}_high_{suffix}"] = None if band is None else rounded(band.high)
        if band is not None:
            answer.line(label, band_words(band, unit))


def band_words(band: Band, unit: str) -> str:
    """Print a band: `160 N (154 to 166)`."""
    words = shown(band.nominal, unit)
    if band.low == band.high:
        return words
    return f"{words} ({shown(band.low)} to {shown(band.high)})"


def _judge(answer: Answer, found: Band, wanted: Band) -> None:
    if wanted.holds(found):
        verdict = "within"
    elif wanted.apart_from(found):
        verdict = "too slack" if found.high < wanted.low else "too tight"
    else:
        verdict = "not decided"
    answer.data["verdict"] = verdict
    answer.data["wanted_N"] = [rounded(wanted.low), rounded(wanted.high)]
    answer.line("against the wanted", f"{verdict}; wanted {band_words(wanted, 'N')}")


@click.command()
@click.argument("file")
@click.option("--expected", type=_FREQUENCY, help="Note expected: '100 Hz ± 15 %'")
@click.option("--span", "length", type=_LENGTH, help="Free span, for the tension: '200 mm'")
@click.option("--mass", type=_MASS, help="Mass per metre, for the tension: '0.1 kg/m'")
@click.option("--svg", type=click.Path(dir_okay=False), help="Draw the spectrum into this file.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def span(
    file: str,
    expected: Band | None,
    length: Band | None,
    mass: Band | None,
    svg: str | None,
    as_json: bool,
) -> None:
    """Find the note of a plucked span in a recording: WAV, FLAC or OGG.

    Record from before the pluck until it has died away, the phone near the middle of the
    span, engine and lamps off.
    """
    if (length is None) is not (mass is None):
        never("give --span and --mass together")
    if expected is not None and expected.low == expected.high:
        never("--expected needs how far it may be off: '100 Hz ± 15 %'")
    band = None if expected is None else (expected.low, expected.high)
    note = _listen(file, band)
    if svg is not None:
        _draw(note, band, svg)
    tight = None
    if note.frequency is not None and length is not None and mass is not None:
        assert note.low is not None
        assert note.high is not None
        with refusals():
            tight = by_frequency(Span(length, mass), Band(note.low, note.frequency, note.high))
    _give_note(note, tight, as_json=as_json)


def _listen(file: str, expected: tuple[float, float] | None) -> SpanNote:
    """Read and judge the file; what cannot be read is a refusal like any other."""
    from witnessmark.cli.calc.recordings import read_recording
    from witnessmark.engineering.span_note import SpanNote, find_note

    try:
        recording = read_recording(file)
    except RefusalError as error:
        return SpanNote(None, 0.0, why=(str(error),))
    note = find_note(recording.samples, recording.rate, expected)
    if recording.clipped > 0.001:
        from dataclasses import replace

        note = replace(note, notes=(*note.notes, "too loud for the recorder: record softer"))
    return note


def _draw(note: SpanNote, expected: tuple[float, float] | None, path: str) -> None:
    from witnessmark.engineering.span_note_drawing import draw_spectrum

    try:
        Path(path).write_text(draw_spectrum(note, expected), encoding="utf-8")
    except OSError as error:
        raise Refused(f"'{path}' cannot be written ({error.strerror}): name another") from None


def _give_note(note: SpanNote, tight: Band | None, *, as_json: bool) -> None:
    answer = Answer("Note of the span" if not note.refused else "No note given")
    answer.data = _note_data(note)
    if note.frequency is not None:
        answer.line(
            "fundamental", f"{shown(note.frequency, 'Hz')}, confidence {note.confidence:.2f}"
        )
    if note.low is not None and note.high is not None and note.frequency is not None:
        answer.line("between", f"{shown(note.low, 'Hz')} and {shown(note.high, 'Hz')}")
    if tight is not None:
        answer.data["tension_N"] = rounded(tight.nominal)
        answer.data["tension_low_N"] = rounded(tight.low)
        answer.data["tension_high_N"] = rounded(tight.high)
        answer.line("tension", band_words(tight, "N"))
    for words in note.notes:
        answer.line("note", words)
    answer.cautions = list(CAUTIONS)
    if as_json or not note.refused:
        answer.give(as_json)
    if note.refused:
        raise Refused("; ".join(note.why))


def _note_data(note: SpanNote) -> dict[str, Any]:
    return {
        "frequency_Hz": None if note.frequency is None else rounded(note.frequency),
        "confidence": round(note.confidence, 3),
        "refused": note.refused,
        "why": "; ".join(note.why) or None,
        "low_Hz": None if note.low is None else rounded(note.low),
        "high_Hz": None if note.high is None else rounded(note.high),
        "heard_Hz": None if note.heard is None else rounded(note.heard),
        "harmonics_Hz": {str(n): rounded(f) for n, f in note.harmonics},
        "hum_Hz": [rounded(f) for f in note.hum],
        "notes": list(note.notes),
    }
