"""Drawings that a job pack carries for the bench: tightening orders, bolts, belt routes.

Each is a whole SVG, kept under the object it is looked at with. Their size is bounded, so
that a pack stays quick to send to a phone: what would go beyond is left to paper.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.engineering.fastening.orders import Spot, TighteningOrder
from witnessmark.engineering.fastening.pictures import order_picture
from witnessmark.machine.model import Joint, Run
from witnessmark.papers.bolt_picture import bolt_picture
from witnessmark.papers.fasteners import (
    joints_made,
    joints_taken_out,
    order_of,
    placed_holes,
    swaps_text,
)
from witnessmark.papers.route_drawing import route_path, route_svg
from witnessmark.planning.job import Job

MOST_BYTES = 40_000
"""Of one drawing; ours. A cover of sixteen bolts takes 6,000."""
MOST_IN_ALL = 200_000
"""Of all drawings of a pack; ours."""

Drawing = tuple[str, str, str]
"""Object, title and SVG."""


def bench_drawings(job: Job) -> dict[str, list[dict[str, str]]]:
    """Give the drawings of a job by object: `[{title, svg}]`, the same bytes each time."""
    found: dict[str, list[dict[str, str]]] = {}
    room = MOST_IN_ALL
    for object_id, title, svg in _drawings(job):
        size = len(svg.encode())
        if size <= min(MOST_BYTES, room):
            room -= size
            found.setdefault(object_id, []).append({"title": title, "svg": svg})
    return found


def _drawings(job: Job) -> Iterator[Drawing]:
    """Give every drawing there could be: routes first, as a route cannot be said in words."""
    for run in job.machine.runs.values():
        yield from _route(job, run)
    joints = {joint.id: joint for joint in (*joints_made(job), *joints_taken_out(job))}
    for joint in joints.values():
        yield from _order(joint)
        yield from _bolts(job, joint)


def _route(job: Job, run: Run) -> Iterator[Drawing]:
    opened = {step.object_id for step in job.steps}
    if run.belt is None or run.belt.id not in opened:
        return
    path = route_path(run)
    if path is not None:
        yield run.belt.id, f"Route: {run.name}", route_svg(job.machine, run, path)


def _order(joint: Joint) -> Iterator[Drawing]:
    """Draw the tightening order of a joint of three or more holes."""
    holes, order = placed_holes(joint), order_of(joint)
    if len(holes) < 3 or sorted(order.names) != sorted(hole.name for hole in holes):
        return
    spots = [Spot(hole.name, hole.x, hole.y) for hole in holes]
    title = f"Tightening order: {joint.name}"
    whole = TighteningOrder(order.names, "given", order.why)
    yield joint.id, title, order_picture(spots, whole, title)


def _bolts(job: Job, joint: Joint) -> Iterator[Drawing]:
    """Draw which bolt belongs where, of a joint with bolts of more than one size."""
    holes = placed_holes(joint)
    if len({hole.bolt for hole in holes}) < 2:
        return
    title = f"Which bolt where: {joint.name}"
    seen = joint.viewpoint or joint.where or job.machine.viewpoint or "not stated"
    yield joint.id, title, bolt_picture(holes, swaps_text(joint).mark_first, title, seen)
