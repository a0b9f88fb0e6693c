"""Routings found again, against trying every order and face with school tangents."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import pytest

from tests.engineering.belt_oracle import is_possible, school_path
from witnessmark.engineering.belts.path import belt_path
from witnessmark.engineering.belts.pulleys import Direction, Face, Pulley
from witnessmark.engineering.belts.routing import find_routings
from witnessmark.engineering.refusal import RefusalError


def spread(rng: random.Random, count: int) -> list[Pulley]:
    """Pulleys that do not touch, faces and directions unknown."""
    pulleys: list[Pulley] = []
    while len(pulleys) < count:
        new = Pulley(
            f"p{len(pulleys)}",
            rng.uniform(0, 0.5),
            rng.uniform(0, 0.4),
            rng.uniform(0.04, 0.12),
            face=None,
        )
        if all(
            math.dist((new.x, new.y), (p.x, p.y)) > new.radius + p.radius + 0.003 for p in pulleys
        ):
            pulleys.append(new)
    return pulleys


def every_routing(pulleys: list[Pulley], loops: tuple[int, ...]) -> list[float]:
    """Lengths of every possible routing, by trying all orders and all senses."""
    lengths = []
    for loop in loops:
        allowed = [
            [
                s
                for s in (-1, 1)
                if (p.face is None or (p.face is Face.INSIDE) == (s == loop))
                and (p.turns is None or p.turns.sense == s)
            ]
            for p in pulleys
        ]
        for order in itertools.permutations(range(1, len(pulleys))):
            for senses in itertools.product(*allowed):
                circles = [
                    (pulleys[i].x, pulleys[i].y, pulleys[i].radius, senses[i]) for i in (0, *order)
                ]
                if is_possible(circles, loop):
                    lengths.append(school_path(circles)[0])
    return sorted(lengths)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_every_routing_of_five_unknown_pulleys_is_found_once(seed: int) -> None:
    pulleys = spread(random.Random(seed), 5)
    wanted = every_routing(pulleys, (-1,))
    assert wanted
    # A tolerance as wide as all lengths counts every one.
    middle = (wanted[0] + wanted[-1]) / 2
    width = (wanted[-1] - wanted[0]) / 2 + 1e-9
    search = find_routings(pulleys, middle, width, most=10_000)
    assert search.complete
    assert search.fitting == len(wanted)
    assert sorted(r.path.length for r in search.routings) == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize("seed", [12, 14, 15])
def test_every_routing_of_six_is_found_with_faces_and_directions_half_known(seed: int) -> None:
    pulleys = spread(random.Random(seed), 6)
    pulleys[0] = replace(pulleys[0], turns=Direction.CLOCKWISE)
    pulleys[1] = replace(pulleys[1], face=Face.INSIDE)
    pulleys[3] = replace(pulleys[3], face=Face.BACK)
    wanted = every_routing(pulleys, (-1, 1))
    assert len(wanted) > 1
    search = find_routings(pulleys, 1.5, 1.0, most=10_000)
    assert search.fitting == len(wanted)
    assert sorted(r.path.length for r in search.routings) == pytest.approx(wanted, abs=1e-12)


def test_count_and_best_go_by_the_tolerance() -> None:
    pulleys = spread(random.Random(2), 5)
    wanted = every_routing(pulleys, (-1,))
    target, tolerance = wanted[len(wanted) // 2], 0.02
    search = find_routings(pulleys, target, tolerance)
    assert search.fitting == sum(abs(w - target) <= tolerance for w in wanted)
    assert abs(search.routings[0].misfit) < 1e-12
    misfits = [abs(r.misfit) for r in search.routings]
    assert misfits == sorted(misfits)
    assert len(search.routings) == min(20, search.fitting)


def test_when_none_fits_the_nearest_are_given_and_the_count_is_nought() -> None:
    pulleys = spread(random.Random(2), 5)
    wanted = every_routing(pulleys, (-1,))
    search = find_routings(pulleys, 9.0, 0.01, most=5)
    assert search.fitting == 0
    assert [r.path.length for r in search.routings] == pytest.approx(wanted[::-1][:5], abs=1e-12)


def accessory_drive() -> list[Pulley]:
    """An invented drive of twelve, in belt order."""
    inside = [(0, 0, 160), (300, -40, 120), (420, 120, 60), (380, 300, 60), (220, 420, 130),
              (20, 430, 70), (-150, 330, 110), (-170, 90, 70)]  # fmt: skip
    back = {2: (270, 110, 60), 4: (285, 285, 56), 6: (100, 330, 56), 8: (-60, 190, 64)}
    pulleys: list[Pulley] = []
    for k, (x, y, d) in enumerate(inside):
        pulleys.append(Pulley(f"in{k}", x / 1000, y / 1000, d / 1000))
        if k + 1 in back:
            bx, by, bd = back[k + 1]
            pulleys.append(Pulley(f"back{k}", bx / 1000, by / 1000, bd / 1000, face=Face.BACK))
    return pulleys


def test_a_known_route_of_twelve_is_found_again_from_its_length() -> None:
    pulleys = accessory_drive()
    assert len(pulleys) == 12
    known = belt_path(pulleys)
    shuffled = [replace(p, face=None) for p in pulleys]
    random.Random(5).shuffle(shuffled)
    shuffled[0] = replace(shuffled[0], turns=None)
    search = find_routings(shuffled, known.length, 0.0005)
    assert search.complete
    best = search.routings[0]
    assert abs(best.misfit) < 1e-9
    names = [p.name for p in pulleys]
    at = names.index(best.order[0])
    turned = tuple(names[at:] + names[:at])
    assert best.order in {turned, (turned[0], *turned[:0:-1])}
    assert {c.pulley.name: c.pulley.face for c in best.path.contacts} == {
        p.name: p.face for p in pulleys
    }


def test_it_says_where_it_stopped() -> None:
    pulleys = spread(random.Random(8), 10)
    search = find_routings(pulleys, 2.0, 0.01, step_budget=200)
    assert not search.complete
    assert search.stopped is not None
    assert "200" in search.stopped or "201" in search.stopped
    assert "first moves" in search.stopped


def test_the_same_question_always_gets_the_same_answer() -> None:
    pulleys = spread(random.Random(8), 8)
    first, second = (find_routings(pulleys, 2.0, 0.05) for _ in range(2))
    assert first == second


def test_two_pulleys_have_one_routing() -> None:
    layout = [Pulley("a", 0, 0, 0.1, face=None), Pulley("b", 0.5, 0, 0.1, face=None)]
    search = find_routings(
        layout, belt_path([replace(p, face=Face.INSIDE) for p in layout]).length, 1e-6
    )
    assert search.fitting == 1
    assert [c.pulley.face for c in search.routings[0].path.contacts] == [Face.INSIDE] * 2


def test_a_routing_keeps_stated_directions() -> None:
    pulleys = spread(random.Random(4), 5)
    pulleys[2] = replace(pulleys[2], turns=Direction.ANTICLOCKWISE)
    for routing in find_routings(pulleys, 1.6, 0.5).routings:
        turned = {c.pulley.name: c.direction for c in routing.path.contacts}
        assert turned["p2"] is Direction.ANTICLOCKWISE


@pytest.mark.parametrize(
    ("pulleys", "length", "tolerance", "words"),
    [
        ([Pulley("a", 0, 0, 0.1)], 1, 0.1, "at least two"),
        ([Pulley("a", 0, 0, 0.1), Pulley("b", 0.05, 0, 0.1)], 1, 0.1, "overlap"),
        ([Pulley("a", 0, 0, 0.1), Pulley("a", 0.5, 0, 0.1)], 1, 0.1, "same name"),
        ([Pulley("a", 0, 0, 0.1), Pulley("b", 0.5, 0, 0.1)], 0, 0.1, "not usable"),
        ([Pulley("a", 0, 0, 0.1), Pulley("b", 0.5, 0, 0.1)], 1, -1, "not usable"),
        ([Pulley(f"{k}", k, 0, 0.1) for k in range(17)], 1, 0.1, "more than the search takes"),
        (
            [
                Pulley("a", 0, 0, 0.1, turns=Direction.CLOCKWISE),
                Pulley("b", 0.5, 0, 0.1, turns=Direction.ANTICLOCKWISE),
            ],
            1,
            0.1,
            "contradict",
        ),
    ],
)
def test_impossible_questions_are_refused(
    pulleys: list[Pulley], length: float, tolerance: float, words: str
) -> None:
    with pytest.raises(RefusalError, match=words):
        find_routings(pulleys, length, tolerance)
