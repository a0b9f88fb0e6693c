"""Histories to measure the ledger on: one long job of eight phones, and many jobs of a workshop.

The long job is on a machine with sixty joints; half of its events are rule-book actions, half
are readings. The many jobs are a workshop's year: each does the plan of a belt job on a
demonstration machine from end to end, evidence said as it is asked, with readings and tools
between the steps, by two phones.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from witnessmark.ledger.canonical import digest, read_canonical
from witnessmark.ledger.clock import Clock, tick
from witnessmark.ledger.events import Event, event_bytes
from witnessmark.ledger.overlay import with_noted
from witnessmark.ledger.pack import empty_pack, job_pack
from witnessmark.machine.reading import read_machine
from witnessmark.machine.workshop import Workshop
from witnessmark.planning.planner import make_plan
from witnessmark.procedure.compile import compile_problem

EVENTS = 100_000
DEVICES = 8
JOINTS = 60
TURN = 40
_START = 1_760_000_000_000
_DAY = 86_400_000
_DEMO = Path(__file__).parents[1] / "demo" / "machines"


class Phones:
    """Phones that write on one job, each its own chain, and hear one another when told to."""

    def __init__(self, job: str, count: int) -> None:
        self.job = job
        self.events: dict[str, Event] = {}
        self.last: list[str | None] = [None] * count
        self.heard: list[set[str]] = [set() for _ in range(count)]
        self.clocks: list[Clock] = [(0, 0)] * count

    def hear(self, who: int, other: int) -> None:
        """Let one phone hear what another wrote last, and so all that one knew."""
        head = self.last[other]
        if other != who and head is not None:
            self.heard[who].add(head)
            self.clocks[who] = max(self.clocks[who], self.clocks[other])

    def write(self, who: int, wall: int, lie: int = 0, **said: Any) -> None:  # noqa: ANN401 - plain data
        """Write an event; `lie` milliseconds is what a clock that lies adds."""
        self.clocks[who] = tick(self.clocks[who], wall)
        prev = self.last[who]
        event: Event = {
            "v": 1,
            "type": "measured",
            "job": self.job,
            "device": f"phone-{who}",
            "seq": 1 if prev is None else self.events[prev]["seq"] + 1,
            "prev": prev,
            "seen": sorted(self.heard[who]),
            "person": f"person-{who % 3}",
            "clock": [self.clocks[who][0] + lie, self.clocks[who][1]],
            "wall": wall + lie,
            "action": None,
            "object": None,
            "values": {},
            "photos": [],
            "note": None,
            "pack": None,
            **said,
        }
        self.heard[who] = set()
        id_ = digest(event_bytes(event))
        self.events[id_] = event
        self.last[who] = id_


def long_job(*, turns: bool, lies: bool = False, count: int = EVENTS) -> dict[str, Event]:
    """Let eight phones write: in turns, or all at once with heads heard now and then."""
    chance = random.Random(20260401)
    phones = Phones("bench", DEVICES)
    for number in range(count):
        who = (number // TURN if turns else number) % DEVICES
        if number % TURN == 0 if turns else chance.random() < 0.05:
            phones.hear(who, (who - 1) % DEVICES if turns else chance.randrange(DEVICES))
        lie = (who - 1) * 9 * _DAY if lies and who < 2 else 0
        phones.write(who, _START + number * 500, lie, **_something(chance, number))
    return phones.events


def _something(chance: random.Random, number: int) -> dict[str, Any]:
    if number % 2:
        action = chance.choice(("crack-off", "take-out", "put-in-loose", "make"))
        return {"type": "done", "action": action, "object": f"joint-{chance.randrange(JOINTS)}"}
    values = {"what": "free play", "reading": f"{chance.randrange(100)}.5 mm"}
    return {"values": values, "note": "as before" if number % 7 == 0 else None}


def long_job_pack() -> dict[str, Any]:
    """Make the pack of a machine nobody has described, with sixty joints noted on it."""
    made = empty_pack("bench", "bench")
    noted = [
        {
            "type": "noted",
            "object": f"joint-{number}",
            "values": {"kind": "joint", "count": 4, "name": f"joint {number}"},
        }
        for number in range(JOINTS)
    ]
    return {**made, **with_noted(made, noted)}


# A workshop's jobs


def workshop_pack() -> dict[str, Any]:
    """Plan the timing belt of a demonstration machine, and pack it as phones get it."""
    read = read_machine(lambda name: (_DEMO / name).read_bytes(), "brack-genset-12.yaml").value
    if read is None:
        raise SystemExit("the demonstration's generating set cannot be read")
    workshop = Workshop(name="bench", file="workshop.yaml", rate_per_hour=Fraction(60))
    compiled = compile_problem(read, ("timing-belt",), workshop)
    plan = make_plan(compiled.problem).plan
    if plan is None:
        raise SystemExit("the demonstration's belt job has no plan")
    pack: dict[str, Any] = job_pack(compiled, plan)
    return pack


def many_jobs(
    pack: dict[str, Any], *, deaf: float, count: int = EVENTS
) -> Iterator[dict[str, Event]]:
    """Give jobs that have `count` events together; `deaf` is how often a phone hears nothing."""
    chance, number, written = random.Random(20260402), 0, 0
    while written < count:
        phones = Phones(f"job-{number}", 2)
        wall = _START + number * _DAY // 4
        for turn, said in enumerate(_belt_job(pack, chance)):
            who = turn // 20 % 2
            if chance.random() >= deaf:
                phones.hear(who, 1 - who)
            phones.write(who, wall + turn * 60_000, **said)
        yield phones.events
        number, written = number + 1, written + len(phones.events)


def _belt_job(pack: dict[str, Any], chance: random.Random) -> Iterator[dict[str, Any]]:
    """Do the plan's steps in order; between them readings, and tools in and out again."""
    actions = {row["id"]: row for row in pack["rules"]["actions"]}
    yield {"type": "begin", "pack": digest(b"bench")}
    for step in pack["plan"]["steps"]:
        yield {"type": "put", "values": {"what": "rag", "how": "in"}}
        if step["kind"] == "block":
            yield {"type": "block", "object": step["object"]}
        else:
            asked = actions[step["action"]]
            words = [each for list_ in _ASKED for each in asked[list_]]
            values = {each: f"said: {each}" for each in words if chance.random() < 0.95}
            yield {
                "type": "done",
                "action": step["action"],
                "object": step["object"],
                "values": values | {"how": "by the card"},
            }
        reading = f"{chance.randrange(100)}.5"
        yield {"values": {"what": "gap", "reading": reading, "at_most": "100"}}
        yield {"type": "put", "values": {"what": "rag", "how": "out"}}


_ASKED = ("evidence", "critical_evidence", "renewal_evidence", "setting_evidence")


def as_read(event: Event) -> Event:
    """Give an event as it comes from its bytes: no text shared with any other."""
    read: Event = read_canonical(event_bytes(event))
    return read
