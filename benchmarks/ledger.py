"""How long a hundred thousand events take: decoding with hash check, ordering, folding.

Of one job with eight phones that wrote in turns, at once, or at once with two clocks that lie
(then events must be taken one by one), and of a workshop's jobs of some three hundred events
each, whose two phones heard each other always or now and then. Events are as they come from
their bytes. A loop of ten million additions is timed beside each: the machine's own speed.
"""

from __future__ import annotations

import gc
import json
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks.ledger_histories import as_read, long_job, long_job_pack, many_jobs, workshop_pack
from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.ledger.chains import read_chains
from witnessmark.ledger.events import Event, read_stored
from witnessmark.ledger.fold import fold
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.state import prepared

LIMITS = {
    "read_stored_s": 1.0,
    "ordered_s": 0.4,
    "ordered_written_at_once_s": 0.4,
    "ordered_and_folded_s": 1.0,
    "jobs_ordered_and_folded_s": 1.0,
    "ordered_with_lying_clocks_s": 0.8,
}


def _additions() -> None:
    total = 0
    for number in range(10_000_000):
        total += number


def _best(act: Callable[[], object], repeats: int = 3) -> float:
    """Give the least processor time of a few runs [s]; others may share the machine."""
    taken = []
    for _ in range(repeats):
        begun = time.process_time()
        act()
        taken.append(time.process_time() - begun)
    return min(taken)


def _acts() -> dict[str, Callable[[], object]]:
    """Make the histories, and what is measured of them."""
    honest, machine, belt = long_job(turns=True), long_job_pack(), workshop_pack()
    stored = [(id_, canonical_bytes(event)) for id_, event in honest.items()]
    one, at_once, lying = (
        _read(each) for each in (honest, long_job(turns=False), long_job(turns=False, lies=True))
    )
    if Graph(lying).order != Graph(dict(sorted(lying.items()))).order:
        raise SystemExit("the order depends on arrival")
    ready = prepared(belt)
    in_turn = [_read(each) for each in many_jobs(belt, deaf=0.0)]
    apart = [_read(each) for each in many_jobs(belt, deaf=0.9)]
    print(f"{len(in_turn)} jobs of {len(in_turn[0])} events", flush=True)
    return {
        "read_stored_s": lambda: [read_stored(data, id_) for id_, data in stored],
        "ordered_s": lambda: Graph(one),
        "ordered_written_at_once_s": lambda: Graph(at_once),
        "ordered_with_lying_clocks_s": lambda: Graph(lying),
        "ordered_and_folded_s": lambda: fold(machine, Graph(one)),
        "jobs_ordered_and_folded_s": lambda: [fold(belt, Graph(j), (), ready) for j in in_turn],
        "jobs_apart_ordered_and_folded_s": lambda: [fold(belt, Graph(j), (), ready) for j in apart],
        "ordered_and_folded_written_at_once_s": lambda: fold(machine, Graph(at_once)),
        "chains_verified_whole_s": lambda: read_chains(stored),
    }


def _read(job: dict[str, Event]) -> dict[str, Event]:
    return {bytes.fromhex(id_).hex(): as_read(event) for id_, event in job.items()}


def run(json_path: str | None = None) -> None:
    """Measure, print, and write the figures to a JSON file when a path is given."""
    acts = _acts()
    gc.collect()
    gc.freeze()  # what the histories left behind is not theirs to pay for
    measured: dict[str, float] = {}
    for name, act in acts.items():
        beside = _best(_additions, 1)
        measured[name] = seconds = _best(act)
        limit = LIMITS.get(name)
        verdict = "" if limit is None else ("within" if seconds < limit else "OVER")
        wanted = "" if limit is None else f"{limit:g} s"
        times = f"{seconds / beside:5.2f} x the {beside:.2f} s of the additions"
        print(f"{name:<36} {seconds:8.4f} s  {times}  {verdict} {wanted}".rstrip(), flush=True)
        measured[name.removesuffix("_s") + "_in_additions"] = seconds / beside
    if json_path is not None:
        Path(json_path).write_text(
            json.dumps({"measured": measured, "limits": LIMITS}, indent=1) + "\n", encoding="utf-8"
        )


if __name__ == "__main__":
    run()
