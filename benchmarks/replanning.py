"""Planning a half-done job anew: how long the answer at once takes, and what it misses.

First the planner alone, on jobs of at most sixty openings: with the work units of an answer
at once, and with those of a proof. Then all that a server does for one, on each work of the
demonstration after each twelfth of its steps; each new plan is laid before the checker and
replayed by the rule book. Times are of the processor, best of two.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import process_time
from typing import Any

from benchmarks.machines import Family, machine
from benchmarks.ordering import machine as workshop_job
from tests.workshop.half_way import DEMO, WORKS, half_way, standing
from witnessmark.planning.planner import PlanResult, plan_again
from witnessmark.planning.promptly import AFTERWARDS, is_proven, plan_at_once
from witnessmark.procedure.checking import check_plan
from witnessmark.procedure.problem import Problem
from witnessmark.procedure.replay import replay
from witnessmark.workshop.job_planning import compile_job
from witnessmark.workshop.replanning import Replanned, Wanted, replan

MOST_OPENINGS = 60
LIMIT_MS = 300.0

Figures = dict[str, Any]


def problems() -> Iterator[tuple[str, Problem]]:
    """Give jobs of at most sixty openings: the demonstration's, and grown ones."""
    for name, works in WORKS.items():
        for work in works:
            problem = compile_job(DEMO, name, [work]).problem
            if len(problem.openings) <= MOST_OPENINGS:
                yield "demonstration", problem
    for seed in range(10):
        for parts in (10, 20):
            problem = workshop_job(seed, parts=parts)
            if len(problem.openings) <= MOST_OPENINGS:
                yield "workshop jobs", problem
        for family in (Family.REALISTIC, Family.HARD, Family.PATHOLOGICAL):
            yield family.name.lower(), machine(MOST_OPENINGS, family, seed)


def planner_alone() -> list[Figures]:
    """Compare an answer at once with a proof."""
    found: dict[str, list[tuple[float, PlanResult, float, PlanResult]]] = {}
    for kind, problem in problems():
        quick_ms, quick = _timed(lambda p=problem: plan_at_once(p, {}, least_gain=0))
        long_ms, long = _timed(
            lambda p=problem: plan_again(p, {}, least_gain=0, budget=AFTERWARDS), times=1
        )
        assert quick.plan is not None
        if check_plan(problem, quick.plan):
            raise SystemExit(f"{kind}: a plan that the checker refuses")
        found.setdefault(kind, []).append((quick_ms, quick, long_ms, long))
    return [_alone(kind, rows) for kind, rows in found.items()]


def _alone(kind: str, rows: list[tuple[float, PlanResult, float, PlanResult]]) -> Figures:
    return {
        "jobs": kind,
        "count": len(rows),
        "at_once_ms_median": round(median(row[0] for row in rows), 1),
        "at_once_ms_max": round(max(row[0] for row in rows), 1),
        "at_once_proven": sum(is_proven(row[1]) for row in rows),
        "at_once_longer_by_most": f"{max(_longer(q, p) for _, q, _, p in rows):.2%}",
        "proof_ms_median": round(median(row[2] for row in rows), 1),
        "proof_ms_max": round(max(row[2] for row in rows), 1),
        "proven": sum(is_proven(row[3]) for row in rows),
    }


def _longer(quick: PlanResult, long: PlanResult) -> float:
    assert quick.total_cost is not None
    assert long.total_cost is not None
    return (quick.total_cost - long.total_cost) / max(1, long.total_cost)


def whole_answers() -> Figures:
    """Plan every work of the demonstration anew after each twelfth of its steps."""
    few: list[float] = []
    many: list[float] = []
    for name, works in WORKS.items():
        for work in works:
            for twelfths in range(12):
                pack, phone = half_way(name, work, twelfths)
                folded = standing(pack, phone)
                taken, found = _timed(lambda n=name, f=folded: replan(DEMO, n, f, Wanted()))
                _must_be_sound(found, f"{name} {work} {twelfths}/12")
                count = len(found.compiled.openings)
                (few if count <= MOST_OPENINGS else many).append(taken)
    return {"up_to_60_openings": _spread(few), "more": _spread(many)}


def _must_be_sound(found: Replanned, where: str) -> None:
    assert found.result.plan is not None
    if check_plan(found.compiled.problem, found.result.plan):
        raise SystemExit(f"{where}: a plan that the checker refuses")
    if replay(found.compiled, found.result.plan):
        raise SystemExit(f"{where}: a plan that the rule book refuses")


def _spread(taken: list[float]) -> Figures:
    ordered = sorted(taken)
    return {
        "plans": len(ordered),
        "ms_median": round(median(ordered), 1),
        "ms_p95": round(ordered[int(len(ordered) * 0.95)], 1),
        "ms_max": round(ordered[-1], 1),
    }


def _timed(act: Any, times: int = 2) -> tuple[float, Any]:  # noqa: ANN401 - any answer
    taken = []
    for _ in range(times):
        begun = process_time()
        answer = act()
        taken.append(1_000 * (process_time() - begun))
    return min(taken), answer


def run(json_path: str | None = None) -> None:
    """Measure, print, and write the figures to a JSON file when a path is given."""
    alone = planner_alone()
    for row in alone:
        print(json.dumps(row), flush=True)
    whole = whole_answers()
    for name, row in whole.items():
        print(f"whole answers, {name}: {json.dumps(row)}")
    found = whole["up_to_60_openings"]["ms_p95"]
    print(f"p95 {found} ms {'within' if found < LIMIT_MS else 'OVER'} {LIMIT_MS:g} ms")
    if json_path is not None:
        report = {"planner": alone, "whole": whole}
        Path(json_path).write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    run()
