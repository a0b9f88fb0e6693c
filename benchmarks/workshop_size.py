"""Twenty thousand jobs and two million events: a write beside one on an empty workshop.

Two servers run side by side, one on a nearly empty workshop, one on the full one, and one
client writes to the one and the other by turns, so that whatever else the computer does
happens to both.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from pathlib import Path
from random import Random
from typing import Any

from benchmarks.load_clients import Asking, Taken
from benchmarks.load_workshop import Writer, running
from benchmarks.size_filling import fill

JOBS = int(os.environ.get("JOBS", "20000"))
EVENTS_EACH = int(os.environ.get("EVENTS_EACH", "100"))
WRITES = int(os.environ.get("WRITES", "2000"))
READ_EVERY = 10
"""A list and a job are looked at after so many writes, whose jobs are then counted anew."""

FEW = 25
"""Jobs of the workshop that counts as empty."""

RATIO = 1.5
ROOM = 2_000
"""Bytes of the disk for each event, with what is written ahead. About 1,100 are used."""


class Side:
    """One of the two workshops: who asks, and how long its answers took."""

    def __init__(self, port: int, secret: str, jobs: int) -> None:
        self.asking, self.jobs = Asking(port, secret), jobs
        self.writers: dict[str, Writer] = {}
        self.last = "job-0"
        self.taken = {kind: Taken() for kind in ("write", "list", "standing", "bench")}

    def write(self, random: Random) -> None:
        """Write one event on a job drawn at random."""
        job = self.last = f"job-{random.randrange(self.jobs)}"
        writer = self.writers.setdefault(job, Writer("phone-new", job))
        self.asking.send(self.taken["write"], writer.sent())

    def read(self) -> None:
        """Look at the job that was written on last, and at the list of jobs."""
        self.asking.ask(self.taken["standing"], "GET", f"/api/jobs/{self.last}/standing")
        self.asking.ask(self.taken["bench"], "GET", f"/api/jobs/{self.last}/bench")
        self.asking.ask(self.taken["list"], "GET", "/api/jobs")


def compare(folder: Path) -> dict[str, Any]:
    """Fill both, measure by turns."""
    empty, full = folder / "empty", folder / "full"
    secrets = fill(empty, FEW, 0), fill(full, JOBS, EVENTS_EACH)
    size = (full / "workshop.sqlite3").stat().st_size
    random = Random(11)
    with running(empty) as one, running(full) as other:
        sides = {
            "empty": Side(one.port, secrets[0]["phone-new"], FEW),
            "full": Side(other.port, secrets[1]["phone-new"], JOBS),
        }
        for number in range(WRITES):
            for side in sides.values():
                side.write(random)
                if number % READ_EVERY == 0:
                    side.read()
    figures: dict[str, Any] = {
        "jobs": JOBS,
        "events": JOBS * EVENTS_EACH,
        "bytes_an_event": round(size / max(1, JOBS * EVENTS_EACH)),
        "load_average": os.getloadavg()[0],
    }
    for name, side in sides.items():
        figures[name] = {kind: taken.says() for kind, taken in side.taken.items()}
    write = {name: figures[name]["write"]["p95_ms"] for name in sides}
    return figures | {"write_p95_ratio": round(write["full"] / write["empty"], 2)}


def run(json_path: str | None = None) -> None:
    """Measure, print, and write the figures to a JSON file when a path is given."""
    with tempfile.TemporaryDirectory(prefix="witnessmark-size-") as name:
        if shutil.disk_usage(name).free < 2 * ROOM * JOBS * EVENTS_EACH:
            raise SystemExit("too little room on the disk: name another folder by TMPDIR")
        figures = compare(Path(name))
    print(json.dumps(figures, indent=1))
    verdict = "within" if figures["write_p95_ratio"] < RATIO else "OVER"
    print(f"write p95, full over empty: {figures['write_p95_ratio']} {verdict} {RATIO}")
    if json_path is not None:
        Path(json_path).write_text(json.dumps(figures, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    run()
