"""An order as a technician would want to read it, at no higher cost.

The search settles where one goes in turn and with what in the hand. Within that, each step
still has some freedom, used here: what comes off comes off on the first visit that allows
it, a refit waits for the last one, so that strip, work and refit stay apart; on one visit
what has just become possible goes on (the next depth of one object, then what waited for
the last step), and refits follow the strip order backwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.planning.ordering_bounds import fits
from witnessmark.planning.ordering_task import Task, members
from witnessmark.procedure.plan import StepKind


@dataclass(frozen=True, slots=True)
class Line:
    """What reading wants to know of a node: its kind, and the object it belongs to."""

    kind: StepKind
    object: int


def arrange(task: Task, lines: Sequence[Line], visited: Sequence[tuple[int, int]]) -> list[int]:
    """Put all nodes of a task without forks on visits that are known to suffice."""
    by_rank = sorted(range(len(task)), key=lambda n: (task.earlier[n].bit_count(), n))
    visit = _first_visits(task, by_rank, visited)
    latest = [len(visited) - 1] * len(task)
    for node in reversed(by_rank):
        if lines[node].kind is StepKind.REFIT:
            visit[node] = latest[node]
            while not fits(task.positions[node], task.tools[node], *visited[visit[node]]):
                visit[node] -= 1
        for other in members(task.earlier[node]):
            latest[other] = min(latest[other], visit[node])
    return _write_out(task, lines, visit)


def _first_visits(
    task: Task, by_rank: Sequence[int], visited: Sequence[tuple[int, int]]
) -> dict[int, int]:
    first: dict[int, int] = {}
    for node in by_rank:
        at = max((first[n] for n in members(task.earlier[node])), default=0)
        place = task.positions[node], task.tools[node]
        while not fits(*place, *visited[at]):
            at += 1
        first[node] = at
    return first


def _write_out(task: Task, lines: Sequence[Line], visit: dict[int, int]) -> list[int]:
    """Write the nodes visit by visit, each time the one that reads best."""
    written: list[int] = []
    when: dict[int, int] = {}
    stripped: dict[int, int] = {}
    done = 0
    by_visit: dict[int, list[int]] = {}
    for node, at in visit.items():
        by_visit.setdefault(at, []).append(node)
    for at in sorted(by_visit):
        waiting = sorted(by_visit[at])
        while waiting:
            open_to = [node for node in waiting if not task.earlier[node] & ~done]
            node = min(open_to, key=lambda n: _awkwardness(n, lines, when, stripped, task))
            waiting.remove(node)
            when[node] = len(written)
            if lines[node].kind is StepKind.STRIP:
                stripped[lines[node].object] = len(written)
            written.append(node)
            done |= 1 << node
    return written


def _awkwardness(
    node: int,
    lines: Sequence[Line],
    when: dict[int, int],
    stripped: dict[int, int],
    task: Task,
) -> tuple[int, int, int]:
    """Rank a node among those that could come next; the lowest reads best."""
    line = lines[node]
    if line.kind is StepKind.REFIT:
        # A started opening was stripped before everything: it is refitted last.
        return 2, -stripped.get(line.object, -1), node
    if line.kind is StepKind.BLOCK:
        return 1, 0, node
    latest = max((when[n] for n in members(task.earlier[node])), default=-1)
    return 0, -latest, node
