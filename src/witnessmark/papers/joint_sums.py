"""The sums behind the critical joints of a job: what the torque does to the bolt, as pictures.

Pure: a `Job` in, plain data out. A calculated figure is never offered as a specification;
what the maker says stands first, with its source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from witnessmark.engineering.fastening.cautions import ANGLE_NEEDS_TRIAL, MAKER_PREVAILS
from witnessmark.machine.bolting import each_bolt
from witnessmark.machine.model import Joint
from witnessmark.papers.bolt_charts import Chart, angle_chart, surface_chart
from witnessmark.papers.drive_cards import PAPER_FONT
from witnessmark.papers.fasteners import joints_made
from witnessmark.planning.fastening_step import clamp_texts
from witnessmark.planning.job import Job
from witnessmark.quantities.tightness import Tightness

NOBODY = "nobody said where it comes from"


def joint_sums(job: Job) -> dict[str, Any] | None:
    """Lay out the sums of the critical joints a job makes; None when it makes none by torque."""
    made = _made(job)
    if not made:
        return None
    angled = any(tightness.angle_degrees > 0.0 for _, tightness in made)
    return {
        "title": f"Sums of critical joints: {job.machine.name}",
        "subject": ", ".join(work.name for work in job.works),
        "foot": f"{MAKER_PREVAILS} {job.machine.id}",
        "joints": [_joint(joint) for joint, _ in made],
        "cautions": [MAKER_PREVAILS, *([ANGLE_NEEDS_TRIAL] if angled else [])],
    }


def has_sums(job: Job) -> bool:
    """Whether a job makes critical joints by torque."""
    return bool(_made(job))


def _made(job: Job) -> list[tuple[Joint, Tightness]]:
    return [
        (joint, joint.tightness.tightness)
        for joint in joints_made(job)
        if joint.critical
        and joint.tightness is not None
        and joint.tightness.tightness.torque is not None
    ]


def _joint(joint: Joint) -> dict[str, Any]:
    given = joint.tightness
    assert given is not None, "only joints with a tightness come here"
    charts = list(_charts(joint))
    return {
        "name": joint.name,
        "figure": str(given.tightness),
        "source": given.source or NOBODY,
        "surface": joint.surface or "surface not given",
        "clamps": [str(text) for text in clamp_texts(joint)],
        "charts": [
            {"svg": chart.svg.replace("sans-serif", PAPER_FONT), "note": chart.note}
            for chart in charts
            if chart.svg
        ],
        "without": [chart.note for chart in charts if not chart.svg],
    }


def _charts(joint: Joint) -> Iterator[Chart]:
    """Give the charts of each size of bolt in a joint, or what is missing for them."""
    given, surface = joint.tightness, joint.surface
    assert given is not None
    assert given.tightness.torque is not None
    bolts = list(each_bolt(joint))
    if not bolts or surface is None:
        yield Chart(note="No charts: the file gives no class, thread or surface for this bolt.")
        return
    for fastener, sums in bolts:
        name = f"{joint.name}, {sums.geometry.thread.designation} {fastener.strength}"
        torque = float(given.tightness.torque.si)
        yield surface_chart(sums, surface, torque, f"Torque by surface: {name}")
        if given.tightness.angle_degrees > 0.0:
            title = f"Clamp force by angle: {name}"
            yield angle_chart(fastener, sums, given.tightness, title)
