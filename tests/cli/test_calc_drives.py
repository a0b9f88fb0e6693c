"""The drive commands: what people read, what scripts get, how they say no."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from witnessmark.cli.calc import calc

LARGE = ("--pulley", "0,0 mm d=600 mm")
SMALL = ("--pulley", "3000,0 mm d=240 mm")
DRIVE = (
    *("--pulley", "crank 0,0 mm d=150 mm"),
    *("--pulley", "pump 300,0 mm d=50 mm"),
    *("--pulley", "alternator 150,300 mm d=75 mm"),
    *("--pulley", "idler 30,190 mm d=60 mm face=back"),
)
SHAFTS = (
    *("--shaft", "crank z=20"),
    *("--shaft", "inlet cam z=40 does=inlet"),
    *("--shaft", "exhaust cam z=40 does=exhaust"),
    *("--shaft", "pump z=30 does=injection"),
)
INLET = ("--inlet", "opens=20° closes=45° lift=9 mm gap=2.5 mm angle=20°")
EXHAUST = ("--exhaust", "opens=45° closes=20° lift=8.5 mm gap=2.5 mm angle=20°")
CRANK = ("--stroke", "90 mm", "--rod", "144 mm")


def run(*arguments: str, code: int = 0) -> Result:
    result = CliRunner().invoke(calc, list(arguments))
    assert result.exit_code == code, result.output
    return result


def answer(*arguments: str) -> dict:
    result = run(*arguments, "--json")
    assert result.stderr == ""
    assert len(result.stdout.splitlines()) == 1
    return json.loads(result.stdout)


# belt ---------------------------------------------------------------------------------------


def test_belt_gives_length_wraps_turns_and_spans() -> None:
    found = answer("belt", *LARGE, *SMALL)
    # By hand: span sqrt(3000² - 180²), lean asin(180 / 3000).
    span, lean = math.sqrt(3000**2 - 180**2), math.asin(180 / 3000)
    assert found["spans_mm"] == pytest.approx([span, span])
    wraps = [math.degrees(math.pi + 2 * lean), math.degrees(math.pi - 2 * lean)]
    assert [p["wrap_deg"] for p in found["pulleys"]] == pytest.approx(wraps)
    assert [p["turns"] for p in found["pulleys"]] == [1, 2.5]
    arcs = 300 * (math.pi + 2 * lean) + 120 * (math.pi - 2 * lean)
    assert found["length_mm"] == pytest.approx(2 * span + arcs)


def test_a_crossed_belt_turns_the_second_pulley_backwards() -> None:
    found = answer("belt", *LARGE, *SMALL, "--crossed")
    assert [p["turns"] for p in found["pulleys"]] == [1, -2.5]
    assert found["spans_mm"][0] == pytest.approx(math.sqrt(3000**2 - 420**2))


@pytest.mark.parametrize(
    "pulley", ["118.11,0 in d=9.448818897637795 in", "3000 mm,0 mm d=240 mm", "3,0 m d=24 cm"]
)
def test_positions_and_diameters_may_be_in_any_unit_of_length(pulley: str) -> None:
    found = answer("belt", *LARGE, "--pulley", pulley)
    assert found["length_mm"] == pytest.approx(
        answer("belt", *LARGE, *SMALL)["length_mm"], abs=0.02
    )


def test_toothed_pulleys_come_by_teeth_and_pitch_or_section() -> None:
    by_pitch = answer(
        "belt",
        "--pulley",
        "crank 0,0 mm z=20 p=9.525 mm",
        "--pulley",
        "cam 0,400 mm z=40 p=9.525 mm",
    )
    by_section = answer(
        "belt", "--pulley", "crank 0,0 mm z=20 section=L", "--pulley", "cam 0,400 mm z=40 section=L"
    )
    assert by_pitch == by_section
    crank, cam = by_pitch["pulleys"]
    assert cam["turns"] == 0.5
    assert (crank["teeth_in_mesh"], cam["teeth_in_mesh"]) == (9, 20)
    assert crank["diameter_mm"] == pytest.approx(20 * 9.525 / math.pi)


def test_faces_and_directions_are_told_in_words() -> None:
    text = run("belt", *DRIVE, "--rpm", "800 rpm").stdout
    assert "back, turns clockwise" in text
    assert "-2.5 turns per turn of 1" in text
    assert "2400 rpm" in text
    assert "not stated" in text  # the viewpoint


def test_line_puts_the_belt_outside_the_diameter_given() -> None:
    found = answer("belt", *LARGE, "--pulley", "3000,0 mm d=236 mm line=2 mm")
    assert found["pulleys"][1]["diameter_mm"] == pytest.approx(240)


def test_a_belt_in_hand_is_compared_with_the_path() -> None:
    found = answer("belt", *LARGE, *SMALL, "--length", "7330 mm", "--tolerance", "1 mm")
    assert found["misfit_mm"] == pytest.approx(0.272, abs=1e-3)
    assert found["fits"] is True
    assert "too short" in run("belt", *LARGE, *SMALL, "--length", "7300 mm").stdout


def test_the_tensioner_is_told_with_its_distance_from_both_stops() -> None:
    swing = ("--tensioner", "idler swing pivot=-30,190 mm from=-60° to=60°")
    found = answer("belt", *DRIVE, "--length", "1270 mm", "--tolerance", "4 mm", *swing)
    (setting,) = found["tensioner"]["settings"]
    assert setting["from_start"] + setting["from_end"] == pytest.approx(120)
    assert setting["tightens_towards"] == "start stop"
    assert found["length_mm"] == pytest.approx(1270)
    assert found["tensioner"]["unit"] == "deg"


def test_eccentrics_and_sliders_are_tensioners_too() -> None:
    eccentric = ("--tensioner", "4 eccentric bolt=24,190 mm from=0° to=360°")
    found = answer("belt", *DRIVE, "--length", "1266 mm", *eccentric)
    assert len(found["tensioner"]["settings"]) == 2
    assert any("more than one position" in c for c in found["cautions"])
    slider = ("--tensioner", "idler slider heading=0° from=-10 mm to=30 mm")
    found = answer("belt", *DRIVE, "--length", "1275 mm", *slider)
    assert found["tensioner"]["unit"] == "mm"


def test_a_standard_belt_brings_its_length_and_source() -> None:
    found = answer(
        *("belt", "--pulley", "a 0,0 in z=20 section=L", "--pulley", "b 4.5,0 in z=10 section=L"),
        *("--belt", "124L"),
    )
    assert found["belt"]["length_mm"] == pytest.approx(12.375 * 25.4)
    assert found["belt"]["tolerance_mm"] == pytest.approx(0.018 * 25.4)
    assert found["sources"] == ["124L: ANSI/RMA IP-24, standard pitch lengths"]


def test_the_route_is_drawn(tmp_path: Path) -> None:
    file = tmp_path / "route.svg"
    run("belt", *DRIVE, "--svg", str(file), "--viewpoint", "pulley end", "--title", "Aux belt")
    drawing = file.read_text(encoding="utf-8")
    assert "<title>Aux belt</title>" in drawing
    assert "pulley end" in drawing


@pytest.mark.parametrize(
    ("pulleys", "words"),
    [
        (["0,0 mm d=600 mm"], "at least two pulleys"),
        (["0,0 mm d=600 mm", "100,0 mm d=240 mm"], "overlap"),
        (["0,0 mm d=600 mm", "420,0 mm d=240 mm"], "touch"),
        (["0,0 mm d=60 mm", "0,0 mm d=24 mm"], "same centre"),
        (["0,0 mm d=0 mm", "100,0 mm d=24 mm"], "above zero"),
        (["0,0 mm d=9 mm", "99,0 mm d=9 mm", "0,99 mm d=9 mm turns=cw"], "not clockwise"),
        (
            ["0,0 mm d=9 mm", "99,99 mm d=9 mm", "99,0 mm d=9 mm", "0,99 mm d=9 mm"],
            "cross itself",
        ),
    ],
)
def test_impossible_belts_are_refused_with_reasons(pulleys: list[str], words: str) -> None:
    options = [part for pulley in pulleys for part in ("--pulley", pulley)]
    result = run("belt", *options, code=1)
    assert words in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize(
    "options",
    [
        [],
        ["--pulley", "0,0 mm d=600"],
        ["--pulley", "0,0 mm"],
        ["--pulley", "d=600 mm"],
        ["--pulley", "0,0 kg d=600 mm"],
        ["--pulley", "0,0 mm d=600 mm d=600 mm"],
        ["--pulley", "0,0 mm q=600 mm"],
        ["--pulley", "0,0 mm z=20.5 p=8 mm"],
        ["--pulley", "0,0 mm d=600 mm face=left"],
        ["--pulley", "0,0 mm d=600 mm turns=left"],
        ["--pulley", "x" * 500],
        [*LARGE, *SMALL, "--tensioner", "1 swing pivot=0,9 mm from=0° to=9°"],
        [*LARGE, *SMALL, "--tolerance", "1 mm"],
        [*LARGE, *SMALL, "--length", "8 m", "--belt", "124L"],
        [*LARGE, *SMALL, "--length", "8 m", "--tensioner", "9 swing pivot=0,9 mm from=0° to=9°"],
        [*LARGE, *SMALL, "--length", "8 m", "--tensioner", "1 swing from=0° to=9°"],
        [*LARGE, *SMALL, "--length", "8 m", "--tensioner", "1 swing pivot=0,9 mm from=0°"],
        [*LARGE, *SMALL, "--length", "8 m", "--tensioner", "1 slider from=0 mm to=9 mm"],
        [*LARGE, *SMALL, "--length", "8 m", "--tensioner", "1 spring from=0 mm to=9 mm"],
        [*LARGE, *SMALL, "--length", "8 m", "--tensioner", "1 swing pivot=a 0,9 mm from=0° to=9°"],
    ],
)
def test_options_that_cannot_be_read_are_bad_options(options: list[str]) -> None:
    result = run("belt", *options, code=2)
    assert "Error:" in result.stderr


def test_an_unwritable_drawing_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "no such folder" / "route.svg"
    assert "cannot be written" in run("belt", *LARGE, *SMALL, "--svg", str(file), code=1).stderr


# route --------------------------------------------------------------------------------------


def test_a_route_is_found_again_with_faces(tmp_path: Path) -> None:
    pulleys = [text.replace(" face=back", "") for text in DRIVE]
    length = answer("belt", *DRIVE)["length_mm"]
    options = ("--length", f"{length} mm", "--tolerance", "1 mm")
    found = answer("route", *pulleys, *options, "--svg", str(tmp_path / "routes"))
    assert found["complete"] is True
    assert found["fitting"] == 1
    best = found["routings"][0]
    assert best["misfit_mm"] == pytest.approx(0, abs=1e-4)
    assert {p["name"]: p["face"] for p in best["pulleys"]}["idler"] == "back"
    assert (tmp_path / "routes" / "route-01.svg").exists()
    assert "1 within ±1 mm" in run("route", *pulleys, *options).stdout


def test_an_unstated_tolerance_is_said() -> None:
    assert "0.5 %, none was given" in run("route", *LARGE, *SMALL, "--length", "7330 mm").stdout


def test_when_nothing_fits_the_nearest_follow() -> None:
    text = run("route", *LARGE, *SMALL, "--length", "9000 mm").stdout
    assert "none fits" in text
    assert "shorter than the belt" in text


def test_route_refusals_and_bad_options() -> None:
    assert (
        "overlap"
        in run("route", *LARGE, "--pulley", "9,9 mm d=9 mm", "--length", "1 m", code=1).stderr
    )
    run("route", *LARGE, *SMALL, code=2)
    run("route", *LARGE, *SMALL, "--length", "1 kg", code=2)
    run("route", *LARGE, *SMALL, "--length", "1 m", "--most", "0", code=2)


# timing -------------------------------------------------------------------------------------


def test_one_cam_a_tooth_out_is_told_in_crank_degrees() -> None:
    found = answer("timing", *SHAFTS, "--mark", "crank: pinned", "--mark", "inlet cam: 9.2° ± 1°")
    diagnosis = found["diagnosis"]
    assert diagnosis["verdict"] == "teeth out"
    assert diagnosis["explanations"][0]["teeth"] == {"inlet cam": 1}
    assert diagnosis["explanations"][0]["crank_degrees"] == {"inlet cam": 18}
    assert diagnosis["not_read"] == ["exhaust cam", "pump"]
    assert [s["turns_per_crank_turn"] for s in found["shafts"]] == pytest.approx(
        [1, 0.5, 0.5, 2 / 3]
    )


@pytest.mark.parametrize(
    ("mark", "degrees", "accuracy"),
    [
        ("pump: 1 tooth late ± 0.25 teeth", -12, 3),
        ("pump = -12° +/- 1°", -12, 1),
        ("pump: 6 mm behind on 60 mm ± 1 mm", -math.degrees(0.1), math.degrees(1 / 60)),
        ("pump: 6 mm on a radius of 60 mm late ± 1 mm", -math.degrees(0.1), math.degrees(1 / 60)),
        ("pump: 1/2 tooth early", 6, 2),
        ("pump: 0.1 tooth late ± 1 mm on 60 mm", -1.2, math.degrees(1 / 60)),
        ("pump: -3 teeth ± 2°", -36, 2),
    ],
)
def test_marks_are_read_in_degrees_teeth_or_millimetres(
    mark: str, degrees: float, accuracy: float
) -> None:
    found = answer(
        "timing", *SHAFTS, "--mark", "crank: 0° ± 0°", "--mark", mark, "--accuracy", "2°"
    )
    (error,) = found["diagnosis"]["as_read"]
    assert error["crank_degrees"] == pytest.approx(degrees * 1.5)
    assert error["accuracy"] == pytest.approx(accuracy * 1.5)
    assert error["does"] == "injection"


def test_slack_is_not_decided_and_no_accuracy_is_not_decided() -> None:
    marks = ("--mark", "crank: pinned", "--mark", "inlet cam: -3°", "--mark", "exhaust cam: -4°")
    found = answer("timing", *SHAFTS, *marks, "--accuracy", "1°")
    assert found["diagnosis"]["verdict"] == "not decided"
    assert "slack or stretch" in found["diagnosis"]["why"]
    assert "no accuracy is stated" in answer("timing", *SHAFTS, *marks)["diagnosis"]["why"]


def test_meeting_of_marks_and_printing() -> None:
    found = answer("timing", *SHAFTS[:4], "--loop", "belt z=151")["marks_meet"]
    assert found == {
        "crank_turns": 2,
        "crank_turns_with_printing": 302,
        "loop_turns": {"belt": 40},
    }


def test_floating_sprocket() -> None:
    (found,) = answer("timing", *SHAFTS, "--float", "pump travel=12° at=-2° belt=3°")["floating"]
    assert found == {
        "shaft": "pump",
        "seats_any_belt": True,
        "mid_slot": False,
        "seats_deg": [3],
        "short_by_deg": 0,
        "nearest_turn_deg": 5,
        "most_central_deg": 3,
    }
    text = run("timing", *SHAFTS, "--float", "pump travel=4° belt=6°").stdout
    assert "cannot be seated: the slots are 4° short" in text
    assert "mid-slot now" in text


def test_events_as_found_follow_a_decided_error(tmp_path: Path) -> None:
    file = tmp_path / "valves.svg"
    found = answer(
        *("timing", *SHAFTS, "--mark", "crank: pinned", "--mark", "inlet cam: 9° ± 1°"),
        *("--events", "ivo=20° ivc=35° evo=35° evc=10° fires=15°", "--svg", str(file)),
    )
    assert found["events"]["overlap"] == 30
    assert found["events_as_found"]["overlap"] == 48
    assert "as found: inlet 38° before top" in file.read_text(encoding="utf-8")


def test_events_are_not_moved_by_nothing_or_by_what_is_not_decided() -> None:
    events = ("--events", "ivo=20° ivc=35° evo=35° evc=10°")
    for mark in ("inlet cam: 0° ± 1°", "inlet cam: 4° ± 1°"):
        found = answer("timing", *SHAFTS, "--mark", "crank: pinned", "--mark", mark, *events)
        assert "events_as_found" not in found
    assert "events_as_found" not in answer("timing", *events)


def test_timing_says_how_to_turn_by_hand() -> None:
    text = run("timing", *SHAFTS, "--ignition", "compression").stdout
    for words in ("short bar", "glow plugs", "first resistance", "Never crank with"):
        assert words in text


def test_explanations_are_told_in_words() -> None:
    text = run(
        *("timing", *SHAFTS, "--mark", "crank: pinned", "--mark", "inlet cam: -9° ± 1°"),
        *("--mark", "exhaust cam: -9° ± 1°", "--mark", "pump: -12° ± 1°"),
    ).stdout
    assert "the same as the belt 1 tooth out at crank" in text
    assert "injection error 18° late" in text


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ([], 2),
        (["--mark", "crank: pinned"], 2),
        (["--shaft", "crank z=20", "--svg", "x.svg"], 2),
        (["--shaft", "z=20"], 2),
        (["--shaft", "crank"], 2),
        (["--shaft", "crank z=20", "--shaft", "cam z=40 does=nothing"], 2),
        ([*SHAFTS, "--mark", "crank: pinned", "--mark", "pump: about 3"], 2),
        ([*SHAFTS, "--mark", "crank: pinned", "--mark", "pump: 3 mm ± 1 mm"], 2),
        ([*SHAFTS, "--loop", "belt"], 2),
        ([*SHAFTS, "--float", "pump"], 2),
        (["--events", "ivo=20°"], 2),
        ([*SHAFTS, "--mark", "crank: pinned"], 1),
        ([*SHAFTS, "--mark", "crank: pinned", "--mark", "turbo: 3°"], 1),
        (["--shaft", "crank z=1"], 1),
        ([*SHAFTS, "--float", "pump travel=400°"], 1),
        (["--events", "ivo=200° ivc=35° evo=35° evc=10°"], 1),
    ],
)
def test_timing_refusals_and_bad_options(options: list[str], code: int) -> None:
    assert run("timing", *options, code=code).stdout == ""


# clearance ----------------------------------------------------------------------------------


def test_clearance_answers_for_every_tooth() -> None:
    found = answer("clearance", *CRANK, *INLET, *EXHAUST, "--crank-teeth", "20", "--teeth", "-1..2")
    assert found["answer"] == "no, because"
    assert found["why"].startswith("inlet, 2 teeth early: inlet and piston would meet")
    rows = {(r["valve"], r["teeth"]): r for r in found["valves"]}
    assert len(rows) == 8
    assert rows["inlet", 0]["answer"] == "not shown safe"
    assert rows["inlet", 2]["least_gap_mm"] < 0 < rows["inlet", 1]["least_gap_mm"]
    assert rows["inlet", 1]["early_crank_deg"] == 18
    assert {r["answer"] for r in found["belt_off"]} == {"no, because"}


def test_clearance_never_clears_cranking() -> None:
    found = answer("clearance", *CRANK, *INLET, *EXHAUST)
    assert found["answer"] == "not shown safe"
    assert any("never clears cranking" in caution for caution in found["cautions"])
    text = run("clearance", *CRANK, *INLET, *EXHAUST).stdout
    assert "safe to" not in text
    assert "crank degrees per tooth not given" in text


@pytest.mark.parametrize(
    "options",
    [
        (),
        (*CRANK, *INLET),
        (*INLET, *EXHAUST),
        (*CRANK, "--inlet", "opens=20° closes=45° gap=2.5 mm angle=20°", *EXHAUST),
        (*CRANK, "--inlet", "opens=20° closes=45° lift=9 mm angle=20°", *EXHAUST),
        (*CRANK, "--inlet", "opens=20° closes=45° lift=9 mm gap=2 mm", *EXHAUST),
    ],
)
def test_missing_figures_mean_valves_are_taken_to_touch(options: tuple[str, ...]) -> None:
    found = answer("clearance", *options)
    assert found["answer"] == "no, because"
    assert "valves are taken to touch" in found["why"]


def test_a_lift_table_from_a_file(tmp_path: Path) -> None:
    file = tmp_path / "lift.csv"
    rows = [f"{a},{9 * math.sin(math.pi * (a + 20) / 245) ** 2:.4f}" for a in range(-20, 226)]
    file.write_text("crank degrees,lift mm\n# measured\n" + "\n".join(rows), encoding="utf-8")
    table = ("--inlet", f"table={file} gap=2.5 mm angle=20°")
    by_table = answer("clearance", *CRANK, *table, *EXHAUST)["valves"][0]
    by_law = answer("clearance", *CRANK, *INLET, *EXHAUST)["valves"][0]
    assert by_table["least_gap_mm"] == pytest.approx(by_law["least_gap_mm"], abs=2e-3)


def test_laws_peak_least_gap_and_accuracy_are_read() -> None:
    inlet = "opens=20° closes=45° lift=9 mm gap=2.5 mm angle=20° law=cycloidal peak=105°"
    row = answer("clearance", *CRANK, "--inlet", f"{inlet} least=3 mm accuracy=±0.1 mm")["valves"][
        0
    ]
    assert row["answer"] == "no, because"
    assert "maker's 3.00 mm" in row["why"]


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ((*CRANK, "--crank-teeth", "20", "--per-tooth", "18°"), 2),
        ((*CRANK, "--crank-teeth", "20", "--teeth", "2..-2"), 2),
        ((*CRANK, "--crank-teeth", "20", "--teeth", "some"), 2),
        (("--inlet", "9 mm"), 2),
        (("--inlet", "lift=9"), 2),
        (("--inlet", "table=no-such-file.csv"), 2),
        (("--stroke", "90 mm", "--rod", "40 mm"), 1),
        (("--inlet", "opens=20° closes=45° lift=9 mm law=bumpy"), 1),
        (("--inlet", "opens=20° closes=45° lift=0 mm"), 1),
    ],
)
def test_clearance_refusals_and_bad_options(options: tuple[str, ...], code: int) -> None:
    assert run("clearance", *options, code=code).stdout == ""


def test_a_lift_table_that_is_no_table_is_a_bad_option(tmp_path: Path) -> None:
    file = tmp_path / "lift.csv"
    file.write_text("0,0\n5,two\n", encoding="utf-8")
    assert "row 2" in run("clearance", "--inlet", f"table={file}", code=2).stderr
    file.write_text("1,1\n" * 3000, encoding="utf-8")
    assert "3000 rows" in run("clearance", "--inlet", f"table={file}", code=2).stderr


@pytest.mark.parametrize("command", ["belt", "route", "timing", "clearance"])
def test_help_is_there(command: str) -> None:
    assert "--json" in run(command, "--help").stdout
