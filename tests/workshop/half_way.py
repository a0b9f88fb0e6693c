"""Jobs of the demonstration, gone through by their plan as far as wanted; for several tests."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from tests.ledger.devices import Device
from tests.ledger.small_history import EVERYTHING
from witnessmark.ledger.fold import fold
from witnessmark.ledger.graph import Graph
from witnessmark.ledger.pack import pack_digest
from witnessmark.ledger.state import JobState
from witnessmark.workshop.job_planning import plan_job

DEMO = Path(__file__).parents[2] / "demo"
PHOTO = "0" * 64

WORKS = {
    "brack-genset-12": (
        "timing-belt",
        "injection-pump",
        "crank-seal",
        "fuel-filter",
        "oil-and-filter",
        "glow-plugs",
    ),
    "tarn-two-stage": ("valve-plates", "check-valve", "drive-belt", "shaft-seal", "cooler-clean"),
    "gull-20": (
        "timing-belt",
        "water-pump",
        "front-crank-seal",
        "aux-belt",
        "thermostat",
        "radiator",
        "alternator",
        "clutch",
    ),
}


@cache
def pack_of(machine: str, *works: str) -> dict[str, Any]:
    """Give the pack of planned works, as it comes back from JSON."""
    found: dict[str, Any] = json.loads(json.dumps(plan_job(DEMO, machine, works)[0].pack))
    return found


def follow(phone: Device, pack: dict[str, Any], steps: int, *, job: str = "job-1") -> None:
    """Let a phone record so many steps of a plan, with everything that is asked."""
    for step in pack["plan"]["steps"][:steps]:
        if step["kind"] == "block":
            phone.write(type="block", object=step["object"], values={"within": True}, job=job)
        else:
            said = {**EVERYTHING}
            phone.write(
                type="done",
                action=step["action"],
                object=step["object"],
                values=said,
                photos=[PHOTO],
                job=job,
            )


def standing(pack: dict[str, Any], phone: Device) -> JobState:
    """Fold what a phone holds."""
    return fold(pack, Graph(phone.holds), (PHOTO,))


def half_way(
    machine: str, work: str, twelfths: int, *, job: str = "job-1", device: str = "a"
) -> tuple[dict[str, Any], Device]:
    """Give a job's pack and a phone on which so many twelfths of its steps are recorded."""
    pack, phone = pack_of(machine, work), Device(device)
    phone.write(type="begin", values={"works": pack["works"]}, pack=pack_digest(pack), job=job)
    follow(phone, pack, len(pack["plan"]["steps"]) * twelfths // 12, job=job)
    return pack, phone
