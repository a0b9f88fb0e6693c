"""The workshop's server under load: fifty phones, steadily, all at once, and coming back.

Two cores serve and ask at the same time, so the generator's own share of the processor is
said, and how busy the computer was. Every event goes on a real chain, and every one must be
taken as new.
"""

from __future__ import annotations

import json
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from itertools import cycle
from pathlib import Path
from random import Random
from typing import Any

from benchmarks.load_clients import Asking, Taken, all_at_once, every
from benchmarks.load_workshop import Filled, Running, Writer, fill, running

SECONDS = float(os.environ.get("SECONDS", "60"))
"""How long each steady stretch lasts. [s]"""

EVENT_EVERY = 2.0
PAGE_EVERY = 10.0
PLAN_EVERY = 5.0
BACK_WITH = 100
SATURATING = (8, 16)
"""Clients that send one event after the other without a pause; the server has four hands."""

LIMITS = {
    "steady": {"write": ("p95_ms", 50.0), "bench": ("p95_ms", 100.0)},
    "planning": {"write": ("p95_ms", 50.0), "plan": ("p95_ms", 300.0)},
    "saturated by 8": {"write": ("p99_ms", 100.0)},
    "saturated by 16": {"write": ("p99_ms", 100.0)},
    "coming back": {"page": ("p95_ms", 250.0)},
}
ALL_BACK_WITHIN = 10.0

Figures = dict[str, Any]


class Load:
    """Fifty phones and the server they talk to."""

    def __init__(self, filled: Filled, server: Running) -> None:
        self.filled, self.server = filled, server
        self.random = Random(7)
        self.writers = {n: Writer(n, job) for n, job in filled.jobs.items()}

    def asking(self, device: str) -> Asking:
        """Open a connection as a device."""
        return Asking(self.server.port, self.filled.secrets[device])

    @contextmanager
    def watched(self, figures: Figures) -> Iterator[None]:
        """Note what the processor did for whom."""
        begun, server, own = time.perf_counter(), self.server.processor(), _own()
        yield
        seconds = time.perf_counter() - begun
        server, own = self.server.processor() - server, _own() - own
        figures["seconds"] = round(seconds, 1)
        figures["server_cores"] = round(server / seconds, 2)
        figures["generator_cores"] = round(own / seconds, 2)
        figures["load_average"] = os.getloadavg()[0]

    # Steady

    def phone(self, device: str, until: float, taken: dict[str, Taken]) -> None:
        """Write an event every two seconds, look at a bench page every ten."""
        asking, job, random = self.asking(device), self.filled.jobs[device], Random(device)
        pages = cycle(self.pages(job))
        for turn, _ in enumerate(every(EVENT_EVERY, until, random)):
            asking.send(taken["write"], self.writers[device].sent())
            if turn % round(PAGE_EVERY / EVENT_EVERY) == 0:
                kind, path = next(pages)
                asking.ask(taken[kind], "GET", path)

    def pages(self, job: str) -> list[tuple[str, str]]:
        """Give what a phone fetches, by what it counts as."""
        return [
            ("bench", f"/api/jobs/{job}/bench"),
            ("bench", f"/api/jobs/{job}/packs/{self.filled.packs[job]}"),
            ("page", f"/api/jobs/{job}/standing"),
            ("page", "/api/jobs"),
        ]

    def steady(self, *, planning: bool) -> Figures:
        """Let all phones work; and somebody ask for a new plan every five seconds."""
        until = time.monotonic() + SECONDS
        taken = {kind: Taken() for kind in ("write", "bench", "page", "plan")}
        acts: list[Callable[[], None]] = [
            partial(self.phone, device, until, taken) for device in self.writers
        ]
        if planning:
            acts.append(partial(self.planner, until, taken["plan"]))
        figures: Figures = {}
        with self.watched(figures):
            all_at_once(acts)
        return figures | {kind: each.says() for kind, each in taken.items() if each.seconds}

    def planner(self, until: float, taken: Taken) -> None:
        """Ask for a new plan of one job after the other."""
        asking, jobs = self.asking("phone-0"), cycle(self.filled.packs)
        for _ in every(PLAN_EVERY, until, self.random):
            asking.ask(taken, "POST", f"/api/jobs/{next(jobs)}/replan", b"{}")

    # As fast as can be

    def saturated(self, clients: int) -> Figures:
        """Let some clients send without a pause."""
        taken = Taken()
        figures: Figures = {}
        names = list(self.writers)[:clients]
        until = time.monotonic() + SECONDS / 3

        def send(name: str) -> None:
            asking = self.asking(name)
            while time.monotonic() < until:
                asking.send(taken, self.writers[name].sent())

        with self.watched(figures):
            all_at_once([partial(send, name) for name in names])
        figures["events_a_second"] = round(len(taken.seconds) / figures["seconds"])
        return figures | {"write": taken.says()}

    # Coming back

    def coming_back(self) -> Figures:
        """Let every phone send a hundred events at once, while others look at pages."""
        sent, pages = Taken(), Taken()
        figures: Figures = {}
        names = list(self.writers)
        batches = {name: self.writers[name].sent(BACK_WITH) for name in names}
        done = [False]

        def look(number: int) -> None:
            asking, jobs = self.asking(names[number]), cycle(self.filled.packs)
            while not done[0]:
                for _, path in self.pages(next(jobs)):
                    asking.ask(pages, "GET", path)
                    time.sleep(0.1)

        def back() -> None:
            figures["all_back_s"] = round(
                all_at_once([partial(self._back, n, batches[n], sent) for n in names]), 2
            )
            done[0] = True

        with self.watched(figures):
            all_at_once([back, *(partial(look, number) for number in range(4))])
        return figures | {"batch": sent.says(), "page": pages.says()}

    def _back(self, name: str, batch: list[dict[str, str]], taken: Taken) -> None:
        self.asking(name).send(taken, batch)


def _own() -> float:
    times = os.times()
    return times.user + times.system


def run(json_path: str | None = None) -> None:
    """Measure, print, and write the figures to a JSON file when a path is given."""
    with tempfile.TemporaryDirectory(prefix="witnessmark-load-") as name:
        folder = Path(name)
        filled = fill(folder)
        with running(folder) as server:
            load = Load(filled, server)
            figures = {
                "steady": load.steady(planning=False),
                "planning": load.steady(planning=True),
                "coming back": load.coming_back(),
            } | {f"saturated by {n}": load.saturated(n) for n in SATURATING}
    for stretch, found in figures.items():
        print(f"{stretch}: {json.dumps(found)}", flush=True)
    for line in _verdicts(figures):
        print(line)
    if json_path is not None:
        Path(json_path).write_text(json.dumps(figures, indent=1) + "\n", encoding="utf-8")


def _verdicts(figures: dict[str, Figures]) -> Iterator[str]:
    for stretch, limits in LIMITS.items():
        for kind, (name, limit) in limits.items():
            found = figures[stretch].get(kind, {}).get(name)
            verdict = "within" if found is not None and found < limit else "OVER"
            yield f"{stretch}, {kind} {name}: {found} {verdict} {limit:g}"
    back = figures["coming back"]["all_back_s"]
    verdict = "within" if back < ALL_BACK_WITHIN else "OVER"
    yield f"all back: {back} s {verdict} {ALL_BACK_WITHIN:g} s"
    wrong = [
        each["first_error"]
        for found in figures.values()
        for each in found.values()
        if isinstance(each, dict) and each["errors"]
    ]
    yield f"errors: {wrong or 'none'}"


if __name__ == "__main__":
    run()
