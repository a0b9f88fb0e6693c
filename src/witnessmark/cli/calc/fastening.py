"""`witnessmark calc wrench|engagement|thread|convert`; torque, preload, angle come along."""

from __future__ import annotations

import math
from datetime import datetime

import click

from witnessmark.cli.calc.answers import Answer, Refused, never, refusals, rounded, shown
from witnessmark.cli.calc.fastening_options import (
    LENGTH,
    PRESSURE,
    THREAD,
    TORQUE,
    class_option,
    heading,
    json_option,
    thread_option,
)
from witnessmark.cli.calc.fastening_tightness import angle, preload, torque
from witnessmark.engineering.fastening.engagement import (
    engagement_rule,
    needed_engagement,
    stripping,
    tapped_material,
)
from witnessmark.engineering.fastening.heads import Head, heads_that_fit, usual_head
from witnessmark.engineering.fastening.limits import thread_limits
from witnessmark.engineering.fastening.strength import strength_of
from witnessmark.engineering.fastening.tap_drills import tap_drill
from witnessmark.engineering.fastening.threads import ThreadGeometry, thread_geometry
from witnessmark.engineering.fastening.wrench import (
    Wrench,
    effective_lever,
    judge_wrench,
    permissible_deviation,
    wrench_setting,
)
from witnessmark.quantities.conversion import convert as convert_exactly
from witnessmark.quantities.reading import Quantity, QuantityError
from witnessmark.quantities.threads import Thread
from witnessmark.quantities.units import unit_named

__all__ = ["angle", "convert", "engagement", "preload", "thread", "torque", "wrench"]


@click.command()
@click.option("--torque", "wanted", type=TORQUE, required=True, help="Wanted at the bolt.")
@click.option("--length", type=LENGTH, required=True, help="Drive to the middle of the grip.")
@click.option("--adapter", type=LENGTH, help="Drive to the middle of the bolt: '50 mm'")
@click.option(
    "--at",
    type=float,
    default=0.0,
    show_default=True,
    help="0 points straight out, 90 across, 180 back.",
)
@click.option("--lowest", type=TORQUE, help="Lower end of the wrench's range.")
@click.option("--highest", type=TORQUE, help="Upper end of the wrench's range.")
@click.option(
    "--check-due", type=click.DateTime(["%Y-%m-%d"]), metavar="DATE", help="When its check is due."
)
@click.option(
    "--on",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="DATE",
    help="Day of use; today if not given.",
)
@json_option
def wrench(
    wanted: Quantity,
    length: Quantity,
    adapter: Quantity | None,
    at: float,
    lowest: Quantity | None,
    highest: Quantity | None,
    check_due: datetime | None,
    on: datetime | None,
    as_json: bool,
) -> None:
    """Say what to set the wrench to with an adapter, and whether it may be used."""
    if (lowest is None) is not (highest is None):
        never("give --lowest and --highest together")
    if lowest is not None and highest is not None and float(lowest) >= float(highest):
        never("--lowest is not below --highest")
    reach = 0.0 if adapter is None else float(adapter)
    with refusals():
        setting = wrench_setting(float(wanted), float(length), reach, at)
        lever = effective_lever(float(length), reach, at)
    _refuse_unfit(lowest, highest, setting, check_due, on)
    answer = Answer(f"Wrench for {wanted}")
    deviation = permissible_deviation(setting)
    answer.data = {
        "setting_Nm": rounded(setting),
        "torque_Nm": rounded(float(wanted)),
        "lever_mm": rounded(lever * 1000),
        "ratio": rounded(setting / float(wanted)),
        "permissible_deviation": deviation,
    }
    in_own = float(wanted.in_unit(wanted.unit.symbol)) * setting / float(wanted)
    answer.line("set", _in_both(setting, in_own, wanted.unit.symbol))
    answer.line("lever", f"{shown(lever * 1000, 'mm')} with the adapter, {length} without")
    answer.line(
        "a checked wrench", f"may be ± {deviation:.0%} off: {shown(deviation * setting, 'N·m', 2)}"
    )
    answer.sources = [
        "T L/(L + E cos a): NAVEDTRA 14315, TM 9-254",
        "deviation: ISO 6789, type II class A",
    ]
    if reach > 0.0:
        answer.cautions = ["Pull at the middle of the grip: the sum holds for that point only."]
    if reach > float(length):
        answer.cautions.append(
            "The adapter is longer than the wrench: small errors of length count much. Take a "
            "longer wrench."
        )
    answer.give(as_json)


def _in_both(newton_metres: float, own: float, unit: str) -> str:
    first = shown(newton_metres, "N·m")
    return first if unit == "N·m" else f"{shown(own, unit)} ({first})"


def _refuse_unfit(
    lowest: Quantity | None,
    highest: Quantity | None,
    setting: float,
    check_due: datetime | None,
    on: datetime | None,
) -> None:
    """Refuse a wrench outside its range or overdue; what was not given is not judged."""
    day = (on or datetime.now().astimezone()).date()
    whole_range = lowest is None or highest is None
    tool = Wrench(
        "the wrench",
        0.0 if lowest is None else float(lowest),
        math.inf if highest is None else float(highest),
        check_due=day if check_due is None else check_due.date(),
        shows_value=whole_range,
    )
    choice = judge_wrench(tool, setting, day)
    if not choice.serves:
        raise Refused(f"the wrench cannot serve: {'; '.join(choice.reasons)}: choose another")


@click.command()
@thread_option
@class_option
@click.option("--material", help="Tapped material: aluminium, grey cast iron, steel, …")
@click.option("--tensile", type=PRESSURE, help="Its tensile strength, if not that of the list.")
@click.option("--length", type=LENGTH, help="Length of full thread engaged: '12 mm'")
@json_option
def engagement(
    thread: Thread,
    strength_class: str | None,
    material: str | None,
    tensile: Quantity | None,
    length: Quantity | None,
    as_json: bool,
) -> None:
    """Thread engagement: how much is needed, and what strips first."""
    if strength_class is None:
        never("give --class")
    if material is None and tensile is None:
        never("give --material, or --tensile of the tapped material")
    with refusals():
        geometry = thread_geometry(thread)
        strength = strength_of(strength_class, geometry)
        limits = thread_limits(geometry)
        name, in_hole = ("given", 0.0) if material is None else _material(material)
        if tensile is not None:
            in_hole = float(tensile)
        needed = needed_engagement(
            geometry.stress_area, geometry.pitch, limits, strength.tensile, in_hole
        )
        rule = None if material is None else _rule(material, strength_class, geometry)
        answer = Answer(heading("Engagement", thread, strength))
        answer.data = {
            "thread": thread.designation,
            "class": strength.name,
            "material": name,
            "needed_engagement_mm": rounded(needed * 1000),
            "rule_engagement_mm": None if rule is None else rounded(rule * 1000),
            "breaking_load_N": rounded(strength.breaking_load(geometry)),
        }
        answer.line("needed", f"{_in_diameters(needed, geometry)} for the bolt to break first")
        if rule is not None:
            answer.line("by the rule", _in_diameters(rule, geometry))
        if length is not None:
            _tell_stripping(answer, geometry, float(length), strength.tensile, in_hole)
    answer.sources = [
        "FED-STD-H28/2B, Machinery's Handbook 24th ed.", limits.source, strength.source,
    ]  # fmt: skip
    if rule is not None:
        answer.sources.append("rule: recommended minimum engaged thread, catalogue p. 677")
    answer.cautions = ["Full thread only: leave out the chamfer and the run-out."]
    answer.give(as_json)


def _material(name: str) -> tuple[str, float]:
    _, tapped = tapped_material(name)
    return tapped.name, tapped.tensile


def _rule(material: str, strength_class: str, geometry: ThreadGeometry) -> float | None:
    share = engagement_rule(material, strength_class, geometry.thread.series)
    return None if share is None else share * geometry.diameter


def _in_diameters(length: float, geometry: ThreadGeometry) -> str:
    return f"{shown(length * 1000, 'mm', 3)} ({shown(length / geometry.diameter, '', 3)} d)"


def _tell_stripping(
    answer: Answer, geometry: ThreadGeometry, length: float, bolt: float, hole: float
) -> None:
    found = stripping(length, geometry, thread_limits(geometry), bolt, hole)
    answer.data |= {
        "engagement_mm": rounded(length * 1000),
        "bolt_strips_N": rounded(found.bolt_strips),
        "hole_strips_N": rounded(found.hole_strips),
        "holds_N": rounded(found.holds),
        "gives_way": found.gives_way,
    }
    answer.line("bolt breaks at", shown(found.breaking_load / 1000, "kN", 3))
    answer.line("bolt thread strips at", shown(found.bolt_strips / 1000, "kN", 3))
    answer.line("hole thread strips at", shown(found.hole_strips / 1000, "kN", 3))
    answer.line("first to give way", found.gives_way)


@click.command()
@click.argument("thread", type=THREAD)
@json_option
def thread(thread: Thread, as_json: bool) -> None:
    """Give the geometry of a thread: sizes, stress area, tap drill, across flats."""
    with refusals():
        geometry = thread_geometry(thread)
    drill, head = tap_drill(thread), usual_head(geometry)
    answer = Answer(f"Thread {thread}")
    answer.data = {
        "thread": thread.designation,
        "diameter_mm": rounded(geometry.diameter * 1000),
        "pitch_mm": rounded(geometry.pitch * 1000),
        "pitch_diameter_mm": rounded(geometry.pitch_diameter * 1000),
        "minor_diameter_mm": rounded(geometry.minor_diameter * 1000),
        "root_diameter_mm": rounded(geometry.root_diameter * 1000),
        "stress_area_mm2": rounded(geometry.stress_area * 1e6),
        "tap_drill_mm": rounded(drill.calculated * 1000),
        "tap_drill_listed_mm": None if drill.listed is None else rounded(drill.listed * 1000),
        "tap_drill_name": drill.name,
        "across_flats_mm": None
        if head is None or head.flats is None
        else rounded(head.flats * 1000),
    }
    others = [h for h in heads_that_fit(geometry) if h is not head]
    answer.data["other_heads"] = [{"standard": h.standard, "tool": h.tool} for h in others]
    hand = "left-hand: turns off clockwise" if thread.left_hand else "right-hand"
    answer.line("series", f"{thread.series}, {hand}")
    answer.line("diameter", shown(geometry.diameter * 1000, "mm", 6))
    answer.line("pitch", _pitch_text(geometry))
    answer.line("pitch diameter", shown(geometry.pitch_diameter * 1000, "mm", 5))
    answer.line("minor diameter", f"{shown(geometry.minor_diameter * 1000, 'mm', 5)} (of the hole)")
    answer.line("root of the bolt", shown(geometry.root_diameter * 1000, "mm", 5))
    answer.line("stress area", shown(geometry.stress_area * 1e6, "mm²", 4))
    listed = "" if drill.name is None else f"; in the drill list {drill.name}"
    answer.line("tap drill", f"{shown(drill.calculated * 1000, 'mm', 4)} (d - P){listed}")
    if head is not None:
        answer.line("across flats", f"{head.tool} ({head.standard})")
    for tool, standards in _by_tool(others).items():
        answer.line("or", f"{tool} ({', '.join(standards)})")
    answer.sources = [geometry.source, f"drill: {drill.source}"]
    if head is not None:
        answer.sources.append(f"head: {head.standard}")
    answer.give(as_json)


def _by_tool(heads: list[Head]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for head in heads:
        found.setdefault(head.tool, []).append(head.standard)
    return found


def _pitch_text(geometry: ThreadGeometry) -> str:
    millimetres = shown(geometry.pitch * 1000, "mm", 5)
    if geometry.thread.family == "metric":
        return millimetres
    return f"{shown(0.0254 / geometry.pitch, '', 4)} threads per inch ({millimetres})"


# A quantity below zero is no option.
@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("quantity")
@click.argument("unit")
@json_option
def convert(quantity: str, unit: str, as_json: bool) -> None:
    """Exact unit conversion: `convert "25 N·m" "lbf·ft"`."""
    if unit_named(unit) is None:
        raise click.BadParameter(f"'{unit}' is not a unit known here", param_hint="UNIT")
    try:
        found = convert_exactly(quantity, unit)
    except QuantityError as error:
        if error.kind == "wrong-unit":
            raise Refused(str(error)) from None
        raise click.BadParameter(str(error), param_hint="QUANTITY") from None
    answer = Answer(f"{found.given} = {found.decimal_text} {found.unit.symbol}".rstrip())
    answer.data = {
        "value": found.value,
        "unit": found.unit.symbol,
        "given": str(found.given),
        "exact": found.fraction_text if found.is_exact else None,
        "decimal": found.decimal_text,
    }
    if found.is_exact and "/" in found.fraction_text:
        answer.line("exactly", f"{found.fraction_text} {found.unit.symbol}")
    answer.sources = ["exact definitions: inch 0.0254 m, pound 0.45359237 kg, gravity 9.80665 m/s²"]
    answer.give(as_json)
