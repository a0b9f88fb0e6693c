"""What is to be put in order: nodes with a place, and which must come before which.

A **node** is a step of a plan, or several steps that may as well be done together. Sets of
nodes are bit masks. The **place** of a node is its position and its tool, either of them
possibly `ANYWHERE`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from witnessmark.procedure.problem import ANYWHERE


@dataclass(frozen=True, slots=True)
class Fork:
    """A block that comes before an opening is opened or after it is closed again."""

    block: int
    opened: int
    closed: int


@dataclass(frozen=True, slots=True)
class Task:
    """Nodes to put in order.

    `earlier` gives for each node the mask of all nodes that must come before it, directly
    or through others.
    """

    positions: tuple[int, ...]
    tools: tuple[int, ...]
    earlier: tuple[int, ...]
    forks: tuple[Fork, ...] = ()

    def __len__(self) -> int:
        return len(self.earlier)


def members(mask: int) -> Iterator[int]:
    """Give the nodes of a mask, lowest first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


def direct_only(earlier: Sequence[int]) -> list[int]:
    """Leave out of each mask what follows from the rest of it.

    Earlier nodes must have lower numbers.
    """
    direct = []
    for mask in earlier:
        kept, left = 0, mask
        while left:
            last = left.bit_length() - 1
            kept |= 1 << last
            left &= ~(earlier[last] | 1 << last)
        direct.append(kept)
    return direct


def later_than(earlier: Sequence[int]) -> list[int]:
    """Turn "comes before" masks into "comes after" masks.

    Earlier nodes must have lower numbers.
    """
    later = [0] * len(earlier)
    for node, mask in reversed(list(enumerate(direct_only(earlier)))):
        for other in members(mask):
            later[other] |= later[node] | 1 << node
    return later


def close_over(before: Sequence[int]) -> list[int] | None:
    """Add to each mask all that must come before through others; None for a circle."""
    after: list[list[int]] = [[] for _ in before]
    waiting = [0] * len(before)
    for node, mask in enumerate(before):
        for other in members(mask):
            after[other].append(node)
            waiting[node] += 1
    ready = [node for node, count in enumerate(waiting) if not count]
    earlier = list(before)
    for node in ready:  # grows while it is read
        for other in after[node]:
            earlier[other] |= earlier[node]
            waiting[other] -= 1
            if not waiting[other]:
                ready.append(other)
    return earlier if len(ready) == len(earlier) else None


def settle(task: Task) -> Task | None:
    """Decide every fork that has one way left, or none; None for a circle.

    `task.earlier` need not be closed; that of the answer is.
    """
    before, forks = list(task.earlier), task.forks
    while True:
        earlier = close_over(before)
        if earlier is None:
            return None
        still_open, decided = [], False
        for fork in forks:
            k, o, c = fork.block, fork.opened, fork.closed
            if earlier[o] >> k & 1 or earlier[k] >> c & 1:
                continue
            if earlier[k] >> o & 1:
                before[k] |= 1 << c
                decided = True
            elif earlier[c] >> k & 1:
                before[o] |= 1 << k
                decided = True
            else:
                still_open.append(fork)
        forks = tuple(still_open)
        if not decided:
            return replace(task, earlier=tuple(earlier), forks=forks)


def decide(task: Task) -> Task | None:
    """Decide every fork one way or the other so that an order exists; None if none does."""
    settled = settle(task)
    if settled is None or not settled.forks:
        return settled
    fork = settled.forks[0]
    for first, then in ((fork.block, fork.opened), (fork.closed, fork.block)):
        before = list(settled.earlier)
        before[then] |= 1 << first
        decided = decide(replace(settled, earlier=tuple(before)))
        if decided is not None:
            return decided
    return None


def is_free(task: Task, node: int) -> bool:
    """Tell whether a node may be done wherever one stands with whatever is in the hand."""
    return task.positions[node] == ANYWHERE and task.tools[node] == ANYWHERE
