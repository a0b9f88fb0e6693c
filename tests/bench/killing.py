"""Reload, close and kill the browser between a tap and its sending, again and again."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from random import Random

from tests.bench.bare import PAGE, all_sent, fetch, load, write
from tests.bench.phones import Phone
from tests.bench.servers import WorkshopServer
from witnessmark.ledger.events import Event, read_event
from witnessmark.ledger.graph import Graph

WAYS = ("reload", "close", "kill")

LATEST = 0.12
"""Seconds after the tap was answered; what is written is sent about half as late."""

TAP_ON = """
const [job, note] = args;
const record = await wm.openRecord(wm.store, job);
for (let tap = 0; ; tap += 1) await record.write("measured", { note: `${note} ${tap}` });
"""
"""Taps without an end: the last is broken off in the middle."""


@dataclass
class Broken:
    """What came of it: which entries were answered for, and what the workshop has of them."""

    rounds: dict[str, int] = field(default_factory=dict)
    answered: list[str] = field(default_factory=list)
    before_sending: int = 0
    stored: list[str] = field(default_factory=list)
    gaps: int = 0
    forks: int = 0

    @property
    def lost(self) -> set[str]:
        """Entries that were answered for and are nowhere."""
        return set(self.answered) - set(self.stored)

    @property
    def doubled(self) -> int:
        """Rows beyond one for each entry."""
        return len(self.stored) - len(set(self.stored))


def break_off(phone: Phone, server: WorkshopServer, job: str, rounds: int, seed: int = 1) -> Broken:
    """Break the phone off that many times, the ways in turn, and look what is there at the end.

    Every other round leaves taps going on as it happens, so that a write is broken off too.
    """
    random, found = Random(seed), Broken(dict.fromkeys(WAYS, 0))
    fetch(phone, job)
    for number in range(rounds):
        way = WAYS[number % len(WAYS)]
        tapped = write(phone, job, f"round {number}")
        found.answered += tapped
        if number % 2:
            phone.start_run(TAP_ON, job, f"round {number} going on")
        time.sleep(random.uniform(0, LATEST))
        _break(phone, way)
        found.rounds[way] += 1
        found.before_sending += tapped[0] not in server.stored(job)
        load(phone)
    all_sent(phone, within=60)
    found.stored = server.stored(job)
    graph = Graph(_events(server, job))
    found.gaps, found.forks = len(graph.gaps), len(graph.forks)
    return found


def _break(phone: Phone, way: str) -> None:
    if way == "reload":
        phone.page.reload()
        return
    if way == "close":
        phone.close_tab()
    else:
        phone.kill()
    phone.open(PAGE)


def _events(server: WorkshopServer, job: str) -> dict[str, Event]:
    with server.tables() as models:
        rows = models.Event.objects.filter(job_id=job).values_list("id", "data")
        return {id_: read_event(bytes(data), id_) for id_, data in rows}
