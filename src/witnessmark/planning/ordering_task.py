"""What is to be put in order: nodes with a place, and which must come before which.

A **node** is a step of a plan, or several steps that may as well be done together. Sets of
nodes are bit masks. The **place** of a node is its position and its tool, either of them
possibly `ANYWHERE`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
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
    """Close the precedence of a task and settle its forks; None for a circle.

    A fork is settled when one of its sides follows from the rest, or is the only one left.
    """
    earlier = close_over(task.earlier)
    return None if earlier is None else narrow(replace(task, earlier=tuple(earlier)), ())


def narrow(task: Task, arcs: Iterable[tuple[int, int]]) -> Task | None:
    """Add arcs (first, then) to a task whose precedence is closed; None for a circle."""
    earlier, forks = list(task.earlier), task.forks
    new = list(arcs)
    while True:
        for first, then in new:
            if not _add_arc(earlier, first, then):
                return None
        still_open, new = [], []
        for fork in forks:
            k, o, c = fork.block, fork.opened, fork.closed
            if earlier[o] >> k & 1 or earlier[k] >> c & 1:
                continue
            if earlier[k] >> o & 1:
                new.append((c, k))
            elif earlier[c] >> k & 1:
                new.append((k, o))
            else:
                still_open.append(fork)
        forks = tuple(still_open)
        if not new:
            return replace(task, earlier=tuple(earlier), forks=forks)


def _add_arc(earlier: list[int], first: int, then: int) -> bool:
    """Add one arc and all that follows; tell whether that makes no circle."""
    if first == then or earlier[first] >> then & 1:
        return False
    if not earlier[then] >> first & 1:
        more = earlier[first] | 1 << first
        earlier[then] |= more
        for node, mask in enumerate(earlier):
            if mask >> then & 1:
                earlier[node] = mask | more
    return True


def decide(task: Task) -> Task | None:
    """Decide every fork so that an order exists; None if none does.

    The precedence of `task` has to be closed.
    """
    settled = narrow(task, ())
    if settled is None or not settled.forks:
        return settled
    fork = settled.forks[0]
    for arc in ((fork.block, fork.opened), (fork.closed, fork.block)):
        narrower = narrow(settled, (arc,))
        decided = decide(narrower) if narrower is not None else None
        if decided is not None:
            return decided
    return None


def is_free(task: Task, node: int) -> bool:
    """Tell whether a node may be done wherever one stands with whatever is in the hand."""
    return task.positions[node] == ANYWHERE and task.tools[node] == ANYWHERE
