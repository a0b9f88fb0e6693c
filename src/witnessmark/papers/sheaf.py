"""All papers of a job: which apply, and their content."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from witnessmark.papers.angle_disc import angle_disc, wants_angle_disc
from witnessmark.papers.bag_labels import bag_labels, bagged_joints
from witnessmark.papers.bolt_board import bolt_board
from witnessmark.papers.coolant_card import coolant_card
from witnessmark.papers.drive_cards import route_card, timing_card
from witnessmark.papers.fasteners import joints_made, joints_taken_out, placed_holes
from witnessmark.papers.job_card import job_card
from witnessmark.papers.joint_sums import joint_sums
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
    yield Paper("job-card", "job-card", job_card(job))
    for joint in joints_taken_out(job):
        if placed_holes(joint):
            board = bolt_board(joint, job.machine.name)
            yield Paper(f"bolt-board-{joint.id}", TRUE_SIZE, board)
    for joint in joints_made(job):
        if wants_angle_disc(joint):
            disc = angle_disc(joint, job.machine.name)
            yield Paper(f"angle-disc-{joint.id}", TRUE_SIZE, disc)
    if bagged_joints(job):
        yield Paper("bag-labels", TRUE_SIZE, bag_labels(job))
    for name, content in (
        ("route", route_card(job)),
        ("timing-card", timing_card(job)),
        ("coolant-card", coolant_card(job)),
        ("sums", joint_sums(job)),
    ):
        if content is not None:
            yield Paper(name, name, content)
