"""Where a job stands, by its events: folded on the server as on the phones, and kept a while."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import msgspec
from django.db.models import F

from witnessmark.ledger.events import Event, EventRefusedError, read_stored
from witnessmark.ledger.graph import Graph
from witnessmark.workshop import models
from witnessmark.workshop.arriving import stored_events
from witnessmark.workshop.writing import write_transaction


def history(job: str) -> Graph:
    """Give the graph of a job's events, without those kept apart."""
    return _graph(stored_events(job))


def _graph(events: Mapping[str, bytes]) -> Graph:
    return Graph({id_: read_stored(data, id_) for id_, data in events.items()})


def view_of(job: str) -> dict[str, Any]:
    """Give where a job stands; folded again only when something came in since."""
    kept = models.View.objects.filter(job_id=job, moved=F("job__moved")).first()
    if kept is None:
        kept = next(_made([job]))
        _keep([kept])
    found: dict[str, Any] = msgspec.json.decode(bytes(kept.data))
    return found


def refresh_views(jobs: Iterable[str]) -> None:
    """Fold anew those of some jobs that moved since; as many queries for many as for one.

    A job whose events cannot be read is left as it was: `verify` says what is wrong with it.
    """
    wanted = models.Job.objects.filter(id__in=list(jobs)).exclude(view__moved=F("moved"))
    _keep(list(_made(wanted.order_by("id").values_list("id", flat=True), lenient=True)))


def _keep(views: list[models.View]) -> None:
    if views:
        columns = [f.name for f in models.View._meta.fields if f.name != "job"]  # noqa: SLF001
        with write_transaction():
            models.View.objects.bulk_create(
                views, update_conflicts=True, unique_fields=["job"], update_fields=columns
            )


def _made(jobs: Iterable[str], *, lenient: bool = False) -> Iterator[models.View]:
    """Make the views of some jobs. What moved is read first: what comes in meanwhile shows."""
    moved = dict(models.Job.objects.filter(id__in=list(jobs)).values_list("id", "moved"))
    if not moved:
        return
    events: dict[str, dict[str, bytes]] = {job: {} for job in moved}
    rows = models.Event.objects.filter(job_id__in=moved, held=False).order_by("arrival__number")
    for id_, job, data in rows.values_list("id", "job_id", "data"):
        events[job][id_] = bytes(data)
    photos: dict[str, list[str]] = defaultdict(list)
    taken = models.PhotoOfJob.objects.filter(job_id__in=moved).order_by("photo_id")
    for job, photo in taken.values_list("job_id", "photo_id"):
        photos[job].append(photo)
    graphs = {}
    for job, held in events.items():
        try:
            graphs[job] = _graph(held)
        except EventRefusedError:
            if not lenient:
                raise
    packs = _packs(id_ for graph in graphs.values() for id_ in packs_named(graph))
    for job, graph in graphs.items():
        yield _view(job, moved[job], graph, packs, photos[job])


def _view(
    job: str, moved: int, graph: Graph, packs: Mapping[str, dict[str, Any]], photos: list[str]
) -> models.View:
    # The rules are read when they are first needed, so that a server is back soon.
    from witnessmark.ledger.fold import fold
    from witnessmark.ledger.outstanding import outstanding

    on = next((id_ for id_ in reversed(packs_named(graph)) if id_ in packs), None)
    pack = packs[on] if on else _no_pack()
    items, closed = outstanding(fold(pack, graph, photos)), is_closed(graph)
    view = {
        "heads": graph.heads(),
        "forks": graph.forks,
        "gaps": graph.gaps,
        "unknown": graph.unknown,
        "outstanding": items,
        "closed": closed,
        "events": len(graph.order),
        "pack": on,
    }
    return models.View(
        job_id=job,
        moved=moved,
        outstanding=len(items),
        closed=closed,
        events=len(graph.order),
        pack=on,
        data=msgspec.json.encode(view),
    )


def photos_here(job: str) -> list[str]:
    """Give the hashes of the photos that have come in for a job."""
    rows = models.PhotoOfJob.objects.filter(job_id=job).order_by("photo_id")
    return list(rows.values_list("photo_id", flat=True))


def pack_of(graph: Graph) -> dict[str, Any]:
    """Give the pack a job is on: that of its last `begin` or `rebase` whose pack is here."""
    named = packs_named(graph)
    packs = _packs(named)
    return next((packs[id_] for id_ in reversed(named) if id_ in packs), _no_pack())


_MOVING = (b'"type":"begin"', b'"type":"rebase"')
"""How the canonical bytes of an event say that it moves its job; no text of one holds these."""


def pack_now(job: str) -> str | None:
    """Give the digest of the pack a job is on by its events; None before they say.

    Most jobs were moved once, and nothing but that one event is read.
    """
    moving = [
        (id_, data)
        for id_, data in stored_events(job).items()
        if any(mark in data for mark in _MOVING)
    ]
    if len(moving) > 1:
        named = packs_named(history(job))
    else:
        named = [each for each in (_pack_in(read_stored(d, i)) for i, d in moving) if each]
    here = models.PackOfJob.objects.filter(job_id=job, pack_id__in=named)
    known = set(here.values_list("pack_id", flat=True))
    return next((each for each in reversed(named) if each in known), None)


def packs_named(graph: Graph) -> list[str]:
    """Give the packs that a job was moved to, in order."""
    moves = (_pack_in(graph.events[id_]) for id_ in graph.order)
    return [each for each in moves if each is not None]


def _packs(ids: Iterable[str]) -> dict[str, dict[str, Any]]:
    rows = models.Pack.objects.filter(id__in=set(ids)).values_list("id", "data")
    return {id_: msgspec.json.decode(bytes(data)) for id_, data in rows}


def _no_pack() -> dict[str, Any]:
    from witnessmark.ledger.pack import empty_pack

    return empty_pack("not-here", "a machine whose pack is not here")


def _pack_in(event: Event) -> str | None:
    pack = event.get("pack") if event["type"] in {"begin", "rebase"} else None
    return pack if isinstance(pack, str) else None


def is_closed(graph: Graph) -> bool:
    """Tell whether a job was handed back, and not taken up again since."""
    ends = [graph.events[id_]["type"] for id_ in graph.order]
    return next((t for t in reversed(ends) if t in {"closed", "reopened"}), "") == "closed"
