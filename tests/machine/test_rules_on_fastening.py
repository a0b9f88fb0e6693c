"""Does a tightness suit its bolt, its hole, and what is put on the thread."""

from __future__ import annotations

import re

import pytest

from tests.machine.written import check_text

JOINT = """
parts: {{frame: {{fixed: true}}, cover: {{}}}}
joints:
  screws:
    holds: [cover]
    to: frame
    {0}
"""
OUT = "out: {strip: 1 min, refit: 1 min, refit_text: Holes clean and dry}"


def found(*lines: str, after: str = "") -> list[str]:
    text = JOINT.format("\n    ".join(("kind: bolts", *lines))) + after
    return [each.code for each in check_text(text)]


def bolt(torque: str, size: str = "M8, class: 8.8", surface: str = "dry") -> list[str]:
    return found(f"fasteners: [{{thread: {size}}}]", f"tightness: {torque}", f"surface: {surface}")


def test_about_25_newton_metres_on_m8_of_class_8_8_is_plausible() -> None:
    # common practice, no source
    assert bolt("25 N·m") == []


def test_the_guide_torques_of_vdi_2230_are_plausible() -> None:
    # VDI 2230 guide values at friction 0.12, from memory: M6, M8, M10, M12, M16 of class 8.8.
    for size, torque in (("M6", 10), ("M8", 25), ("M10", 48), ("M12", 84), ("M16", 206)):
        assert bolt(f"{torque} N·m", f"{size}, class: 8.8", "oiled") == [], size


def test_a_torque_read_in_the_wrong_unit_is_implausible() -> None:
    assert bolt("25 lbf·in") == ["implausible-torque"]
    assert bolt("250 N·m") == ["implausible-torque"]


def test_the_band_is_shown_and_the_torque_lies_outside_it() -> None:
    text = JOINT.format(
        "kind: bolts\n    fasteners: [{thread: M8, class: 8.8}]\n    tightness: 70 N·m\n"
        "    surface: oiled"
    )
    (only,) = check_text(text)
    assert only.is_warning
    low, high = map(float, re.findall(r"from ([\d.]+) to ([\d.]+) N·m", only.what)[0])
    assert 0 < low < 25 < high < 70


def test_oil_lowers_what_is_too_much() -> None:
    assert bolt("40 N·m", surface="dry") == []
    assert bolt("40 N·m", surface="oiled") == ["implausible-torque"]


def test_a_torque_before_an_angle_has_no_lower_end() -> None:
    assert bolt("3 N·m") == ["implausible-torque"]
    assert bolt("3 N·m + 90°") == []


@pytest.mark.parametrize("size", ["M8", "M8, class: of old"])
def test_a_bolt_of_unknown_class_is_not_judged(size: str) -> None:
    assert bolt("250 N·m", size) == []


def test_a_surface_without_a_published_range_is_not_judged() -> None:
    assert bolt("250 N·m", surface="sealed") == []


def test_a_torque_held_on_a_tensioner_is_never_judged_by_bolt_size() -> None:
    run = """
runs:
  drive: {belt: cover, tensioner: {kind: swinging, clamp: screws, setting: 300 N·m}}
"""
    lines = ("fasteners: [{thread: M8, class: 8.8}]", "tightness: 25 N·m", "surface: dry")
    assert found(*lines, after=run) == []


@pytest.mark.parametrize(
    ("fastener", "expected"),
    [
        ("{thread: M8 x 30, clamped: 22 mm}", []),
        ("{thread: M8 x 30, clamped: 22.5 mm}", ["short-engagement"]),
        ("{thread: M8 x 30, clamped: 12 mm, hole_depth: 7 mm, blind: false}", ["short-engagement"]),
        ("{thread: M8 x 30, clamped: 30 mm}", ["bolt-too-short"]),
        ("{thread: M8 x 30}", []),
    ],
)
def test_a_bolt_has_its_own_diameter_of_thread(fastener: str, expected: list[str]) -> None:
    assert found(f"fasteners: [{fastener}]", "tightness: seated") == expected


@pytest.mark.parametrize("role", ["crank", "cam", "flywheel", "clutch", "wheel"])
@pytest.mark.parametrize("surface", ["oiled", "anti-seize", "greased"])
def test_no_oil_on_a_face_that_drives_by_friction(role: str, surface: str) -> None:
    lines = (f"role: {role}", "tightness: seated", f"surface: {surface}")
    assert found(*lines) == ["oil-on-friction-face"]
    kept = OUT.replace("Holes clean and dry", '"Thread oiled, face free of grease"')
    assert found(*lines, kept) == []


@pytest.mark.parametrize("surface", ["dry", "free of grease", "threadlocked"])
def test_a_dry_face_may_drive_by_friction(surface: str) -> None:
    assert found("role: flywheel", "tightness: seated", f"surface: {surface}") == []


def test_a_cover_does_not_drive() -> None:
    assert found("role: cover", "tightness: seated", "surface: oiled") == []


def test_a_taper_is_free_of_grease() -> None:
    taper = ("name: hub's taper", "tightness: seated", "surface: {}")
    lines = [line.format("greased") for line in taper]
    text = JOINT.format("\n    ".join(("kind: press-fit", *lines)))
    assert [each.code for each in check_text(text)] == ["oil-on-friction-face"]
    assert check_text(text.replace("greased", "free of grease")) == []


def test_a_grease_of_the_file_on_a_friction_face_is_found() -> None:
    grease = "materials:\n  paste: {name: copper grease, used_by: [screws out]}\n"
    lines = ("role: wheel", "tightness: seated", "out: {strip: 1 min, refit: 1 min}")
    assert found(*lines, after=grease) == ["oil-on-friction-face"]
    assert found(*lines[1:], after=grease) == []


def test_threadlocker_and_anti_seize_do_not_meet() -> None:
    paste = "materials:\n  paste: {name: anti-seize paste, used_by: [screws out]}\n"
    lines = ("tightness: seated", OUT)
    locked = "surface: threadlocked"
    assert found(*lines, locked, after=paste) == ["anti-seize-meets-threadlocker"]
    assert found(*lines, locked) == []
    assert found(*lines, "surface: dry", after=paste) == []
    assert found(*lines, locked, after=paste.replace("anti-seize paste", "threadlocker")) == []


def test_a_blind_hole_is_cleaned_and_dried_when_its_bolt_has_been_out() -> None:
    blind = ("fasteners: [{thread: M8, blind: true}]", "tightness: seated")
    assert found(*blind, OUT) == []
    assert found(*blind, OUT.replace("and dry", "")) == ["blind-hole-not-cleaned"]
    assert found(*blind, OUT.replace("out:", "slack:").replace("and dry", "")) == []
    assert found("fasteners: [{thread: M8}]", blind[1], OUT.replace("and dry", "")) == []


REFUSED = (
    *("head", "main", "rod", "cam", "crank", "flywheel", "clutch", "tensioner"),
    *("brake", "steering", "suspension", "wheel", "restraint", "lifting", "pressure"),
)


@pytest.mark.parametrize("role", REFUSED)
def test_a_size_table_figure_is_refused_where_life_or_engine_hangs_on_it(role: str) -> None:
    figure = 'tightness: {is: 25 N·m, source: "size table, not the maker\'s, taken by J. Moss"}'
    assert found(f"role: {role}", figure) == ["size-table-refused"]


@pytest.mark.parametrize("role", ["bracket", "cover"])
def test_a_named_person_may_take_one_for_a_bracket_or_a_cover(role: str) -> None:
    figure = 'tightness: {is: 25 N·m, source: "size table, not the maker\'s, taken by J. Moss"}'
    assert found(f"role: {role}", figure) == []


@pytest.mark.parametrize("role", ["exhaust", "sump", "cylinder-head"])
def test_a_size_table_figure_is_refused_at_a_joint_that_is_not_on_the_list(role: str) -> None:
    figure = "tightness: {is: 25 N·m, source: size table, by: J. Moss}"
    assert found(f"role: {role}", figure) == ["size-table-not-listed"]
    assert found(figure) == ["size-table-not-listed"]


def test_a_critical_cover_takes_no_size_table_figure() -> None:
    figure = "tightness: {is: 25 N·m, source: size table, by: J. Moss}"
    assert found("role: cover", "critical: true", figure) == ["size-table-refused"]


def test_a_size_table_figure_wants_the_name_of_the_person() -> None:
    assert found("role: cover", "tightness: {is: 9 N·m, source: size table}") == [
        "size-table-nobody"
    ]
    assert found("role: cover", "tightness: {is: 9 N·m, source: size table, by: J. Moss}") == []


def test_a_size_table_as_the_source_of_a_whole_file_is_nobody_s_word() -> None:
    text = JOINT.format("kind: bolts\n    role: cover\n    tightness: 9 N·m")
    whole = f"witnessmark: 1\nmachine: trial\nsource: size table\n{text}"
    assert [each.code for each in check_text(whole)] == ["size-table-nobody"]


def test_the_setting_of_a_tensioner_is_never_from_a_size_table() -> None:
    run = """
runs:
  drive:
    belt: cover
    tensioner: {kind: swinging, clamp: screws, setting: {is: 9 N·m, source: size table, by: Moss}}
"""
    assert found("tightness: 25 N·m", after=run) == ["size-table-refused"]


def test_a_stated_least_clamp_moves_the_lower_end_of_the_band() -> None:
    # M8 class 8.8 dry: 25 N·m clamps about 9 to 14 kN by VDI 2230 (tests/planning checks it).
    bolt_of = ("fasteners: [{thread: M8, class: 8.8}]", "surface: dry", "tightness: 25 N·m")
    assert found(*bolt_of, "least_clamp: 9 kN") == []
    assert found(*bolt_of, "least_clamp: 20 kN") == ["implausible-torque"]
    text = JOINT.format("\n    ".join(("kind: bolts", *bolt_of, "least_clamp: 20 kN")))
    (only,) = check_text(text)
    assert "from holding 20 kN to proof load 21.2 kN" in only.what
    assert "our own rule" not in only.what


def test_a_least_clamp_above_proof_load_is_said_once_and_judges_nothing() -> None:
    bolt_of = ("fasteners: [{thread: M8, class: 8.8}]", "surface: dry", "tightness: 25 N·m")
    assert found(*bolt_of, "least_clamp: 22 kN") == ["clamp-above-proof"]
    assert found(*bolt_of, "least_clamp: -2 kN") == ["no-clamp"]
    assert found("tightness: 25 N·m", "least_clamp: 22 kg") == ["wrong-unit"]
