"""The demonstration workshop: jobs in several stages, whole and lawful."""

from __future__ import annotations

from click.testing import CliRunner

from witnessmark.cli.root import command
from witnessmark.workshop.places import TABLES

JOBS = ("demo-begun", "demo-strip", "demo-stopped", "demo-refit", "demo-done")


def run(place, *words):
    environment = {TABLES: place.tables}
    return CliRunner().invoke(command, [*words, "--data", str(place.folder)], env=environment)


def test_the_demonstration_has_jobs_in_every_stage_and_is_intact(place):
    found = run(place, "load-demo")
    assert found.exit_code == 0, (found.output, found.exception)
    assert [line.split(":")[0] for line in found.output.splitlines()] == list(JOBS)
    from witnessmark.workshop import models
    from witnessmark.workshop.standing import view_of

    views = {job: view_of(job) for job in JOBS}
    assert all(view["gaps"] == view["forks"] == view["unknown"] == [] for view in views.values())
    items = {job: view["outstanding"] for job, view in views.items()}
    assert items["demo-begun"] == []
    assert items["demo-done"] == []
    for job in ("demo-strip", "demo-stopped", "demo-refit"):
        assert items[job], job
    flagged = [each for all_ in items.values() for each in all_ if "flag" in each["kind"]]
    assert flagged == []
    assert [job for job, view in views.items() if view["closed"]] == ["demo-done"]
    assert models.Vehicle.objects.count() == 3
    assert run(place, "verify").output.startswith("intact: 5 jobs")
    again = run(place, "load-demo")
    assert again.exit_code == 1
    assert "empty folder" in again.output
