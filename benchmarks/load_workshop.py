"""A workshop to put under load: fifty paired phones on twenty-five jobs of the demonstration."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path
from typing import Any

from tests.workshop.crashing import group_lives, processor_seconds
from tests.workshop.half_way import DEMO, half_way
from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.ledger.events import event_bytes
from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start

DEVICES = 50
JOBS = 25
STAGES = (
    ("gull-20", "timing-belt", 6),
    ("brack-genset-12", "injection-pump", 1),
    ("gull-20", "clutch", 2),
    ("brack-genset-12", "crank-seal", 1),
    ("tarn-two-stage", "valve-plates", 3),
)
"""Machine, work and twelfths of the steps done: at most sixty openings are left of each."""


@dataclass(frozen=True, slots=True)
class Filled:
    """What was filled in: the secret and job of each device, the pack of each job."""

    secrets: dict[str, str]
    jobs: dict[str, str]
    packs: dict[str, str]


def fill(folder: Path) -> Filled:
    """Make the workshop; each job has the events of its first steps."""
    start(Place(folder))
    from django.db import connections

    from witnessmark.workshop import models, people

    shutil.copytree(DEMO / "machines", folder / "machines")
    shutil.copy(DEMO / "workshop.yaml", folder)
    member = models.Member(id="ann", name="Ann", role="owner")
    member.set_unusable_password()
    member.save()
    stages = cycle(STAGES)
    packs = {f"job-{n}": _job(f"job-{n}", *next(stages)) for n in range(JOBS)}
    names = [f"phone-{n}" for n in range(DEVICES)]
    secrets = {name: people.pair(name, name, "ann") for name in names}
    connections.close_all()
    return Filled(secrets, {name: f"job-{n % JOBS}" for n, name in enumerate(names)}, packs)


def _job(id_: str, machine: str, work: str, twelfths: int) -> str:
    from witnessmark.workshop import models, people
    from witnessmark.workshop.arriving import Sent, take
    from witnessmark.workshop.packs import keep_pack

    member = models.Member.objects.get(id="ann")
    models.Job.objects.create(id=id_, title=f"{machine} {work}", opened=1, machine=machine)
    pack, phone = half_way(machine, work, twelfths, job=id_, device=f"desk-{id_}")
    people.pair(f"desk-{id_}", "a desk", "ann")
    kept = keep_pack(id_, pack)
    batch = [Sent(digest(data), data) for data in map(event_bytes, phone.holds.values())]
    answers = take(people.Sender(member), batch)
    assert all(each.answer == "new" for each in answers)
    return kept


class Writer:
    """Writes a device's chain quickly: only the last event is held."""

    def __init__(self, device: str, job: str) -> None:
        self.device, self.job = device, job
        self.last: str | None = None
        self.seq = 0

    def sent(self, count: int = 1) -> list[dict[str, str]]:
        """Give so many events as they are sent."""
        return [self._one() for _ in range(count)]

    def begins(self, pack: str) -> dict[str, str]:
        """Give the event that begins a job."""
        return self._one(type="begin", pack=pack, values={"works": []}, note=None)

    def _one(self, **fields: Any) -> dict[str, str]:  # noqa: ANN401 - an event's own fields
        self.seq += 1
        wall = 1_760_000_000_000 + self.seq * 2_000
        event: dict[str, Any] = {
            "v": 1,
            "type": "measured",
            "job": self.job,
            "device": self.device,
            "seq": self.seq,
            "prev": self.last,
            "seen": [],
            "person": "ann",
            "clock": [wall, 0],
            "wall": wall,
            "action": None,
            "object": None,
            "values": {"what": "free play", "reading": f"{self.seq % 10}.5 mm"},
            "photos": [],
            "note": "as before, looked at again" if self.seq % 7 == 0 else None,
            "pack": None,
            **fields,
        }
        data = canonical_bytes(event)
        self.last = digest(data)
        return {"id": self.last, "event": data.decode()}


@dataclass(frozen=True, slots=True)
class Running:
    """The server that runs: its port and process group."""

    port: int
    group: int

    def processor(self) -> float:
        """Give the seconds of the processor that its processes have used."""
        return processor_seconds(self.group)


@contextmanager
def running(folder: Path) -> Iterator[Running]:
    """Run `witnessmark serve` on a workshop, in a process group of its own."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = int(found.getsockname()[1])
    process = subprocess.Popen(
        [sys.executable, "-m", "witnessmark", "serve", "--data", str(folder), "--port", str(port)],
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": ""},
        stdout=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        _wait_for(port)
        yield Running(port, process.pid)
    finally:
        os.killpg(process.pid, signal.SIGTERM)
        process.wait()
        if group_lives(process.pid):
            os.killpg(process.pid, signal.SIGKILL)


def _wait_for(port: int) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise SystemExit("the server never answered")
