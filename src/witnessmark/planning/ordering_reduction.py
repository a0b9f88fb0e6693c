"""Fewer nodes to put in order, without losing the least change-over cost.

Allowed only where going straight costs no more than going by way of another place
(triangle inequality): then a step may be drawn to another visit of the same place without
making the rest dearer. Each rule keeps at least one best order:

- a step that may be done anywhere costs nothing and is left out; it is put back later;
- a step that waits for nothing but a step at the same place (and what that waits for) is
  done straight after it;
- a step that nothing waits for but a step at the same place (and what waits for that) is
  done straight before it;
- two steps at the same place that wait for the same, or that the same waits for, are done
  together.

Nodes of an open fork are left alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from operator import itemgetter

from witnessmark.planning.ordering_task import Fork, Task, is_free, later_than, members
from witnessmark.procedure.problem import ANYWHERE


@dataclass(frozen=True, slots=True)
class Reduced:
    """A smaller task, and for each of its nodes the nodes it stands for, in order.

    Nodes are numbered so that whatever comes before a node has a lower number.
    """

    task: Task
    stands_for: tuple[tuple[int, ...], ...]


def reduce_task(task: Task, *, merge: bool) -> Reduced:
    """Leave out free nodes and, when told to merge, draw nodes together."""
    reducer = _Reducer(task)
    reducer.drop_free()
    while merge and reducer.merge_once():
        pass
    return reducer.reduced()


class _Reducer:
    def __init__(self, task: Task) -> None:
        order = sorted(range(len(task)), key=lambda n: (task.earlier[n].bit_count(), n))
        self.task = _renumbered(task, order)
        self.stands_for = [[node] for node in order]
        self.earlier = list(self.task.earlier)
        self.later = later_than(self.earlier)
        self.alive = dict.fromkeys(range(len(order)))
        self.tied = {n for f in self.task.forks for n in (f.block, f.opened, f.closed)}

    def drop_free(self) -> None:
        for node in list(self.alive):
            if node not in self.tied and is_free(self.task, node):
                self.drop(node)

    def merge_once(self) -> bool:
        """Apply every rule; tell whether any node went."""
        before = len(self.alive)
        for node in list(self.alive):
            self.draw_forward(node)
        for node in reversed(list(self.alive)):
            self.draw_back(node)
        self.merge_twins(self.earlier, list(self.alive))
        self.merge_twins(self.later, list(reversed(self.alive)))
        return len(self.alive) < before

    def draw_forward(self, node: int) -> None:
        """Do a node straight after the one node it waits for."""
        mask = self.earlier[node]
        host = mask.bit_length() - 1
        if mask and mask == self.earlier[host] | 1 << host and self.fits_in(node, host):
            self.stands_for[host] += self.stands_for[node]
            self.drop(node)

    def draw_back(self, node: int) -> None:
        """Do a node straight before the one node that waits for it."""
        mask = self.later[node]
        host = (mask & -mask).bit_length() - 1
        if mask and mask == self.later[host] | 1 << host and self.fits_in(node, host):
            self.stands_for[host] = self.stands_for[node] + self.stands_for[host]
            self.drop(node)

    def merge_twins(self, sides: list[int], nodes: list[int]) -> None:
        """Join nodes of one place that have the same nodes on a side."""
        seen: dict[tuple[int, int, int], int] = {}
        for node in nodes:
            key = (sides[node], self.task.positions[node], self.task.tools[node])
            host = seen.setdefault(key, node)
            if host != node and not {host, node} & self.tied:
                self.join(host, node)

    def fits_in(self, node: int, host: int) -> bool:
        """Tell whether a node may be done where, and with what, the host is done."""
        positions, tools = self.task.positions, self.task.tools
        return (
            not {node, host} & self.tied
            and positions[node] in (ANYWHERE, positions[host])
            and tools[node] in (ANYWHERE, tools[host])
        )

    def join(self, host: int, node: int) -> None:
        earlier, later = self.earlier, self.later
        earlier[host] |= earlier[node]
        later[host] |= later[node]
        self.stands_for[host] += self.stands_for[node]
        self.drop(node)
        for other in members(earlier[host]):
            later[other] |= later[host] | 1 << host
        for other in members(later[host]):
            earlier[other] |= earlier[host] | 1 << host

    def drop(self, node: int) -> None:
        keep = ~(1 << node)
        for other in members(self.earlier[node]):
            self.later[other] &= keep
        for other in members(self.later[node]):
            self.earlier[other] &= keep
        del self.alive[node]

    def reduced(self) -> Reduced:
        order = sorted(self.alive, key=lambda n: (self.earlier[n].bit_count(), n))
        left = replace(self.task, earlier=tuple(self.earlier))
        return Reduced(
            _renumbered(left, order), tuple(tuple(self.stands_for[node]) for node in order)
        )


def _renumbered(task: Task, order: list[int]) -> Task:
    """Keep these nodes, numbered in this order."""
    number = {node: i for i, node in enumerate(order)}
    return Task(
        positions=tuple(task.positions[node] for node in order),
        tools=tuple(task.tools[node] for node in order),
        earlier=tuple(_reordered([task.earlier[node] for node in order], order, len(task))),
        forks=tuple(Fork(number[f.block], number[f.opened], number[f.closed]) for f in task.forks),
    )


def _reordered(masks: list[int], order: list[int], count: int) -> list[int]:
    """Put the bits of masks in another order, by way of their digits: quick for long ones."""
    if len(order) < 2:
        return [mask >> order[0] & 1 for mask in masks]
    # Digits are written highest first.
    pick = itemgetter(*(count - 1 - node for node in reversed(order)))
    return [int("".join(pick(f"{mask:0{count}b}")), 2) for mask in masks]
