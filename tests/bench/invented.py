"""Packs to tap through: of the demonstration, and of a case whose cover has sixteen bolts."""

from __future__ import annotations

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from witnessmark.workshop.job_planning import plan_job

HERE = Path(__file__).parent / "machines"


@cache
def cover_pack() -> dict[str, Any]:
    """Give the pack of taking the cover off and putting it back on a new gasket."""
    return _pack(HERE, "wren-case", "look-inside")


@cache
def demo_pack(machine: str, work: str) -> dict[str, Any]:
    """Give the pack of a work of the demonstration, with all its texts."""
    return _pack(HERE.parents[2] / "demo", machine, work)


def _pack(folder: Path, machine: str, work: str) -> dict[str, Any]:
    found = plan_job(folder, machine, [work], day=date(2026, 11, 1))
    pack: dict[str, Any] = json.loads(json.dumps(found[0].pack))
    return pack
