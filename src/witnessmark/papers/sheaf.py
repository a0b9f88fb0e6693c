"""All papers of a job: which apply, and their content."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from witnessmark.papers.angle_disc import angle_disc, wants_angle_disc
from witnessmark.papers.bag_labels import bag_labels, bagged_joints
from witnessmark.papers.bolt_board import bolt_board
from witnessmark.papers.coolant_card import coolant_card, has_coolant
from witnessmark.papers.drive_cards import has_route, has_timing, route_card, timing_card
from witnessmark.papers.fasteners import joints_made, joints_taken_out, placed_holes
from witnessmark.papers.job_card import job_card
from witnessmark.papers.joint_sums import has_sums, joint_sums
from witnessmark.planning.job import Job

TRUE_SIZE = "true-size"


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper: the end of its file name, its template and its content."""

    name: str
    template: str
    content: dict[str, Any]


def papers_of(job: Job) -> Iterator[Paper]:
    """Give every paper that applies to a job, the job card first.

    A bolt board for each joint taken out whose holes have places; an angle disc for each
    joint tightened by angle; labels when any fasteners come out; routes, timing and
    coolant cards when belts, timed shafts or coolant are opened; the sums of critical joints.
    """
    for name in _makers(job):
        paper = paper_named(job, name)
        if paper is not None:
            yield paper


def paper_named(job: Job, name: str) -> Paper | None:
    """Give one paper of a job; None when it has none of that name."""
    maker = _makers(job).get(name)
    content = maker() if maker is not None else None
    if content is None:
        return None
    template = name if name in _OF_THEIR_OWN else TRUE_SIZE
    return Paper(name, template, content)


_OF_A_JOINT = ("bolt-board", "angle-disc")

Maker = Callable[[], dict[str, Any] | None]

_OF_THEIR_OWN = ("job-card", "route", "timing-card", "coolant-card", "sums")
"""Papers whose template has their name; the others are drawn at true size."""


def _makers(job: Job) -> dict[str, Maker]:
    """Give what lays out each paper there may be, by name; nothing is laid out yet."""
    machine = job.machine.name
    makers: dict[str, Maker] = {"job-card": lambda: job_card(job)}
    for joint in joints_taken_out(job):
        if placed_holes(joint):
            makers[f"bolt-board-{joint.id}"] = partial(bolt_board, joint, machine)
    for joint in joints_made(job):
        if wants_angle_disc(joint):
            makers[f"angle-disc-{joint.id}"] = partial(angle_disc, joint, machine)
    if bagged_joints(job):
        makers["bag-labels"] = partial(bag_labels, job)
    for name, applies, card in (
        ("route", has_route, route_card),
        ("timing-card", has_timing, timing_card),
        ("coolant-card", has_coolant, coolant_card),
        ("sums", has_sums, joint_sums),
    ):
        if applies(job):
            makers[name] = partial(card, job)
    return makers


def paper_titles(job: Job) -> list[dict[str, str]]:
    """Give the papers of a job by name and title, without laying them out."""
    joints = job.machine.joints
    titles = []
    for name in _makers(job):
        kind, joint = next(
            ((k, name.removeprefix(f"{k}-")) for k in _OF_A_JOINT if name.startswith(f"{k}-")),
            (name, ""),
        )
        words = kind.replace("-", " ").capitalize()
        titles.append({"name": name, "title": f"{words}: {joints[joint].name}" if joint else words})
    return titles
