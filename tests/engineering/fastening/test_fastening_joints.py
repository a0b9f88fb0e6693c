"""Stiffness, loaded joints, settling, engagement, locking nuts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.engineering.fastening.engagement import (
    engagement_rule,
    needed_engagement,
    stripping,
    tapped_material,
)
from witnessmark.engineering.fastening.joint import LoadedJoint, bolt_share
from witnessmark.engineering.fastening.limits import thread_limits
from witnessmark.engineering.fastening.prevailing import (
    final_torque,
    judge_used_nut,
    least_prevailing,
)
from witnessmark.engineering.fastening.settling import embedding, embedding_loss, relaxation
from witnessmark.engineering.fastening.stiffness import (
    MATERIALS,
    bolt_stiffness,
    effective_grip,
    frustum_stiffness,
    in_series,
    joint_stiffness,
    material_named,
    thread_length,
    tube_stiffness,
    wileman_stiffness,
)
from witnessmark.engineering.fastening.threads import thread_geometry
from witnessmark.engineering.refusal import RefusalError

STEEL = MATERIALS["steel"].modulus


@given(st.floats(0.005, 0.05), st.floats(1.0, 6.0), st.sampled_from(list(MATERIALS.values())))
def test_cones_and_the_exponential_fit_agree_in_a_stated_band(diameter, grips, material) -> None:
    """Shigley: 1.5 d face, hole d, 30°. For grips of 1 to 6 d the two lie within 15 %.

    The band was set at 10 % at first; at five diameters they part by 11 %, so it was widened
    and is printed in the documentation as it is. Example 8-2 (2.7 d) has 2 %.
    """
    grip = grips * diameter
    cones = joint_stiffness([(grip, material.modulus)], 1.5 * diameter, diameter)
    assert cones == pytest.approx(wileman_stiffness(diameter, grip, material), rel=0.15)


@given(st.lists(st.floats(0.002, 0.03), min_size=1, max_size=5), st.integers(0, 4))
def test_cutting_a_layer_in_two_changes_nothing(layers, where) -> None:
    whole = [(t, STEEL) for t in layers]
    place = where % len(layers)
    thickness = layers[place]
    cut = [*whole[:place], (thickness * 0.3, STEEL), (thickness * 0.7, STEEL), *whole[place + 1 :]]
    assert joint_stiffness(cut, 0.018, 0.012) == pytest.approx(joint_stiffness(whole, 0.018, 0.012))


def test_a_joint_reads_the_same_from_either_end() -> None:
    layers = [(0.010, STEEL), (0.025, 71e9), (0.004, 100e9)]
    assert joint_stiffness(layers, 0.018, 0.012) == pytest.approx(
        joint_stiffness(layers[::-1], 0.018, 0.012)
    )


def test_a_frustum_lies_between_its_inner_and_outer_tubes() -> None:
    small, hole, height = 0.018, 0.012, 0.020
    large = small + 2 * height * math.tan(math.radians(30))
    cone = frustum_stiffness(small, height, hole, STEEL)
    assert tube_stiffness(small, hole, height, STEEL) < cone
    assert cone < tube_stiffness(large, hole, height, STEEL)


def test_shank_and_thread_are_springs_in_series() -> None:
    shank, thread = 113e-6 * STEEL / 0.030, 84.3e-6 * STEEL / 0.015
    assert bolt_stiffness(113e-6, 84.3e-6, 0.030, 0.015) == pytest.approx(in_series(shank, thread))


def test_stiffness_refuses_what_cannot_be() -> None:
    with pytest.raises(RefusalError, match="shank area"):
        bolt_stiffness(0.0, 1e-4, 0.01, 0.01)
    with pytest.raises(RefusalError, match="below zero"):
        bolt_stiffness(1e-4, 1e-4, -0.01, 0.02)
    with pytest.raises(RefusalError, match="no larger than the hole"):
        frustum_stiffness(0.01, 0.01, 0.01, STEEL)
    with pytest.raises(RefusalError, match="no wall"):
        tube_stiffness(0.01, 0.01, 0.01, STEEL)
    with pytest.raises(RefusalError, match="no stiffness is held"):
        material_named("cheese")
    assert material_named("Aluminum").modulus == 71e9


def test_usual_thread_lengths_and_grip_in_a_tapped_hole() -> None:
    """Shigley 9th ed., eqs 8-13, 8-14 and Table 8-7."""
    assert thread_length(0.100, 0.012) == pytest.approx(0.030)
    assert thread_length(0.150, 0.012) == pytest.approx(0.036)
    assert thread_length(0.250, 0.012) == pytest.approx(0.049)
    assert thread_length(0.020, 0.012) == 0.020
    assert thread_length(0.0508, 0.0127, inch=True) == pytest.approx(2 * 0.0127 + 0.00635)
    assert thread_length(0.2032, 0.0127, inch=True) == pytest.approx(2 * 0.0127 + 0.0127)
    assert effective_grip(0.020, 0.030, 0.012) == pytest.approx(0.026)
    assert effective_grip(0.020, 0.008, 0.012) == pytest.approx(0.024)


@given(st.floats(1e4, 1e5), st.floats(1e3, 1e5), st.floats(0.05, 0.95))
def test_a_joint_parts_exactly_at_its_separation_factor(preload, load, share) -> None:
    joint = LoadedJoint(preload, load, share, 1e-4, 600e6)
    at_parting = LoadedJoint(preload, load * joint.separation_factor, share, 1e-4, 600e6)
    assert at_parting.remaining_clamp == pytest.approx(0.0, abs=1e-6)
    at_proof = preload + share * load * joint.load_factor
    assert at_proof / 1e-4 == pytest.approx(600e6)
    assert joint.proof_factor == pytest.approx(600e6 / joint.service_stress)
    assert joint.remaining_clamp <= preload


def test_a_joint_with_nonsense_is_refused() -> None:
    with pytest.raises(RefusalError, match="one less the share"):
        LoadedJoint(1e4, 1e3, 1.0, 1e-4, 600e6)
    with pytest.raises(RefusalError, match="the load"):
        LoadedJoint(1e4, 0.0, 0.3, 1e-4, 600e6)
    assert bolt_share(1.0, 3.0) == 0.25


def test_short_stiff_joints_lose_more_by_bedding_in() -> None:
    """By hand: 9 µm over springs of 300 and 1500 kN/mm in series (250) is 2.25 kN."""
    settled = embedding(6e-6, 2, 0) + 1e-6
    assert settled == pytest.approx(9e-6)
    assert embedding_loss(settled, 300e6, 1500e6) == pytest.approx(2250.0)
    assert embedding_loss(settled, 600e6, 3000e6) == pytest.approx(4500.0)
    with pytest.raises(RefusalError, match="160 µm"):
        embedding(200e-6, 1, 1)
    assert relaxation("galvanised") > relaxation("uncoated")
    with pytest.raises(RefusalError, match="no relaxation"):
        relaxation("painted")


BOLTS = st.sampled_from(
    ["M5", "M6", "M8", "M8x1", "M10", "M12", "M12x1.25", "M16", "M24", "3/8-16", "1/2-20"]
)


@given(BOLTS, st.floats(150e6, 1200e6), st.floats(400e6, 1220e6))
def test_at_the_needed_engagement_the_bolt_is_just_the_first_to_give(
    designation, hole, bolt
) -> None:
    geometry = thread_geometry(designation)
    limits = thread_limits(geometry)
    needed = needed_engagement(geometry.stress_area, geometry.pitch, limits, bolt, hole)
    longer = stripping(needed * 1.001, geometry, limits, bolt, hole)
    shorter = stripping(needed * 0.999, geometry, limits, bolt, hole)
    assert longer.gives_way == "bolt breaks"
    assert shorter.gives_way != "bolt breaks"
    assert shorter.holds == min(shorter.bolt_strips, shorter.hole_strips)


@given(BOLTS, st.floats(150e6, 1000e6), st.floats(0.001, 0.05), st.floats(1.01, 3.0))
def test_more_thread_holds_more(designation, hole, length, times) -> None:
    geometry = thread_geometry(designation)
    limits = thread_limits(geometry)
    less = stripping(length, geometry, limits, 800e6, hole)
    more = stripping(length * times, geometry, limits, 800e6, hole)
    assert more.hole_strips > less.hole_strips
    assert more.needed == pytest.approx(less.needed)


@pytest.mark.parametrize(
    ("material", "least", "most"), [("aluminium", 1.5, 3.0), ("steel S235", 0.8, 1.5)]
)
def test_sum_and_rule_agree_in_a_stated_band(material, least, most) -> None:
    """The H28 sum for M6 to M16 8.8 lies within 0.7 to 1.5 of the catalogue rule."""
    _, tapped = tapped_material(material)
    rule = engagement_rule(material, "8.8", "coarse")
    assert rule is not None
    for designation in ("M6", "M8", "M10", "M12", "M16"):
        geometry = thread_geometry(designation)
        needed = needed_engagement(
            geometry.stress_area, geometry.pitch, thread_limits(geometry), 800e6, tapped.tensile
        )
        assert least <= needed / geometry.diameter <= most
        assert 0.7 <= needed / geometry.diameter / rule <= 1.5


def test_rules_and_limits_that_are_not_held() -> None:
    assert engagement_rule("aluminium", "12.9", "coarse") is None
    with pytest.raises(RefusalError, match="no strength is held"):
        tapped_material("cheese")
    with pytest.raises(RefusalError, match="no tolerances are held"):
        thread_limits(thread_geometry("G 1/4"))
    with pytest.raises(RefusalError, match="no 6g/6H tolerances"):
        thread_limits(thread_geometry("M8x0.9"))


def test_small_unified_sizes_have_a_wider_minor_diameter_tolerance() -> None:
    """ASME B1.1, #8-32 UNC 2B, from memory: minor diameter 0.130 to 0.139 in."""
    geometry = thread_geometry("#8-32")
    assert geometry.minor_diameter / 0.0254 == pytest.approx(0.130, abs=5e-4)
    assert thread_limits(geometry).nut_minor_max / 0.0254 == pytest.approx(0.139, abs=5e-4)


def test_class_2a_and_2b_limits_of_a_half_inch_bolt() -> None:
    """ASME B1.1, 1/2-13 UNC 2A/2B, from memory: Es 0.4435, Kn 0.434, En 0.4565, Ds 0.4876."""
    limits = thread_limits(thread_geometry("1/2-13"))
    inches = [
        round(v / 0.0254, 4)
        for v in (
            limits.bolt_pitch_min, limits.nut_pitch_max, limits.bolt_major_min,
        )
    ]  # fmt: skip
    assert inches == pytest.approx([0.4435, 0.4565, 0.4876], abs=1.5e-4)
    assert limits.nut_minor_max / 0.0254 == pytest.approx(0.434, abs=5e-4)


def test_locking_nuts() -> None:
    """FAA AC 43.13-1B, Table 7-2 (read): 7/16-20 at least 8 lbf·in, 1-8 at least 51."""
    assert least_prevailing("7/16-20") / 0.1129848290276167 == pytest.approx(8.0)
    assert least_prevailing("1-8") / 0.1129848290276167 == pytest.approx(51.0)
    with pytest.raises(RefusalError, match="has no row"):
        judge_used_nut("M8", 1.0)
    with pytest.raises(RefusalError, match="upside down"):
        final_torque(8.0, 7.0, 1.0)
    with pytest.raises(RefusalError, match="drag of -1"):
        final_torque(7.0, 8.0, -1.0)
