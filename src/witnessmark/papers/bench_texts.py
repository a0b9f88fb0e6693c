"""What a job pack tells the bench: the texts of the job card, and drawings by object."""

from __future__ import annotations

from typing import Any

from witnessmark.papers.bench_drawings import bench_drawings
from witnessmark.papers.job_card import job_card
from witnessmark.papers.sheaf import paper_titles
from witnessmark.planning.job import Job


def bench_texts(job: Job) -> dict[str, Any]:
    """Give the texts of a job pack: the bench says at each step what the card says.

    The rows of kind `step` stand in the order of the plan's steps. `papers` names what can be
    printed for the job beside the papers of where it stands.
    """
    return {
        "job_card": job_card(job),
        "drawings": bench_drawings(job),
        "papers": paper_titles(job),
    }
