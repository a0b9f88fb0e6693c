"""Filling a workshop with very many events at once: real chains, a real arrival book."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from benchmarks.load_workshop import Writer
from tests.workshop.half_way import pack_of
from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start

BY = ("phone-0", "phone-1")
"""The phones that have written so far, in turns."""

_EVENT = "INSERT INTO workshop_event (id, job_id, data, held) VALUES (?, ?, ?, 0)"
_LINE = (
    "INSERT INTO workshop_arrival (job_id, number, event_id, brought_by, at, digest)"
    " VALUES (?, ?, ?, ?, ?, ?)"
)
_AT_A_TIME = 200
"""Jobs of one transaction."""


def fill(folder: Path, jobs: int, events: int) -> dict[str, str]:
    """Make a workshop of so many jobs, each with so many events; give the secret of each phone."""
    start(Place(folder))
    from django.db import connections

    from witnessmark.workshop import models, people
    from witnessmark.workshop.packs import keep_pack

    member = models.Member(id="ann", name="Ann", role="owner")
    member.set_unusable_password()
    member.save()
    rows = [
        models.Job(id=f"job-{n}", title=f"Job {n}", opened=n, machine="tarn-two-stage")
        for n in range(jobs)
    ]
    models.Job.objects.bulk_create(rows, batch_size=1_000)
    pack = keep_pack("job-0", pack_of("tarn-two-stage", "drive-belt"))
    models.PackOfJob.objects.bulk_create(
        [models.PackOfJob(job_id=f"job-{n}", pack_id=pack) for n in range(1, jobs)],
        batch_size=1_000,
    )
    secrets = {name: people.pair(name, name, "ann") for name in (*BY, "phone-new")}
    connections.close_all()
    if events:
        _pour(folder / "workshop.sqlite3", jobs, events, pack)
        _count(jobs)
    connections.close_all()
    return secrets


def _count(jobs: int) -> None:
    """Fold every job once, as it was when somebody last looked at the list."""
    from witnessmark.workshop.standing import refresh_views

    begun = time.monotonic()
    for first in range(0, jobs, _AT_A_TIME):
        refresh_views([f"job-{n}" for n in range(first, min(jobs, first + _AT_A_TIME))])
    print(f"  all folded, {time.monotonic() - begun:.0f} s", flush=True)


def _pour(file: Path, jobs: int, events: int, pack: str) -> None:
    """Write the events past Django, safe from nothing but a rest of this process."""
    begun = time.monotonic()
    tables = sqlite3.connect(file, isolation_level=None)
    for word in ("synchronous=OFF", "cache_size=-600000", "foreign_keys=OFF"):
        tables.execute(f"PRAGMA {word}")
    for first in range(0, jobs, _AT_A_TIME):
        tables.execute("BEGIN")
        for number in range(first, min(jobs, first + _AT_A_TIME)):
            written = list(_job(f"job-{number}", events, pack))
            tables.executemany(_EVENT, [(e["id"], e["job"], e["data"]) for e in written])
            tables.executemany(_LINE, [e["line"] for e in written])
        tables.execute("COMMIT")
        if first % 2_000 == 0:
            print(f"  {first} jobs filled, {time.monotonic() - begun:.0f} s", flush=True)
    tables.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    tables.execute("ANALYZE")
    tables.close()


def _job(job: str, events: int, pack: str) -> Iterator[dict[str, Any]]:
    from witnessmark.workshop.arriving import BEGINNING, line_digest

    before = BEGINNING
    writers = [Writer(name, job) for name in BY]
    for number in range(1, events + 1):
        writer = writers[number % len(writers)]
        sent = writer.begins(pack) if number == 1 else writer.sent()[0]
        at = 1_760_000_000_000 + number
        line = line_digest(job, number, sent["id"], writer.device, at, before)
        yield {
            "id": sent["id"],
            "job": job,
            "data": sent["event"].encode(),
            "line": (job, number, sent["id"], writer.device, at, line),
        }
        before = line
