"""What the machines of the other benchmarks look like, beside those of the demonstration."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import median

from benchmarks.machines import Family, machine
from witnessmark.machine.reading import read_machine, read_workshop
from witnessmark.planning.selection import select
from witnessmark.procedure.compile import compile_problem
from witnessmark.procedure.problem import Problem

DEMO = Path(__file__).parent.parent / "demo"
SIZES = (500, 2_000, 5_000)
SEEDS = 10


@dataclass(frozen=True)
class Shape:
    """Figures of one machine; shares in percent, depths in openings one after another."""

    name: str
    openings: float
    depth_most: float
    depth_median: float
    goal_depth: float
    ways: float
    several_ways: float
    while_fitted: float
    rooms: float
    chosen: float


def shape_of(name: str, problem: Problem) -> Shape:
    """Measure a machine."""
    depth = depths(problem)
    openings = problem.openings
    ways = [way for opening in openings for way in opening.ways]
    reached = [depth[a] for a in range(len(openings)) if a in depth]
    goals = [fact for block in problem.blocks for fact in block.needs] + list(problem.goals)
    return Shape(
        name=name,
        openings=len(openings),
        depth_most=max(reached),
        depth_median=median(reached),
        goal_depth=max(depth[fact] for fact in goals),
        ways=len(ways) / len(openings),
        several_ways=share(len(opening.ways) > 1 for opening in openings),
        while_fitted=share(bool(way.while_fitted) for way in ways),
        rooms=share(bool(way.rooms) for way in ways),
        chosen=100 * len(select(problem).ways) / len(openings),
    )


def share(has: Iterable[bool]) -> float:
    """Give the share of those that have something, in percent."""
    found = list(has)
    return 100 * sum(found) / len(found)


def depths(problem: Problem) -> dict[int, int]:
    """Give for each fact how many openings at least come one after another before it is so."""
    found: dict[int, int] = {}
    all_ways = needs_by_way(problem)
    changed = True
    while changed:
        changed = False
        for fact, ways in enumerate(all_ways):
            own = int(fact < len(problem.openings))
            known = [
                own + max([found[n] for n in needs], default=0)
                for needs in ways
                if all(n in found for n in needs)
            ]
            if known and min(known) != found.get(fact):
                found[fact] = min(known)
                changed = True
    return found


def needs_by_way(problem: Problem) -> list[list[tuple[int, ...]]]:
    """Give what each way of each fact needs; the ways of a clear fact are its supporters."""
    of_openings = [
        [(*way.needs, *way.strip_needs) for way in opening.ways] for opening in problem.openings
    ]
    return of_openings + [[(p,) for p in clear.supporters] for clear in problem.clears]


def demonstration() -> list[Shape]:
    """Measure the machines of the demonstration, all works of each at once."""
    workshop = read_workshop(_load, str(DEMO / "workshop.yaml")).value
    assert workshop is not None
    shapes = []
    for path in sorted((DEMO / "machines").glob("*.yaml")):
        read = read_machine(_load, str(path)).value
        assert read is not None
        compiled = compile_problem(read, tuple(read.works), workshop)
        shapes.append(shape_of(path.stem, compiled.problem))
    return shapes


def _load(path: str) -> bytes:
    return Path(path).read_bytes()


def middle(name: str, shapes: list[Shape]) -> Shape:
    """Give the median of each figure."""
    return Shape(name, *(median(getattr(each, key) for each in shapes) for key in COLUMNS[1:]))


COLUMNS = tuple(Shape.__dataclass_fields__)


def run(json_path: str | None) -> None:
    """Print the shapes, and write them if asked."""
    print("medians over the seeds; shares in percent, depths in openings one after another")
    print(f"{COLUMNS[0]:16}" + "".join(f"{column:>15}" for column in COLUMNS[1:]))
    shapes = demonstration()
    for shape in shapes:
        print(_line(shape), flush=True)
    for size in SIZES:
        for family in (Family.REALISTIC, Family.DEEPER):
            name = f"{family} {size}"
            made = [shape_of(name, machine(size, family, seed)) for seed in range(SEEDS)]
            shapes.append(middle(name, made))
            print(_line(shapes[-1]), flush=True)
    if json_path is not None:
        report = [asdict(shape) for shape in shapes]
        Path(json_path).write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")


def _line(shape: Shape) -> str:
    figures = [value for key, value in asdict(shape).items() if key != "name"]
    return f"{shape.name:16}" + "".join(f"{value:15.4g}" for value in figures)
