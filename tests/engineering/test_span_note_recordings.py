"""The note of a span from recordings: real strings, synthetic plucks, and what is no pluck.

Real: plucked strings of the guitarsounds 1.2.0 source distribution (MIT licence), measured
frequencies in tests/published/signal/audio_samples.csv. Synthetic: the committed parameters
of benchmarks/synthetic_plucks.json, of which the fraction stated there is tried here; the
whole set is tried by benchmarks/recordings.py.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.recordings import ten_seconds, try_not_plucks, try_plucks
from benchmarks.synthetic_plucks import parameters
from witnessmark.engineering.span_note import find_note
from witnessmark.engineering.span_note_lines import find_lines, spectrum_of

SIGNAL = Path(__file__).parents[1] / "published" / "signal"
RATE = 48_000


def published(file: str) -> list[dict[str, str]]:
    with (SIGNAL / file).open(encoding="utf-8", newline="") as rows:
        return list(csv.DictReader(rows))


def real_strings() -> list[tuple[Path, float]]:
    heard = {
        Path(r["file"]).stem: float(r["peak_Hz_measured"]) for r in published("audio_samples.csv")
    }
    files = sorted((SIGNAL / "audio").glob("*.wav")) + sorted((SIGNAL / "audio").glob("*.flac"))
    return [(file, heard[file.stem.removesuffix("_first_4_s")]) for file in files]


def ring(frequency: float, sizes, seconds: float = 1.5, decay: float = 0.2, lead: float = 0.1):
    """A plain decaying series, harmonic n of size sizes[n - 1], with a lead-in of silence."""
    times = np.arange(int(seconds * RATE)) / RATE
    sound = sum(
        size * np.exp(-times / decay) * np.sin(2 * math.pi * n * frequency * times + n)
        for n, size in enumerate(sizes, start=1)
    )
    return np.concatenate([np.zeros(int(lead * RATE)), sound])


def noise(count: int, level: float, seed: int = 7):
    return level * np.random.default_rng(seed).standard_normal(count)


@pytest.mark.parametrize(("file", "heard"), real_strings(), ids=lambda v: getattr(v, "stem", ""))
def test_a_real_string_is_read_within_one_percent(file: Path, heard: float) -> None:
    """Shared samples: within 1 % or refused; here none is refused."""
    samples, rate = soundfile.read(file)
    note = find_note(samples, rate)
    assert not note.refused, note.why
    assert note.frequency == pytest.approx(heard, rel=0.01)
    assert note.low <= note.frequency <= note.high


def test_the_real_strings_include_those_whose_loudest_line_is_a_harmonic() -> None:
    """The trap of the reference: low E strings sound loudest at their second or third harmonic."""
    samples, rate = soundfile.read(SIGNAL / "audio" / "Carbon_E6_first_4_s.flac")
    start = int(np.argmax(np.abs(samples)))
    loudest = find_lines(spectrum_of(samples[start : start + 2 * rate], rate))[0].frequency
    assert loudest > 1.9 * 82.06
    assert find_note(samples, rate).frequency == pytest.approx(82.06, rel=0.01)


@pytest.mark.parametrize("name", ["twenty_dB_or_better", "worse_than_twenty_dB"])
def test_synthetic_plucks_keep_to_their_limits(name: str) -> None:
    """The stated fraction of the committed set; limits as committed, before tuning."""
    counts = try_plucks(name, parameters()["fraction_in_tests"]["every"])
    for what, limit in parameters()["sets"][name]["limits"].items():
        assert counts[what] <= limit * counts["tried"], counts["wrong"]


def test_what_is_no_pluck_is_refused() -> None:
    """White and pink noise, hum, hum in noise, a steady tone, clicks, silence."""
    counts = try_not_plucks(parameters()["fraction_in_tests"]["every"])
    assert counts["tried"] >= 21
    assert counts["taken"] == []


def test_ten_seconds_are_read_like_one() -> None:
    recording = ten_seconds()
    note = find_note(recording.samples, recording.rate)
    assert note.frequency == pytest.approx(recording.frequency, rel=0.002)


SG6 = next(r for r in published("worked_examples.csv") if r["id"] == "SG6")


@pytest.mark.parametrize("harder", ["as it is", "noise at 10 dB", "hum at 50 Hz"])
def test_sg6_a_decaying_sinusoid(harder: str) -> None:
    """SG6: exp(-t/0.15) sin(2 pi 143.7 t), 48 kHz, 0.5 s; made for this purpose."""
    times = np.arange(RATE // 2) / RATE
    samples = np.exp(-times / 0.15) * np.sin(2 * math.pi * 143.7 * times)
    power = float(np.mean(samples**2))
    if harder == "noise at 10 dB":
        samples = samples + noise(len(samples), math.sqrt(power / 10))
    if harder == "hum at 50 Hz":
        samples = samples + math.sqrt(power) * np.sin(2 * math.pi * 50 * times)
    note = find_note(samples, RATE)
    # The row's own tolerance; noise and hum may pull it by the one percent that is promised.
    tolerance = float(SG6["tolerance"]) if harder == "as it is" else 1.437
    assert note.frequency == pytest.approx(float(SG6["value"]), abs=tolerance)


def test_sg4_a_tenth_of_a_second_is_refused_for_being_too_short() -> None:
    """SG4: 4,800 samples at 48 kHz are 10 Hz a bin and cannot tell 100 from 105 Hz."""
    row = next(r for r in published("worked_examples.csv") if r["id"] == "SG4")
    assert float(row["value"]) == RATE / 4_800
    note = find_note(ring(100, [1.0], seconds=0.1, lead=0.0), RATE)
    assert note.refused
    assert "shorter than" in note.why[0]


def test_a_missing_fundamental_is_worked_out_from_its_harmonics() -> None:
    """A phone's microphone may not hear 60 Hz at all."""
    note = find_note(ring(60.0, [0.0, 1.0, 0.7, 0.5, 0.3]), RATE)
    assert note.frequency == pytest.approx(60.0, rel=0.005)
    assert any("not heard" in words for words in note.notes)


def test_even_harmonics_missing_is_still_the_same_note() -> None:
    """Plucked in the middle, a string has no even harmonics."""
    note = find_note(ring(90.0, [1.0, 0.0, 0.3, 0.0, 0.1]), RATE)
    assert note.frequency == pytest.approx(90.0, rel=0.005)


def test_a_harmonic_is_refused_when_the_expected_band_says_otherwise() -> None:
    """Only the second and fourth are heard: without a band nothing tells it from 160 Hz."""
    sound = ring(80.0, [0.0, 1.0, 0.0, 0.4])
    assert find_note(sound, RATE).frequency == pytest.approx(160.0, rel=0.005)
    note = find_note(sound, RATE, expected=(70.0, 90.0))
    assert note.refused
    assert "harmonic 2 of 80.0 Hz" in note.why[0]
    assert note.heard == pytest.approx(160.0, rel=0.005)


def test_two_spans_that_ring_together_are_not_guessed_between() -> None:
    """Two equal notes with no series between them: not sure enough, and said so."""
    times = np.arange(RATE) / RATE
    both = [np.exp(-times / 0.3) * np.sin(2 * math.pi * f * times) for f in (97.0, 133.0)]
    note = find_note(np.concatenate([np.zeros(RATE // 5), sum(both)]), RATE)
    assert note.refused
    assert "not sure enough" in note.why[0]
    assert note.confidence < 0.45


def test_a_dull_thud_is_not_read_closer_than_it_rings() -> None:
    """A note of 60 Hz that dies in 20 ms has no one percent to it."""
    sound = ring(60.0, [1.0], decay=0.02) + noise(int(1.6 * RATE), 1e-4)
    note = find_note(sound, RATE)
    assert note.refused
    assert any("cannot be read closer" in words for words in note.why)


def test_a_slack_belt_is_told_not_refused() -> None:
    """Outside the band but no harmonic of it: the reading is the news."""
    note = find_note(ring(60.0, [1.0, 0.5, 0.2]), RATE, expected=(95.0, 110.0))
    assert note.frequency == pytest.approx(60.0, rel=0.005)
    assert any("below the expected" in words for words in note.notes)
    tight = find_note(ring(130.0, [1.0, 0.5]), RATE, expected=(95.0, 110.0))
    assert any("above the expected" in words for words in tight.notes)


@pytest.mark.parametrize("tone", [49.0, 100.0, 231.0])
def test_a_steady_sound_is_refused(tone: float) -> None:
    """Hum, or an engine left running: it does not die away."""
    times = np.arange(2 * RATE) / RATE
    sound = sum(np.sin(2 * math.pi * n * tone * times) / n for n in range(1, 5))
    note = find_note(sound + noise(len(times), 0.01), RATE)
    assert note.refused
    assert "steady" in note.why[0] or "hum" in note.why[0]


def test_a_pluck_on_the_mains_frequency_is_told_from_the_hum() -> None:
    """60.2 Hz struck in 60 Hz hum of a third its size."""
    sound = ring(60.2, [1.0, 0.5, 0.3], decay=0.4, seconds=2.5, lead=0.5)
    times = np.arange(len(sound)) / RATE
    note = find_note(sound + 0.3 * np.sin(2 * math.pi * 60 * times), RATE)
    assert note.frequency == pytest.approx(60.2, rel=0.01)
    assert note.hum[0] == pytest.approx(60.0, abs=0.05)


def test_the_strongest_of_several_plucks_is_read() -> None:
    plucks = [ring(110.0, [1.0, 0.5, 0.2], decay=0.15, seconds=1.0) * s for s in (0.5, 1.0, 0.7)]
    sound = np.concatenate(plucks)
    note = find_note(sound + noise(len(sound), 0.003), RATE)
    assert note.frequency == pytest.approx(110.0, rel=0.005)


def test_a_bell_is_read_at_its_lowest_partial_or_refused() -> None:
    """AU13: partials 438.99, 1317.06, 1836.29 and 2714.28 Hz, not a series; truth is 439.0."""
    times = np.arange(3 * RATE) / RATE
    partials = [(438.99, 1.0), (1317.06, 0.8), (1836.29, 0.7), (2714.28, 0.5)]
    sound = sum(s * np.exp(-times / 0.8) * np.sin(2 * math.pi * f * times) for f, s in partials)
    note = find_note(np.concatenate([np.zeros(RATE // 5), sound]), RATE)
    assert note.refused or note.frequency == pytest.approx(438.99, rel=0.01)


@pytest.mark.parametrize(
    ("samples", "rate", "words"),
    [
        (np.zeros(RATE), RATE, "silent"),
        (np.full(RATE, 0.3), RATE, "silent"),
        (np.zeros((RATE, 2)), RATE, "one channel"),
        (np.ones(100), RATE, "shorter"),
        (np.zeros(0), RATE, "shorter"),
        (noise(130 * 2_000, 1.0), 2_000, "longer than 120 s"),
        (noise(800, 1.0), 800, "samples a second"),
        (noise(800, 1.0), math.nan, "samples a second"),
        (np.full(RATE, math.nan), RATE, "damaged"),
        (noise(RATE, 1.0) * 1j, RATE, "damaged"),
    ],
)
def test_what_cannot_be_judged_is_refused_with_words(samples, rate, words) -> None:
    note = find_note(samples, rate)
    assert note.refused
    assert words in note.why[0]
    assert note.confidence == 0.0


def test_a_pluck_cut_off_at_the_end_is_refused() -> None:
    sound = np.concatenate([np.zeros(RATE), ring(100.0, [1.0, 0.5], seconds=0.1, lead=0.0)])
    note = find_note(sound, RATE)
    assert note.refused
    assert "too near the end" in note.why[0]


@settings(max_examples=25, deadline=None)
@given(
    frequency=st.floats(30.0, 500.0),
    decay=st.floats(0.12, 0.6),
    loudness=st.floats(1e-3, 1e3),
    rate=st.sampled_from([8_000, 22_050, 44_100]),
)
def test_a_clean_pluck_is_read_at_any_loudness_and_rate(frequency, decay, loudness, rate) -> None:
    times = np.arange(int(1.5 * rate)) / rate
    sound = sum(
        np.exp(-times * n**0.5 / decay) * np.sin(2 * math.pi * n * frequency * times) / n
        for n in range(1, 5)
    )
    sound = np.concatenate([np.zeros(rate // 10), sound]) * loudness
    note = find_note(sound, rate)
    assert not note.refused, note.why
    assert note.frequency == pytest.approx(frequency, rel=0.01)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(0, 6_000), rate=st.floats(1, 1e5))
def test_any_samples_give_an_answer_never_an_error(seed, count, rate) -> None:
    rng = np.random.default_rng(seed)
    note = find_note(rng.standard_normal(count) ** int(rng.integers(1, 4)), rate)
    assert note.refused is (note.frequency is None)
    assert note.refused is bool(note.why)
    assert 0.0 <= note.confidence <= 1.0
