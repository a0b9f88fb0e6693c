"""Torque, clamp force, bands, plausibility and angle."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.engineering.fastening.angle import angle_for_force, tighten_by_angle
from witnessmark.engineering.fastening.bearing import (
    bearing_of,
    bearing_pressure,
    medium_hole,
    pressure_limit,
    ring_bearing,
)
from witnessmark.engineering.fastening.cautions import (
    FRICTION_UNKNOWN,
    LUBRICATED_AT_DRY_TORQUE,
    MAKER_PREVAILS,
    surface_change,
    torque_cautions,
)
from witnessmark.engineering.fastening.friction import (
    SURFACES,
    Friction,
    read_friction,
    surface_friction,
)
from witnessmark.engineering.fastening.heads import head_for, usual_head
from witnessmark.engineering.fastening.plausibility import plausible_torque
from witnessmark.engineering.fastening.preload import (
    NO_BAND,
    Band,
    ThreadAndHead,
    band_words,
    clamp_band,
    clamp_force_bands,
    torque_for_clamp,
    torque_for_use,
    wanted_preload,
)
from witnessmark.engineering.fastening.scatter import (
    METHODS,
    lowest_preload,
    preload_band,
    scatter_of,
)
from witnessmark.engineering.fastening.size_tables import (
    ALLOWED_JOINTS,
    REFUSED_JOINTS,
    size_figures,
    size_table_allowed,
    waisted_figures,
)
from witnessmark.engineering.fastening.strength import nut_proof_load, strength_of
from witnessmark.engineering.fastening.threads import thread_geometry
from witnessmark.engineering.fastening.tightening import (
    assembly_preload,
    clamp_force,
    equivalent_nut_factor,
    screw_torque,
    short_form_force,
    short_form_torque,
    tightening_torque,
    total_friction,
)
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.reading import QuantityError
from witnessmark.quantities.thread_series import COARSE_PITCH

SIZES = [
    f"M{s}"
    for s in COARSE_PITCH
    if 1.6 <= float(s) <= 64 and s not in {"1.8", "2.2", "4.5", "9", "11"}
]
threads = st.sampled_from([*SIZES, "M8x1", "M10x1.25", "M12x1.5", "3/8-24", "1/2-13", "1/4 BSW"])
frictions = st.floats(0.04, 0.40)
torques = st.floats(0.5, 500.0)


def _bolt(designation: str):
    geometry = thread_geometry(designation)
    return geometry, bearing_of(geometry).mean_diameter


def _one(value: float) -> ThreadAndHead:
    return ThreadAndHead.same(Friction(value, value, "test"))


@given(threads, torques, torques, frictions)
def test_more_torque_clamps_harder(designation, one, other, friction) -> None:
    bolt = _bolt(designation)
    low, high = sorted((one, other))
    weak, strong = (clamp_force(t, *bolt, friction, friction) for t in (low, high))
    assert weak <= strong
    assert (weak < strong) is (low < high)


@given(threads, torques, frictions, frictions)
def test_more_friction_clamps_less(designation, torque, one, other) -> None:
    bolt = _bolt(designation)
    low, high = sorted((one, other))
    assert clamp_force(torque, *bolt, high, high) <= clamp_force(torque, *bolt, low, low)
    assert clamp_force(torque, *bolt, low, high) <= clamp_force(torque, *bolt, low, low)
    assert clamp_force(torque, *bolt, high, low) <= clamp_force(torque, *bolt, low, low)


@given(threads, torques, frictions)
def test_torque_and_clamp_force_undo_each_other(designation, torque, friction) -> None:
    bolt = _bolt(designation)
    force = clamp_force(torque, *bolt, friction, friction)
    shares = tightening_torque(force, *bolt, friction, friction)
    assert shares.total == pytest.approx(torque, rel=1e-12)
    assert sum(shares.percents()) == pytest.approx(100.0)


@given(threads, torques, frictions)
def test_full_form_exact_helix_short_form_and_measured_friction_agree(
    designation, torque, friction
) -> None:
    """Bands set beforehand: exact helix within 4 %, ISO 16047 within 1 %, short form exact.

    VDI 2230 rounds its constants up (0.25 %) and flattens the helix; the exact form divides
    by 1 - μ tan λ / cos 30°, which is worth up to 3 % on the steepest, roughest threads.
    """
    bolt = geometry, face = _bolt(designation)
    force = clamp_force(torque, *bolt, friction, friction)
    exact = screw_torque(
        force, geometry.pitch, geometry.pitch_diameter, friction, geometry.half_angle,
        (friction, face),
    )  # fmt: skip
    assert exact.total == pytest.approx(torque, rel=0.04)
    assert total_friction(torque, force, *bolt) == pytest.approx(friction, rel=0.01, abs=1e-3)
    factor = equivalent_nut_factor(*bolt, friction, friction)
    assert short_form_force(torque, geometry.diameter, factor) == pytest.approx(force)
    assert short_form_torque(force, geometry.diameter, factor) == pytest.approx(torque)


@pytest.mark.parametrize("designation", ["M6", "M8", "M10", "M12", "M16", "M20", "M24"])
def test_the_short_form_with_the_book_factor_agrees_with_the_full_form_in_a_stated_band(
    designation,
) -> None:
    """Shigley takes K = 0.20 for friction 0.15 in thread and head, any size; within 5 %."""
    assert equivalent_nut_factor(*_bolt(designation), 0.15, 0.15) == pytest.approx(0.20, rel=0.05)


@given(threads, frictions, st.floats(0.1, 1.0))
def test_using_less_of_the_yield_asks_for_less_torque(designation, friction, use) -> None:
    geometry, face = _bolt(designation)
    full = torque_for_use(1.0, 640e6, geometry, face, _one(friction))
    part = torque_for_use(use, 640e6, geometry, face, _one(friction))
    assert part.force.nominal == pytest.approx(use * full.force.nominal)
    assert part.torque.nominal == pytest.approx(use * full.torque.nominal)


@given(threads, frictions, frictions)
def test_at_higher_friction_a_use_takes_more_torque_and_gives_less_clamp(
    designation, one, other
) -> None:
    geometry, face = _bolt(designation)
    low, high = sorted((one, other))
    found = torque_for_use(
        0.9, 640e6, geometry, face, ThreadAndHead.same(Friction(low, high, "test"))
    )
    assert found.torque.low <= found.torque.nominal <= found.torque.high
    assert found.force.low <= found.force.nominal <= found.force.high
    assert found.safe_torque == found.torque.low
    at_worst = clamp_force(found.safe_torque, geometry, face, high, high)
    assert at_worst <= found.force.high * (1 + 1e-12)


def test_combined_stress_is_the_share_asked_for() -> None:
    """Worked backwards: tension and torsion from the preload give 0.9 × 940 MPa (von Mises)."""
    geometry = thread_geometry("M10")
    force = assembly_preload(0.9, 940e6, geometry, 0.12)
    torque = tightening_torque(force, geometry, 1e-9, 0.12, 0.12)
    tension = force / geometry.stress_area
    stress_diameter = (geometry.pitch_diameter + geometry.root_diameter) / 2
    torsion = (torque.pitch + torque.thread) / (math.pi * stress_diameter**3 / 12)
    assert math.sqrt(tension**2 + 3 * torsion**2) == pytest.approx(0.9 * 940e6, rel=5e-3)


def test_a_waisted_shank_bears_less_and_a_held_one_more() -> None:
    geometry = thread_geometry("M10")
    whole = assembly_preload(0.9, 940e6, geometry, 0.12)
    waist = 0.9 * geometry.root_diameter
    free = assembly_preload(0.9, 940e6, geometry, 0.12, waist=waist)
    held = assembly_preload(0.9, 940e6, geometry, 0.12, waist=waist, held_against_twist=True)
    assert free < held < whole


def test_one_friction_value_and_no_method_makes_no_band() -> None:
    bolt = _bolt("M10x1.25")
    band = clamp_band(50.0, *bolt, _one(0.12))
    assert band.low == band.nominal == band.high
    assert band_words(_one(0.12), None) == NO_BAND


def test_a_range_and_a_method_take_the_wider_band_not_the_product() -> None:
    bolt = _bolt("M10x1.25")
    ranged = ThreadAndHead.same(Friction(0.10, 0.16, "test"))
    wrench = scatter_of("torque wrench")
    alone, method = clamp_band(50.0, *bolt, ranged), clamp_band(50.0, *bolt, _one(0.13), wrench)
    both = clamp_band(50.0, *bolt, ranged, wrench)
    assert both.low == min(alone.low, method.low)
    assert both.high == max(alone.high, method.high)
    words = band_words(ranged, wrench)
    assert "friction 0.1 to 0.16" in words
    assert "torque wrench ± 25 %" in words


def test_two_frictions_are_told_apart_in_words() -> None:
    two = ThreadAndHead(Friction(0.10, 0.12, "a"), Friction(0.14, 0.14, "b"))
    assert str(two) == "friction 0.1 to 0.12 in the thread, 0.14 under the head"
    assert two.is_range


def test_a_wanted_clamp_needs_more_torque_the_rougher_it_is() -> None:
    geometry, face = _bolt("M12")
    ranged = ThreadAndHead.same(Friction(0.08, 0.24, "test"))
    found = torque_for_clamp(20_000.0, geometry, face, ranged)
    assert found.force == Band(20_000.0, 20_000.0, 20_000.0)
    assert found.torque.low < found.torque.nominal < found.torque.high


@settings(deadline=None)  # the first run loads the array library
@given(st.lists(st.tuples(torques, frictions, frictions, threads), min_size=1, max_size=20))
def test_many_bands_at_once_are_the_single_bands(rows) -> None:
    rows = [(t, *sorted((a, b)), d) for t, a, b, d in rows if not d.endswith("BSW")]
    if not rows:
        return
    bolts = [_bolt(d) for *_, d in rows]
    low, nominal, high = clamp_force_bands(
        [t for t, *_ in rows],
        [g.pitch for g, _ in bolts],
        [g.pitch_diameter for g, _ in bolts],
        [face for _, face in bolts],
        [a for _, a, _, _ in rows],
        [b for _, _, b, _ in rows],
    )
    for i, (torque, a, b, _) in enumerate(rows):
        band = clamp_band(torque, *bolts[i], ThreadAndHead.same(Friction(a, b, "test")))
        assert (low[i], nominal[i], high[i]) == pytest.approx((band.low, band.nominal, band.high))


def test_columns_that_cannot_be_are_refused() -> None:
    with pytest.raises(RefusalError, match="upside down"):
        clamp_force_bands([10.0], 0.001, 0.009, 0.013, 0.2, 0.1)
    with pytest.raises(RefusalError, match="not above zero"):
        clamp_force_bands([10.0, -1.0], 0.001, 0.009, 0.013, 0.1, 0.2)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("0.12", 0.12, 0.12), (".12", 0.12, 0.12), ("0.10-0.16", 0.10, 0.16),
        ("0.10:0.16", 0.10, 0.16), ("0.10 to 0.16", 0.10, 0.16), ("0.1..0.2", 0.1, 0.2),
        ("oiled", 0.08, 0.16), ("Clean and Dry", 0.14, 0.24), ("antiseize", 0.04, 0.10),
        ("threadlocked", 0.14, 0.24),
    ],
)  # fmt: skip
def test_friction_is_read_as_value_range_or_surface(text, low, high) -> None:
    friction = read_friction(text)
    assert (friction.low, friction.high) == (low, high)


def test_frictions_that_cannot_be_are_refused() -> None:
    with pytest.raises(RefusalError, match="cannot be"):
        read_friction("0.2-0.1")
    with pytest.raises(RefusalError, match="cannot be"):
        read_friction("0")
    with pytest.raises(QuantityError, match="not a friction"):
        read_friction("0.1x")
    with pytest.raises(RefusalError, match="no published friction range"):
        surface_friction("sealed")
    for surface in SURFACES:
        assert surface_friction(surface).why.startswith(surface)


def test_scatter_by_method_and_tightening_factor_say_the_same() -> None:
    """(1 + G)/(1 - G) and F_max/F_min are one thing in two words."""
    for scatter in METHODS.values():
        low, high = preload_band(1000.0, scatter.high)
        assert lowest_preload(high, scatter.tightening_factor) == pytest.approx(low)
    with pytest.raises(RefusalError, match="no scatter is held"):
        scatter_of("telepathy")
    with pytest.raises(RefusalError, match="cannot be"):
        preload_band(1000.0, 1.0)
    with pytest.raises(RefusalError, match="1 or more"):
        lowest_preload(1000.0, 0.9)


def test_the_plausible_band_runs_from_least_clamp_slippery_to_proof_load_rough() -> None:
    geometry, face = _bolt("M8")
    strength = strength_of("8.8", geometry)
    dry = ThreadAndHead.same(surface_friction("dry"))
    band = plausible_torque(geometry, face, strength, dry, least_clamp=6000.0)
    assert clamp_force(band.low, geometry, face, 0.14, 0.14) == pytest.approx(6000.0)
    assert clamp_force(band.high, geometry, face, 0.24, 0.24) == pytest.approx(
        strength.proof_load(geometry)
    )
    assert band.judge(band.low) is None
    assert band.judge(band.high) is None
    too_much = band.judge(band.high * 1.01)
    assert too_much is not None
    assert "too much for this bolt: plausible from" in too_much
    assert "our own rule" not in too_much


def test_a_torque_before_an_angle_may_be_small_but_not_past_proof() -> None:
    """Common practice, no source: 80 N·m + 90° is a usual crank-bolt form."""
    geometry, face = _bolt("M14x1.5")
    strength = strength_of("10.9", geometry)
    oiled = ThreadAndHead.same(surface_friction("oiled"))
    band = plausible_torque(geometry, face, strength, oiled, angle_follows=True)
    assert band.low == 0.0
    assert band.judge(80.0) is None
    assert band.judge(500.0) is not None
    assert "snug before an angle" in band.words


def test_a_least_clamp_beyond_proof_is_refused() -> None:
    geometry, face = _bolt("M8")
    with pytest.raises(RefusalError, match="proof load"):
        plausible_torque(geometry, face, strength_of("8.8", geometry), _one(0.12), least_clamp=1e6)


def test_cautions_go_where_they_matter() -> None:
    assert torque_cautions(_one(0.14)) == (MAKER_PREVAILS,)
    ranged = ThreadAndHead.same(surface_friction("anti-seize"))
    assert FRICTION_UNKNOWN in torque_cautions(ranged)
    assert LUBRICATED_AT_DRY_TORQUE in torque_cautions(ranged)
    assert any("above the 0.9" in c for c in torque_cautions(_one(0.14), use=0.95))


def test_oil_on_a_thread_torqued_for_dry_clamps_half_as_much_again() -> None:
    """By the middles of VDI classes C and B: 0.19 against 0.12."""
    change = surface_change(*_bolt("M10"), surface_friction("dry"), surface_friction("oiled"))
    assert 1.3 < change.nominal < 1.6
    assert change.low < 1.0 < change.high


@given(st.floats(1e3, 1e5), st.floats(0.0, 360.0), st.floats(5e7, 2e9), st.floats(5e7, 5e9))
def test_angle_is_shared_between_bolt_and_parts(snug, turn, bolt, joint) -> None:
    found = tighten_by_angle(snug, turn, 0.0015, bolt, joint)
    assert found.travel == pytest.approx(turn / 360 * 0.0015)
    moved = found.stretch + found.squeeze - snug / bolt - snug / joint
    assert moved == pytest.approx(found.travel, abs=1e-12)
    assert found.force >= snug
    assert not found.yielded
    gain = found.force - snug
    assert angle_for_force(gain, 0.0015, bolt, joint) == pytest.approx(turn, abs=1e-6)


@given(st.floats(1.0, 400.0))
def test_yield_begins_at_its_angle_and_what_is_beyond_stays_in_the_bolt(turn) -> None:
    found = tighten_by_angle(2e4, turn, 0.0015, 3e8, 1.5e9, yield_force=6e4)
    assert found.angle_to_yield is not None
    assert found.yielded is (turn > found.angle_to_yield + 1e-9)
    assert found.force <= 6e4 * (1 + 1e-12)
    elastic = found.stretch + found.squeeze - 2e4 / 3e8 - 2e4 / 1.5e9
    assert elastic + found.plastic_stretch == pytest.approx(found.travel, abs=1e-12)


def test_angles_that_cannot_be_are_refused() -> None:
    with pytest.raises(RefusalError, match="turns back"):
        tighten_by_angle(1e4, -10.0, 0.0015, 3e8, 1e9)
    with pytest.raises(RefusalError, match="past yield at the snug torque"):
        tighten_by_angle(7e4, 10.0, 0.0015, 3e8, 1e9, yield_force=6e4)


def test_bearing_faces_measured_come_before_tables() -> None:
    geometry = thread_geometry("M10")
    assert medium_hole(geometry) == pytest.approx(0.011)
    table, measured = bearing_of(geometry), bearing_of(geometry, outer=0.020, hole=0.0105)
    assert table.mean_diameter == pytest.approx((0.01463 + 0.011) / 2)
    assert measured.mean_diameter == pytest.approx(0.01525)
    assert "given" in measured.source
    assert bearing_of(geometry, "EN 1665").mean_diameter == pytest.approx((0.0196 + 0.011) / 2)
    assert bearing_of(thread_geometry("#10-32")).mean_diameter == pytest.approx(1.25 * 0.004826)
    assert bearing_of(thread_geometry("3/8-16")).source.startswith("ASME B18.2.1")


def test_the_stress_diameter_makes_the_stress_area() -> None:
    geometry = thread_geometry("M10")
    assert math.pi / 4 * geometry.stress_diameter**2 == pytest.approx(geometry.stress_area)
    assert geometry.root_diameter < geometry.stress_diameter < geometry.pitch_diameter


def test_a_torque_that_cannot_make_a_clamp_force_is_refused() -> None:
    geometry, face = _bolt("M10")
    with pytest.raises(RefusalError, match="cannot make"):
        total_friction(1.0, 50_000.0, geometry, face)


def test_bearing_faces_that_are_not_held_are_refused() -> None:
    with pytest.raises(RefusalError, match="no standard clearance hole"):
        bearing_of(thread_geometry("M9x1"), outer=0.015)
    with pytest.raises(RefusalError, match="does not cover a hole"):
        ring_bearing(0.010, 0.011, "test")
    with pytest.raises(RefusalError, match="no bearing diameter is held"):
        bearing_of(thread_geometry("M8"), "ISO 7380-1")
    with pytest.raises(RefusalError, match="not a head standard"):
        head_for("ISO 1", thread_geometry("M8"))
    with pytest.raises(RefusalError, match="no ISO 4014 head is held"):
        bearing_of(thread_geometry("M9x1"))
    assert usual_head(thread_geometry("G 1/4")) is None


def test_pressure_under_a_head_against_its_limit() -> None:
    """By hand: 30 kN on a ring of 14.63 and 11 mm is 410 MPa."""
    pressure = bearing_pressure(30_000.0, bearing_of(thread_geometry("M10")))
    area = math.pi / 4 * (14.63**2 - 11.0**2)
    assert pressure / 1e6 == pytest.approx(30_000 / area)
    assert pressure < pressure_limit("C45")
    with pytest.raises(RefusalError, match="no permissible pressure"):
        pressure_limit("cheese")
    with pytest.raises(RefusalError, match="ring under the head"):
        bearing_pressure(1.0, bearing_of(thread_geometry("#10-32")))


@pytest.mark.parametrize(
    ("name", "thread", "says"),
    [
        ("13.9", "M8", "choose one of"),
        ("9.8", "M20", "has no 9.8"),
        ("grade 5", "#10-32", "has no grade 5"),
        ("8.8", "M64", "has no 8.8"),
        ("8.8", "3/8-16", "not a strength known"),
    ],
)
def test_strengths_that_are_not_made_are_refused(name, thread, says) -> None:
    with pytest.raises(RefusalError, match=says):
        strength_of(name, thread_geometry(thread))


def test_names_of_classes_as_people_write_them() -> None:
    quarter = thread_geometry("1/4-20")
    for name in ("grade 8", "Grade 8", "SAE grade 8", "8", "SAE 8"):
        assert strength_of(name, quarter).tensile == strength_of("8", quarter).tensile
    for name in ("A2-70", "a4-70", "70"):
        assert strength_of(name, thread_geometry("M8")).yielding == 450e6
    with pytest.raises(RefusalError, match="nut class"):
        nut_proof_load("7", thread_geometry("M8"))
    with pytest.raises(RefusalError, match="has no nut class 4"):
        nut_proof_load("4", thread_geometry("M8"))
    with pytest.raises(RefusalError, match="not a practice"):
        wanted_preload(1.0, "somehow")


def test_size_tables_serve_brackets_and_covers_only() -> None:
    assert all(size_table_allowed(joint) for joint in ALLOWED_JOINTS)
    assert not any(size_table_allowed(joint) for joint in REFUSED_JOINTS)
    assert not size_table_allowed("anything else")
    for figure in (*size_figures("M10", "8.8"), *size_figures("1/4-28"), *waisted_figures("M10")):
        assert figure.caution == "Size table, not the maker's."
    with pytest.raises(RefusalError, match="ask the maker"):
        size_figures("M3", "8.8")
    with pytest.raises(RefusalError, match="ask the maker"):
        waisted_figures("M30")
