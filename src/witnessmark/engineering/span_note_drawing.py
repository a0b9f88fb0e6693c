"""The spectrum of a plucked span as a drawing (SVG), with what was taken from it."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from witnessmark.engineering.span_note import SpanNote
    from witnessmark.engineering.span_note_lines import Spectrum

_WIDTH, _HEIGHT = 720, 400
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 16, 64, 56
_DEPTH = 70.0
_INK, _PALE, _NOTE, _HUM = "#111111", "#dddddd", "#004d99", "#8a3b00"


class _Axes:
    """Place frequencies [Hz] and levels [dB] on the sheet."""

    def __init__(self, highest: float, loudest: float) -> None:
        self.highest = highest
        self.loudest = loudest

    def x(self, frequency: float) -> float:
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * min(frequency / self.highest, 1.0)

    def y(self, level: float) -> float:
        below = min(max(self.loudest - level, 0.0), _DEPTH)
        return _TOP + (_HEIGHT - _TOP - _BOTTOM) * below / _DEPTH


def draw_spectrum(note: SpanNote, expected: tuple[float, float] | None = None) -> str:
    """Draw the spectrum with the note, its harmonics, mains hum and the expected band.

    Parameters
    ----------
    note : SpanNote
        What `find_note` gave.
    expected : tuple of float, optional
        The band that was expected. [Hz]

    Returns
    -------
    str
        An SVG picture, dark on light, told in words as well as colours.
    """
    title = _title(note)
    parts = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" '
            f'font-family="sans-serif" font-size="13" fill="{_INK}">'
        ),
        f"<title>{escape(title)}</title>",
        f'<rect width="{_WIDTH}" height="{_HEIGHT}" fill="#ffffff"/>',
        _text(_LEFT, 24, title, size=16),
    ]
    if note.why:
        parts.append(_text(_LEFT, 44, note.why[0][:100]))
    if note.spectrum is None:
        parts.append(_text(_LEFT, _HEIGHT / 2, "there is nothing to draw"))
    else:
        parts += _picture(note, note.spectrum, expected)
    return "\n".join([*parts, "</svg>", ""])


def _title(note: SpanNote) -> str:
    if note.frequency is None:
        return "No note given"
    return f"Note of the span: {note.frequency:.1f} Hz, confidence {note.confidence:.2f}"


def _picture(note: SpanNote, spectrum: Spectrum, expected: tuple[float, float] | None) -> list[str]:
    highest = _highest(note, expected)
    last = min(len(spectrum.level), int(highest / spectrum.step) + 1)
    axes = _Axes(highest, float(spectrum.level[1:last].max()))
    parts = []
    if expected is not None:
        left, right = axes.x(expected[0]), axes.x(expected[1])
        parts.append(
            f'<rect x="{left:.1f}" y="{_TOP}" width="{max(right - left, 1):.1f}" '
            f'height="{_HEIGHT - _TOP - _BOTTOM}" fill="#cfe3f5"/>'
        )
        parts.append(_text(left + 3, _HEIGHT - _BOTTOM - 6, "expected", fill=_NOTE))
    parts += _grid(axes)
    parts.append(_curve(spectrum, axes, last))
    for frequency in note.hum:
        parts += _mark(axes, frequency, "hum", _HUM, dashed=True)
    for number, frequency in note.harmonics:
        parts += _mark(axes, frequency, str(number), _NOTE, dashed=False)
    return parts


def _highest(note: SpanNote, expected: tuple[float, float] | None) -> float:
    wanted = [200.0]
    if note.heard is not None:
        wanted.append(4.5 * note.heard)
    if expected is not None:
        wanted.append(1.3 * expected[1])
    return min(2_000.0, 100.0 * -(-max(wanted) // 100))


def _grid(axes: _Axes) -> list[str]:
    base = _HEIGHT - _BOTTOM
    step = next(s for s in (20, 50, 100, 200, 500) if axes.highest / s <= 12)
    parts = []
    for frequency in range(0, int(axes.highest) + 1, step):
        x = axes.x(frequency)
        parts.append(f'<path d="M{x:.1f} {_TOP}V{base}" stroke="{_PALE}"/>')
        parts.append(_text(x, base + 18, str(frequency), anchor="middle"))
    for down in range(0, int(_DEPTH) + 1, 10):
        y = axes.y(axes.loudest - down)
        parts.append(f'<path d="M{_LEFT} {y:.1f}H{_WIDTH - _RIGHT}" stroke="{_PALE}"/>')
        parts.append(_text(_LEFT - 6, y + 4, f"−{down}" if down else "0", anchor="end"))
    middle = (_LEFT + _WIDTH - _RIGHT) / 2
    parts.append(_text(middle, _HEIGHT - 16, "frequency, Hz", anchor="middle"))
    parts.append(_text(8, _TOP - 8, "level, dB"))
    return parts


def _curve(spectrum: Spectrum, axes: _Axes, last: int) -> str:
    """Draw at most two points a pixel, the higher of those that fall together."""
    every = max(1, last // (2 * (_WIDTH - _LEFT - _RIGHT)))
    points = []
    for first in range(1, last, every):
        level = float(spectrum.level[first : first + every].max())
        points.append(f"{axes.x(first * spectrum.step):.1f},{axes.y(level):.1f}")
    return f'<polyline fill="none" stroke="{_INK}" points="{" ".join(points)}"/>'


def _mark(axes: _Axes, frequency: float, word: str, ink: str, *, dashed: bool) -> list[str]:
    if frequency > axes.highest:
        return []
    x = axes.x(frequency)
    dash = ' stroke-dasharray="4 4"' if dashed else ""
    return [
        f'<path d="M{x:.1f} {_TOP}V{_HEIGHT - _BOTTOM}" stroke="{ink}"{dash}/>',
        _text(x + 3, _TOP + (28 if dashed else 14), word, fill=ink),
    ]


def _text(
    x: float, y: float, words: str, *, size: int = 13, anchor: str = "start", fill: str = _INK
) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}" '
        f'fill="{fill}">{escape(words)}</text>'
    )
