"""The ordering engine on instances others set, with their optima (tests/published/sequencing)."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from witnessmark.planning.ordering import THOROUGH, Ordering, orders_of
from witnessmark.planning.work import Meter
from witnessmark.procedure.problem import Block, Changeovers, Problem

DATA = Path(__file__).parent.parent / "published" / "sequencing"
NO_ARC = 1_000_000


def optimum(instance: str, counted: str) -> int:
    with (DATA / "optima.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    [row] = [r for r in rows if (r["instance"], r["counted"]) == (instance, counted)]
    assert row["proven"] == "yes"
    return int(row["optimum"])


def best_order(problem: Problem) -> Ordering:
    orders = orders_of(problem, {}, {}, ())
    assert orders is not None
    ordering = orders.best(Meter(), THOROUGH)
    assert ordering is not None
    return ordering


def sequential_ordering_problem(name: str) -> Problem:
    """Make each node a block at a position of its own; the first is the ground."""
    text = (DATA / f"{name}.sop").read_text(encoding="utf-8")
    numbers = [int(word) for word in text.split("EDGE_WEIGHT_SECTION")[1].split() if word != "EOF"]
    size = numbers[0]
    rows = [numbers[1 + i * size : 1 + (i + 1) * size] for i in range(size)]
    matrix = [
        [0 if i == j else NO_ARC if cost == -1 else cost for j, cost in enumerate(row)]
        for i, row in enumerate(rows)
    ]
    matrix[-1][0] = 0  # the way ends at the last node: the way home is free from there
    return Problem(
        openings=(),
        blocks=tuple(
            Block(
                f"node {i + 1}",
                cost=0,
                after=tuple(j - 1 for j in range(1, size) if rows[i][j] == -1),
                position=i,
            )
            for i in range(1, size)
        ),
        changeovers=Changeovers(
            tuple(f"node {i + 1}" for i in range(size)), tuple(map(tuple, matrix))
        ),
    )


@pytest.mark.parametrize("name", ["ESC07", "ESC12"])
def test_a_path_with_any_matrix_has_the_published_cost(name):
    ordering = best_order(sequential_ordering_problem(name))
    assert ordering.proven
    assert ordering.cost == optimum(name, "path cost")


def disassembly(name: str, *, tool_change: int, direction_change: int) -> Problem:
    """Make each job a block; directions are positions."""
    data = json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))
    jobs = range(1, data["jobs"] + 1)
    directions = sorted({data["direction"][str(job)] for job in jobs})
    tools = sorted({data["tool"][str(job)] for job in jobs})
    size = range(len(directions) + 1)
    return Problem(
        openings=(),
        blocks=tuple(
            Block(
                f"job {job}",
                cost=0,
                after=tuple(a - 1 for a, b in data["precedence_pairs"] if b == job),
                position=1 + directions.index(data["direction"][str(job)]),
                tool=1 + tools.index(data["tool"][str(job)]),
            )
            for job in jobs
        ),
        changeovers=Changeovers(
            positions=("ground", *(f"direction {d}" for d in directions)),
            matrix=tuple(tuple(0 if i == j else direction_change for j in size) for i in size),
            tools=("bare hands", *(f"tool {tool}" for tool in tools)),
            tool_change=tool_change,
        ),
    )


@pytest.mark.parametrize("name", ["stapler18", "printer52"])
@pytest.mark.parametrize(
    ("counted", "tool_change", "direction_change"),
    [
        ("tool_changes + direction_changes", 1, 1),
        ("tool_changes", 1, 0),
        ("direction_changes", 0, 1),
        ("2*tool_changes + direction_changes", 2, 1),
    ],
)
def test_jobs_with_tools_and_directions_have_the_known_optimum(
    name, counted, tool_change, direction_change
):
    ordering = best_order(
        disassembly(name, tool_change=tool_change, direction_change=direction_change)
    )
    # Our visit also takes up the first tool and direction, and goes back from the last.
    out_and_home = 2 * tool_change + 2 * direction_change
    assert ordering.proven
    assert ordering.cost == optimum(name, counted) + out_and_home
