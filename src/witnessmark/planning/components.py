"""Circles in a directed graph: its strongly connected components."""

from __future__ import annotations

from collections.abc import Sequence


def strong_components(out: Sequence[Sequence[int]]) -> list[int]:
    """Find the strongly connected components; nodes in one circle get one number.

    Parameters
    ----------
    out : Sequence[Sequence[int]]
        For each node the nodes it leads to.

    Returns
    -------
    list[int]
        The component of each node. A component has a lower number than those that lead
        into it.

    References
    ----------
    .. [1] R. Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on
       Computing 1 (2), 1972, pp. 146-160.
    """
    count = len(out)
    part = [-1] * count
    low = [0] * count
    number = [0] * count
    trail: list[int] = []
    visited = parts = 0
    for root in range(count):
        if number[root]:
            continue
        visited += 1
        number[root] = low[root] = visited
        trail.append(root)
        stack = [(root, iter(out[root]))]
        while stack:
            node, left = stack[-1]
            for then in left:
                if not number[then]:
                    visited += 1
                    number[then] = low[then] = visited
                    trail.append(then)
                    stack.append((then, iter(out[then])))
                    break
                if part[then] < 0 and number[then] < low[node]:
                    low[node] = number[then]
            else:
                stack.pop()
                if stack and low[node] < low[stack[-1][0]]:
                    low[stack[-1][0]] = low[node]
                if low[node] == number[node]:
                    while trail[-1] != node:
                        part[trail.pop()] = parts
                    part[trail.pop()] = parts
                    parts += 1
    return part
