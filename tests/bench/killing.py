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
"""Seconds after the tap was answered; what is written is sent about half as late, if it can."""

TAP_ON = """
const [job, note] = args;
const record = await wm.openRecord(wm.store, job);
for (let tap = 0; ; tap += 1) await record.write("measured", { note: `${note} ${tap}` });
"""
"""Taps without an end: the last is broken off in the middle."""


@dataclass
class Broken:
    """What came of it: which entries were answered for, and what the workshop has of them."""

    job: str
    rounds: dict[str, int]
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

    Every other round the workshop stands still meanwhile, so that nothing is acknowledged, or
    even sent, before; in every fourth taps go on as it happens, so that a write is broken off.
    """
    random, found = Random(seed), Broken(job, dict.fromkeys(WAYS, 0))
    fetch(phone, job)
    for number in range(rounds):
        way = WAYS[number % len(WAYS)]
        if number % 2 == 0:
            server.freeze()
        found.answered += write(phone, job, f"round {number}")
        if number % 4 > 1:
            phone.start_run(TAP_ON, job, f"round {number} going on")
        time.sleep(random.uniform(0, LATEST))
        _break(phone, way, server, found)
        found.rounds[way] += 1
        load(phone)
    all_sent(phone, within=60)
    found.stored = server.stored(job)
    graph = Graph(_events(server, job))
    found.gaps, found.forks = len(graph.gaps), len(graph.forks)
    return found


def _break(phone: Phone, way: str, server: WorkshopServer, found: Broken) -> None:
    """Break it off, note whether the workshop had the last tap by then, and open it again."""
    if way == "close":
        phone.close_tab()
    elif way == "kill":
        phone.kill()
    found.before_sending += found.answered[-1] not in server.stored(found.job)
    server.thaw()
    if way == "reload":
        phone.page.reload()
    else:
        phone.open(PAGE)


def _events(server: WorkshopServer, job: str) -> dict[str, Event]:
    with server.tables() as models:
        rows = models.Event.objects.filter(job_id=job).values_list("id", "data")
        return {id_: read_event(bytes(data), id_) for id_, data in rows}
