"""A workshop served by a process of its own, on a folder of its own."""

from __future__ import annotations

import http.client
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from witnessmark.workshop.places import Place

ROOT = Path(__file__).parents[2]

WITNESSMARK = (sys.executable, "-m", "witnessmark")

_STARTS_WITHIN = 60
"""Seconds; the machine may be busy."""


class WorkshopServer:
    """The server as `witnessmark serve` runs it; its address stays the same over restarts."""

    def __init__(self, folder: Path, sources: Path | None = None) -> None:
        self.place, self.sources = Place(folder), sources
        with socket.socket() as found:
            found.bind(("127.0.0.1", 0))
            self.port = int(found.getsockname()[1])
        self.origin = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None
        self.devices = self.jobs = 0

    # The process

    def start(self) -> WorkshopServer:
        """Start, and wait until it answers."""
        self.process = subprocess.Popen(
            [*WITNESSMARK, "serve", "--data", str(self.place.folder), "--port", str(self.port)],
            cwd=ROOT,
            env={
                **os.environ,
                **({} if self.sources is None else {"PYTHONPATH": str(self.sources)}),
                # As installed: compiled once, also where Python is told to leave nothing.
                "PYTHONDONTWRITEBYTECODE": "",
                "PYTHONPYCACHEPREFIX": str(self.place.folder.parent / "compiled"),
            },
            stdout=subprocess.DEVNULL,
            start_new_session=True,
        )
        until = time.monotonic() + _STARTS_WITHIN
        while time.monotonic() < until:
            try:
                self.ask("/bench/")
            except OSError:
                time.sleep(0.03)
            else:
                return self
        self.kill()
        raise AssertionError("the server never answered")

    def stop(self) -> None:
        """Stop it as Ctrl-C does; kill what is left after a while."""
        if self.process is None:
            return
        self._signal(signal.SIGCONT)
        self._signal(signal.SIGTERM)
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(5)
        self.kill()

    def kill(self) -> None:
        """Kill the whole process group at once."""
        if self.process is None:
            return
        self._signal(signal.SIGKILL)
        self.process.wait()
        while self._signal(0):
            time.sleep(0.005)
        self.process = None

    def freeze(self) -> None:
        """Hold it still: connections are taken by the system and never answered."""
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """Let it go on."""
        self._signal(signal.SIGCONT)

    def restart(self) -> None:
        """Kill it and start it again at the same address."""
        self.kill()
        self.start()

    def _signal(self, number: int) -> bool:
        assert self.process is not None
        try:
            os.killpg(self.process.pid, number)
        except ProcessLookupError:
            return False
        return True

    def ask(self, path: str, secret: str | None = None) -> tuple[int, bytes]:
        """Ask for a page without a browser."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
        try:
            head = {} if secret is None else {"Authorization": f"Bearer {secret}"}
            connection.request("GET", path, headers=head)
            answer = connection.getresponse()
            return answer.status, answer.read()
        except http.client.HTTPException as error:
            raise ConnectionError(str(error)) from None
        finally:
            connection.close()

    # Its tables, looked at and changed beside it

    @contextmanager
    def tables(self) -> Iterator[Any]:
        """Give the models of this workshop, for as long as needed."""
        from django.db import connections

        from witnessmark.workshop.starting import start

        start(self.place, tables_are_ready=True)
        from witnessmark.workshop import models

        try:
            yield models
        finally:
            connections.close_all()

    def pair_device(self, member: str = "pim", name: str = "a phone") -> dict[str, Any]:
        """Pair a device without its pairing page; give what `me.js` takes."""
        with self.tables():
            from witnessmark.workshop import people

            self.devices += 1
            id_ = f"test-{member}-{self.devices}"
            secret = people.pair(id_, name, member)
        return {"device": {"id": id_, "name": name}, "secret": secret}

    def pair(self, member: str = "pim") -> str:
        """Give a pairing code for a member, as the desk shows it."""
        with self.tables():
            from witnessmark.workshop.pairing import new_code

            return new_code(member)

    def revoke(self, device: str) -> None:
        """Revoke a device, as an owner does."""
        with self.tables():
            from witnessmark.workshop import people

            assert people.revoke(device)

    def open_job(
        self, id_: str, title: str, pack: bytes | None = None, member: str = "pim"
    ) -> None:
        """Open a job for a member, with its pack's canonical bytes where it has one."""
        with self.tables() as models:
            from witnessmark.workshop.writing import now

            job = models.Job.objects.create(id=id_, title=title, opened=now())
            models.OnJob.objects.create(job=job, member_id=member)
        if pack is not None:
            with self.tables():
                from witnessmark.ledger.canonical import digest
                from witnessmark.workshop.packs import keep_pack_bytes

                keep_pack_bytes(id_, digest(pack), pack)

    def stored(self, job: str, *, held: bool = False) -> list[str]:
        """Give the ids of a job's events in the order they came in."""
        with self.tables() as models:
            rows = models.Event.objects.filter(job_id=job, held=held).order_by("arrival__number")
            return list(rows.values_list("id", flat=True))


def empty_workshop(folder: Path) -> None:
    """Make tables with an owner, a technician and an apprentice in them, and no job."""
    from django.db import connections

    from witnessmark.workshop.starting import start

    start(Place(folder))
    from witnessmark.workshop import models

    for id_, name, role in (
        ("ola", "Ola Tern", "owner"),
        ("pim", "Pim Dunlin", "technician"),
        ("una", "Una Snipe", "apprentice"),
    ):
        member = models.Member(id=id_, name=name, role=role)
        member.set_unusable_password()
        member.save()
    connections.close_all()


def demo_workshop(folder: Path) -> None:
    """Make the demonstration's workshop, as the command does."""
    asked = [*WITNESSMARK, "load-demo", "--data", str(folder)]
    subprocess.run(asked, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)


def copied(template: Path, folder: Path) -> Path:
    """Copy a workshop that is not being served."""
    shutil.copytree(template, folder)
    return folder
