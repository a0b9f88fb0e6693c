"""Worked examples from books and manuals, one test each.

Tolerance as the source prints: half a unit in the last digit, or the share noted with the
example.
"""

from __future__ import annotations

import math
import re
import statistics
from pathlib import Path

import pytest

from tests.published.fasteners.rows import examples, half_unit
from witnessmark.engineering.fastening.angle import tighten_by_angle
from witnessmark.engineering.fastening.engagement import (
    external_shear_area,
    internal_shear_area,
    needed_engagement,
)
from witnessmark.engineering.fastening.joint import LoadedJoint, bolt_share
from witnessmark.engineering.fastening.limits import ThreadLimits
from witnessmark.engineering.fastening.orders import Spot, tightening_order
from witnessmark.engineering.fastening.passes import tightening_passes
from witnessmark.engineering.fastening.prevailing import final_torque
from witnessmark.engineering.fastening.scatter import (
    lowest_preload,
    preload_band,
    scatter_of,
)
from witnessmark.engineering.fastening.stiffness import (
    GENERAL_FIT,
    MATERIALS,
    bolt_stiffness,
    frustum_stiffness,
    in_series,
    joint_stiffness,
    thread_length,
    tube_stiffness,
    wileman_stiffness,
)
from witnessmark.engineering.fastening.threads import circle_area
from witnessmark.engineering.fastening.tightening import (
    screw_efficiency,
    screw_torque,
    short_form_force,
    short_form_torque,
)
from witnessmark.engineering.fastening.wrench import (
    effective_lever,
    torque_at_bolt,
    wrench_setting,
)
from witnessmark.quantities.tightness import read_tightness

EXAMPLES = examples()


def _example(name: str) -> tuple[dict, dict]:
    return EXAMPLES[name]["inputs"], EXAMPLES[name]["expected"]


def _printed(computed: float, printed: float) -> bool:
    return abs(computed - printed) <= half_unit(printed) * (1 + 1e-9)


def test_shigley_example_8_3_preload_and_service_stress() -> None:
    """Shigley 9th ed., example 8-3, p. 439 (kip, inch; the sums have no units of their own)."""
    given, expected = _example("shigley-8-3a")
    share = bolt_share(given["k_b_Mlbf_per_in"], given["k_m_Mlbf_per_in"])
    assert _printed(share, expected["C"])
    # The book goes on with C as rounded, 0.32.
    joint = LoadedJoint(
        given["F_i_kip"], given["P_kip"], expected["C"], given["A_t_in2"], given["S_p_ksi"]
    )
    assert _printed(joint.preload_stress, expected["sigma_i_ksi"])
    assert _printed(joint.service_stress, expected["sigma_b_ksi"])
    below = (1 - joint.preload_stress / given["S_p_ksi"]) * 100
    assert _printed(below, expected["preload_below_proof_percent"])
    below = (1 - joint.service_stress / given["S_p_ksi"]) * 100
    assert _printed(below, expected["service_below_proof_percent"])


def test_shigley_example_8_3_torque() -> None:
    """Shigley 9th ed., example 8-3; the answer from memory and recomputed."""
    given, expected = _example("shigley-8-3b")
    torque = short_form_torque(given["F_i_lbf"], given["d_in"], given["K"])
    assert _printed(torque, expected["T_lbf_in"])


def test_shigley_table_8_14_scatter_of_ten_bolts_lies_within_the_method_band() -> None:
    """Shigley 9th ed., Table 8-14, p. 439: ten lubricated bolts at 90 N·m."""
    given, expected = _example("shigley-table-8-14")
    mean = statistics.mean(given["preloads_kN"])
    assert _printed(mean, expected["mean_kN"])
    assert _printed(statistics.stdev(given["preloads_kN"]), expected["sample_std_kN"])
    low, high = preload_band(mean, scatter_of("torque wrench").high)
    assert low < min(given["preloads_kN"])
    assert max(given["preloads_kN"]) < high


def test_shigley_problem_8_29() -> None:
    """Shigley 8th ed. solutions, 8-29: M20 8.8 at 0.9 of proof, lubricated."""
    given, expected = _example("shigley-p8-29")
    force = given["fraction"] * given["A_t_mm2"] * given["S_p_MPa"]
    assert _printed(force / 1e3, expected["F_i_kN"])
    torque = short_form_torque(force, given["d_mm"] / 1e3, given["K"])
    assert _printed(torque, expected["T_Nm"])


def test_shigley_problem_8_20() -> None:
    """Shigley 8th ed. solutions, 8-20: steel and cast iron, exponential fit."""
    given, expected = _example("shigley-p8-20")
    d, grip = given["d_mm"] / 1e3, given["l_mm"] / 1e3
    steel = wileman_stiffness(d, grip, MATERIALS["steel"])
    iron = wileman_stiffness(d, grip, MATERIALS["grey cast iron"])
    assert steel / 1e6 == pytest.approx(expected["k_m_steel_full_MN_per_m"], rel=1e-3)
    assert iron / 1e6 == pytest.approx(expected["k_m_ci_full_MN_per_m"], rel=1e-3)
    assert 2 * steel / 1e6 == pytest.approx(expected["k_steel_half_MN_per_m"], rel=1e-3)
    assert 2 * iron / 1e6 == pytest.approx(expected["k_ci_half_MN_per_m"], rel=1e-3)
    both = in_series(2 * steel, 2 * iron)
    assert both / 1e6 == pytest.approx(expected["k_m_MN_per_m"], rel=1e-3)
    share = bolt_share(given["k_b_MN_per_m"] * 1e6, both)
    assert share == pytest.approx(expected["C"], rel=1e-3)
    proof = given["S_p_MPa"] * 1e6
    area = given["A_t_mm2"] * 1e-6
    preload = given["preload_fraction"] * area * proof
    assert _printed(preload / 1e3, expected["F_i_kN"])
    joint = LoadedJoint(preload, given["P_kN"] * 1e3, share, area, proof)
    assert _printed(joint.load_factor, expected["n_load"])


def test_shigley_problem_8_22_bolt_length_and_thread() -> None:
    """Shigley 8th ed. solutions, 8-22: thread length 2 d + 6, shank and thread in the grip."""
    given, expected = _example("shigley-p8-22")
    length, d = given["L_chosen_mm"] / 1e3, given["d_mm"] / 1e3
    threaded = thread_length(length, d)
    assert _printed(threaded * 1e3, expected["thread_length_L_T_mm"])
    assert _printed((length - threaded) * 1e3, expected["l_d_mm"])
    assert _printed(given["l_mm"] - (length - threaded) * 1e3, expected["l_t_mm"])
    assert _printed(circle_area(d) * 1e6, expected["A_d_mm2"])
    assert given["l_mm"] + given["H_nut_mm"] == pytest.approx(expected["l_plus_H_mm"])
    # Load: 6 MPa on a 150 mm cover, ten bolts.
    assert _printed(circle_area(0.150) * 6e6 / 10 / 1e3, expected["P_kN_per_bolt"])


def test_shigley_problem_8_24_four_frusta() -> None:
    """Shigley 8th ed. solutions, 8-24: washer, steel and cast iron, 1/2-13 UNC.

    Lengths in inches, moduli in Mpsi: the sums have no units of their own.
    """
    given, expected = _example("shigley-p8-24")
    cones = [
        frustum_stiffness(diameter, thickness, given["d_in"], modulus)
        for diameter, thickness, modulus in given["frusta_D_t_E"]
    ]
    for cone, name in zip(cones, ("k1", "k2", "k3", "k4"), strict=True):
        assert cone == pytest.approx(expected[name], rel=1e-3)
    joint = in_series(*cones)
    assert joint == pytest.approx(expected["k_m_Mlbf_per_in"], rel=1e-3)
    bolt = bolt_stiffness(
        given["A_d_in2"], given["A_t_in2"], given["l_d_in"], given["l_t_in"], given["E_Mpsi"]
    )
    assert bolt == pytest.approx(expected["k_b_Mlbf_per_in"], rel=1e-3)
    assert in_series(expected["k_t"], expected["k_d"]) == pytest.approx(bolt, rel=1e-3)
    assert bolt_share(bolt, joint) == pytest.approx(expected["C"], rel=2e-3)


def test_shigley_problem_8_27_threaded_all_the_way() -> None:
    """Shigley 8th ed. solutions, 8-27: 3/8-16 cap screw."""
    given, expected = _example("shigley-p8-27")
    stiffness = bolt_stiffness(1.0, given["A_t_in2"], 0.0, given["l_in"], given["E_Mpsi"])
    assert _printed(stiffness, expected["k_b_Mlbf_per_in"])
    length = thread_length(0.0254 * 2, given["d_in"] * 0.0254, inch=True)
    assert length / 0.0254 == pytest.approx(expected["L_T_in"])


def test_shigley_problem_8_37_load_and_separation() -> None:
    """Shigley 8th ed. solutions, 8-37: M30 8.8."""
    given, expected = _example("shigley-p8-37")
    area, proof = given["A_t_mm2"] * 1e-6, given["S_p_MPa"] * 1e6
    joint = LoadedJoint(
        given["preload_fraction"] * area * proof, given["P_kN"] * 1e3, given["C"], area, proof
    )
    assert _printed(joint.preload / 1e3, expected["F_i_kN"])
    assert joint.preload_stress / 1e6 == pytest.approx(expected["sigma_i_MPa"])
    assert _printed(joint.load_factor, expected["n_load"])
    assert _printed(joint.separation_factor, expected["n_separation"])


def test_shigley_problem_8_4_square_thread() -> None:
    """Shigley 8th ed. solutions, 8-4: thread and collar torque apart, lowering, efficiency."""
    given, expected = _example("shigley-p8-4-8ed")
    force, lead = given["F_kN"] * 1e3, given["lead_mm"] / 1e3
    collar = (given["f_c"], given["d_c_mm"] / 1e3)
    found = screw_torque(force, lead, given["d_m_mm"] / 1e3, given["f"], 0.0, collar)
    assert _printed(found.thread, expected["T_thread_Nm"])
    assert _printed(found.collar, expected["T_collar_Nm"])
    assert _printed(found.total, expected["T_raise_Nm"])
    # The book adds the collar to the lowering torque.
    assert found.lowering + found.collar == pytest.approx(expected["T_lower_Nm"], abs=5e-3)
    assert _printed(screw_efficiency(force, lead, found.total), expected["efficiency"])


def test_shigley_problem_8_6_acme_screw() -> None:
    """Solutions to Shigley 8th ed., 8-6: 3 in Acme screw with collar."""
    given, expected = _example("shigley-p8-6")
    collar = (given["f_c"], given["d_c_in"])
    found = screw_torque(
        given["F_lbf"], given["lead_in"], given["d_m_in"], given["f"], given["half_angle_deg"],
        collar,
    )  # fmt: skip
    assert _printed(found.thread, expected["T_thread_lbf_in"])
    assert _printed(found.collar, expected["T_collar_lbf_in"])
    assert _printed(found.total, expected["T_total_lbf_in"])


def test_shigley_example_8_2_cone_diameters() -> None:
    """Shigley 9th ed., example 8-2, pp. 430-431: cones meet at half grip.

    The book opens the cones by 2 tan 30° = 1.155 per unit of height.
    """
    given, expected = _example("shigley-8-2-geometry")
    grip = given["washer_in"] + given["t1_in"] + given["t2_in"]
    assert grip / 2 == pytest.approx(expected["half_grip_in"])
    spread = 2 * math.tan(math.radians(given["half_angle_deg"]))
    steel = given["washer_in"] + given["t1_in"]
    assert _printed(given["d_w_in"] + spread * steel, expected["D_at_interface_in"])
    assert _printed(given["d_w_in"] + spread * grip / 2, expected["D_mid_in"])
    assert grip / 2 - steel == pytest.approx(expected["cast_iron_slice_in"])


def test_shigley_example_8_2_stiffness_of_layers() -> None:
    """Shigley 9th ed., example 8-2: answers from memory and recomputed; 0.1 %.

    Washer and steel plate are one steel layer; the cone through them and into the iron must
    come out as the book's three frusta.
    """
    given, expected = _example("shigley-8-2-frusta")
    d = given["d_in"]
    cones = [frustum_stiffness(D, t, d, E) for D, t, E in given["frusta_D_t_E"]]
    names = ("k1_Mlbf_per_in", "k2_Mlbf_per_in", "k3_Mlbf_per_in")
    for cone, name in zip(cones, names, strict=True):
        assert cone == pytest.approx(expected[name], rel=1e-3)
    mixed = joint_stiffness([(0.595, 30.0), (0.75, 14.5)], 0.75, d)
    assert mixed == pytest.approx(expected["k_m_mixed_Mlbf_per_in"], rel=1e-3)
    steel = joint_stiffness([(0.595, 30.0), (0.75, 30.0)], 0.75, d)
    assert steel == pytest.approx(expected["k_m_all_steel_frusta"], rel=1e-3)
    fit = 30.0 * d * 0.78715 * math.exp(0.62873 * d / 1.345)
    assert fit == pytest.approx(expected["k_m_all_steel_wileman"], rel=1e-3)
    in_si = wileman_stiffness(d * 0.0254, 1.345 * 0.0254, MATERIALS["steel"]) / 207e9
    assert in_si == pytest.approx(fit / 30.0 * 0.0254, rel=1e-9)


def test_wileman_constants() -> None:
    """Shigley 9th ed., Table 8-8, p. 430 (Wileman, Choudury and Green 1991)."""
    given, _ = _example("wileman-parameters")
    for name, row in given.items():
        if name == "general":
            assert tuple(row) == GENERAL_FIT
            continue
        material = MATERIALS[name.replace("_", " ")]
        assert [material.poisson, material.modulus / 1e9, material.fit_a, material.fit_b] == row


def test_bhandari_example_7_16_core_area() -> None:
    """Bhandari, example 7.16, p. 256: aluminium tube of three times the bolt area.

    Needed core area (P_i + C P)/(S_yt/fs) with C = E_b A/(E_b A + E_p 3 A).
    """
    given, expected = _example("bhandari-7-16")
    bolt = given["E_bolt_MPa"] / given["l_mm"]
    tube = given["area_ratio_plate_to_bolt"] * given["E_plate_MPa"] / given["l_mm"]
    pull = given["P_i_kN"] + bolt_share(bolt, tube) * given["P_kN"]
    area = pull * 1e3 / (given["S_yt_MPa"] / given["fs"])
    assert area == pytest.approx(expected["core_area_mm2"], rel=1e-5)


@pytest.mark.parametrize("factor", ["0.30", "0.25", "0.20", "0.10"])
def test_fastening_book_torque_at_several_nut_factors(factor) -> None:
    """Mechanical Fastening, Joining, and Assembly, ch. 3, p. 85: 0.190 in screw, 1275 lbf."""
    given, expected = _example(f"fastening-book-K{factor}")
    torque = short_form_torque(given["F_lbf"], given["d_in"], given["K"])
    assert _printed(torque, expected["T_lbf_in"])


def test_aircraft_bolt_with_two_lubricants() -> None:
    """Aircraft bolt torque and lubricant note: 3/8-24 at 5788 lbf."""
    given, expected = _example("aircraft-3-8-24")
    for lubricant in ("moly", "cadmium"):
        torque = short_form_torque(given["F_lbf"], given["d_in"], given[f"K_{lubricant}"]) / 12
        assert _printed(torque, expected[f"T_{lubricant}_lbf_ft"])


def test_predicted_clamp_of_a_seven_eighths_bolt() -> None:
    """Lock-nut maker's demonstration, 7/8-9 grade 5 at 400 lbf·ft: within 1 lbf.

    Its table loads are within 0.7 % of 85 000 psi × 0.462 in²: 39 000 printed for 39 270, and
    29 400 for 29 450.
    """
    given, expected = _example("grade5-7-8-predicted")
    for factor, name in ((0.20, "F_K020_lbf"), (0.15, "F_K015_lbf")):
        force = short_form_force(given["T_lbf_ft"] * 12, given["d_in"], factor)
        assert abs(force - expected[name]) <= 1.0
    assert pytest.approx(expected["clamp_75pct_lbf"], rel=5e-3) == 0.75 * 85_000 * 0.462
    assert pytest.approx(expected["proof_lbf"], rel=7e-3) == 85_000 * 0.462


def test_lowest_preload_by_the_tightening_factor() -> None:
    """Worked procedure with VDI 2230 values: M12 × 40 8.8."""
    given, expected = _example("vdi-m12-procedure")
    assert _printed(lowest_preload(given["FM_max_kN"], given["alpha_A"]), expected["FM_min_kN"])


def test_nasa_band_ratio() -> None:
    """Journal article citing NASA-STD-5020 practice: ratio of most to least clamp."""
    given, expected = _example("nasa-band")
    for state in ("unlubricated", "lubricated"):
        low, high = preload_band(1.0, given[f"gamma_{state}"])
        assert high / low == pytest.approx(expected[f"ratio_max_to_min_{state}"], rel=1e-3)


def test_army_straight_extension() -> None:
    """US Army TM 9-254, figs 4-5 and 4-6: what reaches the bolt."""
    given, expected = _example("army-tm9-254")
    assert torque_at_bolt(given["setting"], given["L_in"], given["E_in"], 0.0) == pytest.approx(
        expected["applied"]
    )


def test_navy_straight_extension() -> None:
    """US Navy NAVEDTRA 14315, figs 3-43 to 3-45: what to set (answer derived)."""
    given, expected = _example("navy-14315")
    setting = wrench_setting(given["T"], given["L_in"], given["E_in"], 0.0)
    assert abs(setting - expected["setting"]) <= 0.1


def test_helicopter_adapter() -> None:
    """Helicopter maintenance manual, chapter 20, p. 20.4."""
    given, expected = _example("heli-longer")
    setting = wrench_setting(given["T_inlb"], given["L_in"], given["E_in"], 0.0)
    assert _printed(setting, expected["setting_inlb"])
    assert round(setting) == expected["rounded"]


def test_aeroplane_adapter() -> None:
    """Aeroplane maintenance manual, paras 2-89/2-90: 3 in on a one-foot lever."""
    given, expected = _example("aeroplane-adapter")
    setting = wrench_setting(given["T_lbf_ft"], given["L_ft"], given["E_ft"], 0.0)
    assert setting == pytest.approx(expected["setting_lbf_ft"])


def test_adapter_across_leaves_the_setting_alone() -> None:
    """Hand torque-wrench owner manual, p. 7."""
    given, expected = _example("adapter-right-angle")
    setting = wrench_setting(1.0, 0.4, 0.07, given["angle_deg"])
    assert setting == expected["ratio_setting_to_torque"]


def test_angled_adapter() -> None:
    """US Army TM 9-254 formula; numbers derived."""
    given, expected = _example("adapter-angled")
    where = (given["L_in"], given["E_in"], given["angle_deg"])
    assert effective_lever(*where) == pytest.approx(expected["effective_lever_in"])
    assert torque_at_bolt(given["setting"], *where) == pytest.approx(expected["applied"])


def test_cylinder_head_torque_and_four_angles() -> None:
    """US Army TM 10-3930-669-20, app. E: 40 N·m, then 45 + 45 + 45 + 30 degrees, all in turn."""
    given, expected = _example("tm-head-angle")
    stages = " + ".join(f"{angle}°" for angle in given["stages_deg"])
    tightness = read_tightness(f"{given['pretorque_Nm']} N·m + {stages}")
    assert tightness.angle_degrees == expected["total_deg"]
    assert tightness.torque is not None
    assert _printed(float(tightness.torque.in_unit("lbf·ft")), expected["pretorque_lbf_ft"])
    spots = tuple(Spot(f"{n}", 100.0 * (n % 7), 90.0 * (n // 7)) for n in range(14))
    order = tightening_order(spots)
    passes = tightening_passes(order, tightness)
    assert [p.angle for p in passes] == [None, *map(float, given["stages_deg"])]
    assert all(p.names == order.names for p in passes)


def test_elastic_angle_relation() -> None:
    """Relation angle/360 P = F (1/k_b + 1/k_m): numbers recomputed from a book set-up; 0.2 %."""
    given, expected = _example("angle-relation")
    d, grip = given["d_in"], given["grip_in"]
    pitch = 1 / given["tpi"]
    bolt = bolt_stiffness(circle_area(d), circle_area(d), grip, 0.0, given["E_Mpsi"])
    tube = tube_stiffness(given["tube_od_in"], d, grip, given["E_Mpsi"])
    assert bolt == pytest.approx(expected["k_b_unthreaded_Mlbf_per_in"], rel=2e-3)
    assert tube == pytest.approx(expected["k_tube_Mlbf_per_in"], rel=2e-3)
    found = tighten_by_angle(1e-9, given["angle_deg"], pitch, bolt * 1e6, tube * 1e6)
    assert found.travel == pytest.approx(expected["travel_in"], rel=1e-4)
    assert found.force == pytest.approx(expected["F_lbf"], rel=2e-3)


def test_softer_parts_give_less_clamp_for_the_same_angle() -> None:
    """Bolt maker note: angle alone does not give stretch; aluminium differs from iron."""
    _example("angle-caution")
    iron, aluminium = (
        joint_stiffness([(0.05, MATERIALS[m].modulus)], 0.018, 0.0135)
        for m in ("grey cast iron", "aluminium")
    )
    forces = [tighten_by_angle(1e4, 90.0, 0.00175, 3e8, k).force for k in (iron, aluminium)]
    assert forces[0] > forces[1]


def test_length_of_engagement_formulas() -> None:
    """Machinery's Handbook 24th ed., FED-STD-H28/2B; 5/8-11 UNC; answers derived, 0.1 %."""
    given, expected = _example("h28-engagement")
    limits = ThreadLimits(
        given["Ds_min_in"], given["Es_min_in"], 0.0, given["Kn_max_in"], given["En_max_in"], "given"
    )
    pitch = 1 / given["tpi"]
    length = needed_engagement(given["A_t_in2"], pitch, limits, 1.0, 1.0)
    assert length == pytest.approx(expected["Le_in"], rel=1e-3)
    assert external_shear_area(1.0, pitch, limits) == pytest.approx(
        expected["As_ext_per_in"], rel=1e-3
    )
    assert internal_shear_area(1.0, pitch, limits) == pytest.approx(
        expected["An_int_per_in"], rel=1e-3
    )


def test_drag_of_a_locking_nut_is_added() -> None:
    """FAA AC 43.13-1B, para. 7-40: final torque is wanted torque plus drag, both ends."""
    _example("friction-drag")
    final = final_torque(5.6, 7.9, 1.1)
    assert (final.least, final.most) == pytest.approx((6.7, 9.0))


ELSEWHERE = {"vdi-conversion-factor", "navy-grade8-1-4-20"}


def test_every_example_has_its_test() -> None:
    """Every example is entered in a test above, or in the torque and strength tables."""
    named = set(re.findall(r'_example\(f?"([\w.{}-]+)"\)', Path(__file__).read_text("utf-8")))
    named |= {f"fastening-book-K{k}" for k in ("0.30", "0.25", "0.20", "0.10")}
    named.discard("fastening-book-K{factor}")
    assert named | ELSEWHERE == set(EXAMPLES)
