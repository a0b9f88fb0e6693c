"""A routing found again: the order and the faces a belt of known length lay on.

Every closed order of the pulleys whose belt neither crosses itself, runs through a pulley
nor misses one is a routing. `routing_walk` finds them; here the question is put and the best
are handed out. Steps are counted, not seconds: the same question always gives the same
answer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from witnessmark.engineering.belts.path import BeltPath, belt_path, refuse_bad_layout
from witnessmark.engineering.belts.pulleys import Face, Pulley, direction_of
from witnessmark.engineering.belts.routing_walk import Order, Search, Walk, hull_order
from witnessmark.engineering.refusal import RefusalError

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_PULLEYS = 16
STEP_BUDGET = 60_000  # under a second on the core it was tried on: benchmarks/drives.py


@dataclass(frozen=True, slots=True)
class Routing:
    """One routing: pulleys in belt order with their faces, and how far its length is off.

    Attributes
    ----------
    path : BeltPath
        The path, in the order the belt runs.
    misfit : float
        Path length less belt length. [m]
    """

    path: BeltPath
    misfit: float

    @property
    def order(self) -> tuple[str, ...]:
        """Names of the pulleys in belt order."""
        return tuple(contact.pulley.name for contact in self.path.contacts)


@dataclass(frozen=True, slots=True)
class RoutingSearch:
    """What the search found.

    Attributes
    ----------
    routings : tuple of Routing
        The best, nearest in length first. When none fits, the nearest that do not.
    fitting : int
        How many routings have the belt's length within tolerance.
    complete : bool
        Whether every routing was looked at.
    stopped : str or None
        Where it stopped, when it did not look at every one.
    steps : int
        Spans tried.
    """

    routings: tuple[Routing, ...]
    fitting: int
    complete: bool
    stopped: str | None
    steps: int


def find_routings(
    pulleys: Sequence[Pulley],
    belt_length: float,
    tolerance: float,
    *,
    most: int = 20,
    step_budget: int = STEP_BUDGET,
) -> RoutingSearch:
    """Find the routings over all the pulleys that suit a belt length.

    Parameters
    ----------
    pulleys : sequence of Pulley
        Every pulley the belt touches, in any order. A face or direction that is not known
        is None, and both are tried.
    belt_length : float
        Length of the belt's pitch line. [m]
    tolerance : float
        How far the length may be off, plus and minus. [m]
    most : int
        How many routings to give.
    step_budget : int
        Spans to try before stopping.

    Returns
    -------
    RoutingSearch
        The best routings, the count, and whether the search was complete.

    Raises
    ------
    RefusalError
        If the layout itself is impossible, faces and directions contradict each other, or
        there are more than 16 pulleys.

    Notes
    -----
    When no pulley says which way it turns, a routing run backwards is the same routing and
    is given once, running clockwise. Counted against trying every order in the tests.
    """
    layout = tuple(pulleys)
    refuse_bad_layout(layout)
    if len(layout) > MOST_PULLEYS:
        raise RefusalError(
            f"{len(layout)} pulleys are more than the search takes ({MOST_PULLEYS})",
            "split the drive by belt",
        )
    if not 0.0 < belt_length < math.inf or not 0.0 <= tolerance < belt_length:
        raise RefusalError("the belt's length or tolerance is not usable", "check both figures")
    if len({p.name for p in layout}) != len(layout):
        raise RefusalError("two pulleys have the same name", "name each so it can be told")
    loops = _possible_loops(layout)
    search = Search(belt_length, tolerance, most, step_budget)
    hull = hull_order(layout)
    search.start = hull[0]
    for loop, senses in loops.items():
        if not search.exhausted:
            Walk(search, layout, senses, loop, hull).run()
    found = sorted((-key, order) for key, order in search.best)
    routings = tuple(
        _routing(layout, order, belt_length)
        for misfit, order in found
        if misfit <= tolerance or search.fitting == 0
    )
    stopped = None
    if search.exhausted:
        stopped = (
            f"stopped after {search.steps} spans tried, "
            f"{search.branches_done} of {search.branches} first moves from "
            f"{layout[search.start].name} searched through"
        )
    return RoutingSearch(routings, search.fitting, not search.exhausted, stopped, search.steps)


def _possible_loops(layout: tuple[Pulley, ...]) -> dict[int, tuple[tuple[int, ...], ...]]:
    """For each way the loop may run, the senses each pulley may take."""
    known = any(p.turns is not None for p in layout)
    loops: dict[int, tuple[tuple[int, ...], ...]] = {}
    for loop in (-1, 1) if known else (-1,):
        senses = tuple(_senses(p, loop) for p in layout)
        if all(senses):
            loops[loop] = senses
    if not loops:
        raise RefusalError(
            "faces and directions contradict each other",
            "pulleys on the same face turn the same way, on opposite faces opposite ways",
        )
    return loops


def _senses(pulley: Pulley, loop: int) -> tuple[int, ...]:
    by_face = {None: (-1, 1), Face.INSIDE: (loop,), Face.BACK: (-loop,)}[pulley.face]
    return tuple(s for s in by_face if pulley.turns is None or s == pulley.turns.sense)


def _routing(layout: tuple[Pulley, ...], order: Order, length: float) -> Routing:
    """Turn an order of pulleys and senses into a checked path that starts as written."""
    loop, nodes = order
    at = next(k for k, (index, _) in enumerate(nodes) if index == 0)
    pulleys = [
        replace(
            layout[index],
            face=Face.INSIDE if sense == loop else Face.BACK,
            turns=direction_of(sense),
        )
        for index, sense in [*nodes[at:], *nodes[:at]]
    ]
    path = belt_path(pulleys)
    return Routing(path, path.length - length)
