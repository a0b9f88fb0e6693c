"""In which order the bolts of a group are tightened and slackened, from where they sit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError

# A group counts as a ring when every hole lies this near the mean radius, and no gap between
# neighbours is wider than this share of a turn. Our own rule.
_RING_WIDTH = 0.15
_RING_GAP = 0.34
_SAME_SHELL = 0.02


@dataclass(frozen=True, slots=True)
class Spot:
    """A hole of a group: its name and where it sits, in any one unit of length."""

    name: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class TighteningOrder:
    """Names in order. `pattern` is `cross`, `spiral` or `given`; `why` says it in words."""

    names: tuple[str, ...]
    pattern: str
    why: str

    def reversed(self) -> tuple[str, ...]:
        """Give the order for slackening."""
        return self.names[::-1]


def tightening_order(
    spots: tuple[Spot, ...], given: tuple[str, ...] | None = None
) -> TighteningOrder:
    """Order a group: the maker's order if given, a cross for a ring, else from the middle.

    Parameters
    ----------
    spots : tuple of Spot
        The holes.
    given : tuple of str, optional
        The maker's order, by name; it outranks everything.

    Returns
    -------
    TighteningOrder
        Every name once.

    Raises
    ------
    RefusalError
        If two holes share a name or a place, or the given order is not the same holes.

    References
    ----------
    .. [1] ASME PCC-1, legacy cross pattern for rings (from memory).
    .. [2] General engine practice for heads and covers: from the middle outwards, loosened
       in reverse (from memory); AISC FAQ 6.6.4 on RCSC 2004: from the most rigid part to the
       free edges.
    """
    _refuse_doubles(spots)
    if given is not None:
        if sorted(given) != sorted(s.name for s in spots):
            raise RefusalError(
                "the given order does not name each hole once", "name every hole once, in order"
            )
        return TighteningOrder(given, "given", "the maker's order")
    if is_ring(spots):
        return TighteningOrder(cross_order(spots), "cross", "across and across, round the ring")
    return TighteningOrder(spiral_order(spots), "spiral", "from the middle outwards, side to side")


def slackening_order(
    spots: tuple[Spot, ...], given: tuple[str, ...] | None = None
) -> TighteningOrder:
    """Order for slackening: the tightening order backwards; `given` is the maker's own."""
    if given is not None:
        return tightening_order(spots, given)
    order = tightening_order(spots)
    return TighteningOrder(order.reversed(), order.pattern, f"{order.why}, backwards")


def _refuse_doubles(spots: tuple[Spot, ...]) -> None:
    if not spots:
        raise RefusalError("there are no holes", "name the holes of the group")
    if len({s.name for s in spots}) < len(spots):
        raise RefusalError("two holes have the same name", "give each hole its own")
    if len({(s.x, s.y) for s in spots}) < len(spots):
        raise RefusalError("two holes are in the same place", "check the positions")


def is_ring(spots: tuple[Spot, ...]) -> bool:
    """Whether the holes lie round one circle, all the way round."""
    if len(spots) < 3:
        return False
    centre_x, centre_y = _centre(spots)
    radii = [math.hypot(s.x - centre_x, s.y - centre_y) for s in spots]
    mean = sum(radii) / len(radii)
    if mean <= 0.0 or max(abs(r - mean) for r in radii) > _RING_WIDTH * mean:
        return False
    bearings = sorted(_bearing(s, centre_x, centre_y) for s in spots)
    gaps = [b - a for a, b in zip(bearings, [*bearings[1:], bearings[0] + 1.0], strict=True)]
    return max(gaps) <= max(_RING_GAP, 1.2 / len(spots))


def ring_order(spots: tuple[Spot, ...]) -> tuple[str, ...]:
    """Names round the ring, counted the way the angle grows, from the first spot given."""
    centre_x, centre_y = _centre(spots)
    start = _bearing(spots[0], centre_x, centre_y)
    turned = sorted(spots, key=lambda s: (_bearing(s, centre_x, centre_y) - start) % 1.0)
    return tuple(s.name for s in turned)


def cross_order(spots: tuple[Spot, ...]) -> tuple[str, ...]:
    """Names across and across a ring, beginning with the first spot given."""
    names = ring_order(spots)
    return tuple(names[place] for place in cross_sequence(len(names)))


def cross_sequence(count: int) -> tuple[int, ...]:
    """Places 0 … count - 1 round a ring, across and across.

    From five on no two neighbours follow each other (with four or fewer it cannot be
    avoided). Multiples of four go quarter by quarter: 1 5 3 7 2 6 4 8.

    References
    ----------
    .. [1] ASME PCC-1, Table 4, legacy cross pattern: agrees for 4, 8, 12, 16, 20 and 24
       (table from memory).
    """
    if count % 2:
        step = max(1, (count - 1) // 2)
        return tuple(place * step % count for place in range(count))
    if count % 4:
        half = count // 2
        return tuple(p for start in _spread(half) for p in (start, start + half))
    quarter = count // 4
    return tuple(start + turn * quarter for start in _spread(quarter) for turn in (0, 2, 1, 3))


def _spread(count: int) -> tuple[int, ...]:
    """Spread out the starting places: halves interleaved when even, else every other one."""
    if count <= 3:
        return tuple(range(count))
    if count % 2 == 0:
        half = count // 2
        return tuple(p for start in range(half) for p in (start, start + half))
    return (*range(0, count, 2), *range(1, count, 2))


def spiral_order(spots: tuple[Spot, ...]) -> tuple[str, ...]:
    """Names from the middle outwards, going across within each distance."""
    centre_x, centre_y = _middle(spots)

    def distance(spot: Spot) -> float:
        return math.hypot(spot.x - centre_x, spot.y - centre_y)

    reach = max(distance(s) for s in spots) or 1.0
    waiting = sorted(spots, key=lambda s: (distance(s), s.y, s.x, s.name))
    ordered: list[Spot] = []
    while waiting:
        limit = distance(waiting[0]) + _SAME_SHELL * reach
        shell = [s for s in waiting if distance(s) <= limit]
        waiting = waiting[len(shell) :]
        while shell:
            ordered.append(_farthest(shell, ordered))
            shell.remove(ordered[-1])
    return tuple(s.name for s in ordered)


def _farthest(shell: list[Spot], ordered: list[Spot]) -> Spot:
    """Take the spot of a shell that lies farthest across from the last one."""
    if not ordered:
        return shell[0]
    last = ordered[-1]

    def across(spot: Spot) -> tuple[float, float, float, str]:
        gap = math.hypot(spot.x - last.x, spot.y - last.y)
        return (round(gap, 9), -spot.y, -spot.x, spot.name)

    return max(shell, key=across)


def _centre(spots: tuple[Spot, ...]) -> tuple[float, float]:
    """Centre of the circle that fits the spots best; their mean when they are in a line."""
    mean_x = sum(s.x for s in spots) / len(spots)
    mean_y = sum(s.y for s in spots) / len(spots)
    uu = vv = uv = uz = vz = 0.0
    for spot in spots:
        u, v = spot.x - mean_x, spot.y - mean_y
        square = u * u + v * v
        uu, vv, uv = uu + u * u, vv + v * v, uv + u * v
        uz, vz = uz + u * square, vz + v * square
    determinant = uu * vv - uv * uv
    if determinant <= 1e-9 * (uu + vv) ** 2:
        return mean_x, mean_y
    return (
        mean_x + (uz * vv - vz * uv) / (2.0 * determinant),
        mean_y + (vz * uu - uz * uv) / (2.0 * determinant),
    )


def _middle(spots: tuple[Spot, ...]) -> tuple[float, float]:
    """Middle of the outline: halfway between the outermost holes."""
    xs, ys = [s.x for s in spots], [s.y for s in spots]
    return (min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0


def _bearing(spot: Spot, centre_x: float, centre_y: float) -> float:
    """Direction from the centre as a share of a turn, 0 up to 1."""
    return math.atan2(spot.y - centre_y, spot.x - centre_x) / (2.0 * math.pi) % 1.0
