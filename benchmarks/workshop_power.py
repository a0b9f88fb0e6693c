"""Lose the power after each of 1,500 commits, with the workshop's settings and a weaker one."""

from __future__ import annotations

import json
import os
import tempfile
from pathlib import Path
from typing import Any

from tests.workshop.power_loss import lose_power
from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start

COMMITS = int(os.environ.get("COMMITS", "1500"))


def run(json_file: str | None = None) -> None:
    """Compare what was acknowledged with what each loss of power leaves."""
    figures = {name: _lost(weaker) for name, weaker in (("own", ""), ("weaker", "NORMAL"))}
    for name, values in figures.items():
        print(f"{name}: {values}")
    if json_file is not None:
        Path(json_file).write_text(json.dumps(figures, indent=1), "utf-8")
    own, weaker = figures["own"], figures["weaker"]
    if own["lost"] or own["lost by chance"] or own["broken"] or not own["complete"]:
        raise SystemExit("a loss of power took what was acknowledged")
    if not weaker["lost"]:
        raise SystemExit("the model does not tell the weaker setting")


def _lost(weaker: str) -> dict[str, Any]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "workshop"
        start(Place(folder))
        from django.db import connections

        from tests.workshop.small_workshop import SmallWorkshop
        from witnessmark.workshop import people

        SmallWorkshop()
        secret = people.pair("phone-new", "a phone", "ben")
        connections.close_all()
        found = lose_power(folder, secret, COMMITS, Path(name), weaker)
    return {
        "settings": found.settings,
        "acknowledged": len(found.acknowledged),
        "syncs": found.syncs,
        "lost": found.lost,
        "lost by chance": found.lost_by_chance,
        "broken": found.broken,
        "complete": found.complete,
    }
