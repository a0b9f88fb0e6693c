"""How fast the least access is found and proven, beside an integer programme on HiGHS.

Both get the same machines in the same run, from the problem as it stands: compiling,
solving and proving all count. Times are of this process's own work on one core (processor
time), so that what else the computer does matters less; ours is the shorter of two, since
a first run also warms the interpreter up. HiGHS is stopped after a minute of solving.

It is an error, and raised, if the two disagree on an instance both finish.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import median
from time import process_time

from benchmarks.machines import Family, machine
from tests.planning.oracle_access import least_access
from witnessmark.planning.selection import Outcome, Selection, select
from witnessmark.procedure.problem import Problem

TARGETS = 4

SERIES = (
    (Family.REALISTIC, 500, 10),
    (Family.REALISTIC, 2_000, 10),
    (Family.REALISTIC, 5_000, 3),
    (Family.DEEPER, 500, 10),
    (Family.DEEPER, 2_000, 10),
    (Family.DEEPER, 5_000, 3),
    (Family.HARD, 500, 5),
    (Family.HARD, 2_000, 3),
    (Family.PATHOLOGICAL, 500, 5),
)
"""Family, openings, seeds."""

LIMITS_MS = {
    (family, openings): limit
    for family in (Family.REALISTIC, Family.DEEPER)
    for openings, limit in ((500, 100.0), (2_000, 250.0))
}
"""What the median must keep within on a realistic machine, grown either way. [ms]"""

HIGHS_LIMIT_S = 60.0


@dataclass(frozen=True)
class Measured:
    """One machine, solved both ways. Costs in tenths of a minute, times in milliseconds."""

    family: str
    openings: int
    seed: int
    chosen: int
    cost: int | None
    outcome: str
    proven: bool
    ours_ms: float
    highs_ms: float
    highs_proven: bool
    highs_rounds: int


class DisagreementError(AssertionError):
    """The planner and the integer programme give different answers."""


def measure(family: Family, openings: int, seed: int) -> Measured:
    """Solve one machine both ways, and compare.

    Raises
    ------
    DisagreementError
        If both finish and differ.
    """
    problem = machine(openings, family, seed, TARGETS)
    ours, ours_ms = _ours(problem)
    begun = process_time()
    theirs = least_access(problem, HIGHS_LIMIT_S)
    highs_ms = 1_000 * (process_time() - begun)
    if ours.proven and theirs.proven and ours.cost != theirs.cost:
        raise DisagreementError(
            f"{family} {openings} seed {seed}: ours {ours.cost}, HiGHS {theirs.cost}"
        )
    return Measured(
        family=family.value,
        openings=openings,
        seed=seed,
        chosen=len(ours.ways),
        cost=ours.cost,
        outcome=ours.outcome.value,
        proven=ours.outcome in (Outcome.BEST, Outcome.IMPOSSIBLE),
        ours_ms=round(ours_ms, 1),
        highs_ms=round(highs_ms, 1),
        highs_proven=theirs.proven,
        highs_rounds=theirs.rounds,
    )


def _ours(problem: Problem) -> tuple[Selection, float]:
    taken = []
    for _ in range(2):
        begun = process_time()
        selection = select(problem)
        taken.append(1_000 * (process_time() - begun))
    return selection, min(taken)


def run(json_path: str | None) -> None:
    """Measure every series, print as it goes, and write the figures if asked."""
    print(f"{TARGETS} targets each; times in ms of processor time")
    print(f"{'family':>6} {'openings':>8} {'seed':>4} {'chosen':>6} {'access':>9}", end="")
    print(f" {'ours':>9} {'HiGHS':>9} {'times':>6}  ours is")
    found = []
    for family, openings, seeds in SERIES:
        series = []
        for seed in range(seeds):
            series.append(measure(family, openings, seed))
            print(_line(series[-1]), flush=True)
        print(_summary(series))
        found += series
    if json_path is not None:
        report = {
            "instances": [asdict(each) for each in found],
            "series": [
                _figures([m for m in found if (m.family, m.openings) == (family.value, openings)])
                for family, openings, _ in SERIES
            ],
        }
        Path(json_path).write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")


def _line(each: Measured) -> str:
    highs = f"{each.highs_ms:9.1f}" if each.highs_proven else f"  >{HIGHS_LIMIT_S * 1_000:6.0f}"
    return (
        f"{each.family:>6} {each.openings:>8} {each.seed:>4} {each.chosen:>6} "
        f"{each.cost if each.cost is not None else '-':>9} {each.ours_ms:9.1f} {highs} "
        f"{each.highs_ms / each.ours_ms:6.1f}  {each.outcome}"
    )


def _figures(series: list[Measured]) -> dict[str, object]:
    limit = LIMITS_MS.get((Family(series[0].family), series[0].openings))
    ours = [each.ours_ms for each in series]
    return {
        "family": series[0].family,
        "openings": series[0].openings,
        "instances": len(series),
        "proven": sum(each.proven for each in series),
        "compared_with_highs": sum(each.proven and each.highs_proven for each in series),
        "ours_ms_median": median(ours),
        "ours_ms_max": max(ours),
        "highs_ms_median": median(each.highs_ms for each in series),
        "limit_ms": limit,
        "within_limit": None if limit is None else sum(ms < limit for ms in ours),
    }


def _summary(series: list[Measured]) -> str:
    figures = _figures(series)
    limit = figures["limit_ms"]
    kept = f", {figures['within_limit']} within {limit:.0f} ms" if limit else ""
    return (
        f"{figures['family']} {figures['openings']}: "
        f"ours {figures['ours_ms_median']:.1f} ms median, "
        f"{figures['ours_ms_max']:.1f} max{kept}; HiGHS {figures['highs_ms_median']:.1f} median; "
        f"{figures['proven']} of {figures['instances']} proven, "
        f"{figures['compared_with_highs']} compared and equal\n"
    )
