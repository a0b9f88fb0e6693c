"""Wrench setting with an adapter, and which wrench may be used."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.engineering.fastening.wrench import (
    Wrench,
    choose_wrench,
    effective_lever,
    judge_wrench,
    torque_at_bolt,
    wrench_setting,
)
from witnessmark.engineering.refusal import RefusalError

TODAY = date(2026, 3, 1)
LATER = date(2026, 9, 1)
lengths = st.floats(0.1, 1.0)


def test_straight_out_across_and_back() -> None:
    """By hand: 400 mm wrench, 50 mm adapter: 400/450, 400/400 and 400/350 of 100 N·m."""
    settings = [wrench_setting(100.0, 0.4, 0.05, angle) for angle in (0, 90, 180, 270, 360)]
    assert settings == pytest.approx([800 / 9, 100.0, 800 / 7, 100.0, 800 / 9])
    assert wrench_setting(100.0, 0.4, 0.05, 90) == 100.0


@given(st.floats(1.0, 500.0), lengths, st.floats(0.0, 0.09), st.floats(-360.0, 360.0))
def test_setting_and_torque_at_the_bolt_undo_each_other(torque, length, adapter, angle) -> None:
    setting = wrench_setting(torque, length, adapter, angle)
    assert torque_at_bolt(setting, length, adapter, angle) == pytest.approx(torque)
    assert effective_lever(length, adapter, angle) == pytest.approx(
        effective_lever(length, adapter, -angle)
    )


@given(st.floats(1.0, 500.0), lengths, st.floats(0.01, 0.09), st.floats(0.0, 90.0))
def test_an_adapter_that_reaches_out_always_wants_a_lower_setting(
    torque, length, adapter, angle
) -> None:
    assert wrench_setting(torque, length, adapter, angle) <= torque
    assert wrench_setting(torque, length, adapter, 180.0 - angle) >= torque * (1 - 1e-12)


def test_an_adapter_that_reaches_the_grip_is_refused() -> None:
    with pytest.raises(RefusalError, match="reaches back to the grip"):
        wrench_setting(100.0, 0.3, 0.3, 180.0)
    with pytest.raises(RefusalError, match="shorter than nothing"):
        effective_lever(0.3, -0.1, 0.0)


SMALL = Wrench("small", 5.0, 25.0, 0.2, LATER)
MIDDLE = Wrench("middle", 20.0, 100.0, 0.4, LATER)
LARGE = Wrench("large", 40.0, 200.0, 0.5, LATER)
OVERDUE = Wrench("overdue", 20.0, 100.0, 0.4, date(2026, 2, 28))
DIAL = Wrench("dial", 0.0, 150.0, None, LATER, shows_value=True)


def test_the_wrench_best_placed_in_its_range_comes_first_and_the_rest_say_why_not() -> None:
    choices = choose_wrench((OVERDUE, LARGE, SMALL, MIDDLE, DIAL), 60.0, TODAY)
    assert next(c.wrench.name for c in choices if c.serves) == "middle"
    reasons = {c.wrench.name: c.reasons for c in choices}
    assert reasons["small"] == ("60 N·m is above its 25 N·m",)
    assert reasons["overdue"] == ("its check was due 2026-02-28",)
    assert not reasons["large"]
    assert [c.serves for c in choices] == sorted((c.serves for c in choices), reverse=True)


@pytest.mark.parametrize(
    ("wrench", "torque", "says"),
    [
        (MIDDLE, 19.0, "below its 20 N·m"),
        (Wrench("wide", 1.0, 100.0, 0.4, LATER), 15.0, "below a fifth of its 100 N·m"),
        (Wrench("unknown", 20.0, 100.0), 60.0, "no check date is known"),
    ],
)
def test_range_and_check_date(wrench, torque, says) -> None:
    (reason,) = judge_wrench(wrench, torque, TODAY).reasons
    assert says in reason


def test_a_check_due_today_still_holds() -> None:
    assert judge_wrench(Wrench("w", 20.0, 100.0, 0.4, TODAY), 60.0, TODAY).serves


def test_the_range_is_judged_at_the_setting_not_at_the_bolt() -> None:
    """By hand: 105 N·m straight out on 400 + 50 mm is set at 93.3, inside a 100 N·m wrench."""
    choice = judge_wrench(MIDDLE, 105.0, TODAY, adapter=0.05)
    assert choice.serves
    assert choice.setting == pytest.approx(105.0 * 400 / 450)
    assert not judge_wrench(MIDDLE, 95.0, TODAY, adapter=0.05, angle=180.0).serves


def test_an_adapter_on_a_wrench_of_unknown_length_cannot_be_allowed_for() -> None:
    choice = judge_wrench(DIAL, 60.0, TODAY, adapter=0.05)
    assert choice.setting is None
    assert "its length is not known" in choice.reasons[0]


def test_a_torque_held_on_a_tensioner_wants_a_wrench_that_shows_it() -> None:
    """A setting held while its clamp is tightened is read, not clicked."""
    assert judge_wrench(DIAL, 60.0, TODAY, must_show_value=True).serves
    clicks = judge_wrench(MIDDLE, 60.0, TODAY, must_show_value=True)
    assert clicks.reasons == ("it does not show its value while it is held",)
