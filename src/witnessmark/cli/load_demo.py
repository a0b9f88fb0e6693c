"""`witnessmark load-demo`: a workshop to try things on."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from witnessmark.cli.papers import demo_folder
from witnessmark.cli.session import fail
from witnessmark.cli.workshop_data import DATA, open_workshop

JOBS = (
    ("demo-begun", "Thermostat, taken in", "gull-20", "thermostat", 0, None),
    ("demo-strip", "Drive belt, coming apart", "tarn-two-stage", "drive-belt", 4, None),
    ("demo-stopped", "Timing belt, broken off", "brack-genset-12", "timing-belt", 6, "stopped"),
    ("demo-refit", "Auxiliary belt, going back", "gull-20", "aux-belt", 10, None),
    ("demo-done", "Oil and filter, handed back", "brack-genset-12", "oil-and-filter", 12, "closed"),
)
"""Id, title, machine, work, twelfths of the steps done, and what was written then."""


@click.command("load-demo")
@DATA
def load_demo(folder: Path | None) -> None:
    """Fill an empty workshop with invented people, vehicles and jobs."""
    for job, events in fill_with_demo(folder).items():
        click.echo(f"{job}: {events} events")


def fill_with_demo(folder: Path | None) -> dict[str, int]:
    """Fill an empty workshop, and give the events of each job; end the command if it cannot be."""
    demo = demo_folder()
    if demo is None:
        fail("The demonstration is not here. Run this inside the source tree.", 2)
    from witnessmark.workshop.job_planning import plan_job
    from witnessmark.workshop.library_taking import copy_library

    day = datetime.now().astimezone().date()
    packs = [plan_job(demo, machine, [work], day=day)[0].pack for _, _, machine, work, *_ in JOBS]
    place = open_workshop(folder, make=True)
    from witnessmark.workshop.demo import DemoJob, load

    jobs = [
        DemoJob(id_, title, machine, pack, twelfths, then)
        for (id_, title, machine, _, twelfths, then), pack in zip(JOBS, packs, strict=True)
    ]
    try:
        counts = load(jobs)
    except ValueError as error:
        fail(f"{error}.")
    copy_library(demo, place.folder)
    return counts
