"""Belt paths against the convex hull, school tangents, and layouts no belt can take."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Point
from shapely.ops import unary_union

from tests.engineering.belt_oracle import is_possible, school_path
from witnessmark.engineering.belts.path import BeltPath, belt_path, closing_error
from witnessmark.engineering.belts.pulleys import (
    Direction,
    Face,
    Pulley,
    chain_pitch_diameter,
    pitch_diameter,
)
from witnessmark.engineering.refusal import RefusalError

# 10,000 random layouts are walked in benchmarks/drives.py; here a fifth of them.
LAYOUTS_HERE = 2_000


def around(count: int, ring: float, diameter: float) -> list[Pulley]:
    """Equal pulleys on a ring, anticlockwise."""
    return [
        Pulley(
            f"p{k}",
            ring * math.cos(math.tau * k / count),
            ring * math.sin(math.tau * k / count),
            diameter,
        )
        for k in range(count)
    ]


def random_layout(rng: random.Random) -> list[Pulley]:
    """Anything a hurried hand might enter, good or bad."""
    return [
        Pulley(
            f"p{k}",
            rng.uniform(-0.4, 0.4),
            rng.uniform(-0.4, 0.4),
            rng.uniform(0.02, 0.2),
            face=rng.choice([Face.INSIDE, Face.INSIDE, Face.BACK]),
        )
        for k in range(rng.randint(2, 7))
    ]


def path_or_words(pulleys: list[Pulley]) -> tuple[BeltPath | None, str]:
    """The path, or the words of the refusal."""
    try:
        return belt_path(pulleys), ""
    except RefusalError as refusal:
        return None, f"{refusal.what}: {refusal.hint}"


def as_circles(pulleys: list[Pulley], loop: int) -> list[tuple[float, float, float, int]]:
    return [(p.x, p.y, p.radius, loop if p.face is Face.INSIDE else -loop) for p in pulleys]


@given(
    st.lists(
        st.tuples(st.integers(-400, 400), st.integers(-400, 400)),
        min_size=3,
        max_size=9,
        unique=True,
    ),
    st.integers(1, 10),
)
def test_equal_pulleys_all_outside_have_the_perimeter_of_the_hull_and_one_circle(
    centres: list[tuple[int, int]], radius: int
) -> None:
    hull = MultiPoint(centres).convex_hull
    corners = list(hull.exterior.coords)[:-1] if hull.geom_type == "Polygon" else []
    nearest = (
        min(math.dist(a, b) for i, a in enumerate(corners) for b in corners[:i]) if corners else 0.0
    )
    assume(corners and nearest > 2 * radius)
    path = belt_path(
        [Pulley(f"p{k}", x / 1000, y / 1000, 2 * radius / 1000) for k, (x, y) in enumerate(corners)]
    )
    assert path.length * 1000 == pytest.approx(hull.length + math.tau * radius, rel=1e-12)


def test_unequal_pulleys_all_outside_have_the_perimeter_of_the_hull_of_discs() -> None:
    rng = random.Random(17)
    segments = 512
    # Arcs cut into chords of angle a are short by a**2 / 24 of the arc; set before looking.
    short = (math.pi / 2 / segments) ** 2 / 24 * 1.01
    for _ in range(40):
        discs = [
            (
                300 * math.cos(math.tau * (k + rng.uniform(-0.2, 0.2)) / 5),
                300 * math.sin(math.tau * (k + rng.uniform(-0.2, 0.2)) / 5),
                rng.uniform(20, 70),
            )
            for k in range(5)
        ]
        hull = unary_union([Point(x, y).buffer(r, quad_segs=segments) for x, y, r in discs])
        hull = hull.convex_hull
        path = belt_path([Pulley(f"{k}", x, y, 2 * r) for k, (x, y, r) in enumerate(discs)])
        arcs = sum(contact.arc_length for contact in path.contacts)
        assert -1e-9 <= path.length - hull.length <= arcs * short + 1e-9


def test_school_tangents_give_the_same_length_spans_and_wraps() -> None:
    rng = random.Random(23)
    compared = 0
    while compared < 300:
        pulleys = random_layout(rng)
        try:
            path = belt_path(pulleys)
        except RefusalError:
            continue
        compared += 1
        length, spans, wraps = school_path(as_circles(pulleys, path.runs.sense))
        assert path.length == pytest.approx(length, abs=1e-12)
        assert [s.length for s in path.spans] == pytest.approx(spans, abs=1e-12)
        assert [c.wrap for c in path.contacts] == pytest.approx(wraps, abs=1e-9)


def test_random_layouts_never_crash_and_every_path_closes() -> None:
    rng = random.Random(2024)
    laid = 0
    for _ in range(LAYOUTS_HERE):
        path, words = path_or_words(random_layout(rng))
        if path is None:
            assert len(words) > 20
        else:
            laid += 1
            assert closing_error(path) < 1e-9
    assert laid > LAYOUTS_HERE / 10


def test_a_layout_is_refused_exactly_when_no_belt_can_lie_so() -> None:
    rng = random.Random(31)
    seen = {True: 0, False: 0}
    for _ in range(600):
        pulleys = random_layout(rng)
        possible = [loop for loop in (-1, 1) if is_possible(as_circles(pulleys, loop), loop)]
        path, words = path_or_words(pulleys)
        seen[path is not None] += 1
        if path is None:
            assert not possible or "two ways" in words
        else:
            assert path.runs.sense in possible
    assert min(seen.values()) > 50


def test_back_idler_turns_the_other_way_and_speeds_go_by_diameter() -> None:
    path = belt_path(
        [
            Pulley("crank", 0, 0, 0.15),
            Pulley("pump", 0.3, 0, 0.05),
            Pulley("idler", 0.15, 0.11, 0.06, face=Face.BACK),
            Pulley("alternator", 0.15, 0.3, 0.075),
        ]
    )
    crank, pump, idler, alternator = path.contacts
    assert path.runs is Direction.ANTICLOCKWISE
    assert idler.direction is Direction.CLOCKWISE
    assert [c.turns for c in (crank, pump, idler, alternator)] == pytest.approx([1, 3, -2.5, 2])


def test_toothed_pulleys_go_by_teeth() -> None:
    pitch = 0.009525
    path = belt_path(
        [
            Pulley("crank", 0, 0, pitch_diameter(20, pitch), teeth=20),
            Pulley("cam", 0, 0.4, pitch_diameter(40, pitch), teeth=40),
        ]
    )
    assert path.contacts[1].turns == 0.5
    assert path.contacts[1].teeth_in_mesh == math.floor(40 * path.contacts[1].wrap / math.tau)


def test_equal_sprockets_mesh_with_half_their_teeth() -> None:
    path = belt_path([Pulley("a", 0, 0, 0.1, teeth=24), Pulley("b", 0.5, 0, 0.1, teeth=24)])
    assert [c.teeth_in_mesh for c in path.contacts] == [12, 12]


def test_belt_speed_is_rim_speed_of_the_first_pulley() -> None:
    path = belt_path([Pulley("a", 0, 0, 0.1), Pulley("b", 0.5, 0, 0.2)])
    assert path.belt_speed(3000) == pytest.approx(math.pi * 0.1 * 50)


def test_crossed_belt_turns_the_second_pulley_backwards_and_twists_both_spans() -> None:
    path = belt_path([Pulley("a", 0, 0, 0.1), Pulley("b", 0.5, 0, 0.2)], crossed=True)
    assert path.contacts[1].turns == pytest.approx(-0.5)
    assert all(span.twisted for span in path.spans)
    assert path.contacts[0].wrap == path.contacts[1].wrap > math.pi
    assert closing_error(path) < 1e-12


def test_a_crossed_belt_takes_a_stated_direction_from_either_pulley() -> None:
    second = Pulley("b", 0.5, 0, 0.2, turns=Direction.CLOCKWISE)
    path = belt_path([Pulley("a", 0, 0, 0.1), second], crossed=True)
    assert [c.direction for c in path.contacts] == [Direction.ANTICLOCKWISE, Direction.CLOCKWISE]


@pytest.mark.parametrize("teeth", [5, 17, 22, 41])
def test_chain_pins_lie_on_a_regular_polygon_with_the_pitch_for_its_side(teeth: int) -> None:
    radius = chain_pitch_diameter(teeth, 0.009525) / 2
    corner = (radius * math.cos(math.tau / teeth), radius * math.sin(math.tau / teeth))
    assert math.dist((radius, 0), corner) == pytest.approx(0.009525)
    assert 2 * radius > pitch_diameter(teeth, 0.009525)


def test_a_stated_direction_cannot_save_a_layout_no_belt_takes() -> None:
    ring = around(4, 0.3, 0.1)
    turned = Pulley("p0", ring[0].x, ring[0].y, 0.1, turns=Direction.CLOCKWISE)
    with pytest.raises(RefusalError, match="cross"):
        belt_path([turned, ring[2], ring[1], ring[3]])
    other = Pulley("p0", ring[0].x, ring[0].y, 0.1, turns=Direction.ANTICLOCKWISE)
    with pytest.raises(RefusalError, match="cross"):
        belt_path([other, ring[2], ring[1], ring[3]])


def test_two_pulleys_turn_clockwise_unless_told() -> None:
    layout = [Pulley("a", 0, 0, 0.1), Pulley("b", 0.5, 0, 0.2)]
    assert belt_path(layout).runs is Direction.CLOCKWISE
    told = [layout[0], Pulley("b", 0.5, 0, 0.2, turns=Direction.ANTICLOCKWISE)]
    assert belt_path(told).runs is Direction.ANTICLOCKWISE


def test_a_stated_direction_that_agrees_is_taken() -> None:
    layout = around(3, 0.3, 0.1)
    layout[1] = Pulley("p1", layout[1].x, layout[1].y, 0.1, turns=Direction.ANTICLOCKWISE)
    assert belt_path(layout).runs is Direction.ANTICLOCKWISE


def bad_layouts() -> list[object]:
    ring = around(4, 0.3, 0.1)
    turned = Pulley("p0", ring[0].x, ring[0].y, 0.1, turns=Direction.CLOCKWISE)
    against = Pulley("p1", ring[1].x, ring[1].y, 0.1, turns=Direction.ANTICLOCKWISE)
    inside_out = [Pulley(p.name, p.x, p.y, p.diameter, face=Face.BACK) for p in ring]
    return [
        pytest.param([ring[0]], "at least two", id="one pulley"),
        pytest.param(
            [Pulley("a", 0, 0, 0.1), Pulley("b", 0, 0, 0.2)], "same centre", id="concentric"
        ),
        pytest.param(
            [Pulley("a", 0, 0, 0.1), Pulley("b", 0.09, 0, 0.1)],
            "overlap by 10 mm",
            id="overlapping",
        ),
        pytest.param(
            [Pulley("a", 0, 0, 0.1), Pulley("b", 0.1, 0, 0.1)], "a and b touch", id="touching"
        ),
        pytest.param([ring[0], ring[2], ring[1], ring[3]], "cross", id="crossed"),
        pytest.param([turned, *ring[1:]], "p0 turns anticlockwise, not clockwise", id="reversed"),
        pytest.param([turned, against, *ring[2:]], "contradict each other", id="two directions"),
        pytest.param(inside_out, "wrong way about|cross|run through", id="inside out"),
        pytest.param(
            [Pulley("a", 0, 0, 0.1), Pulley("b", 0.3, 0, 0.1), Pulley("c", 0.6, 0, 0.1)],
            "no wrap on|run through",
            id="in line",
        ),
        pytest.param(
            [
                *around(3, 0.3, 0.1)[:2],
                Pulley("in the way", -0.02, -0.05, 0.3),
                around(3, 0.3, 0.1)[2],
            ],
            "cross|run through|overlap",
            id="in the way",
        ),
    ]


@pytest.mark.parametrize(("pulleys", "words"), bad_layouts())
def test_impossible_layouts_are_refused_with_words(pulleys: list[Pulley], words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        belt_path(pulleys)


def test_a_span_through_a_pulley_of_the_same_belt_is_refused_by_name() -> None:
    layout = [
        Pulley("crank", 0, 0, 0.1),
        Pulley("pump", 0.6, 0, 0.1),
        Pulley("idler", 0.3, -0.03, 0.06, face=Face.INSIDE),
        Pulley("fan", 0.3, 0.4, 0.1),
    ]
    with pytest.raises(RefusalError, match="idler"):
        belt_path([layout[0], layout[1], layout[3], layout[2]])


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Pulley("a", 0, 0, 0), "above zero"),
        (lambda: Pulley("a", 0, 0, -1), "above zero"),
        (lambda: Pulley("a", math.nan, 0, 1), "beyond"),
        (lambda: Pulley("a", 0, math.inf, 1), "beyond"),
        (lambda: Pulley("a", 0, 0, 1, teeth=2), "2 teeth"),
        (lambda: pitch_diameter(2, 0.01), "2 teeth"),
        (lambda: chain_pitch_diameter(2, 0.01), "2 teeth"),
        (lambda: chain_pitch_diameter(20, 0), "chain pitch"),
    ],
)
def test_impossible_pulleys_are_refused(make: object, words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        make()


@pytest.mark.parametrize(
    "layout",
    [
        around(3, 0.3, 0.1),
        [Pulley("a", 0, 0, 0.1), Pulley("b", 0.5, 0, 0.1, face=Face.BACK)],
        [Pulley("a", 0, 0, 0.1, teeth=20), Pulley("b", 0.5, 0, 0.1, teeth=20)],
        [
            Pulley("a", 0, 0, 0.1, turns=Direction.CLOCKWISE),
            Pulley("b", 0.5, 0, 0.1, turns=Direction.CLOCKWISE),
        ],
    ],
)
def test_a_crossed_belt_is_for_two_plain_pulleys_that_turn_opposite_ways(
    layout: list[Pulley],
) -> None:
    with pytest.raises(RefusalError):
        belt_path(layout, crossed=True)


def test_a_missing_face_is_asked_for() -> None:
    with pytest.raises(RefusalError, match="face of b is not given"):
        belt_path([Pulley("a", 0, 0, 0.1), Pulley("b", 1, 0, 0.1, face=None)])
