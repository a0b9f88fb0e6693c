"""The path of a belt: tangents and arcs, length, wrap, spans, speed and direction.

Every pulley has a signed radius: positive when the belt goes round it anticlockwise. From
pulley i to pulley j the belt leaves along the one directed tangent that suits both signs.
With d the vector between centres and u the belt's unit direction, the offset of d across u
is the difference of the signed radii, so the span is sqrt(d² - (ρj - ρi)²). The lengths add
up to the two-pulley formulae of every machine-design book (open and crossed belt).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.engineering.belts.crossing import first_crossing, first_run_through
from witnessmark.engineering.belts.pulleys import Direction, Face, Pulley, direction_of
from witnessmark.engineering.refusal import RefusalError

if TYPE_CHECKING:
    from collections.abc import Sequence

TOUCH = 1e-9  # metres: nearer than this counts as touching
NO_WRAP = 1e-7  # radians: a smaller wrap is no wrap


@dataclass(frozen=True, slots=True)
class Span:
    """A free length of belt between two pulleys, in the order the belt runs. [m]."""

    leaves: tuple[float, float]
    arrives: tuple[float, float]
    length: float
    heading: complex
    twisted: bool = False


@dataclass(frozen=True, slots=True)
class Contact:
    """What the belt does at one pulley.

    Attributes
    ----------
    pulley : Pulley
        The pulley.
    direction : Direction
        Which way it turns.
    wrap : float
        Angle over which the belt lies on it. [rad]
    turns : float
        Turns it makes for one turn of the first pulley; negative when it turns the other way.
    """

    pulley: Pulley
    direction: Direction
    wrap: float
    turns: float

    @property
    def arc_length(self) -> float:
        """Length of belt lying on the pulley. [m]."""
        return self.wrap * self.pulley.radius

    @property
    def teeth_in_mesh(self) -> int | None:
        """Whole teeth in mesh, z × wrap / 360° rounded down; None for a plain pulley."""
        if self.pulley.teeth is None:
            return None
        # A count that is whole to within rounding is that count: 12 teeth over 180°.
        return math.floor(self.pulley.teeth * self.wrap / math.tau + 1e-9)


@dataclass(frozen=True, slots=True)
class BeltPath:
    """A closed belt path. `spans[i]` runs from `contacts[i]` to the next contact."""

    contacts: tuple[Contact, ...]
    spans: tuple[Span, ...]
    runs: Direction

    @property
    def length(self) -> float:
        """Length of the pitch line all the way round. [m]."""
        return math.fsum(
            [s.length for s in self.spans] + [contact.arc_length for contact in self.contacts]
        )

    def belt_speed(self, first_pulley_rpm: float) -> float:
        """Belt speed from the speed of the first pulley: v = π d n / 60. [m/s]."""
        return math.pi * self.contacts[0].pulley.diameter * first_pulley_rpm / 60


def belt_path(pulleys: Sequence[Pulley], *, crossed: bool = False) -> BeltPath:
    """Lay a belt over pulleys in the order the belt meets them.

    Pulleys touched by the inside face all turn one way, those touched by the back the other
    way. Which way follows from the order, unless a pulley says how it turns; two pulleys
    fit either way and are then taken to turn clockwise.

    Parameters
    ----------
    pulleys : sequence of Pulley
        Two or more, each with its face, in the order the belt meets them.
    crossed : bool
        A flat belt crossed between two pulleys, each span twisted half a turn.

    Returns
    -------
    BeltPath
        Contacts in the same order, and the spans after each.

    Raises
    ------
    RefusalError
        If pulleys coincide, overlap or touch; if the belt would cross itself, run through a
        pulley or miss one; if faces, order and directions contradict each other.

    Notes
    -----
    All pulleys lie in one plane; the belt neither stretches nor sags. The belt's own
    thickness counts only through the pitch-line diameters.

    References
    ----------
    Checked against Budynas & Nisbett, Shigley's Mechanical Engineering Design, Eqs. (17-1)
    and (17-2), and against the perimeter of the convex hull.
    """
    layout = tuple(pulleys)
    refuse_bad_layout(layout)
    if crossed:
        return _crossed(layout)
    senses = _possible_senses(layout)
    good: list[BeltPath] = []
    refusals: dict[int, RefusalError] = {}
    for sense in senses:
        try:
            good.append(_lay(layout, sense))
        except RefusalError as refusal:
            refusals[sense] = refusal
    if not good:
        likely = _sense_of_centres(layout)
        raise _why_not(layout, refusals, likely)
    if len(good) == 2 and len(layout) > 2:
        raise RefusalError(
            "in this order the belt could lie in two ways",
            f"say which way {layout[0].name} turns",
        )
    return good[0]


def closing_error(path: BeltPath) -> float:
    """Walk the path by headings, spans and wraps and give how far it ends from its start. [m].

    The walk uses only lengths, wraps and directions, not the stored points, so that it
    checks them.
    """
    first = path.spans[0]
    position = complex(*first.leaves)
    heading = first.heading
    start, start_heading = position, heading
    for index, span in enumerate(path.spans):
        position += span.length * heading
        contact = path.contacts[(index + 1) % len(path.contacts)]
        sense = contact.direction.sense
        centre = position + sense * 1j * heading * contact.pulley.radius
        turn = complex(math.cos(contact.wrap), sense * math.sin(contact.wrap))
        position = centre + (position - centre) * turn
        heading *= turn
    return abs(position - start) + abs(heading - start_heading) * path.contacts[0].pulley.radius


def tangent(start: Pulley, end: Pulley, start_sense: int, end_sense: int) -> Span | None:
    """Give the directed tangent from one pulley to the next; None when there is none."""
    dx, dy = end.x - start.x, end.y - start.y
    across = end_sense * end.radius - start_sense * start.radius
    square = dx * dx + dy * dy
    along_square = square - across * across
    if along_square <= 0.0:
        return None
    along = math.sqrt(along_square)
    # u = d (along - i across) / |d|², written out.
    ux = (dx * along + dy * across) / square
    uy = (dy * along - dx * across) / square
    leave = (start.x + start_sense * start.radius * uy, start.y - start_sense * start.radius * ux)
    arrive = (end.x + end_sense * end.radius * uy, end.y - end_sense * end.radius * ux)
    return Span(leave, arrive, along, complex(ux, uy))


def wrap_between(arriving: complex, leaving: complex, sense: int) -> float:
    """Angle turned from one heading to the next, going round in the given sense. [rad].

    Between 0 and 2π; a turn short of zero by rounding alone counts as zero.
    """
    turn = leaving * arriving.conjugate()
    angle = math.atan2(sense * turn.imag, turn.real) % math.tau
    return 0.0 if math.tau - angle < NO_WRAP else angle


def turns_per_turn(first: Pulley, other: Pulley) -> float:
    """Give the turns of another pulley for one turn of the first, without sign.

    By teeth where both are toothed, otherwise by pitch-line diameters (no slip).
    """
    if first.teeth is not None and other.teeth is not None:
        return first.teeth / other.teeth
    return first.diameter / other.diameter


def refuse_bad_layout(layout: Sequence[Pulley]) -> None:
    """Refuse pulleys that coincide, overlap or touch, and fewer than two of them."""
    if len(layout) < 2:
        raise RefusalError("a belt needs at least two pulleys", "give each with its position")
    for index, a in enumerate(layout):
        for b in layout[index + 1 :]:
            apart = math.hypot(b.x - a.x, b.y - a.y)
            gap = apart - a.radius - b.radius
            if apart <= TOUCH:
                raise RefusalError(
                    f"{a.name} and {b.name} have the same centre",
                    "check their positions; pulleys on one shaft lie on different belts",
                )
            if gap < -TOUCH:
                raise RefusalError(
                    f"{a.name} and {b.name} overlap by {-gap * 1000:.6g} mm",
                    "check positions, diameters and units",
                )
            if gap <= TOUCH:
                raise RefusalError(
                    f"{a.name} and {b.name} touch", "no belt fits between; check the positions"
                )


def _possible_senses(layout: Sequence[Pulley]) -> list[int]:
    """Senses of the inside pulleys that agree with every stated face and direction."""
    wanted: dict[int, str] = {}
    for pulley in layout:
        if pulley.face is None:
            raise RefusalError(
                f"the face of {pulley.name} is not given", "say inside or back, or search routings"
            )
        if pulley.turns is not None:
            sense = pulley.turns.sense * (1 if pulley.face is Face.INSIDE else -1)
            wanted.setdefault(sense, pulley.name)
    if len(wanted) == 2:
        raise RefusalError(
            f"faces and directions of {wanted[1]} and {wanted[-1]} contradict each other",
            "pulleys on the same face turn the same way, on opposite faces opposite ways",
        )
    return list(wanted) or [-1, 1]


def _sense_of_centres(layout: Sequence[Pulley]) -> int:
    """Say whether the order of the centres goes round clockwise (-1) or anticlockwise (+1)."""
    pairs = zip(layout, [*layout[1:], layout[0]], strict=True)
    return 1 if math.fsum(a.x * b.y - b.x * a.y for a, b in pairs) > 0 else -1


def _why_not(
    layout: tuple[Pulley, ...], refusals: dict[int, RefusalError], likely: int
) -> RefusalError:
    """Choose the most telling refusal; notice an order written against the direction."""
    if len(refusals) == 1 and -likely in refusals:
        try:
            _lay(layout, likely)
        except RefusalError:
            return refusals[-likely]
        named = next(p for p in layout if p.turns is not None)
        assert named.turns is not None
        return RefusalError(
            f"in the order written {named.name} turns {named.turns.other}, not {named.turns}",
            "write the pulleys in the order the belt meets them, or check the viewpoint",
        )
    return refusals.get(likely) or next(iter(refusals.values()))


def _lay(layout: tuple[Pulley, ...], inside_sense: int) -> BeltPath:
    """Lay the belt with the inside pulleys turning in the given sense, and check it."""
    senses = [inside_sense if p.face is Face.INSIDE else -inside_sense for p in layout]
    spans, wraps = _spans_and_wraps(layout, senses)
    for pulley, wrap in zip(layout, wraps, strict=True):
        if wrap < NO_WRAP:
            raise RefusalError(
                f"the belt has no wrap on {pulley.name}",
                "it passes by or only touches; check face, order and position",
            )
    through = first_run_through(spans, layout)
    if through is not None:
        here, there = layout[through[0]], layout[(through[0] + 1) % len(layout)]
        raise RefusalError(
            f"the belt from {here.name} to {there.name} would run through "
            f"{layout[through[1]].name}",
            "check faces, order and positions",
        )
    crossing = first_crossing(spans)
    if crossing is not None:
        raise _crossing_refusal(layout, *crossing)
    whole_turns = round(math.fsum(s * w for s, w in zip(senses, wraps, strict=True)) / math.tau)
    if whole_turns != inside_sense:
        raise RefusalError(
            "the faces are the wrong way about for this order",
            "the loop would lie with its back inwards; swap inside and back, or the order",
        )
    return _as_path(layout, senses, spans, wraps, direction_of(inside_sense))


def _crossed(layout: tuple[Pulley, ...]) -> BeltPath:
    """Lay a flat belt crossed between two pulleys."""
    if len(layout) != 2 or any(p.face is not Face.INSIDE for p in layout):
        raise RefusalError(
            "a crossed belt is reckoned for two pulleys, both on the inside face",
            "leave out the crossing or the other pulleys",
        )
    if any(p.teeth is not None for p in layout):
        raise RefusalError("a toothed belt or chain cannot be crossed", "only a flat belt can")
    first, second = layout
    sense = first.turns.sense if first.turns is not None else -1
    if second.turns is not None:
        if first.turns is second.turns:
            raise RefusalError(
                f"{first.name} and {second.name} turn opposite ways on a crossed belt",
                "check the directions",
            )
        sense = -second.turns.sense
    senses = [sense, -sense]
    spans, wraps = _spans_and_wraps(layout, senses)
    twisted = tuple(Span(s.leaves, s.arrives, s.length, s.heading, twisted=True) for s in spans)
    return _as_path(layout, senses, twisted, wraps, direction_of(sense))


def _spans_and_wraps(
    layout: Sequence[Pulley], senses: Sequence[int]
) -> tuple[tuple[Span, ...], tuple[float, ...]]:
    spans: list[Span] = []
    for i, pulley in enumerate(layout):
        j = (i + 1) % len(layout)
        span = tangent(pulley, layout[j], senses[i], senses[j])
        # Discs that do not touch always have the tangent; refuse_bad_layout saw to that.
        assert span is not None
        spans.append(span)
    wraps = [
        wrap_between(spans[i - 1].heading, spans[i].heading, sense)
        for i, sense in enumerate(senses)
    ]
    return tuple(spans), tuple(wraps)


def _as_path(
    layout: Sequence[Pulley],
    senses: Sequence[int],
    spans: tuple[Span, ...],
    wraps: Sequence[float],
    runs: Direction,
) -> BeltPath:
    contacts = tuple(
        Contact(p, direction_of(s), w, senses[0] * s * turns_per_turn(layout[0], p))
        for p, s, w in zip(layout, senses, wraps, strict=True)
    )
    return BeltPath(contacts, spans, runs)


def _crossing_refusal(layout: Sequence[Pulley], first: int, second: int) -> RefusalError:
    """Say which spans cross; two spans of one pulley cross where the belt misses that pulley."""
    count = len(layout)
    between = second if second == first + 1 else 0 if (first, second) == (0, count - 1) else None
    if between is not None:
        return RefusalError(
            f"the belt would have to loop right round {layout[between].name} and cross itself",
            "on that face it does not reach it; check face, order and position",
        )
    a, b = _span_name(layout, first), _span_name(layout, second)
    return RefusalError(
        f"the belt would cross itself: {a} and {b}", "check faces and order of the pulleys"
    )


def _span_name(layout: Sequence[Pulley], index: int) -> str:
    return f"{layout[index].name} to {layout[(index + 1) % len(layout)].name}"
