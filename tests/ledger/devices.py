"""Devices that write events as phones do, for tests: honest, forking, forgetful, misclocked."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from witnessmark.ledger.clock import START, latest_of, tick
from witnessmark.ledger.events import Event, event_id


def event_of(**fields: Any) -> Event:
    """Give an event that says nothing but what is handed in."""
    return {
        "v": 1,
        "type": "done",
        "job": "job-1",
        "person": "ada",
        "action": None,
        "object": None,
        "values": {},
        "photos": [],
        "note": None,
        "pack": None,
        **fields,
    }


@dataclass
class Device:
    """One phone: what it holds, where its own chain ends and how wrong its clock is."""

    name: str
    wrong_by: int = 0
    holds: dict[str, Event] = field(default_factory=dict)
    last: str | None = None
    now: int = 1_700_000_000_000

    def write(self, **fields: Any) -> str:
        """Write an event that knows everything this device holds."""
        self.now += 1_000
        wall = self.now + self.wrong_by
        clock = tick(latest_of(tuple(e["clock"]) for e in self.holds.values()) or START, wall)
        before = self.holds[self.last] if self.last else None
        event = event_of(
            type="measured",
            device=self.name,
            seq=before["seq"] + 1 if before else 1,
            prev=self.last,
            seen=self._others_heads(),
            clock=list(clock),
            wall=wall,
        )
        event |= fields
        id_ = event_id(event)
        self.holds[id_] = event
        self.last = id_
        return id_

    def hear(self, other: Device) -> None:
        """Take what another device holds."""
        self.holds |= other.holds

    def lose_last(self) -> None:
        """Come back from an older backup: the last own event is forgotten, a fork to come."""
        if self.last is not None:
            self.last = self.holds.pop(self.last)["prev"]

    def _others_heads(self) -> list[str]:
        named = {c for e in self.holds.values() for c in (e["prev"], *e["seen"])}
        mine = self.last
        return sorted(id_ for id_ in self.holds if id_ not in named and id_ != mine)
