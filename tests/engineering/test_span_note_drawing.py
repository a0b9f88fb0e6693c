"""The drawing of a spectrum: well-formed, told in words, nothing outside the sheet."""

from __future__ import annotations

import math
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from witnessmark.engineering.span_note import SpanNote, find_note
from witnessmark.engineering.span_note_drawing import draw_spectrum

SVG = "{http://www.w3.org/2000/svg}"
RATE = 16_000


def pluck(frequency: float = 82.0):
    times = np.arange(2 * RATE) / RATE
    sound = sum(
        np.exp(-times / 0.3) * np.sin(2 * math.pi * n * frequency * times) / n for n in (1, 2, 3)
    )
    return np.concatenate([np.zeros(RATE // 4), sound]) + 0.02 * np.sin(
        2 * math.pi * 50 * np.arange(2 * RATE + RATE // 4) / RATE
    )


def words(svg: str) -> list[str]:
    return [t.text or "" for t in ET.fromstring(svg).iter(f"{SVG}text")]  # noqa: S314 (our own)


def test_the_note_its_harmonics_hum_and_band_are_named() -> None:
    note = find_note(pluck(), RATE, expected=(75.0, 90.0))
    said = words(draw_spectrum(note, (75.0, 90.0)))
    assert said[0].startswith("Note of the span: 82.0 Hz, confidence")
    assert {"1", "2", "3", "hum", "expected", "frequency, Hz", "level, dB"} <= set(said)


def test_the_curve_stays_on_the_sheet_and_peaks_at_the_note() -> None:
    note = find_note(pluck(), RATE)
    root = ET.fromstring(draw_spectrum(note))  # noqa: S314 (our own)
    points = [
        tuple(map(float, p.split(",")))
        for p in root.find(f"{SVG}polyline").attrib["points"].split()
    ]
    assert all(64 <= x <= 704 and 64 <= y <= 344 for x, y in points)
    top = min(points, key=lambda p: p[1])[0]
    marks = {t.text: float(t.attrib["x"]) for t in root.iter(f"{SVG}text")}
    assert top == pytest.approx(marks["1"] - 3, abs=2.5)


def test_a_refusal_is_drawn_with_its_reason() -> None:
    svg = draw_spectrum(find_note(np.zeros(RATE), RATE))
    assert "No note given" in words(svg)
    assert any("silent" in said for said in words(svg))
    assert "there is nothing to draw" in words(svg)


def test_reasons_are_escaped() -> None:
    svg = draw_spectrum(SpanNote(None, 0.0, why=("<b> & 'x.wav'",)))
    assert "<b> & 'x.wav'" in words(svg)
