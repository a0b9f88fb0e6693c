"""`calc tension` and `calc span`: what people read, what scripts get, how they say no."""

from __future__ import annotations

import json
import math
import subprocess
import sys
import time
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner

from witnessmark.cli.calc import calc

AUDIO = Path(__file__).parents[1] / "published" / "signal" / "audio"
SPAN = ["--span", "200 mm", "--mass", "0.1 kg/m"]
RATE = 16_000


def run(*arguments: str, code: int = 0):
    result = CliRunner().invoke(calc, list(arguments))
    assert result.exit_code == code, result.output
    assert "Traceback" not in result.output
    return result


def answer(*arguments: str, code: int = 0) -> dict:
    result = run(*arguments, "--json", code=code)
    assert len(result.stdout.splitlines()) == 1
    return json.loads(result.stdout)


def pluck(frequency: float = 110.0, seconds: float = 1.5):
    times = np.arange(int(seconds * RATE)) / RATE
    sound = sum(
        np.exp(-times / 0.2) * np.sin(2 * math.pi * n * frequency * times) / n for n in (1, 2, 3)
    )
    return 0.3 * np.concatenate([np.zeros(RATE // 5), sound])


def test_tension_for_a_script() -> None:
    """T = 4 m L² f² = 4 x 0.1 x 0.2² x 100² = 160 N."""
    found = answer("tension", *SPAN, "--frequency", "100 Hz")
    assert found["tension_N"] == found["tension_low_N"] == found["tension_high_N"] == 160.0
    assert found["force_N"] is None
    assert found["torque_Nm"] is None
    assert any("no accuracy was given" in c for c in found["cautions"])
    assert any("fingers, hair and clothing" in c for c in found["cautions"])
    assert "OpenStax" in found["sources"][0]


def test_tension_has_a_band_when_the_readings_do() -> None:
    """1 % of frequency is 2 % of tension, 2 % of span is 4 % (rows SG2 and SG3)."""
    found = answer("tension", *SPAN, "--frequency", "100 Hz ± 1 %")
    assert found["tension_high_N"] == pytest.approx(160 * 1.01**2)
    found = answer(
        "tension", "--span", "200 mm +/- 4 mm", "--mass", "0.1 kg/m", "--frequency", "100 Hz"
    )
    assert found["tension_low_N"] == pytest.approx(160 * 0.98**2)


def test_tension_by_force_and_by_torque() -> None:
    """Rows DF3 and ID6: 9.995 N at a 64th of the span; 8 N·m on 40 mm at 60°."""
    found = answer("tension", "--span", "640 mm", "--force", "9.995 N", "--deflection", "10 mm")
    assert found["tension_N"] == pytest.approx(160.0, abs=0.01)
    found = answer("tension", "--torque", "8 N·m", "--arm", "40 mm", "--wrap", "60°")
    assert found["tension_N"] == pytest.approx(200.0)
    assert found["pulley_load_N"] == pytest.approx(200.0)


def test_one_reading_is_told_in_every_other_way() -> None:
    others = ["--deflection", "3 mm", "--arm", "40 mm", "--wrap", "60°"]
    found = answer("tension", *SPAN, "--tension", "160 N", *others)
    assert found["frequency_Hz"] == pytest.approx(100.0)
    assert found["torque_Nm"] == pytest.approx(6.4)
    assert found["force_N"] == pytest.approx(2 * 160 * 0.003 / math.hypot(0.003, 0.1))
    text = run("tension", *SPAN, "--tension", "160 N", *others).stdout
    assert "torque on the tensioner  6.4 N·m" in text


@pytest.mark.parametrize(
    ("frequency", "verdict"),
    [
        ("100 Hz ± 1 %", "within"),
        ("90 Hz ± 1 %", "too slack"),
        ("110 Hz ± 1 %", "too tight"),
        ("105 Hz ± 1 %", "not decided"),
    ],
)
def test_the_wanted_tension_is_judged_with_the_band(frequency: str, verdict: str) -> None:
    found = answer("tension", *SPAN, "--frequency", frequency, "--wanted", "160 N ± 10 %")
    assert found["verdict"] == verdict


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        SPAN,
        ["--frequency", "100 Hz"],
        [*SPAN, "--frequency", "100 Hz", "--tension", "160 N"],
        [*SPAN, "--frequency", "100"],
        [*SPAN, "--frequency", "100 N"],
        [*SPAN, "--frequency", "0 Hz"],
        [*SPAN, "--frequency", "100 Hz ± 200 %"],
        [*SPAN, "--frequency", "100 Hz ± 1 N"],
        ["--force", "20 N", "--span", "200 mm"],
        ["--torque", "8 N·m"],
        ["--torque", "8 N·m", "--arm", "40 mm"],
        [*SPAN, "--tension", "160 N", "--arm-angle", "80°"],
    ],
)
def test_bad_options_of_tension_exit_2(arguments: list[str]) -> None:
    assert "Error" in run("tension", *arguments, code=2).stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["--torque", "8 N·m", "--arm", "40 mm", "--wrap", "400°"],
        ["--torque", "8 N·m", "--arm", "40 mm", "--wrap", "60°", "--arm-angle", "180°"],
        ["--force", "20 N", "--deflection", "100 mm", "--span", "200 mm"],
    ],
)
def test_figures_that_cannot_be_exit_1_with_the_reason(arguments: list[str]) -> None:
    assert run("tension", *arguments, code=1).stderr.startswith("Refused:")


def test_span_of_a_real_string_with_its_tension() -> None:
    """Row AU01: 110.00 Hz; a 648 mm string of 3.1 g/m as a stand-in for a belt."""
    found = answer(
        "span", str(AUDIO / "Carbon_A5.wav"), "--expected", "110 Hz ± 10 %",
        "--span", "648 mm", "--mass", "3.1 g/m",
    )  # fmt: skip
    assert found["frequency_Hz"] == pytest.approx(110.0, rel=0.01)
    assert found["refused"] is False
    assert found["why"] is None
    assert 0.9 < found["confidence"] <= 1.0
    assert found["tension_N"] == pytest.approx(4 * 0.0031 * 0.648**2 * found["frequency_Hz"] ** 2)
    assert found["tension_low_N"] < found["tension_N"] < found["tension_high_N"]


@pytest.mark.parametrize(("kind", "suffix"), [("WAV", "wav"), ("FLAC", "flac"), ("OGG", "ogg")])
def test_wav_flac_and_ogg_are_read(tmp_path: Path, kind: str, suffix: str) -> None:
    file = tmp_path / f"pluck.{suffix}"
    soundfile.write(file, pluck(), RATE, format=kind)
    assert answer("span", str(file))["frequency_Hz"] == pytest.approx(110.0, rel=0.005)


def test_the_louder_channel_is_taken(tmp_path: Path) -> None:
    file = tmp_path / "stereo.wav"
    faint = 0.01 * np.random.default_rng(3).standard_normal(len(pluck()))
    soundfile.write(file, np.stack([faint, pluck()], axis=1), RATE)
    assert answer("span", str(file))["frequency_Hz"] == pytest.approx(110.0, rel=0.005)


def test_clipping_is_noted(tmp_path: Path) -> None:
    file = tmp_path / "loud.wav"
    soundfile.write(file, np.clip(20 * pluck(), -1, 1), RATE)
    notes = answer("span", str(file))["notes"]
    assert "too loud for the recorder: record softer" in notes


def test_a_spectrum_is_drawn(tmp_path: Path) -> None:
    sound, drawing = tmp_path / "pluck.wav", tmp_path / "pluck.svg"
    soundfile.write(sound, pluck(), RATE)
    run("span", str(sound), "--svg", str(drawing))
    assert ET.parse(drawing).getroot().tag.endswith("svg")  # noqa: S314 (our own)
    message = run("span", str(sound), "--svg", str(tmp_path / "no" / "x.svg"), code=1).stderr
    assert "cannot be written" in message


def _broken_files(folder: Path) -> dict[str, Path]:
    whole = folder / "whole.flac"
    soundfile.write(whole, pluck(), RATE)
    files = {
        "missing": folder / "none.wav",
        "folder": folder,
        "empty": folder / "empty.wav",
        "text": folder / "text.wav",
        "cut": folder / "cut.flac",
        "header only": folder / "header.wav",
        "noise bytes": folder / "bytes.ogg",
        "no samples": folder / "nothing.wav",
        "not a number": folder / "nan.wav",
        "long": folder / "long.wav",
        "silent": folder / "silent.wav",
        "AIFF": folder / "other.aiff",
        "many channels": folder / "many.wav",
        "device": Path("/dev/zero"),
        "null in the name": Path("a\0b.wav"),
        "name too long": folder / ("x" * 5000),
    }
    files["empty"].touch()
    files["text"].write_text("this is no recording\n" * 50, encoding="utf-8")
    files["cut"].write_bytes(whole.read_bytes()[:400])
    files["header only"].write_bytes(
        b"RIFF\xff\xff\xff\x7fWAVEfmt \x10\0\0\0\x01\0\x01\0"
        b"\x80>\0\0\0}\0\0\x02\0\x10\0data\xff\xff\xff\x7f"
    )
    files["noise bytes"].write_bytes(np.random.default_rng(5).bytes(5_000))
    soundfile.write(files["no samples"], np.zeros(0), RATE)
    soundfile.write(files["not a number"], np.full(RATE, math.nan), RATE, subtype="FLOAT")
    soundfile.write(files["long"], np.zeros(130 * 2_000), 2_000)
    soundfile.write(files["silent"], np.zeros(RATE), RATE)
    soundfile.write(files["AIFF"], pluck(), RATE)
    soundfile.write(files["many channels"], np.zeros((RATE, 20)), RATE)
    return files


def test_what_is_no_recording_is_refused_with_words(tmp_path: Path) -> None:
    for name, file in _broken_files(tmp_path).items():
        result = run("span", str(file), "--json", code=1)
        found = json.loads(result.stdout)
        assert found["refused"] is True, name
        assert found["frequency_Hz"] is None, name
        assert len(found["why"]) > 10, name
        assert result.stderr.startswith("Refused: "), name


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    """A sparse file of ten gigabytes with a good header."""
    file = tmp_path / "huge.wav"
    soundfile.write(file, pluck(), RATE)
    with file.open("r+b") as stream:
        stream.truncate(10_000_000_000)
    begun = time.perf_counter()
    assert "more than 200 MB" in run("span", str(file), code=1).stderr
    assert time.perf_counter() - begun < 5.0


def test_a_harmonic_is_refused_with_exit_1(tmp_path: Path) -> None:
    file = tmp_path / "pluck.wav"
    soundfile.write(file, pluck(160.0), RATE)
    found = answer("span", str(file), "--expected", "80 Hz ± 10 %", code=1)
    assert "harmonic 2 of 80.0 Hz" in found["why"]


@pytest.mark.parametrize(
    "arguments",
    [["--span", "200 mm"], ["--expected", "100 Hz"], ["--expected", "100 mm ± 1 %"]],
)
def test_bad_options_of_span_exit_2(arguments: list[str]) -> None:
    run("span", str(AUDIO / "Carbon_A5.wav"), *arguments, code=2)


def test_help_and_tension_import_no_heavy_library() -> None:
    """Signal processing and sound libraries come in only when a file is read."""
    code = (
        "import sys, witnessmark.cli.calc.tension, witnessmark.cli.calc.cooling;"
        "print([m for m in ('numpy', 'scipy', 'soundfile', 'CoolProp') if m in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
