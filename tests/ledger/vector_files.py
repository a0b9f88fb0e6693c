"""Vectors: a pack, events and questions, and what the ledger must answer to them.

In the files an event's id is written `«3»`, the number of the event in its vector, and its
first eight digits `«3/8»`: ids follow from the events and are worked out when a file is read.
That keeps the files small and to be read by people.
"""

from __future__ import annotations

import gzip
import json
import re
from pathlib import Path
from typing import Any

from tests.ledger.packs import dunlin, nobody
from witnessmark.ledger.canonical import canonical_bytes, read_canonical
from witnessmark.ledger.events import event_id
from witnessmark.ledger.fold import fold
from witnessmark.ledger.gates import gate
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.outstanding import outstanding
from witnessmark.ledger.registers import registers

HERE = Path(__file__).parent / "vectors"
GENERATED = HERE / "generated.json.gz"

Data = dict[str, Any]


def packs() -> dict[str, Data]:
    """Make the packs of the vectors by name, as a device reads them."""
    made = {"dunlin": dunlin(), "nobody": nobody()}
    return {name: read_canonical(canonical_bytes(pack)) for name, pack in made.items()}


def answer(pack: Data, vector: Data) -> Data:
    """Give what the Python side answers to a vector, as plain data."""
    graph = Graph({event_id(event): event for event in vector["events"]})
    state = fold(pack, graph, vector["held"])
    return {
        "order": graph.order,
        "heads": graph.heads(),
        "forks": graph.forks,
        "gaps": graph.gaps,
        "unknown": graph.unknown,
        "state": state.as_data(),
        "outstanding": outstanding(state),
        "registers": {n: rows for n, rows in registers(state, vector["now"]).items() if rows},
        "gates": [gate(state, each[0], each[1], each[2], vector["now"]) for each in vector["asks"]],
    }


def labelled(vector: Data) -> Data:
    """Write ids as numbers of events."""
    text = json.dumps(vector, ensure_ascii=False)
    for number, event in enumerate(vector["events"]):
        id_ = event_id(event)
        text = text.replace(id_, f"«{number}»").replace(f"({id_[:8]})", f"(«{number}/8»)")
    return dict(json.loads(text))


def unlabelled(vector: Data) -> Data:
    """Work the ids out again, event by event: an event names only earlier ones."""
    ids: list[str] = []
    events = []
    for event in vector["events"]:
        events.append(_with_ids(event, ids))
        ids.append(event_id(events[-1]))
    return {**_with_ids({**vector, "events": []}, ids), "events": events}


_LABEL = re.compile(r"«(\d+)(/8)?»")


def _with_ids(plain: Data, ids: list[str]) -> Data:
    def id_of(label: re.Match[str]) -> str:
        id_ = ids[int(label[1])]
        return id_[:8] if label[2] else id_

    return dict(json.loads(_LABEL.sub(id_of, json.dumps(plain, ensure_ascii=False))))


def read_file(path: Path = GENERATED) -> Data:
    """Read a file of packs and vectors, ids as they are written."""
    return dict(json.loads(gzip.decompress(path.read_bytes())))


def write_file(content: Data, path: Path = GENERATED) -> None:
    """Write it so that the same content gives the same bytes."""
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    path.write_bytes(gzip.compress(text.encode(), mtime=0))
