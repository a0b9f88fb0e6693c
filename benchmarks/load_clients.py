"""Clients of a load: each a thread with a connection of its own that is kept open."""

from __future__ import annotations

import http.client
import json
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from random import Random
from typing import Any


@dataclass
class Taken:
    """How long each request of a kind took [s], and what went wrong."""

    seconds: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def at(self, share: float) -> float:
        """Give the time [ms] within which this share of the requests was answered."""
        ordered = sorted(self.seconds)
        return 1_000 * ordered[min(len(ordered) - 1, int(len(ordered) * share))] if ordered else 0.0

    def says(self) -> dict[str, Any]:
        """Give the figures."""
        figures: dict[str, Any] = {
            "requests": len(self.seconds),
            "p50_ms": round(self.at(0.5), 1),
            "p95_ms": round(self.at(0.95), 1),
            "p99_ms": round(self.at(0.99), 1),
            "errors": len(self.errors),
        }
        return figures | ({"first_error": self.errors[0]} if self.errors else {})


class Asking:
    """One connection to the server, opened again when it was lost."""

    def __init__(self, port: int, secret: str) -> None:
        self.port = port
        self.head = {"Authorization": f"Bearer {secret}", "Content-Type": "application/json"}
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)

    def ask(self, taken: Taken, method: str, path: str, body: bytes | None = None) -> bytes:
        """Ask once, and note how long the whole answer took."""
        begun = time.perf_counter()
        try:
            self.connection.request(method, path, body, self.head)
            answer = self.connection.getresponse()
            said = answer.read()
        except (OSError, http.client.HTTPException) as error:
            self.connection.close()
            taken.errors.append(f"{path}: {error!r}")
            return b""
        taken.seconds.append(time.perf_counter() - begun)
        if answer.status != 200:
            taken.errors.append(f"{path}: {answer.status} {said[:120]!r}")
        return said

    def send(self, taken: Taken, events: list[dict[str, str]]) -> None:
        """Send events; whatever was not taken is an error."""
        said = self.ask(taken, "POST", "/api/events", json.dumps({"events": events}).encode())
        answers = json.loads(said).get("answers", []) if said else []
        if not all(each["answer"] == "new" for each in answers) or len(answers) != len(events):
            taken.errors.append(f"not all were taken: {said[:120]!r}")


def every(seconds: float, until: float, random: Random) -> Iterator[None]:
    """Come back at a steady pace from a random moment on; late turns are not caught up."""
    at = time.monotonic() + random.uniform(0, seconds)
    while at < until:
        time.sleep(max(0.0, at - time.monotonic()))
        yield
        at = max(at + seconds, time.monotonic())


def all_at_once(acts: list[Callable[[], None]]) -> float:
    """Run acts in a thread each; give how long it took till the last was done [s]."""
    threads = [threading.Thread(target=act, daemon=True) for act in acts]
    begun = time.perf_counter()
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return time.perf_counter() - begun
