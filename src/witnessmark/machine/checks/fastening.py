"""Rules on tightness: does it suit the bolt, its hole and what is put on the thread."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from witnessmark.engineering.fastening.rules import is_lubricant
from witnessmark.engineering.fastening.size_tables import REFUSED_JOINTS
from witnessmark.machine.bolting import (
    FREE_OF_GREASE,
    each_bolt,
    engagement_of,
    refit_words,
)
from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Joint, JointKind, Machine
from witnessmark.machine.size_table import is_size_table, objection
from witnessmark.quantities.reading import format_number

DRIVES_BY_FRICTION = frozenset({"crank", "cam", "flywheel", "clutch", "wheel"})
"""Roles whose clamped faces carry drive by friction."""

LEAST_ENGAGEMENT = 1.0
"""Diameters of thread in the hole below which a question is raised. Our own rule: files do
not say what the hole is tapped in; steel wants about this much, softer metal more."""

_THREADLOCKER = re.compile(r"\bthread[- ]?lock", re.IGNORECASE)
_ANTI_SEIZE = re.compile(r"\b(anti[- ]?seize|copper grease)\b", re.IGNORECASE)
_OIL_OR_GREASE = re.compile(r"\b(anti[- ]?seize|grease|oil)\b", re.IGNORECASE)


def torques_suit_bolts(context: Context) -> Iterator[Complaint]:
    """A torque lies between holding the least clamp and reaching proof load.

    What is held on a tensioner is a setting of its run, not a joint's tightness, and is
    never judged here.
    """
    for joint in context.machine.joints.values():
        given = joint.tightness
        if given is None or given.tightness.torque is None:
            continue
        torque = float(given.tightness.torque.si)
        least = None if joint.least_clamp is None else float(joint.least_clamp.quantity.si)
        for _, sums in each_bolt(joint):
            if least is not None and not 0.0 < least <= sums.proof_load:
                continue  # a complaint of its own
            band = sums.plausible(
                angle_follows=given.tightness.angle_degrees > 0.0, least_clamp=least
            )
            why = band.judge(torque)
            if why is not None:
                yield complaint("implausible-torque", given.place, joint=joint.id, why=why)


def least_clamps_can_be(context: Context) -> Iterator[Complaint]:
    """The least clamp a joint wants lies between nothing and proof load of its bolts."""
    for joint in context.machine.joints.values():
        least = joint.least_clamp
        if least is None:
            continue
        if least.quantity.si <= 0:
            yield complaint("no-clamp", least.place, joint=joint.id, clamp=least.quantity)
            continue
        for fastener, sums in each_bolt(joint):
            if float(least.quantity.si) > sums.proof_load:
                assert fastener.thread is not None
                yield complaint(
                    "clamp-above-proof",
                    least.place,
                    joint=joint.id,
                    clamp=least.quantity,
                    bolt=f"{fastener.thread.designation} {fastener.strength}",
                    proof=f"{sums.proof_load / 1000:.3g} kN",
                )


def threads_engage(context: Context) -> Iterator[Complaint]:
    """A bolt has about its own diameter of thread in its hole."""
    for joint in context.machine.joints.values():
        for fastener in joint.fasteners:
            engaged = engagement_of(fastener)
            if engaged is None or fastener.thread is None or engaged <= 0.0:
                continue  # a bolt that does not reach is a complaint of its own
            wanted = LEAST_ENGAGEMENT * float(fastener.thread.nominal)
            if engaged < wanted - 1e-9:
                yield complaint(
                    "short-engagement",
                    fastener.place,
                    joint=joint.id,
                    thread=fastener.thread.designation,
                    engaged=_mm(engaged),
                    wanted=_mm(wanted),
                )


def friction_faces_are_clean(context: Context) -> Iterator[Complaint]:
    """No oil, grease or paste on a face that carries drive by friction."""
    for joint in context.machine.joints.values():
        if joint.role not in DRIVES_BY_FRICTION and not _is_taper(joint):
            continue
        words = refit_words(joint)
        if FREE_OF_GREASE in words or ("clean" in words and "dry" in words):
            continue  # the step says that the face is clean: what is oiled is the thread
        found = joint.surface if joint.surface and is_lubricant(joint.surface) else None
        found = found or next(_materials(context.machine, joint, _OIL_OR_GREASE), None)
        if found is not None:
            yield complaint("oil-on-friction-face", joint.place, joint=joint.id, found=found)


def _is_taper(joint: Joint) -> bool:
    return joint.kind is JointKind.PRESS_FIT and "taper" in f"{joint.id} {joint.name}".lower()


def threadlocker_alone(context: Context) -> Iterator[Complaint]:
    """Anti-seize, oil or grease never meets threadlocker."""
    for joint in context.machine.joints.values():
        surface = joint.surface or ""
        locked = _THREADLOCKER.search(surface) is not None or any(
            _materials(context.machine, joint, _THREADLOCKER)
        )
        if not locked:
            continue
        slippery = surface if surface and is_lubricant(surface) else None
        slippery = slippery or next(_materials(context.machine, joint, _ANTI_SEIZE), None)
        if slippery is None and _ANTI_SEIZE.search(surface):
            slippery = surface
        if slippery is not None and not _THREADLOCKER.fullmatch(slippery):
            yield complaint(
                "anti-seize-meets-threadlocker", joint.place, joint=joint.id, found=slippery
            )


def _materials(machine: Machine, joint: Joint, wanted: re.Pattern[str]) -> Iterator[str]:
    """Give the materials of a kind that the file puts on a joint."""
    for material in machine.materials.values():
        if wanted.search(material.name) and any(ref.object == joint.id for ref in material.used_by):
            yield material.name


def blind_holes_cleaned(context: Context) -> Iterator[Complaint]:
    """A blind hole whose bolt comes out is cleaned and dried before the bolt goes back."""
    for joint in context.machine.joints.values():
        blind = [f for f in joint.fasteners if f.blind and f.thread is not None]
        out = [spec for spec in joint.openings if spec.state == "out" and spec.ways]
        if not blind or not out:
            continue
        words = refit_words(joint)
        if not ("clean" in words and "dry" in words):
            yield complaint("blind-hole-not-cleaned", blind[0].place, joint=joint.id)


def size_tables_in_their_place(context: Context) -> Iterator[Complaint]:
    """A size-table figure holds a bracket or a cover, on the word of a named person.

    Never a joint on which an engine, a brake or a person depends.
    """
    for joint in context.machine.joints.values():
        for given in (joint.tightness, *joint.stages):
            if given is None:
                continue
            code = objection(joint.role, given.source, critical=joint.critical)
            if code is not None:
                role = joint.role if joint.role in REFUSED_JOINTS else "critical"
                yield complaint(
                    code, given.place, joint=joint.id, role=role, figure=given.tightness
                )
    for run in context.machine.runs.values():
        setting = run.tensioner.setting if run.tensioner is not None else None
        if setting is not None and is_size_table(setting.source):
            yield complaint("size-table-refused", setting.place, joint=run.id, role="tensioner")


def _mm(metres: float) -> str:
    return f"{format_number(Fraction(round(metres * 10_000), 10), 1)} mm"


RULES = (
    torques_suit_bolts,
    least_clamps_can_be,
    threads_engage,
    friction_faces_are_clean,
    threadlocker_alone,
    blind_holes_cleaned,
    size_tables_in_their_place,
)
