"""What happens when bolts go back into the wrong holes."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.engineering.fastening.swaps import (
    Bolt,
    Hole,
    Verdict,
    analyse_swaps,
    check_bolt_in_hole,
)
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.threads import read_thread

M8 = read_thread("M8")
M6 = read_thread("M6")


def _hole(name: str = "7", **changes) -> Hole:
    given_sizes = {
        "thread": M8, "clamped": 0.020, "depth": 0.018, "needed": 0.010, **changes,
    }  # fmt: skip
    return Hole(name, **given_sizes)


def _bolt(length: float, **changes) -> Bolt:
    return Bolt("b", changes.pop("thread", M8), length, "7", **changes)


def test_a_bolt_too_long_for_a_blind_hole_bottoms_and_clamps_nothing() -> None:
    """By hand: 42 mm, 20 clamped, 18 deep: 4 mm proud; the right bolt is 30, so 12 too long."""
    fit = check_bolt_in_hole(_bolt(0.042), _hole(), right_length=0.030)
    assert fit.verdict is Verdict.DANGEROUS
    assert fit.words == (
        "12 mm too long in hole 7: bottoms 4 mm early, nothing clamped; may break into the casting"
    )
    assert fit.bottoms_early == pytest.approx(0.004)


def test_a_bolt_too_short_may_strip_its_thread() -> None:
    """By hand: 25 mm, 20 clamped: 5 mm of thread, 10 needed."""
    fit = check_bolt_in_hole(_bolt(0.025), _hole(), right_length=0.030)
    assert fit.verdict is Verdict.DANGEROUS
    assert fit.words == (
        "5 mm too short in hole 7: only 5 mm of thread in use, 10 mm needed: may strip"
    )
    none = check_bolt_in_hole(_bolt(0.018), _hole(), right_length=0.030)
    assert none.words.endswith("does not reach the thread")


def test_a_bolt_a_little_longer_is_harmless_and_the_right_one_is_right() -> None:
    longer = check_bolt_in_hole(_bolt(0.035), _hole(), right_length=0.030)
    assert longer.verdict is Verdict.HARMLESS
    assert longer.words == "5 mm too long in hole 7: 15 mm of thread in use, 10 mm needed"
    right = check_bolt_in_hole(_bolt(0.030), _hole(), right_length=0.030)
    assert right.verdict is Verdict.RIGHT
    assert right.engagement == pytest.approx(0.010)


def test_a_bolt_sticking_out_into_something_behind_is_dangerous() -> None:
    """By hand: 45 mm, 20 clamped, 12 of thread through: 13 mm sticks out with 6 clear."""
    through = _hole(through=True, depth=0.012, behind="the cam gear", clear_behind=0.006)
    fit = check_bolt_in_hole(_bolt(0.045), through, right_length=0.035)
    assert fit.verdict is Verdict.DANGEROUS
    assert fit.stick_out == pytest.approx(0.013)
    assert "sticks out 13 mm with 6 mm clear: touches the cam gear" in fit.words
    free = check_bolt_in_hole(_bolt(0.045), _hole(through=True, depth=0.012), right_length=0.035)
    assert free.verdict is Verdict.HARMLESS
    assert "sticks out 13 mm" in free.words


def test_a_plain_shank_may_meet_the_thread_first() -> None:
    """By hand: 50 mm with 20 of thread leaves 30 of shank in a 20 mm joint: 10 mm early."""
    deep = _hole(depth=0.040)
    fit = check_bolt_in_hole(_bolt(0.050, thread_length=0.020), deep, right_length=0.040)
    assert fit.verdict is Verdict.DANGEROUS
    assert "the shank meets the thread 10 mm early, nothing clamped" in fit.words
    fully = check_bolt_in_hole(_bolt(0.050), deep, right_length=0.040)
    assert fully.verdict is Verdict.HARMLESS


def test_a_counterbore_takes_thread_away() -> None:
    hole = _hole(entry=0.004)
    assert check_bolt_in_hole(_bolt(0.034), hole).engagement == pytest.approx(0.010)
    assert check_bolt_in_hole(_bolt(0.033), hole).verdict is Verdict.DANGEROUS


@pytest.mark.parametrize("thread", ["M6", "M8x1", "M8 LH", "5/16-18"])
def test_another_thread_or_hand_never_fits(thread) -> None:
    fit = check_bolt_in_hole(_bolt(0.030, thread=read_thread(thread)), _hole())
    assert fit.verdict is Verdict.DANGEROUS
    assert "jams or strips" in fit.words
    assert ("left-hand" in fit.words) is thread.endswith("LH")


def _cover(lengths: list[float]) -> tuple[tuple[Hole, ...], tuple[Bolt, ...]]:
    """Holes whose own bolts have 10 mm of thread in and 8 mm to spare."""
    holes = tuple(_hole(f"h{i}", clamped=length - 0.010) for i, length in enumerate(lengths))
    bolts = tuple(Bolt(f"b{i}", M8, length, f"h{i}") for i, length in enumerate(lengths))
    return holes, bolts


def test_the_few_odd_bolts_of_a_cover_are_the_ones_to_mark() -> None:
    """36 bolts of 30 mm, three of 45, one of 20: marking the four leaves nothing dangerous."""
    lengths = [0.030] * 36 + [0.045] * 3 + [0.020]
    report = analyse_swaps(*_cover(lengths))
    assert set(report.mark_first) == {"h36", "h37", "h38", "h39"}
    assert report.left_after[-1] == 0
    assert list(report.left_after) == sorted(report.left_after, reverse=True)
    assert len(report.dangerous_swaps) == 36 * 4 + 3
    assert len(report.harmless_swaps) == 40 * 39 // 2 - len(report.dangerous_swaps)
    assert report.wrong_at_home == ()
    assert report.fit("b36", "h0").verdict is Verdict.DANGEROUS
    assert report.fit("b1", "h0").verdict is Verdict.RIGHT


def test_a_bolt_already_wrong_in_its_own_hole_is_reported() -> None:
    holes, bolts = _cover([0.030, 0.030])
    wrong = (bolts[0], Bolt("b1", M8, 0.060, "h1"))
    (found,) = analyse_swaps(holes, wrong).wrong_at_home
    assert (found.bolt, found.hole) == ("b1", "h1")


lengths_of_cover = st.lists(
    st.sampled_from([0.016, 0.020, 0.025, 0.030, 0.045]), min_size=2, max_size=12
)


@given(lengths_of_cover)
def test_swaps_are_dangerous_exactly_when_one_of_the_two_bolts_is(lengths) -> None:
    holes, bolts = _cover(lengths)
    report = analyse_swaps(holes, bolts)
    dangerous = set(report.dangerous_swaps)
    for (i, one), (j, other) in itertools.combinations(enumerate(holes), 2):
        alone = [
            check_bolt_in_hole(bolts[j], one).verdict,
            check_bolt_in_hole(bolts[i], other).verdict,
        ]
        assert ((one.name, other.name) in dangerous) is (Verdict.DANGEROUS in alone)
    assert len(report.fits) == len(lengths) ** 2


@given(lengths_of_cover)
def test_marking_what_is_named_leaves_no_dangerous_swap_and_no_mark_is_idle(lengths) -> None:
    report = analyse_swaps(*_cover(lengths))
    marked = set(report.mark_first)
    assert all(one in marked or other in marked for one, other in report.dangerous_swaps)
    assert len(report.left_after) == len(report.mark_first)
    steps = [len(report.dangerous_swaps), *report.left_after]
    assert all(later < earlier for earlier, later in itertools.pairwise(steps))


def test_marks_are_as_few_as_trying_every_choice_finds_for_covers_of_a_few_kinds() -> None:
    for lengths in ([0.02] * 3 + [0.045] * 2, [0.016, 0.03, 0.03, 0.045, 0.045, 0.045]):
        holes, bolts = _cover(lengths)
        report = analyse_swaps(holes, bolts)
        names = [h.name for h in holes]
        fewest = next(
            size
            for size in range(len(names) + 1)
            for chosen in itertools.combinations(names, size)
            if all(a in chosen or b in chosen for a, b in report.dangerous_swaps)
        )
        assert len(report.mark_first) == fewest


def test_groups_that_do_not_belong_together_are_refused() -> None:
    holes, bolts = _cover([0.030, 0.030])
    with pytest.raises(RefusalError, match="one to one"):
        analyse_swaps(holes, bolts[:1])
    with pytest.raises(RefusalError, match="same name"):
        analyse_swaps(holes, (bolts[0], bolts[0]))
    with pytest.raises(RefusalError, match="below zero"):
        _hole(depth=-0.01)
    with pytest.raises(RefusalError, match="has no thread"):
        _hole(entry=0.02)
    with pytest.raises(RefusalError, match="has no length"):
        _bolt(0.03, thread_length=0.04)
    assert M6.size == "M6x1"
