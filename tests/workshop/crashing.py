"""A real server under writes from several clients, killed again and again."""

from __future__ import annotations

import http.client
import json
import mmap
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tests.ledger.devices import Device
from witnessmark.ledger.events import event_bytes

SERVE = """
import os, sys
from granian.constants import Interfaces
from granian.server import Server
os.environ["WITNESSMARK_PARENT"] = str(os.getpid())
Server(sys.argv[1], address="127.0.0.1", port=int(sys.argv[2]), interface=Interfaces.WSGI,
       workers=1, blocking_threads=4, log_enabled=False).serve()
"""


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


class Server:
    """The server in a process group of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, free_port()
        self.mark = folder / "mark"
        self.mark.write_bytes(b"\0")
        with self.mark.open("r+b") as file:
            self.open = mmap.mmap(file.fileno(), 1)
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> tuple[float, float]:
        """Start and wait until it answers; give the seconds that took, and of the processor."""
        self.open[0] = 0
        began = time.monotonic()
        root = Path(__file__).parents[2]
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                SERVE,
                "tests.workshop.marked_server:application",
                str(self.port),
            ],
            cwd=root,
            env={
                **os.environ,
                "WITNESSMARK_DATA": str(self.folder),
                "TEST_MARK": str(self.mark),
                "PYTHONPATH": str(root),
                # As installed: compiled once, also where Python is told to leave nothing.
                "PYTHONDONTWRITEBYTECODE": "",
                "PYTHONPYCACHEPREFIX": str(self.folder / "compiled"),
            },
            start_new_session=True,
        )
        while time.monotonic() < began + 30:
            try:
                ask(self.port, "GET", "/api/jobs", None, "nobody")
            except OSError:
                time.sleep(0.03)
            else:
                return time.monotonic() - began, processor_seconds(self.process.pid)
        raise AssertionError("the server never answered")

    def kill(self) -> bool:
        """Kill the whole group; tell whether a transaction was open then."""
        assert self.process is not None
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        while group_lives(self.process.pid):
            time.sleep(0.005)
        return bool(self.open[0])


def processor_seconds(group: int) -> float:
    """Add up what the processes of a group have used: proc(5), fields 5, 14 and 15."""
    ticks = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[2]) == group:
            ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def group_lives(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


def ask(port: int, method: str, path: str, body: object, secret: str) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        head = {"Authorization": f"Bearer {secret}", "Content-Type": "application/json"}
        connection.request(method, path, None if body is None else json.dumps(body), head)
        answer = connection.getresponse()
        return answer.status, answer.read()
    except http.client.HTTPException as error:
        raise ConnectionError(str(error)) from None
    finally:
        connection.close()


@dataclass
class Client(threading.Thread):
    """A phone that sends, and sends again until it is answered."""

    name_: str
    secret: str
    port: int
    acknowledged: set[str] = field(default_factory=set)
    stopped: threading.Event = field(default_factory=threading.Event)
    wrong: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(daemon=True)
        self.device = Device(self.name_)

    def __hash__(self) -> int:
        return id(self)

    def run(self) -> None:
        unsent: list[str] = []
        while not self.stopped.is_set():
            if not unsent:
                # Only the last event is needed to write the next.
                self.device.holds = {
                    i: e for i, e in self.device.holds.items() if i == self.device.last
                }
                unsent = [self.device.write(job="job-1") for _ in range(3)]
            events = [
                {"id": i, "event": event_bytes(self.device.holds[i]).decode()} for i in unsent
            ]
            try:
                status, body = ask(
                    self.port, "POST", "/api/events", {"events": events}, self.secret
                )
            except OSError:
                time.sleep(0.05)
                continue
            answers = json.loads(body)["answers"] if status == 200 else []
            if [a["id"] for a in answers if a["answer"] in {"new", "again"}] != unsent:
                self.wrong.append(f"{status} {body[:200]!r}")
                return
            self.acknowledged.update(unsent)
            unsent = []


@dataclass
class Figures:
    """What came of it."""

    rounds: int
    inside: int
    acknowledged: set[str]
    slowest_restart: float
    restart_processor: float
    wrong: list[str]


def crash(folder: Path, secrets: dict[str, str], rounds: int, seed: int = 1) -> Figures:
    """Kill the server in the middle of writes from as many clients as there are secrets.

    The kill waits up to 50 ms for a transaction to be open; what is counted is the mark that
    the dead server left.
    """
    random, server = Random(seed), Server(folder)
    server.start()
    clients = [Client(name, secret, server.port) for name, secret in secrets.items()]
    for each in clients:
        each.start()
    inside, restarts = 0, []
    for _ in range(rounds):
        time.sleep(random.uniform(0.05, 0.25))
        until = time.monotonic() + 0.05
        while not server.open[0] and time.monotonic() < until:
            time.sleep(0)
        inside += server.kill()
        restarts.append(server.start())
    time.sleep(0.2)
    for each in clients:
        each.stopped.set()
    for each in clients:
        each.join(15)
    server.kill()
    acknowledged = set().union(*(each.acknowledged for each in clients))
    wrong = [said for each in clients for said in each.wrong]
    slowest, busiest = (max(each) for each in zip(*restarts, strict=True))
    return Figures(rounds, inside, acknowledged, slowest, busiest, wrong)
