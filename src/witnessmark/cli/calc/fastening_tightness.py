"""`witnessmark calc torque|preload|angle`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from witnessmark.cli.calc.answers import Answer, Refused, never, refusals, rounded, shown
from witnessmark.cli.calc.fastening_options import (
    ANGLE,
    FORCE,
    LENGTH,
    TORQUE,
    Bolted,
    add_proof,
    add_shares,
    band_data,
    band_text,
    bolted,
    class_option,
    heading,
    joint_options,
    json_option,
    method_option,
    strength_from,
    svg_option,
    thread_option,
    torque_text,
)
from witnessmark.cli.calc.fastening_pictures import draw_angle, draw_surfaces
from witnessmark.engineering.fastening import cautions
from witnessmark.engineering.fastening.angle import AngleResult, tighten_by_angle
from witnessmark.engineering.fastening.plausibility import plausible_torque
from witnessmark.engineering.fastening.preload import (
    Band,
    clamp_band,
    torque_for_clamp,
    torque_for_use,
)
from witnessmark.engineering.fastening.scatter import Scatter, preload_band
from witnessmark.engineering.fastening.stiffness import (
    bolt_stiffness,
    joint_stiffness,
    material_named,
    thread_length,
    wileman_stiffness,
)
from witnessmark.engineering.fastening.strength import Strength
from witnessmark.engineering.fastening.threads import (
    ThreadGeometry,
    circle_area,
    thread_geometry,
)
from witnessmark.engineering.fastening.tightening import (
    assembly_preload,
    clamp_force,
    short_form_force,
    tightening_torque,
)
from witnessmark.quantities.reading import Quantity
from witnessmark.quantities.threads import Thread

_FULL_FORM = "full form: VDI 2230"
_SHORT_FORM = "short form T = K F d: Shigley 9th ed., eq. 8-27"


@click.command()
@thread_option
@class_option
@click.option("--use", type=float, default=0.9, show_default=True, help="Share of Rp0.2 used.")
@click.option("--clamp", type=FORCE, help="A wanted clamp force instead of a share.")
@joint_options
@method_option
@svg_option
@json_option
def torque(
    thread: Thread,
    strength_class: str | None,
    use: float,
    clamp: Quantity | None,
    svg: Path | None,
    as_json: bool,
    **joint: Any,  # noqa: ANN401 (the joint options, typed in `bolted`)
) -> None:
    """Torque for a thread, class and friction; never a specification."""
    if clamp is None and strength_class is None:
        never("give --class, or the wanted --clamp")
    with refusals():
        bolt = bolted(thread, **joint)
        strength = strength_from(strength_class, bolt.geometry)
        where = (bolt.geometry, bolt.bearing_diameter, bolt.friction, bolt.scatter)
        if clamp is not None:
            _refuse_overload(clamp, strength, bolt.geometry)
            found = torque_for_clamp(float(clamp), *where)
        else:
            assert strength is not None
            found = torque_for_use(use, _yield_point(strength), *where)
        middle = bolt.friction.corners()[1]
        shares = tightening_torque(
            found.force.nominal, bolt.geometry, bolt.bearing_diameter, *middle
        )
    answer = Answer(heading("Torque", thread, strength))
    answer.data = {
        "thread": thread.designation,
        "use": use if clamp is None else None,
        "torque_Nm": band_data(found.torque),
        "clamp_force_N": band_data(found.force),
        "safe_torque_Nm": rounded(found.safe_torque),
    }
    answer.line("torque", torque_text(found.torque))
    answer.line("clamp force", band_text(found.force, "kN", 1e-3))
    if bolt.friction.is_range:
        safe = shown(found.safe_torque, "N·m", 3)
        answer.line("safe at any friction here", f"{safe}, the torque for the lowest")
    bolt.tell(answer, _FULL_FORM)
    add_shares(answer, shares.percents())
    if strength is not None:
        add_proof(answer, strength, bolt.geometry, found.force)
    used = use if clamp is None else None
    answer.cautions = list(cautions.torque_cautions(bolt.friction, use=used))
    if svg is not None:
        proof = None if strength is None else strength.proof_load(bolt.geometry)
        wanted = found.torque.nominal
        draw_surfaces(answer, svg, bolt, found.force.high, proof_load=proof, torque=wanted)
    answer.give(as_json)


def _refuse_overload(clamp: Quantity, strength: Strength | None, geometry: ThreadGeometry) -> None:
    """Refuse a torque for more than the bolt can hold."""
    if strength is None or float(clamp) <= strength.proof_load(geometry):
        return
    most = shown(strength.proof_load(geometry) / 1000, "kN", 3)
    raise Refused(
        f"{clamp} is above the proof load of {most} of this bolt: choose another size or class"
    )


def _yield_point(strength: Strength) -> float:
    if strength.yielding is None:
        raise Refused(f"{strength.source} gives no yield point for {strength.name}: give --clamp")
    return strength.yielding


@click.command()
@thread_option
@click.option("--torque", "turning", type=TORQUE, required=True, help="'50 N·m'")
@class_option
@click.option("--drag", type=TORQUE, help="Torque a self-locking nut takes of its own.")
@click.option("--nut-factor", type=float, help="Short form T = K F d instead of friction.")
@joint_options
@method_option
@svg_option
@json_option
def preload(
    thread: Thread,
    turning: Quantity,
    strength_class: str | None,
    drag: Quantity | None,
    nut_factor: float | None,
    svg: Path | None,
    as_json: bool,
    **joint: Any,  # noqa: ANN401 (the joint options, typed in `bolted`)
) -> None:
    """Clamp force from a torque, with its band."""
    if (joint["friction"] is None) is (nut_factor is None):
        never("give one of --friction (full form) and --nut-factor (short form)")
    if svg is not None and joint["friction"] is None:
        never("--svg draws the full form: give --friction")
    useful = float(turning) - (0.0 if drag is None else float(drag))
    if float(turning) <= 0.0:
        raise Refused(f"a torque of {turning} tightens nothing: it must be above zero")
    if drag is not None and float(drag) < 0.0:
        raise Refused(f"a drag of {drag} cannot be: it must be zero or more")
    if useful <= 0.0:
        raise Refused(f"a drag of {drag} leaves nothing of {turning}: check both")
    answer = Answer("")
    with refusals():
        geometry = thread_geometry(thread)
        strength = strength_from(strength_class, geometry)
        if nut_factor is None:
            force = _full_form(answer, bolted(thread, **joint), useful, strength)
        else:
            force = _short_form(answer, geometry, useful, nut_factor, joint["method"])
    answer.title = heading(f"Clamp force at {turning}", thread, strength)
    answer.data |= {
        "thread": thread.designation,
        "torque_Nm": rounded(float(turning)),
        "drag_Nm": None if drag is None else rounded(float(drag)),
        "clamp_force_N": band_data(force),
    }
    answer.lines.insert(0, ("clamp force", band_text(force, "kN", 1e-3)))
    if strength is not None:
        add_proof(answer, strength, geometry, force)
    answer.cautions.append(cautions.MAKER_PREVAILS)
    if svg is not None:
        proof = None if strength is None else strength.proof_load(geometry)
        bolt = bolted(thread, **joint)
        draw_surfaces(answer, svg, bolt, force.high, proof_load=proof, torque=useful)
    answer.give(as_json)


def _full_form(answer: Answer, bolt: Bolted, useful: float, strength: Strength | None) -> Band:
    force = clamp_band(useful, bolt.geometry, bolt.bearing_diameter, bolt.friction, bolt.scatter)
    middle = bolt.friction.corners()[1]
    bolt.tell(answer, _FULL_FORM)
    if bolt.friction.thread.low < cautions.SLIPPERY_BELOW:
        answer.cautions.append(cautions.LUBRICATED_AT_DRY_TORQUE)
    add_shares(
        answer,
        tightening_torque(force.nominal, bolt.geometry, bolt.bearing_diameter, *middle).percents(),
    )
    if strength is not None:
        band = plausible_torque(bolt.geometry, bolt.bearing_diameter, strength, bolt.friction)
        doubt = band.judge(useful)
        answer.data["plausible"] = {
            "low_Nm": rounded(band.low), "high_Nm": rounded(band.high), "words": doubt,
        }  # fmt: skip
        answer.line("does it suit", "yes" if doubt is None else "no")
        answer.line("", doubt or band.words)
    return force


def _short_form(
    answer: Answer,
    geometry: ThreadGeometry,
    useful: float,
    nut_factor: float,
    scatter: Scatter | None,
) -> Band:
    force = short_form_force(useful, geometry.diameter, nut_factor)
    low, high = (force, force) if scatter is None else preload_band(force, scatter.high)
    answer.data["nut_factor"] = nut_factor
    answer.data["band"] = "nothing: one nut factor" if scatter is None else f"method {scatter}"
    answer.line("band made by", answer.data["band"])
    answer.sources += [_SHORT_FORM, geometry.source]
    return Band(low, force, high)


@click.command()
@thread_option
@class_option
@click.option("--torque", "snug", type=TORQUE, required=True, help="The snug torque: '80 N·m'")
@click.option("--angle", "turn", type=ANGLE, required=True, help="All angle stages: '90°'")
@click.option("--grip", type=LENGTH, required=True, help="Thickness clamped: '60 mm'")
@click.option("--joint", default="steel", show_default=True, help="Clamped material.")
@click.option("--shank", type=LENGTH, help="Plain shank inside the grip; from the length if not.")
@joint_options
@svg_option
@json_option
def angle(
    thread: Thread,
    strength_class: str | None,
    snug: Quantity,
    turn: Quantity,
    grip: Quantity,
    joint: str,
    shank: Quantity | None,
    svg: Path | None,
    as_json: bool,
    **face: Any,  # noqa: ANN401 (the joint options, typed in `bolted`)
) -> None:
    """Say what a torque and an angle do to a bolt, and whether it yields."""
    answer = Answer("")
    with refusals():
        bolt = bolted(thread, **face)
        strength = strength_from(strength_class, bolt.geometry)
        springs = _springs(answer, bolt, float(grip), joint, shank)
        corners = bolt.friction.corners()
        yields = [
            None
            if strength is None
            else assembly_preload(1.0, _yield_point(strength), bolt.geometry, in_thread)
            for in_thread, _ in corners
        ]
        results = [
            tighten_by_angle(
                clamp_force(
                    float(snug), bolt.geometry, bolt.bearing_diameter, in_thread, under_head
                ),
                float(turn),
                bolt.geometry.pitch,
                *springs,
                at_yield,
            )
            for (in_thread, under_head), at_yield in zip(corners, yields, strict=True)
        ]
    answer.title = heading(f"{snug} + {turn}", thread, strength)
    _tell_angle(answer, results, strength is not None)
    bolt.tell(answer, _FULL_FORM)
    if strength is not None:
        force = Band(results[2].force, results[1].force, results[0].force)
        add_proof(answer, strength, bolt.geometry, force)
    answer.data["thread"] = thread.designation
    answer.cautions = [cautions.ANGLE_NEEDS_TRIAL, cautions.MAKER_PREVAILS]
    if any(r.yielded for r in results):
        answer.cautions.insert(0, cautions.REUSED_STRETCH_BOLT)
    if svg is not None:
        with refusals():
            draw_angle(answer, svg, results, springs, bolt, float(turn), yields)
    answer.give(as_json)


def _springs(
    answer: Answer, bolt: Bolted, grip: float, joint: str, shank: Quantity | None
) -> tuple[float, float]:
    """Stiffness of bolt and joint; the joint by cones, with the exponential fit beside it."""
    geometry = bolt.geometry
    material = material_named(joint)
    plain = _plain_shank(geometry, grip, shank)
    of_bolt = bolt_stiffness(
        circle_area(geometry.diameter), geometry.stress_area, plain, grip - plain
    )
    outer = bolt.face.outer or 1.5 * geometry.diameter
    hole = bolt.face.hole or geometry.diameter
    of_joint = joint_stiffness([(grip, material.modulus)], outer, hole)
    fitted = wileman_stiffness(geometry.diameter, grip, material)
    answer.data |= {
        "bolt_stiffness_N_per_m": rounded(of_bolt),
        "joint_stiffness_N_per_m": rounded(of_joint),
        "joint_stiffness_fit_N_per_m": rounded(fitted),
        "shank_mm": rounded(plain * 1000),
    }
    answer.line(
        "stiffness",
        f"bolt {shown(of_bolt / 1e6, 'kN/mm', 3)} ({shown(plain * 1000, 'mm', 3)} plain shank), "
        f"{material.name} joint {shown(of_joint / 1e6, 'kN/mm', 3)} "
        f"(by the fit {shown(fitted / 1e6, '', 3)})",
    )
    answer.sources.append("stiffness: Shigley 9th ed., eqs 8-17, 8-20; fit: Wileman 1991")
    return of_bolt, of_joint


def _plain_shank(geometry: ThreadGeometry, grip: float, given: Quantity | None) -> float:
    if given is not None:
        if not 0.0 <= float(given) <= grip:
            raise Refused(f"a shank of {given} does not lie inside the grip: check both")
        return float(given)
    if geometry.thread.length is None:
        return 0.0
    length = float(geometry.thread.length)
    if length <= grip:
        raise Refused(
            f"a bolt of {shown(length * 1000, 'mm')} does not reach through a grip of "
            f"{shown(grip * 1000, 'mm')}: check both"
        )
    inch = geometry.thread.family != "metric"
    return min(grip, length - thread_length(length, geometry.diameter, inch=inch))


def _tell_angle(answer: Answer, results: list[AngleResult], has_class: bool) -> None:
    slippery, middle, rough = results
    force = Band(rough.force, middle.force, slippery.force)
    snug = Band(rough.snug_force, middle.snug_force, slippery.snug_force)
    answer.data |= {
        "snug_force_N": band_data(snug),
        "clamp_force_N": band_data(force),
        "travel_mm": rounded(middle.travel * 1000),
        "stretch_mm": rounded(middle.stretch * 1000),
        "squeeze_mm": rounded(middle.squeeze * 1000),
        "plastic_stretch_mm": rounded(middle.plastic_stretch * 1000),
    }
    found = [
        ("snug", band_text(snug, "kN", 1e-3)),
        ("clamp force", band_text(force, "kN", 1e-3)),
        ("thread travels", shown(middle.travel * 1000, "mm", 3)),
        ("springs", _spring_words(middle)),
    ]
    if has_class:
        found.append(("yields", _yield_words(answer, results)))
    answer.lines = found + answer.lines


def _spring_words(result: AngleResult) -> str:
    longer = shown(result.stretch * 1000, "mm", 3)
    return f"bolt {longer} longer, parts {shown(result.squeeze * 1000, 'mm', 3)} thinner"


def _yield_words(answer: Answer, results: list[AngleResult]) -> str:
    yielded = [r.yielded for r in results]
    starts = [r.angle_to_yield or 0.0 for r in results]
    answer.data["yields"] = (
        "yes" if all(yielded) else "depends on friction" if any(yielded) else "no"
    )
    answer.data["angle_to_yield_deg"] = {
        "low": rounded(min(starts)), "nominal": rounded(starts[1]), "high": rounded(max(starts)),
    }  # fmt: skip
    middle = results[1]
    words = f"{answer.data['yields']}; yield begins {shown(starts[1], '', 3)}° after snug"
    if middle.yielded:
        words += f", {shown(middle.plastic_stretch * 1000, 'mm', 2)} stays in the bolt"
    return words
