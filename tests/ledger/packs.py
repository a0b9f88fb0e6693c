"""Packs of the machines the ledger's tests work on."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from tests.procedure.bench_helpers import WORKSHOP, planned
from witnessmark.ledger.pack import empty_pack, job_pack
from witnessmark.machine.reading import read_machine
from witnessmark.procedure.compile import Compiled, compile_problem
from witnessmark.procedure.plan import Plan

HERE = Path(__file__).parent
DEMO = HERE.parents[1] / "demo" / "machines"
DUNLIN = HERE / "vectors" / "machines" / "dunlin-3.yaml"


def compiled_at(path: Path, *works: str) -> Compiled:
    machine = read_machine(lambda name: (path.parent / name).read_bytes(), path.name).value
    assert machine is not None
    return compile_problem(machine, works or tuple(machine.works), WORKSHOP)


@cache
def job_of(path: Path, *works: str) -> tuple[Compiled, Plan, dict[str, Any]]:
    """Give the compiled works, a sound plan and the pack, as it comes back from JSON."""
    compiled = compiled_at(path, *works)
    plan = planned(compiled)
    return compiled, plan, json.loads(json.dumps(job_pack(compiled, plan)))


def dunlin() -> dict[str, Any]:
    """Give the pack of the small engine that has one of everything."""
    return job_of(DUNLIN, "belt")[2]


def nobody() -> dict[str, Any]:
    """Give the pack of a machine that nobody has described."""
    return json.loads(json.dumps(empty_pack("nobody", "a machine nobody has described")))
