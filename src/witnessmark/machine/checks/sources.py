"""The rule on sources: every figure says where it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.machine.checks.context import Context
from witnessmark.machine.complaints import Complaint, complaint
from witnessmark.machine.model import Sourced, SourcedTightness

Figure = Sourced | SourcedTightness


def figures_have_sources(context: Context) -> Iterator[Complaint]:
    """Every figure has a source of its own or that of its file."""
    for figure in _figures(context):
        if figure is not None and figure.source is None:
            written = figure.quantity if isinstance(figure, Sourced) else figure.tightness
            # A word such as "seated" is how it is done, not a figure from a book.
            if not (isinstance(figure, SourcedTightness) and figure.tightness.word):
                yield complaint("figure-without-source", figure.place, figure=written)


def _figures(context: Context) -> Iterator[Figure | None]:
    machine = context.machine
    for part in machine.parts.values():
        yield part.mass
        for inspection in part.inspections:
            yield from (inspection.at_least, inspection.at_most)
    for joint in machine.joints.values():
        yield joint.tightness
        yield joint.least_clamp
        yield from joint.stages
    for circuit in machine.circuits.values():
        yield from (circuit.capacity, circuit.stays_behind, circuit.level)
        yield from circuit.heights.values()
        yield from circuit.comes_out.values()
    for run in machine.runs.values():
        yield run.mass
        yield run.tensioner.setting if run.tensioner else None
    for material in machine.materials.values():
        yield material.amount
    for _, step in context.steps():
        if step.measure is not None:
            yield from (step.measure.at_least, step.measure.at_most)


def limits_agree(context: Context) -> Iterator[Complaint]:
    """The two limits of a reading measure the same thing and leave room between them."""
    limits = [(s.measure.at_least, s.measure.at_most) for _, s in context.steps() if s.measure]
    for part in context.machine.parts.values():
        limits += [(i.at_least, i.at_most) for i in part.inspections]
    for least, most in limits:
        if least is None or most is None:
            continue
        clash = least.quantity.dimension is not most.quantity.dimension
        if clash or least.quantity.si > most.quantity.si:
            yield complaint("limits-clash", most.place, least=least.quantity, most=most.quantity)


RULES = (figures_have_sources, limits_agree)
