"""Where a job stands, by its events: folded on the server as on the phones, and kept a while."""

from __future__ import annotations

from typing import Any

import msgspec

from witnessmark.ledger.canonical import canonical_bytes, digest
from witnessmark.ledger.events import Event, read_stored
from witnessmark.ledger.graph import Graph
from witnessmark.workshop import models
from witnessmark.workshop.arriving import stored_events
from witnessmark.workshop.writing import write_transaction


def history(job: str) -> Graph:
    """Give the graph of a job's events, without those kept apart."""
    return Graph({id_: read_stored(data, id_) for id_, data in stored_events(job).items()})


def view_of(job: str) -> dict[str, Any]:
    """Give where a job stands; folded again only when something came in since."""
    made_from = _made_from(job)
    kept = models.View.objects.filter(job_id=job, made_from=made_from).first()
    if kept is not None:
        found: dict[str, Any] = msgspec.json.decode(bytes(kept.data))
        return found
    # The rules are read when they are first needed, so that a server is back soon.
    from witnessmark.ledger.fold import fold
    from witnessmark.ledger.outstanding import outstanding

    graph = history(job)
    view = {
        "heads": graph.heads(),
        "forks": graph.forks,
        "gaps": graph.gaps,
        "unknown": graph.unknown,
        "outstanding": outstanding(fold(pack_of(graph), graph, photos_here(job))),
        "closed": _is_closed(graph),
        "events": len(graph.order),
    }
    with write_transaction():
        models.View.objects.update_or_create(
            job_id=job, defaults={"made_from": made_from, "data": msgspec.json.encode(view)}
        )
    return view


def photos_here(job: str) -> list[str]:
    """Give the hashes of the photos that have come in for a job."""
    rows = models.PhotoOfJob.objects.filter(job_id=job).order_by("photo_id")
    return list(rows.values_list("photo_id", flat=True))


def pack_of(graph: Graph) -> dict[str, Any]:
    """Give the pack a job is on: that of its last `begin` or `rebase` whose pack is here."""
    moves = [_pack_in(graph.events[id_]) for id_ in graph.order]
    named = [each for each in moves if each is not None]
    rows = models.Pack.objects.filter(id__in=named).values_list("id", "data")
    held = {id_: bytes(data) for id_, data in rows}
    for each in reversed(named):
        if each in held:
            pack: dict[str, Any] = msgspec.json.decode(held[each])
            return pack
    from witnessmark.ledger.pack import empty_pack

    return empty_pack("not-here", "a machine whose pack is not here")


def _pack_in(event: Event) -> str | None:
    pack = event.get("pack") if event["type"] in {"begin", "rebase"} else None
    return pack if isinstance(pack, str) else None


def _is_closed(graph: Graph) -> bool:
    ends = [graph.events[id_]["type"] for id_ in graph.order]
    return next((t for t in reversed(ends) if t in {"closed", "reopened"}), "") == "closed"


def _made_from(job: str) -> str:
    """Give a digest of all that a view is made from."""
    rows = models.Event.objects.filter(job_id=job, held=False)
    packs = models.PackOfJob.objects.filter(job_id=job).order_by("pack_id")
    book = models.Arrival.objects.filter(job_id=job).order_by("-number")
    return digest(
        canonical_bytes(
            {
                "book": book.values_list("digest", flat=True).first(),
                "events": rows.count(),
                "packs": list(packs.values_list("pack_id", flat=True)),
                "photos": photos_here(job),
            }
        )
    )
