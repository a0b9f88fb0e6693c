"""What the workshop itself writes into a job: a chain of its own, in a person's name.

No phone writes under this device, so that its chain has one writer.
"""

from __future__ import annotations

import secrets
from typing import Any

from witnessmark.ledger.canonical import digest
from witnessmark.ledger.clock import Clock, latest_of, tick
from witnessmark.ledger.events import event_bytes
from witnessmark.ledger.graph import Graph
from witnessmark.workshop import models
from witnessmark.workshop.arriving import Sent, take
from witnessmark.workshop.people import OWN, Sender, hashed
from witnessmark.workshop.standing import history
from witnessmark.workshop.writing import now, write_transaction


class NotWrittenError(ValueError):
    """An entry that was not taken; the text says why."""


def write_own(job: str, member: models.Member, type_: str, **fields: Any) -> str:  # noqa: ANN401
    """Write the next entry of the workshop's own chain, and give its id.

    Raises
    ------
    NotWrittenError
        If it was not taken.
    """
    with write_transaction():  # nobody writes between reading the chain and adding to it
        event = _next(job, member.id, type_, fields)
        data = event_bytes(event)
        answer = take(Sender(member, _device(member)), [Sent(digest(data), data)])[0]
    if answer.answer == "refused":
        raise NotWrittenError(answer.says or "it was not taken")
    return answer.id


def _next(job: str, person: str, type_: str, fields: dict[str, Any]) -> dict[str, Any]:
    graph = history(job)
    last = _last(graph)
    wall = now()
    clocks: list[Clock] = [(e["clock"][0], e["clock"][1]) for e in graph.events.values()]
    return {
        "v": 1,
        "type": type_,
        "job": job,
        "device": OWN,
        "seq": 1 if last is None else graph.events[last]["seq"] + 1,
        "prev": last,
        "seen": sorted(head for head in graph.heads() if head != last),
        "person": person,
        "clock": list(tick(latest_of(clocks), wall)),
        "wall": wall,
        "action": None,
        "object": None,
        "values": {},
        "photos": [],
        "note": None,
        "pack": None,
        **fields,
    }


def _last(graph: Graph) -> str | None:
    own = [id_ for id_ in graph.order if graph.events[id_]["device"] == OWN]
    return max(own, key=lambda id_: int(graph.events[id_]["seq"]), default=None)


def _device(member: models.Member) -> models.Device:
    """Give the device of these entries, which nobody has the secret of.

    It stands under somebody's name, and is theirs no more when they leave.
    """
    found, _ = models.Device.objects.get_or_create(
        id=OWN,
        defaults={
            "name": "the workshop's own entries",
            "member": member,
            "secret": hashed(secrets.token_urlsafe(32)),
            "paired": now(),
        },
    )
    if found.revoked is not None:
        found.revoked, found.member = None, member
        found.save(update_fields=["revoked", "member"])
    return found
