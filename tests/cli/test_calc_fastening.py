"""The fastening commands: what people read, what scripts get, how they say no."""

from __future__ import annotations

import json
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from witnessmark.cli.calc import calc

TORQUE = ["torque", "--thread", "M10x1.25", "--class", "10.9", "--friction", "0.12", "--use", "0.9"]


def run(*arguments: str, code: int = 0):
    result = CliRunner().invoke(calc, list(arguments))
    assert result.exit_code == code, result.output
    return result


def answer(*arguments: str) -> dict:
    result = run(*arguments, "--json")
    assert result.stderr == ""
    assert len(result.stdout.splitlines()) == 1
    return json.loads(result.stdout)


def test_torque_agrees_with_the_guide_table() -> None:
    """VDI 2230 fine-thread guide values, p. 685: M10x1.25, 0.12, 10.9: 46.4 kN, 75 N·m."""
    found = answer(*TORQUE)
    assert found["torque_Nm"]["nominal"] == pytest.approx(75, rel=0.015)
    assert found["clamp_force_N"]["nominal"] == pytest.approx(46_400, rel=0.015)
    for band in (found["torque_Nm"], found["clamp_force_N"]):
        assert band["low"] == band["nominal"] == band["high"]
    assert found["band"] == "nothing: one friction value and no method"
    assert sum(found["shares_percent"].values()) == pytest.approx(100, abs=1e-6)
    assert any("prevails" in caution for caution in found["cautions"])


def test_a_range_makes_a_band_and_says_so() -> None:
    found = answer(*TORQUE[:6], "0.10-0.14")
    assert found["torque_Nm"]["low"] < found["torque_Nm"]["nominal"] < found["torque_Nm"]["high"]
    assert found["clamp_force_N"]["low"] < found["clamp_force_N"]["high"]
    assert found["band"] == "friction 0.1 to 0.14"
    assert found["safe_torque_Nm"] == found["torque_Nm"]["low"]


def test_a_method_scatters_the_clamp_force_only() -> None:
    """Machinery's Handbook: torque wrench ± 25 %."""
    found = answer(*TORQUE, "--method", "torque wrench")
    clamp = found["clamp_force_N"]
    assert clamp["low"] == pytest.approx(0.75 * clamp["nominal"])
    assert clamp["high"] == pytest.approx(1.25 * clamp["nominal"])
    assert found["torque_Nm"]["low"] == found["torque_Nm"]["high"]
    assert "torque wrench ± 25 %" in found["band"]


def test_preload_undoes_torque() -> None:
    torque = answer(*TORQUE)
    back = answer(
        "preload", "--thread", "M10x1.25", "--torque", f"{torque['torque_Nm']['nominal']} N·m",
        "--friction", "0.12",
    )  # fmt: skip
    assert back["clamp_force_N"]["nominal"] == pytest.approx(torque["clamp_force_N"]["nominal"])
    assert back["band"] == torque["band"]


def test_two_frictions_are_taken_apart() -> None:
    one = answer("preload", "--thread", "M8", "--torque", "25 N·m", "--friction", "0.12")
    two = answer(
        "preload", "--thread", "M8", "--torque", "25 N·m", "--friction", "0.12",
        "--head-friction", "0.20",
    )  # fmt: skip
    assert two["clamp_force_N"]["nominal"] < one["clamp_force_N"]["nominal"]
    assert two["friction"]["head"] == {"low": 0.2, "high": 0.2}


def test_a_wanted_clamp_gives_its_torque_without_a_class() -> None:
    found = answer("torque", "--thread", "M8", "--clamp", "15 kN", "--friction", "0.14")
    assert found["clamp_force_N"]["nominal"] == 15_000
    assert found["use"] is None
    assert "proof_load_N" not in found


def test_preload_says_whether_the_torque_suits() -> None:
    """Common practice, no source: about 25 N·m on M8 class 8.8 is plausible."""
    arguments = ("preload", "--thread", "M8", "--class", "8.8", "--friction", "dry", "--torque")
    assert answer(*arguments, "25 N·m")["plausible"]["words"] is None
    assert "too much" in answer(*arguments, "80 N·m")["plausible"]["words"]
    assert "too little" in answer(*arguments, "4 N·m")["plausible"]["words"]
    text = run(*arguments, "80 N·m").stdout
    assert "does it suit" in text
    assert "plausible from" in text


def test_the_drag_of_a_locking_nut_clamps_nothing() -> None:
    with_drag = answer(
        "preload", "--thread", "M8", "--torque", "28 N·m", "--drag", "3 N·m", "--friction", "0.12"
    )
    without = answer("preload", "--thread", "M8", "--torque", "25 N·m", "--friction", "0.12")
    assert with_drag["clamp_force_N"] == without["clamp_force_N"]
    refused = run(
        "preload", "--thread", "M8", "--torque", "3 N·m", "--drag", "3 N·m",
        "--friction", "0.12", code=1,
    )  # fmt: skip
    assert "leaves nothing" in refused.stderr


def test_the_short_form_is_offered_too() -> None:
    """Lock-nut maker's demonstration: 400 lbf·ft on 7/8-9, K 0.20: 27 429 lbf."""
    found = answer(
        "preload", "--thread", "7/8-9", "--torque", "400 lbf·ft", "--nut-factor", "0.20",
        "--method", "torque wrench",
    )  # fmt: skip
    assert found["clamp_force_N"]["nominal"] / 4.4482216152605 == pytest.approx(27_429, abs=1)
    assert found["clamp_force_N"]["low"] == pytest.approx(0.75 * found["clamp_force_N"]["nominal"])


def test_wrench_setting_straight_across_and_back() -> None:
    arguments = ("wrench", "--torque", "100 N·m", "--length", "400 mm", "--adapter", "50 mm")
    assert answer(*arguments, "--at", "0")["setting_Nm"] == pytest.approx(800 / 9)
    assert answer(*arguments, "--at", "90")["setting_Nm"] == 100.0
    assert answer(*arguments, "--at", "180")["setting_Nm"] == pytest.approx(800 / 7)
    assert answer(*arguments[:5])["setting_Nm"] == 100.0
    text = run("wrench", "--torque", "30 lbf·ft", "--length", "1 ft", "--adapter", "3 in").stdout
    assert "24 lbf·ft (32.54 N·m)" in text


def test_a_wrench_out_of_range_or_overdue_is_refused() -> None:
    arguments = ("wrench", "--torque", "100 N·m", "--length", "400 mm")
    too_big = run(*arguments, "--lowest", "10 N·m", "--highest", "80 N·m", code=1)
    assert "above its 80 N·m" in too_big.stderr
    assert too_big.stdout == ""
    late = run(*arguments, "--check-due", "2026-01-31", "--on", "2026-02-01", code=1)
    assert "check was due 2026-01-31" in late.stderr
    run(*arguments, "--check-due", "2026-01-31", "--on", "2026-01-31")


def test_thread_gives_its_sizes() -> None:
    """M8: ISO 724 and ISO 898-1 (7.188, 6.647, 36.6); drill list 6.8; ISO 4014 13 mm."""
    found = answer("thread", "M8x1.25")
    assert found["pitch_mm"] == 1.25
    assert found["pitch_diameter_mm"] == pytest.approx(7.188, abs=5e-4)
    assert found["minor_diameter_mm"] == pytest.approx(6.647, abs=5e-4)
    assert found["stress_area_mm2"] == pytest.approx(36.6, abs=0.05)
    assert found["tap_drill_mm"] == 6.75
    assert found["tap_drill_listed_mm"] == 6.8
    assert found["across_flats_mm"] == 13.0
    assert {"standard": "EN 1662", "tool": "10 mm socket or spanner"} in found["other_heads"]
    assert "12 mm socket or spanner (Japanese practice)" in run("thread", "M8").stdout


@pytest.mark.parametrize(
    ("thread", "flats", "words"),
    [
        ("3/8-16 UNC", 14.2875, "16 threads per inch (1.5875 mm)"),
        ("1/4 BSW", 13.335, "1/4 Whitworth socket or spanner"),
        ("1/2 BSF", 20.828, "7/16 Whitworth socket or spanner"),
        ("G 1/4", None, "19 threads per inch"),
        ("M10 LH", 16.0, "left-hand"),
        ("M9x1", None, "8 mm"),
    ],
)
def test_thread_knows_inch_and_pipe_threads(thread, flats, words) -> None:
    assert answer("thread", thread)["across_flats_mm"] == (
        None if flats is None else pytest.approx(flats)
    )
    assert words in run("thread", thread).stdout


def test_engagement_says_what_strips() -> None:
    found = answer(
        "engagement", "--thread", "M8", "--class", "8.8", "--material", "aluminium",
        "--length", "12 mm",
    )  # fmt: skip
    assert found["gives_way"] == "hole thread strips"
    assert found["rule_engagement_mm"] == 16.0
    assert found["holds_N"] == found["hole_strips_N"] < found["breaking_load_N"]
    deep = answer(
        "engagement", "--thread", "M8", "--class", "8.8", "--tensile", "500 MPa",
        "--length", "16 mm",
    )  # fmt: skip
    assert deep["gives_way"] == "bolt breaks"
    assert deep["rule_engagement_mm"] is None
    assert "first to give way" in run(
        "engagement", "--thread", "M8", "--class", "8.8", "--tensile", "500 MPa",
        "--length", "16 mm",
    ).stdout  # fmt: skip


ANGLE = ["angle", "--thread", "M14x1.5 x 80", "--class", "10.9", "--torque", "80 N·m",
         "--grip", "50 mm", "--friction", "0.12", "--angle"]  # fmt: skip


def test_torque_and_angle_carry_through_to_yield() -> None:
    """Common practice, no source: 80 N·m + 90° is a usual crank-bolt form."""
    found = answer(*ANGLE, "90°")
    assert found["yields"] == "yes"
    assert found["angle_to_yield_deg"]["nominal"] < 90
    assert found["plastic_stretch_mm"] > 0
    assert found["shank_mm"] == pytest.approx(80 - 2 * 14 - 6)
    assert any("renew it" in caution for caution in found["cautions"])
    gentle = answer(*ANGLE, "15°")
    assert gentle["yields"] == "no"
    assert gentle["plastic_stretch_mm"] == 0
    assert gentle["clamp_force_N"]["nominal"] < found["clamp_force_N"]["nominal"]
    assert "snug" in run(*ANGLE, "90°").stdout


def test_a_soft_joint_yields_later() -> None:
    hard = answer(*ANGLE, "90°")["angle_to_yield_deg"]["nominal"]
    soft = answer(*ANGLE, "90°", "--joint", "aluminium")["angle_to_yield_deg"]["nominal"]
    assert soft > hard


def test_conversion_is_exact() -> None:
    found = answer("convert", "25 N·m", "lbf·ft")
    assert found["value"] == float(Fraction("62500000000000000/3389544870828501"))
    assert found["exact"] == "62500000000000000/3389544870828501"
    assert answer("convert", "1 lbf·ft", "N·m")["decimal"] == "1.3558179483314004"
    assert answer("convert", "180°", "rad")["exact"] is None
    assert "76.2 mm" in run("convert", "3 in", "mm").stdout


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["torque", "--thread", "M8", "--class", "99", "--friction", "0.1"], "choose one of"),
        (["torque", "--thread", "M8", "--class", "8.8", "--friction", "sealed"], "no published"),
        (["torque", "--thread", "M8", "--class", "8.8", "--friction", "0.1", "--use", "1.2"],
         "share above 0"),
        (["torque", "--thread", "M8", "--class", "8.8", "--friction", "0.1", "--head", "ISO 1"],
         "not a head standard"),
        (["torque", "--thread", "M64", "--class", "8.8", "--friction", "0.1"], "has no 8.8"),
        (["torque", "--thread", "1/2-13", "--class", "5.1", "--friction", "0.1"],
         "no yield point"),
        (["preload", "--thread", "M8", "--torque", "25 N·m", "--friction", "0.1",
          "--method", "hope"], "no scatter is held"),
        (["wrench", "--torque", "5 N·m", "--length", "5 cm", "--adapter", "5 cm", "--at", "180"],
         "reaches back"),
        (["engagement", "--thread", "G 1/4", "--class", "8", "--material", "steel"],
         "no tolerances are held"),
        (["engagement", "--thread", "M8", "--class", "8.8", "--material", "cheese"],
         "no strength is held"),
        (["torque", "--thread", "M8", "--class", "8.8", "--friction", "0.2-0.1"], "low first"),
        ([*ANGLE, "90°", "--shank", "60 mm"], "inside the grip"),
        ([*ANGLE, "90°", "--joint", "cheese"], "no stiffness is held"),
        (["convert", "25 N·m", "mm"], "measures length"),
    ],
)  # fmt: skip
def test_refusals_say_why_on_stderr_and_exit_1(arguments, says) -> None:
    result = run(*arguments, code=1)
    assert result.stdout == ""
    assert result.stderr.startswith("Refused: ")
    assert says in result.stderr


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["torque", "--thread", "Q8", "--class", "8.8", "--friction", "0.1"], "not a thread"),
        (["torque", "--class", "8.8", "--friction", "0.1"], "--thread"),
        (["torque", "--thread", "M8", "--friction", "0.1"], "--class"),
        (["torque", "--thread", "M8", "--class", "8.8"], "--friction"),
        (["torque", "--thread", "M8", "--class", "8.8", "--friction", "0.1x"], "not a friction"),
        (["preload", "--thread", "M8", "--torque", "25", "--friction", "0.1"], "has no unit"),
        (["preload", "--thread", "M8", "--torque", "25 mm", "--friction", "0.1"], "is a length"),
        (["preload", "--thread", "M8", "--torque", "25 N·m"], "one of --friction"),
        (["wrench", "--torque", "9 N·m", "--length", "1 m", "--lowest", "1 N·m"], "together"),
        (["engagement", "--thread", "M8", "--class", "8.8"], "--material"),
        (["engagement", "--thread", "M8", "--material", "steel"], "--class"),
        ([*ANGLE, "90°", "--method", "torque wrench"], "--method"),
        (["thread", "nothing"], "not a thread"),
        (["convert", "25 N·m", "bananas"], "not a unit"),
        (["convert", "much", "mm"], "not a number"),
    ],
)
def test_bad_options_exit_2(arguments, says) -> None:
    result = run(*arguments, code=2)
    assert says in result.stderr


def test_a_plain_sum_does_not_load_numpy() -> None:
    code = (
        "import sys; import witnessmark.cli.calc.fastening;"
        "import witnessmark.engineering.fastening.swaps;"
        "import witnessmark.engineering.fastening.orders; print('numpy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


HOLES = ("1=0,0 mm", "2=140,6 mm", "3=15,9 cm", "4=70,110 mm", "5=-10,80 mm")


def test_an_order_comes_from_where_the_holes_sit() -> None:
    holes = [word for hole in HOLES for word in ("--hole", hole)]
    found = answer("order", *holes, "--tightness", "5 N·m + 90°")
    assert sorted(found["order"]) == ["1", "2", "3", "4", "5"]
    assert found["slackening"] == found["order"][::-1]
    assert [each["words"] for each in found["rounds"]] == ["5 N·m", "a further 90°"]
    given = answer("order", *holes, "--given", "3 1 5, 2 4")
    assert (given["pattern"], given["order"]) == ("given", ["3", "1", "5", "2", "4"])
    assert given["slackening"] == ["4", "2", "5", "1", "3"]


def test_an_order_that_cannot_be_is_refused() -> None:
    for more, words in (
        (["--hole", "1=0,0 mm", "--hole", "1=5,0 mm"], "same name"),
        (["--hole", "1=0,0 mm", "--hole", "2=0,0 mm"], "same place"),
        (["--hole", "1=0,0 mm", "--given", "2"], "each hole once"),
    ):
        assert words in run("order", *more, code=1).stderr
    run("order", "--hole", "1", code=2)
    run("order", "--hole", "1=0,0 N·m", code=2)


def test_drawings_are_written_where_they_are_asked_for(tmp_path: Path) -> None:
    svg = tmp_path / "picture.svg"
    for arguments, words in (
        ((*ANGLE, "90°", "--class", "10.9"), "angle after snug"),
        ((*TORQUE,), "torque, N·m"),
        (("preload", "--thread", "M8", "--torque", "25 N·m", "--friction", "oiled"), "anti-seize"),
        (("order", "--hole", "1=0,0 mm", "--hole", "2=9,0 mm"), "Large: place in the order"),
    ):
        run(*arguments, "--svg", str(svg))
        assert words in svg.read_text("utf-8")
        svg.unlink()
    nowhere = run(*TORQUE, "--svg", str(tmp_path / "no" / "such.svg"), code=1)
    assert "cannot be written" in nowhere.stderr
    short = ("preload", "--thread", "M8", "--torque", "25 N·m", "--nut-factor", "0.2")
    run(*short, "--svg", str(svg), code=2)


SMOOTH = ["preload", "--thread", "M8", "--friction", "0.1", "--torque"]
REACH = ["wrench", "--torque", "9 N·m", "--length", "1 m", "--adapter", "5 cm", "--at"]
FORCED = ["torque", "--thread", "M10", "--class", "8.8", "--friction", "0.1", "--clamp"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([*SMOOTH, "0 N·m"], "tightens nothing"),
        ([*SMOOTH, "-5 N·m"], "must be above zero"),
        ([*SMOOTH, "5 N·m", "--drag", "-1 N·m"], "must be zero or more"),
        ([*FORCED, "500 kN"], "above the proof load of 33.6 kN"),
        ([*REACH, "nan"], "points nowhere"),
        ([*REACH, "inf"], "points nowhere"),
        ([*ANGLE, "90°", "--grip", "90 mm"], "does not reach through a grip of 90 mm"),
    ],
)
def test_figures_that_cannot_be_are_refused_with_their_reason(arguments, words) -> None:
    assert words in run(*arguments, code=1).stderr


def test_a_lubricated_thread_is_cautioned_where_its_torque_may_be_a_dry_one() -> None:
    for friction, wanted in (("oiled", True), ("anti-seize", True), ("dry", False)):
        found = answer("preload", "--thread", "M8", "--torque", "25 N·m", "--friction", friction)
        assert any("dry threads overloads" in words for words in found["cautions"]) is wanted


def test_a_friction_below_zero_is_a_bad_option() -> None:
    assert "'-0.1' is not a friction" in run(*TORQUE, "--head-friction", "-0.1", code=2).stderr


def test_a_range_upside_down_is_a_bad_option() -> None:
    text = run("wrench", "--torque", "9 N·m", "--length", "1 m", "--lowest", "9 N·m",
               "--highest", "5 N·m", code=2).stderr  # fmt: skip
    assert "--lowest is not below --highest" in text


def test_an_adapter_longer_than_the_wrench_is_cautioned() -> None:
    long = answer("wrench", "--torque", "90 N·m", "--length", "40 cm", "--adapter", "50 cm")
    assert long["setting_Nm"] == pytest.approx(40.0)
    assert any("longer than the wrench" in words for words in long["cautions"])


def test_a_quantity_below_zero_is_converted() -> None:
    assert answer("convert", "-5 °C", "°F")["value"] == pytest.approx(23.0)
    run("convert", "-5 °C", code=2)


SIZE = ["size-table", "--thread", "M10x1.25", "--class", "8.8", "--by", "J. Moss", "--joint"]


@pytest.mark.parametrize("joint", ["bracket", "Cover"])
def test_a_size_table_serves_a_bracket_or_a_cover(joint: str) -> None:
    """Diesel-engine operating manual (2014-03), p. 15: M10x1.25, class 8.8, by hand: 45 N·m."""
    found = answer(*SIZE, joint)
    (figure,) = found["figures"]
    assert (figure["low_Nm"], figure["high_Nm"]) == (45.0, 45.0)
    assert found["taken_by"] == "J. Moss"
    assert "Size table, not the maker's." in found["cautions"]
    text = run(*SIZE, joint).stdout
    assert "Size table, not the maker's" in text.splitlines()[0]
    assert "{is: 45 N·m, source: size table, by: J. Moss}" in text


REFUSED = (
    *("head", "main", "rod", "cam", "crank", "flywheel", "clutch", "tensioner"),
    *("brake", "steering", "suspension", "wheel", "restraint", "lifting", "pressure"),
)


@pytest.mark.parametrize("joint", REFUSED)
def test_a_size_table_is_refused_where_life_or_engine_hangs_on_the_joint(joint: str) -> None:
    assert "find the maker's figure" in run(*SIZE, joint, code=1).stderr


def test_a_size_table_asks_for_a_joint_of_the_list_and_for_a_person() -> None:
    assert "not on the list" in run(*SIZE, "exhaust", code=1).stderr
    run("size-table", "--thread", "M10", "--joint", "cover", code=2)
    nobody = run("size-table", "--thread", "M10", "--joint", "cover", "--by", " ", code=1)
    assert "nobody takes the figure" in nobody.stderr
    small = run("size-table", "--thread", "M6", "--joint", "cover", "--by", "J. Moss", code=1)
    assert "no size table held here has M6x1" in small.stderr


def test_an_inch_grade_is_found_by_its_number() -> None:
    """US Army TM 10-5430-232-12&P, Table I-1: 1 1/8-7 grade 5, 800 lbf·ft dry."""
    (figure,) = answer(
        "size-table", "--thread", "1 1/8-7", "--class", "grade 5", "--joint", "cover", "--by", "J."
    )["figures"]
    assert figure["low_Nm"] == pytest.approx(800 * 1.3558179483314004)
