"""Kill the workshop's server 200 times in the middle of writes from 8 clients."""

from __future__ import annotations

import json
import os
import tempfile
from pathlib import Path
from typing import Any

from tests.workshop.crashing import crash
from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start

ROUNDS = int(os.environ.get("ROUNDS", "200"))


def run(json_file: str | None = None) -> None:
    """Kill, restart, and compare what was acknowledged with what is there."""
    with tempfile.TemporaryDirectory() as folder:
        figures = _crashed(Path(folder))
    for name, value in figures.items():
        print(f"{name}: {value}")
    if json_file is not None:
        Path(json_file).write_text(json.dumps(figures, indent=1), "utf-8")
    right = figures["lost"] == figures["doubled"] == 0 and figures["verify"] == "intact"
    if not right or figures["wrong answers"] or figures["inside"] < ROUNDS / 2:
        raise SystemExit("the workshop lost, doubled or broke something, or kills came too late")


def _crashed(folder: Path) -> dict[str, Any]:
    start(Place(folder))
    from django.db import connections

    from tests.workshop.small_workshop import SmallWorkshop
    from witnessmark.workshop import models, people
    from witnessmark.workshop.verifying import verify

    SmallWorkshop()
    secrets = {f"p{n}": people.pair(f"p{n}", "a phone", "ben") for n in range(8)}
    connections.close_all()
    found = crash(folder, secrets, ROUNDS)
    stored = set(models.Event.objects.values_list("id", flat=True))
    lines = models.Arrival.objects.count()
    return {
        "kills": found.rounds,
        "inside": found.inside,
        "acknowledged": len(found.acknowledged),
        "lost": len(found.acknowledged - stored),
        "doubled": lines - len(stored),
        "verify": verify().word,
        "wrong answers": len(found.wrong),
        "slowest restart, s": round(found.slowest_restart, 2),
        "most processor for a restart, s": round(found.restart_processor, 2),
    }
