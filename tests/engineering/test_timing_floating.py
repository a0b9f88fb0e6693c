"""Floating sprockets and marks that meet, against trying tooth by tooth."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.floating import FloatingSprocket, phase_from_belt, seat_belt
from witnessmark.engineering.timing.meeting import Loop, belt_turns_to_meet, marks_meet
from witnessmark.engineering.timing.shafts import Role, Shaft, TimingRun

TENTHS = st.integers(-3600, 3600).map(lambda n: Fraction(n, 10))


def seats_tooth_by_tooth(teeth: int, travel: Fraction, phase: Fraction) -> list[Fraction]:
    """Turn the sprocket so that each groove in turn meets the belt's tooth; keep what fits."""
    found = set()
    for groove in range(-3 * teeth, 3 * teeth + 1):
        turned = phase + groove * Fraction(360, teeth)
        if -travel <= 2 * turned <= travel:
            found.add(turned)
    return sorted(found)


@given(st.integers(12, 60), st.integers(1, 400), TENTHS, st.integers(-10, 10))
def test_seats_are_those_found_tooth_by_tooth(
    teeth: int, travel_tenths: int, phase: Fraction, now: int
) -> None:
    travel = Fraction(travel_tenths, 10)
    position = travel * now / 20
    seating = seat_belt(FloatingSprocket(teeth, travel, position), phase)
    wanted = seats_tooth_by_tooth(teeth, travel, phase)
    assert [seat.position for seat in seating.seats] == wanted
    for seat in seating.seats:
        assert position + seat.turn == seat.position
        assert seat.from_end == travel / 2 - abs(seat.position)
    if wanted:
        assert seating.nearest is not None
        assert abs(seating.nearest.turn) == min(abs(w - position) for w in wanted)
        assert seating.most_central is not None
        assert abs(seating.most_central.position) == min(abs(w) for w in wanted)
        assert seating.short_by == 0
    else:
        pitch = Fraction(360, teeth)
        every = [phase + k * pitch for k in range(-3 * teeth, 3 * teeth + 1)]
        assert seating.short_by == min(abs(e) for e in every) - travel / 2
        assert seating.nearest is None


@given(st.integers(12, 60), st.integers(1, 400))
def test_slots_of_a_tooth_seat_any_belt_and_shorter_ones_do_not(teeth: int, tenths: int) -> None:
    sprocket = FloatingSprocket(teeth, Fraction(tenths, 10))
    pitch = Fraction(360, teeth)
    phases = [pitch * k / 360 for k in range(360)]
    always = all(seat_belt(sprocket, phase).seats for phase in phases)
    if sprocket.seats_any_belt:
        assert always
    elif sprocket.travel < pitch * 359 / 360:
        assert not always


def test_mid_slot_is_within_what_was_said() -> None:
    sprocket = FloatingSprocket(40, Fraction(20), Fraction(2))
    assert sprocket.mid_slot(Fraction(2))
    assert not sprocket.mid_slot(Fraction(1))


@pytest.mark.parametrize(
    ("teeth", "travel", "position"), [(2, 10, 0), (40, 0, 0), (40, 400, 0), (40, 10, 6)]
)
def test_impossible_slots_are_refused(teeth: int, travel: int, position: int) -> None:
    with pytest.raises(RefusalError):
        FloatingSprocket(teeth, Fraction(travel), Fraction(position))


@given(st.integers(0, 3000), st.integers(12, 60))
def test_phase_from_belt_is_the_nearest_tooth(tenths: int, teeth: int) -> None:
    pitch = Fraction(95, 10)
    distance = Fraction(tenths, 10)
    phase = phase_from_belt(distance, pitch, teeth)
    nearest = min((k * pitch - distance for k in range(400)), key=lambda d: (abs(d), -d))
    # Pitch lengths on the sprocket's circle: one pitch is one tooth.
    assert abs(phase) == abs(nearest) / pitch * Fraction(360, teeth)
    if abs(nearest) < pitch / 2:
        assert (phase > 0) == (nearest > 0)


def test_phase_needs_a_pitch() -> None:
    with pytest.raises(RefusalError):
        phase_from_belt(Fraction(1), Fraction(0), 20)


def turns_tooth_by_tooth(crank: int, cams: list[int], belt: int | None) -> int:
    """Move the belt one tooth at a time until every mark is back; give the crank's turns."""
    moved = 0
    while True:
        moved += 1
        if moved % crank or any(moved % cam for cam in cams):
            continue
        if belt is None or moved % belt == 0:
            return moved // crank


@given(
    st.integers(12, 30),
    st.lists(st.integers(12, 40), min_size=1, max_size=2),
    st.integers(60, 90),
)
@settings(max_examples=40, deadline=None)
def test_marks_meet_when_turning_tooth_by_tooth_says_so(
    crank: int, cams: list[int], belt: int
) -> None:
    run = TimingRun(
        (
            Shaft("crank", crank, Role.CRANK),
            *(Shaft(f"cam{k}", z, Role.VALVES, "crank") for k, z in enumerate(cams)),
        )
    )
    meeting = marks_meet(run, [Loop("belt", belt, "crank", crank)])
    assert meeting.shaft_marks == turns_tooth_by_tooth(crank, cams, None)
    assert meeting.with_printing == turns_tooth_by_tooth(crank, cams, belt)
    assert meeting.loop_turns["belt"] * belt == meeting.with_printing * crank
    assert meeting.shaft_turns["cam0"] * cams[0] == meeting.with_printing * crank


def test_printing_of_a_prime_belt_is_back_only_after_its_own_teeth_in_crank_turns() -> None:
    # Row TM16 and its note: 151 teeth on 24: 24 belt turns, 151 crank turns; with the cam of
    # 48 teeth at its mark as well, twice that.
    run = TimingRun((Shaft("crank", 24, Role.CRANK), Shaft("cam", 48, Role.VALVES, "crank")))
    crank_alone = TimingRun((Shaft("crank", 24, Role.CRANK),))
    loop = Loop("belt", 151, "crank", 24)
    assert marks_meet(crank_alone, [loop]).with_printing == 151
    assert marks_meet(crank_alone, [loop]).loop_turns == {"belt": belt_turns_to_meet(151, 24)}
    assert marks_meet(run, [loop]).with_printing == 302
    assert marks_meet(run, [loop]).shaft_marks == 2


def test_a_chain_between_cams_counts_as_well() -> None:
    run = TimingRun(
        (
            Shaft("crank", 20, Role.CRANK),
            Shaft("inlet", 40, Role.VALVES, "crank"),
            Shaft("exhaust", 18, Role.VALVES, "inlet", driver_teeth=18),
        )
    )
    chain = Loop("chain", 44, "inlet", 18)
    # One chain turn is 44/18 inlet turns, so it is back after 22 inlet turns, 44 crank turns.
    assert marks_meet(run, [chain]).with_printing == 44


@pytest.mark.parametrize("teeth", [0, 2, 5000])
def test_impossible_loops_are_refused(teeth: int) -> None:
    with pytest.raises(RefusalError):
        Loop("belt", teeth, "crank", 20)
    with pytest.raises(RefusalError):
        belt_turns_to_meet(teeth, 20)
