"""Break a phone off 100 times between a tap and its sending: reload, close, kill the browser."""

from __future__ import annotations

import json
import os
import tempfile
from pathlib import Path
from typing import Any

from tests.bench.bare import PAGE, load
from tests.bench.killing import break_off
from tests.bench.phones import Phones
from tests.bench.servers import WorkshopServer, empty_workshop
from tests.workshop.small_workshop import pack_bytes

ROUNDS = int(os.environ.get("ROUNDS", "100"))


def run(json_file: str | None = None) -> None:
    """Break off, open again, and compare what was answered for with what the workshop has."""
    with tempfile.TemporaryDirectory() as folder:
        figures = _broken_off(Path(folder))
    for name, value in figures.items():
        print(f"{name}: {value}")
    if json_file is not None:
        Path(json_file).write_text(json.dumps(figures, indent=1), "utf-8")
    if any(figures[each] for each in ("lost", "doubled", "gaps", "forks")):
        raise SystemExit("a phone lost or doubled what it had answered for")
    if figures["before it was sent"] < ROUNDS / 2:
        raise SystemExit("most were sent already when the phone was broken off")


def _broken_off(folder: Path) -> dict[str, Any]:
    empty_workshop(folder / "workshop")
    server = WorkshopServer(folder / "workshop")
    server.open_job("job-1", "A small job", pack_bytes())
    phones = Phones(folder / "profiles")
    try:
        server.start()
        phone = phones.phone("phone", server, lasting=True).open(PAGE).pair()
        found = break_off(load(phone), server, "job-1", ROUNDS)
    finally:
        phones.stop()
        server.stop()
    return {
        "rounds": found.rounds,
        "answered for": len(found.answered),
        "before it was sent": found.before_sending,
        "stored in all": len(found.stored),
        "lost": len(found.lost),
        "doubled": found.doubled,
        "gaps": found.gaps,
        "forks": found.forks,
    }
