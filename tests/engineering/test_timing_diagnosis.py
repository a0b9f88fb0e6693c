"""What is wrong, against trying every tooth on every sprocket."""

from __future__ import annotations

import itertools
import random
from fractions import Fraction

import pytest

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.timing.diagnosis import Diagnosis, Verdict, diagnose
from witnessmark.engineering.timing.readings import Reading
from witnessmark.engineering.timing.shafts import Role, Shaft, TimingRun

F = Fraction
CRANK = Shaft("crank", 20, Role.CRANK)
INLET = Shaft("inlet", 40, Role.VALVES, "crank")
EXHAUST = Shaft("exhaust", 40, Role.VALVES, "crank")
PUMP = Shaft("pump", 30, Role.INJECTION, "crank")
ENGINE = TimingRun((CRANK, INLET, EXHAUST, PUMP))
PINNED = Reading("crank", F(0), F(0))


def read(shaft: str, offset: object, accuracy: object = 1) -> Reading:
    return Reading(shaft, F(offset), None if accuracy is None else F(accuracy))


def away(a: Fraction, b: Fraction) -> Fraction:
    """Angle between two directions, the short way round."""
    turn = (a - b) % 360
    return min(turn, 360 - turn)


def positions(run: TimingRun, crank: Fraction, teeth: dict[str, int]) -> dict[str, Fraction]:
    """Where each shaft's mark stands when the crank is turned there with teeth out."""
    standing = {run.crank.name: crank}
    for shaft in run.from_crank_outwards()[1:]:
        driver = run.shaft(shaft.driven_by)
        z = shaft.driver_teeth or driver.teeth
        standing[shaft.name] = (standing[driver.name] * z + 360 * teeth[shaft.name]) / shaft.teeth
    return standing


def engines_that_fit(
    run: TimingRun, readings: list[Reading], turns: int
) -> set[tuple[Fraction, ...]]:
    """Try every tooth error and every telling crank angle; give the engines that fit.

    An engine is told by where its shafts stand against the crank over one cycle. A crank
    angle that suits a set of closed intervals exists only if an end of one of them suits.
    """
    driven = [s for s in run.from_crank_outwards() if s.driven_by is not None]
    crank = next(r for r in readings if r.shaft == run.crank.name)
    fits = set()
    for errors in itertools.product(*(range(s.teeth) for s in driven)):
        teeth = dict(zip((s.name for s in driven), errors, strict=True))
        if _some_angle_fits(run, readings, crank, teeth):
            fits.add(_engine(run, driven, teeth, turns))
    return fits


def _some_angle_fits(
    run: TimingRun, readings: list[Reading], crank: Reading, teeth: dict[str, int]
) -> bool:
    low, high = crank.offset - crank.accuracy, crank.offset + crank.accuracy
    angles = {low, high}
    at_low = positions(run, low, teeth)
    for r in readings:
        for end in (r.offset - r.accuracy, r.offset + r.accuracy):
            ratio = run.ratio(r.shaft)
            ahead = (end - at_low[r.shaft]) % 360 / ratio
            if low + ahead <= high:
                angles.add(low + ahead)
    return any(
        all(away(positions(run, angle, teeth)[r.shaft], r.offset) <= r.accuracy for r in readings)
        for angle in angles
    )


def _engine(
    run: TimingRun, driven: list[Shaft], teeth: dict[str, int], turns: int
) -> tuple[Fraction, ...]:
    """One name for the same engine seen any whole number of crank turns on."""
    views = [
        tuple(positions(run, F(360 * turn), teeth)[s.name] % 360 for s in driven)
        for turn in range(turns)
    ]
    return min(views)


SMALL = TimingRun(
    (
        Shaft("crank", 5, Role.CRANK),
        Shaft("inlet", 10, Role.VALVES, "crank"),
        Shaft("pump", 15, Role.INJECTION, "crank"),
    )
)
CHAINED = TimingRun(
    (
        Shaft("crank", 6, Role.CRANK),
        Shaft("inlet", 12, Role.VALVES, "crank"),
        Shaft("exhaust", 8, Role.VALVES, "inlet", driver_teeth=8),
    )
)


@pytest.mark.parametrize(("run", "turns"), [(SMALL, 6), (CHAINED, 2)])
def test_explanations_are_those_found_by_trying_every_tooth(run: TimingRun, turns: int) -> None:
    rng = random.Random(7)
    driven = [s for s in run.from_crank_outwards() if s.driven_by is not None]
    counts = set()
    for _ in range(25):
        readings = [
            Reading("crank", F(rng.randint(-40, 40), 10), F(rng.randint(0, 30), 10)),
            *(
                Reading(
                    s.name, F(rng.randint(-1800, 1800), 10), F(rng.choice([40, 90, 130, 200]), 10)
                )
                for s in driven
            ),
        ]
        found = diagnose(run, readings)
        wanted = engines_that_fit(run, readings, turns)
        assert found.count == len(wanted)
        counts.add(min(found.count, 2))
        shown = {_engine(run, driven, e.teeth, turns) for e in found.explanations}
        assert shown <= wanted
        if found.count <= 20:
            assert shown == wanted
    assert counts == {0, 1, 2}


def test_a_known_error_is_found_again_from_its_own_marks() -> None:
    rng = random.Random(3)
    for _ in range(200):
        teeth = {name: rng.randint(-3, 3) for name in ("inlet", "exhaust", "pump")}
        crank = F(rng.randint(-20, 20), 10)
        standing = positions(ENGINE, crank, teeth)
        readings = [
            Reading(
                name,
                (offset + F(rng.randint(-8, 8), 10) + 180) % 360 - 180
                if name != "crank"
                else offset,
                F(1),
            )
            for name, offset in standing.items()
        ]
        found = diagnose(ENGINE, readings)
        assert found.count == 1
        assert found.explanations[0].teeth == teeth
        assert found.verdict is (Verdict.RIGHT if not any(teeth.values()) else Verdict.TEETH_OUT)


def verdict(*readings: Reading, run: TimingRun = ENGINE) -> Diagnosis:
    return diagnose(run, readings)


def test_marks_that_are_right_are_right() -> None:
    found = verdict(PINNED, read("inlet", "0.4"), read("exhaust", 0), read("pump", "-0.6"))
    assert found.verdict is Verdict.RIGHT
    assert found.not_read == ()


def test_one_cam_a_tooth_out_is_told_with_its_crank_degrees() -> None:
    found = verdict(PINNED, read("inlet", "9.3"), read("exhaust", 0))
    assert found.verdict is Verdict.TEETH_OUT
    assert "inlet 1 tooth early" in found.why
    assert found.explanations[0].crank_degrees == {"inlet": 18, "exhaust": 0}
    assert found.not_read == ("pump",)


def test_injection_error_is_given_in_crank_degrees_as_read() -> None:
    found = verdict(PINNED, read("pump", -12))
    assert found.measured[0].role is Role.INJECTION
    assert found.measured[0].crank_degrees == -18
    assert found.measured[0].accuracy == F(3, 2)
    assert found.measured[0].teeth == -1


def test_each_shaft_is_also_judged_by_itself() -> None:
    found = verdict(PINNED, read("inlet", 3), read("exhaust", "-9.5"), read("pump", 4, 10))
    assert found.verdict is Verdict.NOT_DECIDED
    assert [error.whole_teeth for error in found.measured] == [None, -1, None]
    assert verdict(PINNED, read("inlet", "0.5")).measured[0].whole_teeth == 0


def test_a_belt_out_at_the_crank_is_one_cause_not_three() -> None:
    found = verdict(PINNED, read("inlet", -9), read("exhaust", -9), read("pump", -12))
    assert found.explanations[0].same_as_crank == -1
    assert "1 tooth out at crank" in found.why


def test_less_than_a_tooth_everywhere_late_is_not_decided_and_looks_like_stretch() -> None:
    found = verdict(PINNED, read("inlet", -3), read("exhaust", -4), read("pump", -5))
    assert found.verdict is Verdict.NOT_DECIDED
    assert found.count == 0
    assert "slack or stretch" in found.why


def test_less_than_a_tooth_early_looks_like_slack_on_the_wrong_side() -> None:
    assert "wrong side" in verdict(PINNED, read("inlet", 4), read("exhaust", 4)).why


def test_a_tooth_and_a_half_is_not_decided() -> None:
    found = verdict(PINNED, read("inlet", "13.5"), read("exhaust", -5))
    assert found.verdict is Verdict.NOT_DECIDED
    assert "slipped hub" in found.why


def test_a_reading_too_coarse_for_one_tooth_is_not_decided() -> None:
    found = verdict(PINNED, read("inlet", 4, 5), read("exhaust", 0))
    assert found.verdict is Verdict.NOT_DECIDED
    assert found.count == 2


def test_a_reading_without_stated_accuracy_is_not_decided() -> None:
    found = verdict(PINNED, read("inlet", 9, None))
    assert found.verdict is Verdict.NOT_DECIDED
    assert "no accuracy is stated for inlet" in found.why
    assert found.measured[0].accuracy is None


def test_a_coarse_but_single_reading_says_that_slack_could_pass_for_it() -> None:
    assert "slack could pass" in verdict(PINNED, read("inlet", 9, 3)).why
    assert "slack could pass" not in verdict(PINNED, read("inlet", 9, 1)).why


def test_without_the_crank_shafts_are_only_compared_with_each_other() -> None:
    apart = verdict(read("inlet", 9), read("exhaust", 0))
    assert apart.verdict is Verdict.TEETH_OUT
    assert "exhaust 1 tooth late against inlet" in apart.why
    assert "crank was not read" in apart.why
    agree = verdict(read("inlet", 9), read("exhaust", 9))
    assert agree.verdict is Verdict.NOT_DECIDED
    assert "crank was not read" in agree.why


def test_the_other_stroke_is_not_called_teeth_out() -> None:
    run = TimingRun((CRANK, INLET, EXHAUST))
    found = verdict(PINNED, read("inlet", 180), read("exhaust", -180), run=run)
    assert found.verdict is Verdict.RIGHT
    assert "1 full turn past" in found.why


def test_a_crank_off_its_mark_takes_its_cams_along() -> None:
    assert verdict(read("crank", 6, 0), read("inlet", 3), read("exhaust", 3)).verdict is (
        Verdict.RIGHT
    )


def test_a_shaft_behind_an_unread_one_leaves_both_open() -> None:
    found = verdict(PINNED, read("exhaust", 0), run=CHAINED)
    assert found.verdict is Verdict.NOT_DECIDED
    assert found.explanations[0].in_time


def test_a_floating_sprocket_hides_teeth_within_its_slots() -> None:
    run = TimingRun((CRANK, Shaft("cam", 40, Role.VALVES, "crank", floats=F(5))))
    assert verdict(PINNED, read("cam", 5), run=run).verdict is Verdict.NOT_DECIDED


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ((PINNED,), "one mark alone"),
        ((PINNED, read("inlet", 0), read("inlet", 1)), "read twice"),
        ((PINNED, read("turbo", 0)), "no shaft called turbo"),
    ],
)
def test_readings_that_say_nothing_are_refused(readings: tuple[Reading, ...], words: str) -> None:
    with pytest.raises(RefusalError, match=words):
        diagnose(ENGINE, readings)


@pytest.mark.parametrize(("offset", "accuracy"), [(400, 1), (0, 180), (0, -1)])
def test_impossible_readings_are_refused(offset: int, accuracy: int) -> None:
    with pytest.raises(RefusalError):
        read("inlet", offset, accuracy)


def test_too_many_possibilities_are_refused_not_ground_through() -> None:
    shafts = [CRANK]
    for k in range(4):
        shafts.append(Shaft(f"s{k}", 40, Role.OTHER, shafts[-1].name))
    with pytest.raises(RefusalError, match="too many possibilities"):
        diagnose(TimingRun(tuple(shafts)), [PINNED, read("s3", 0, 5)])
