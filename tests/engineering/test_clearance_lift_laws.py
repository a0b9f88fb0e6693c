"""Lift laws against their published peaks and their own derivatives."""

from __future__ import annotations

import csv
from pathlib import Path

import mpmath
import pytest

from witnessmark.engineering.clearance import LiftLaw, lift_law, motion
from witnessmark.engineering.clearance.lift_laws import peak_acceleration, peak_velocity
from witnessmark.engineering.refusal import RefusalError

PUBLISHED = Path(__file__).parents[1] / "published" / "timing" / "cam_laws.csv"
NAMES = {
    "simple harmonic": LiftLaw.HARMONIC,
    "cycloidal": LiftLaw.CYCLOIDAL,  # row from memory; also held by its derivatives below
    "3-4-5 polynomial": LiftLaw.POLYNOMIAL_345,
}
with PUBLISHED.open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))

# Where the acceleration jumps or bends, a derivative across the place is none.
BREAKS = (0.0, 0.125, 0.375, 0.5, 0.625, 0.875, 1.0)
SHARES = [k / 97 for k in range(1, 97)]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_published_law(row: dict[str, str]) -> None:
    law = NAMES[row["law"]]
    assert peak_velocity(law) == pytest.approx(float(row["peak_velocity_x_beta_over_h"]), abs=5e-5)
    assert peak_acceleration(law) == pytest.approx(
        float(row["peak_accel_x_beta2_over_h"]), abs=5e-5
    )
    assert motion(law, 0.25).lift == pytest.approx(float(row["s_at_u_0.25"]), abs=5e-7)


@pytest.mark.parametrize("law", LiftLaw)
def test_a_rise_starts_at_rest_and_ends_at_rest_at_full_lift(law: LiftLaw) -> None:
    assert motion(law, 0.0)[:2] == pytest.approx((0, 0), abs=1e-15)
    assert motion(law, 1.0)[:2] == pytest.approx((1, 0), abs=1e-14)


@pytest.mark.parametrize("law", LiftLaw)
def test_velocity_and_acceleration_are_the_derivatives(law: LiftLaw) -> None:
    # Central differences of doubles: error about h² and 1e-16 / h; h = 1e-5 leaves 1e-9.
    h = 1e-5
    for u in SHARES:
        if min(abs(u - b) for b in BREAKS) < 2 * h:
            continue
        here, before, after = motion(law, u), motion(law, u - h), motion(law, u + h)
        assert (after.lift - before.lift) / (2 * h) == pytest.approx(here.velocity, abs=1e-7)
        assert (after.velocity - before.velocity) / (2 * h) == pytest.approx(
            here.acceleration, abs=1e-6
        )


@pytest.mark.parametrize("law", LiftLaw)
def test_lift_is_the_integral_of_the_velocity(law: LiftLaw) -> None:
    for u in (0.1, 0.25, 0.5, 0.7, 1.0):
        places = [b for b in BREAKS if b < u] + [u]
        area = mpmath.quad(lambda x: motion(law, float(x)).velocity, places)
        assert motion(law, u).lift == pytest.approx(float(area), abs=1e-12)


@pytest.mark.parametrize("law", LiftLaw)
def test_pieces_meet_without_a_step(law: LiftLaw) -> None:
    for place in BREAKS[1:-1]:
        below, above = motion(law, place - 1e-12), motion(law, place + 1e-12)
        assert below[:2] == pytest.approx(above[:2], abs=1e-9)


@pytest.mark.parametrize("law", LiftLaw)
def test_no_share_of_the_rise_beats_the_stated_peaks(law: LiftLaw) -> None:
    walked = [motion(law, k / 20000) for k in range(20001)]
    assert max(m.velocity for m in walked) == pytest.approx(peak_velocity(law), rel=1e-7)
    assert max(m.acceleration for m in walked) == pytest.approx(peak_acceleration(law), rel=1e-6)
    assert max(m.acceleration for m in walked) <= peak_acceleration(law) * (1 + 1e-12)


@pytest.mark.parametrize("law", LiftLaw)
def test_every_law_is_the_same_seen_from_the_far_end(law: LiftLaw) -> None:
    for u in SHARES:
        assert motion(law, 1 - u).lift == pytest.approx(1 - motion(law, u).lift, abs=1e-12)


def test_laws_are_found_by_name_and_others_refused() -> None:
    assert lift_law(" Cycloidal ") is LiftLaw.CYCLOIDAL
    with pytest.raises(RefusalError, match="known: harmonic"):
        lift_law("bumpy")


@pytest.mark.parametrize("u", [-0.01, 1.01, float("nan")])
def test_a_share_outside_the_rise_is_refused(u: float) -> None:
    with pytest.raises(RefusalError):
        motion(LiftLaw.HARMONIC, u)
