"""Least change-overs of a handful of nodes, one step at a time (Dijkstra's shortest path).

An oracle for the ordering engine: it knows nothing of visits, merging, free steps or
bounds. States are (done, position, tool); each move does one node.
"""

from __future__ import annotations

import heapq
import random

from witnessmark.planning.ordering_task import Fork, Task
from witnessmark.procedure.problem import ANYWHERE, BARE_HANDS, GROUND, Changeovers


def least_by_steps(task: Task, changeovers: Changeovers) -> int | None:
    """Find the least change-overs from the ground and back; None when there is no order."""
    count = len(task)
    full = (1 << count) - 1
    best = {(0, GROUND, BARE_HANDS): 0}
    heap = [(0, 0, GROUND, BARE_HANDS)]
    ends = []
    while heap:
        cost, done, here, hand = heapq.heappop(heap)
        if cost > best[done, here, hand]:
            continue
        if done == full:
            ends.append(cost + changeovers.cost(here, hand, GROUND, BARE_HANDS))
            continue
        for node in range(count):
            if done >> node & 1 or task.earlier[node] & ~done or _is_barred(task, node, done):
                continue
            position, tool = task.positions[node], task.tools[node]
            then = (
                done | 1 << node,
                here if position == ANYWHERE else position,
                hand if tool == ANYWHERE else tool,
            )
            price = cost + changeovers.cost(here, hand, position, tool)
            if price < best.get(then, price + 1):
                best[then] = price
                heapq.heappush(heap, (price, *then))
    return min(ends, default=None)


def _is_barred(task: Task, node: int, done: int) -> bool:
    return any(
        fork.block == node and done >> fork.opened & 1 and not done >> fork.closed & 1
        for fork in task.forks
    )


def random_task(
    chance: random.Random, most: int = 9, *, forks_tried: int | None = None
) -> tuple[Task, Changeovers]:
    """Draw a task whose lower nodes come first, with or without forks, and change-overs."""
    count = chance.randint(1, most)
    positions, tools = chance.randint(1, 4), chance.randint(1, 4)
    density = chance.choice((0.1, 0.25, 0.5))
    free = chance.choice((0.0, 0.2))

    def place(size: int) -> int:
        return ANYWHERE if chance.random() < free else chance.randrange(size)

    earlier: list[int] = []
    for node in range(count):
        mask = 0
        for other in range(node):
            if chance.random() < density:
                mask |= 1 << other | earlier[other]
        earlier.append(mask)
    forks = []
    if forks_tried is None:
        forks_tried = chance.choice((0, 0, 1, 2))
    for _ in range(forks_tried if count >= 3 else 0):
        block, opened, closed = chance.sample(range(count), 3)
        if earlier[closed] >> opened & 1:
            forks.append(Fork(block, opened, closed))
    matrix = [
        [0 if i == j else chance.randint(0, 9) for j in range(positions)] for i in range(positions)
    ]
    if chance.random() < 0.6:
        for via in range(positions):
            for i in range(positions):
                for j in range(positions):
                    matrix[i][j] = min(matrix[i][j], matrix[i][via] + matrix[via][j])
    return (
        Task(
            tuple(place(positions) for _ in range(count)),
            tuple(place(tools) for _ in range(count)),
            tuple(earlier),
            tuple(forks),
        ),
        Changeovers(
            positions=tuple(f"position {i}" for i in range(positions)),
            matrix=tuple(map(tuple, matrix)),
            tools=tuple(f"tool {i}" for i in range(tools)),
            tool_change=chance.randint(0, 4),
        ),
    )
