"""Filling a workshop with very many events at once: real chains, a real arrival book."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.load_workshop import Writer
from tests.workshop.half_way import pack_of
from witnessmark.ledger.canonical import digest
from witnessmark.ledger.events import read_event
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
        _see(jobs)
    connections.close_all()
    return secrets


def _pour(file: Path, jobs: int, events: int, pack: str) -> None:
    """Write the events past Django, safe from nothing but a rest of this process."""
    begun = time.monotonic()
    _must_be_real(pack)
    tables = sqlite3.connect(file, isolation_level=None)
    for word in ("synchronous=OFF", "cache_size=-600000", "foreign_keys=OFF"):
        tables.execute(f"PRAGMA {word}")
    for first in range(0, jobs, _AT_A_TIME):
        tables.execute("BEGIN")
        for number in range(first, min(jobs, first + _AT_A_TIME)):
            written = list(_job(f"job-{number}", events, pack))
            tables.executemany(_EVENT, [each[:3] for each in written])
            tables.executemany(_LINE, [each[3:] for each in written])
        tables.execute("COMMIT")
        if first % 2_000 == 0:
            print(f"  {first} jobs filled, {time.monotonic() - begun:.0f} s", flush=True)
    tables.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    tables.execute("ANALYZE")
    tables.close()


Row = tuple[str, str, bytes, str, int, str, str, int, str]
"""An event's id, job and bytes, and the line of the arrival book it stands in."""


def _job(job: str, events: int, pack: str) -> Iterator[Row]:
    """Write a job as two phones would by turns: its bytes put together, not encoded."""
    before = "0" * 64
    last: dict[str, tuple[int, str]] = {}
    for number in range(1, events + 1):
        device = BY[number % len(BY)]
        seq, prev = last.get(device, (0, ""))
        data = _event(job, device, seq + 1, prev, pack if number == 1 else None).encode()
        id_ = digest(data)
        last[device] = (seq + 1, id_)
        at = 1_760_000_000_000 + number
        line = (
            f'{{"at":{at},"before":"{before}","brought_by":"{device}","event":"{id_}",'
            f'"job":"{job}","number":{number}}}'
        )
        before = digest(line.encode())
        yield id_, job, data, job, number, id_, device, at, before


def _event(job: str, device: str, seq: int, prev: str, pack: str | None) -> str:
    wall = 1_760_000_000_000 + seq * 2_000
    note = "null" if pack or seq % 7 else '"as before, looked at again"'
    named = f'"{prev}"' if prev else "null"
    kind = "begin" if pack else "measured"
    values = '"works":[]' if pack else f'"reading":"{seq % 10}.5 mm","what":"free play"'
    on = f'"{pack}"' if pack else "null"
    return (
        f'{{"action":null,"clock":[{wall},0],"device":"{device}","job":"{job}","note":{note},'
        f'"object":null,"pack":{on},"person":"ann","photos":[],"prev":{named},"seen":[],'
        f'"seq":{seq},"type":"{kind}","v":1,"values":{{{values}}},"wall":{wall}}}'
    )


def _must_be_real(pack: str) -> None:
    """Hold that a job put together so is, byte for byte, what phones and server would write."""
    from witnessmark.workshop.arriving import BEGINNING, line_digest

    before = BEGINNING
    writers = {name: Writer(name, "job-7") for name in BY}
    for id_, _, data, job, number, _, device, at, line in _job("job-7", 30, pack):
        sent = writers[device].begins(pack) if number == 1 else writers[device].sent()[0]
        before = line_digest(job, number, id_, device, at, before)
        if (sent["id"], sent["event"].encode(), before) != (id_, data, line):
            raise SystemExit("the events put together are not those a phone writes")
        read_event(data, id_)


def _see(jobs: int) -> None:
    """Keep a view of every job, as it was when somebody last looked: copies of one of them.

    All have the same entries but for their ids. What is asked for in the measurement is
    folded anew, as it moved.
    """
    from witnessmark.workshop import models
    from witnessmark.workshop.standing import refresh_views

    refresh_views(["job-0"])
    view = models.View.objects.get(job_id="job-0")
    models.Job.objects.update(moved=view.moved)
    seen = {name: getattr(view, name) for name in _SEEN}
    models.View.objects.bulk_create(
        (models.View(job_id=f"job-{n}", **seen) for n in range(1, jobs)), batch_size=1_000
    )


_SEEN = ("moved", "outstanding", "closed", "events", "pack", "data")
