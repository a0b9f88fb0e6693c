"""Why each opening is in a plan, and what each optional removal buys."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from witnessmark.planning.choosing import prices_beyond
from witnessmark.procedure.plan import Plan
from witnessmark.procedure.problem import Problem, Side, Way
from witnessmark.quantities.duration import minutes_text


class ReasonKind(StrEnum):
    """What an opening is in the plan for."""

    GOAL = "wanted"
    BLOCK = "needed by a step of the work"
    STARTED = "open already"
    NEED = "needed"
    SUPPORTER = "clears the way"
    ASK = "asked for"
    ROOM = "makes room"
    CHANGEOVER = "shortens the going about"


@dataclass(frozen=True, slots=True)
class Link:
    """One link of a reason: an opening is there for something that is there itself.

    `user` is the opening it is there for (None at the end of a chain), `fact` the clear
    fact it makes true if it is there as a supporter, `block` the block that needs it.
    """

    opening: int
    kind: ReasonKind
    user: int | None = None
    fact: int | None = None
    block: int | None = None
    saves: int = 0
    """Saved on `user` by the room made, in tenths of a minute."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why an opening is in the plan: links up to a goal, a block or an earlier start."""

    chain: tuple[Link, ...]
    text: str
    """The first link in words."""
    story: str
    """The whole chain in words."""

    @property
    def kind(self) -> ReasonKind:
        """What kind of reason the nearest one is."""
        return self.chain[0].kind


Naming = Callable[[int], str]
"""Gives the name of an opening, as people should read it."""


def reason_for(problem: Problem, plan: Plan, opening: int, naming: Naming | None = None) -> Reason:
    """Say why one opening is in a plan.

    Raises
    ------
    KeyError
        If the opening is not in the plan.
    """
    return _reason(problem, _links(problem, plan), opening, naming)


def reasons_in(problem: Problem, plan: Plan, naming: Naming | None = None) -> dict[int, Reason]:
    """Say of every opening of a plan why it is there; quicker than one by one."""
    links = _links(problem, plan)
    return {opening: _reason(problem, links, opening, naming) for opening in plan.ways}


def _reason(
    problem: Problem, links: dict[int, Link], opening: int, naming: Naming | None
) -> Reason:
    chain = [links[opening]]
    while (user := chain[-1].user) is not None:
        chain.append(links[user])

    def name(index: int) -> str:
        return naming(index) if naming else problem.openings[index].id

    said = [_in_words(problem, link, name, whose=i > 0) for i, link in enumerate(chain)]
    return Reason(tuple(chain), said[0], "; ".join(said))


def _in_words(problem: Problem, link: Link, name: Naming, *, whose: bool) -> str:
    it = name(link.opening) if whose else "it"
    for_whom = name(link.user) if link.user is not None else ""
    if link.block is not None:
        for_whom = problem.blocks[link.block].id
    match link.kind:
        case ReasonKind.GOAL if link.fact is not None:
            return f"{it} clears {problem.fact_id(link.fact)}, which the work wants"
        case ReasonKind.GOAL:
            return f"the work wants {it}"
        case ReasonKind.STARTED:
            return f"{it} is open already and has to be closed"
        case ReasonKind.SUPPORTER if link.fact is not None:
            return f"{it} clears {problem.fact_id(link.fact)} for {for_whom}"
        case ReasonKind.ROOM:
            return f"{it} makes room for {for_whom}: saves {minutes_text(link.saves)}"
        case ReasonKind.ASK:
            return f"{for_whom} asks for {it}"
        case ReasonKind.CHANGEOVER:
            return f"{it} shortens the going from place to place"
        case _:
            return f"{for_whom} needs {it}"


def _links(problem: Problem, plan: Plan) -> dict[int, Link]:
    """Find for every opening of a plan the nearest thing it is there for.

    What something needs is followed first, from goals, blocks and started openings down;
    room is a reason only for what has no other, and for what is there for its sake.
    """
    links: dict[int, Link] = {}
    queue: deque[int] = deque()

    def explain(link: Link) -> None:
        if link.opening in plan.ways and link.opening not in links:
            links[link.opening] = link
            queue.append(link.opening)

    for root in _roots(problem, plan):
        explain(root)
    rooms = list(_rooms(problem, plan))
    while queue or rooms:
        while queue:
            for link in _needs_of(problem, plan, queue.popleft()):
                explain(link)
        served = [link for link in rooms if link.user in links]
        rooms = [link for link in rooms if link.user not in links]
        for link in served:
            explain(link)
        if not served and not queue:
            break
    for opening in plan.ways:
        explain(Link(opening, ReasonKind.CHANGEOVER))
        while queue:
            for link in (*_needs_of(problem, plan, queue.popleft()), *rooms):
                if link.user in links:
                    explain(link)
    return links


def _roots(problem: Problem, plan: Plan) -> Iterator[Link]:
    for goal in problem.goals:
        if not problem.is_clear(goal):
            yield Link(goal, ReasonKind.GOAL)
        else:
            yield Link(plan.supporters[goal], ReasonKind.GOAL, fact=goal)
    for number, block in enumerate(problem.blocks):
        for fact in block.needs:
            if not problem.is_clear(fact):
                yield Link(fact, ReasonKind.BLOCK, block=number)
            else:
                yield Link(plan.supporters[fact], ReasonKind.SUPPORTER, fact=fact, block=number)
    for opening in plan.ways:
        if problem.openings[opening].started:
            yield Link(opening, ReasonKind.STARTED)


def _needs_of(problem: Problem, plan: Plan, user: int) -> Iterator[Link]:
    way = _way(problem, plan, user)
    for fact in (*way.needs, *way.strip_needs, *way.refit_needs):
        if not problem.is_clear(fact):
            yield Link(fact, ReasonKind.NEED, user)
        elif fact in plan.supporters:
            yield Link(plan.supporters[fact], ReasonKind.SUPPORTER, user, fact)
    for asking, asked in problem.asks:
        if asking == user:
            yield Link(asked, ReasonKind.ASK, user)


def _rooms(problem: Problem, plan: Plan) -> Iterator[Link]:
    saved: dict[tuple[int, int], int] = {}
    for saving in plan.savings:
        room = _way(problem, plan, saving.opening).rooms[saving.room]
        pair = (saving.removal, saving.opening)
        saved[pair] = saved.get(pair, 0) + dict(room.side(saving.side))[saving.removal]
    for (removal, user), saves in saved.items():
        yield Link(removal, ReasonKind.ROOM, user, saves=saves)


def _way(problem: Problem, plan: Plan, opening: int) -> Way:
    return problem.openings[opening].ways[plan.ways[opening]]


# Optional removals


@dataclass(frozen=True, slots=True)
class RoomChoice:
    """A removal that is not needed but makes room, taken or not.

    Minutes are access alone: what a taken removal does to change-overs is in the plan's
    total, and was weighed there.
    """

    removal: int
    room: str
    """Names of the rooms it opens in this plan."""
    serves: tuple[int, ...]
    """Openings of the plan that go quicker with it."""
    taken: bool
    """Whether the plan counts a saving by it."""
    needed_anyway: bool
    """Whether it is in the plan for another reason."""
    saves: int
    """Saved when taken, or that taking it would save. [tenths of a minute]"""
    costs: int
    """Cost of the openings that are, or would be, in the plan only for it. [tenths of a minute]"""

    @property
    def net(self) -> int:
        """What it saves less what it costs; below zero it does not pay."""
        return self.saves - self.costs


def room_choices(problem: Problem, plan: Plan) -> tuple[RoomChoice, ...]:
    """List every removal that would make room for the chosen ways, taken or not."""
    links = _links(problem, plan)
    counted = {(s.opening, s.room, s.side): s.removal for s in plan.savings}
    removals = dict.fromkeys(
        removal
        for opening in plan.ways
        for room in _way(problem, plan, opening).rooms
        for side in Side
        for removal, _ in room.side(side)
    )
    choices = []
    for removal in removals:
        taken = removal in counted.values()
        serves: dict[int, None] = {}
        rooms: dict[str, None] = {}
        saves = 0
        for opening, number, side, saved in _savings_by(problem, plan, removal):
            key = (opening, number, side)
            if taken and counted.get(key) != removal:
                continue
            # Not taken, it saves only what goes beyond the removal counted now.
            now = counted.get(key)
            room = _way(problem, plan, opening).rooms[number]
            spared = 0 if taken or now is None else dict(room.side(side))[now]
            saves += max(0, saved - spared)
            serves[opening] = None
            rooms[room.id] = None
        costs = _cost_for(problem, plan, links, removal)
        if costs is None:
            continue  # it cannot be opened
        link = links.get(removal)
        only_room = link is not None and any(
            each.kind is ReasonKind.ROOM for each in _chain(links, removal)
        )
        choices.append(
            RoomChoice(
                removal=removal,
                room=", ".join(rooms),
                serves=tuple(serves),
                taken=taken,
                needed_anyway=link is not None and not only_room,
                saves=saves,
                costs=costs,
            )
        )
    return tuple(choices)


def _savings_by(problem: Problem, plan: Plan, removal: int) -> Iterator[tuple[int, int, Side, int]]:
    for opening in plan.ways:
        for number, room in enumerate(_way(problem, plan, opening).rooms):
            for side in Side:
                if problem.openings[opening].started and side is Side.STRIP:
                    continue
                for other, saved in room.side(side):
                    if other == removal:
                        yield opening, number, side, saved


def _chain(links: dict[int, Link], opening: int) -> Iterator[Link]:
    at: int | None = opening
    while at is not None:
        yield links[at]
        at = links[at].user


def _cost_for(problem: Problem, plan: Plan, links: dict[int, Link], removal: int) -> int | None:
    """Add up the openings that are, or would be, there for a removal's sake alone."""
    if removal in plan.ways:
        if not any(link.kind is ReasonKind.ROOM for link in _chain(links, removal)):
            return 0
        alone = [
            opening
            for opening in plan.ways
            if any(link.opening == removal for link in _chain(links, opening))
        ]
        return sum(_way(problem, plan, opening).cost for opening in alone)
    prices = prices_beyond(problem, plan.ways, lambda a: range(len(problem.openings[a].ways)))
    return prices[removal][0] if removal in prices else None
