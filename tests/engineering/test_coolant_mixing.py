"""Litres: what is poured comes to the strength promised, checked by mixing it again."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from witnessmark.engineering.coolant import Glycol
from witnessmark.engineering.coolant_mixing import (
    blend,
    exchange,
    glycol_for_mass_percent,
    refill,
    rounds_to_reach,
    top_up,
)
from witnessmark.engineering.coolant_properties import density, plain_density, swollen_volume
from witnessmark.engineering.refusal import RefusalError

LITRES = st.floats(0.5, 60)
PERCENTS = st.floats(0, 100)


def mixed(*parts: tuple[float, float]) -> float:
    """Strength of a mix of (litres, percent) parts; the balance by hand."""
    return sum(v * p for v, p in parts) / sum(v for v, _ in parts)


@given(LITRES, PERCENTS, PERCENTS, PERCENTS)
def test_a_blend_comes_to_its_strength(total, one, other, wanted) -> None:
    weak, strong = sorted((one, other))
    assume(weak <= wanted <= strong and strong - weak > 0.01)
    low, high = blend(total, weak, strong, wanted)
    assert low + high == pytest.approx(total)
    assert mixed((low, weak), (high, strong)) == pytest.approx(wanted, abs=1e-6)


@given(LITRES, PERCENTS, PERCENTS, PERCENTS)
def test_an_exchange_comes_to_its_strength_or_is_refused(volume, present, wanted, poured) -> None:
    assume(abs(present - wanted) > 0.01 and abs(wanted - poured) > 0.01)
    possible = (wanted - present) * (poured - wanted) > 0
    if not possible:
        with pytest.raises(RefusalError):
            exchange(volume, present, wanted, poured)
        return
    out = exchange(volume, present, wanted, poured)
    assert 0 < out < volume
    assert mixed((volume - out, present), (out, poured)) == pytest.approx(wanted, abs=1e-6)


@given(LITRES, PERCENTS, PERCENTS, PERCENTS)
def test_a_top_up_comes_to_its_strength_or_is_refused(held, present, wanted, poured) -> None:
    assume(abs(present - wanted) > 0.01 and abs(wanted - poured) > 0.01)
    possible = (wanted - present) * (poured - wanted) > 0
    if not possible:
        with pytest.raises(RefusalError):
            top_up(held, present, wanted, poured)
        return
    added = top_up(held, present, wanted, poured)
    assert mixed((held, present), (added, poured)) == pytest.approx(wanted, abs=1e-6)
    with pytest.raises(RefusalError, match="there is room for"):
        top_up(held, present, wanted, poured, room=0.99 * added)


@given(LITRES, st.floats(0, 0.95), PERCENTS, PERCENTS, st.floats(1, 100))
def test_a_refill_reckons_with_what_stayed_behind(capacity, share, present, wanted, bottle) -> None:
    stays = share * capacity
    reach = sorted(mixed((stays, present), (capacity - stays, p)) for p in (0.0, bottle))
    if not reach[0] <= wanted <= reach[1]:
        assume(not reach[0] - 1e-6 <= wanted <= reach[1] + 1e-6)
        with pytest.raises(RefusalError, match="drain"):
            refill(capacity, stays, present, wanted, bottle)
        return
    charge = refill(capacity, stays, present, wanted, bottle)
    assert charge.concentrate + charge.water + charge.stays == pytest.approx(capacity)
    whole = mixed((charge.concentrate, bottle), (charge.water, 0), (stays, present))
    assert whole == pytest.approx(wanted, abs=1e-6)


@given(LITRES, st.floats(0, 0.8), PERCENTS, PERCENTS, PERCENTS)
def test_rounds_are_counted_as_by_hand(capacity, share, present, wanted, poured) -> None:
    assume(abs(wanted - present) > 0.5 and (wanted - present) * (poured - wanted) > 25)
    stays = share * capacity
    found = rounds_to_reach(capacity, stays, present, wanted, poured)
    strength, rounds = present, 0
    while (strength - wanted) * (wanted - present) < 0:
        strength, rounds = mixed((stays, strength), (capacity - stays, poured)), rounds + 1
    assert (found.rounds, found.reached) == (rounds, pytest.approx(strength))
    assert found.concentrate == pytest.approx(rounds * (capacity - stays))


@given(LITRES, st.floats(1, 100), st.floats(1.0, 1.2))
def test_glycol_by_weight_weighs_what_it_says(total, percent, relative) -> None:
    glycol = glycol_for_mass_percent(total, percent, relative)
    weight = glycol * relative / (glycol * relative + (total - glycol))
    assert 100 * weight == pytest.approx(percent)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: blend(0, 40, 70, 50),
        lambda: blend(10, 40, 70, 30),
        lambda: blend(10, 50, 50, 50),
        lambda: blend(10, -1, 50, 20),
        lambda: exchange(-1, 33, 50),
        lambda: exchange(10, 33, 101),
        lambda: refill(8, 8, 33, 50),
        lambda: refill(8, 2, 33, 50, 0),
        lambda: rounds_to_reach(8, 8, 33, 50, 100),
        lambda: rounds_to_reach(8, 7.99, 33, 50, 100),
        lambda: rounds_to_reach(8, 2, 33, 50, 50),
        lambda: glycol_for_mass_percent(10, 0, 1.1),
        lambda: density(Glycol.ETHYLENE, 9, 20),
        lambda: density(Glycol.ETHYLENE, 61, 20),
        lambda: density(Glycol.ETHYLENE, 30, -20),
        lambda: density(Glycol.ETHYLENE, 30, 101),
        lambda: plain_density(Glycol.ETHYLENE, 61, 20),
        lambda: plain_density(Glycol.ETHYLENE, 30, -20),
    ],
)
def test_what_cannot_be_mixed_or_read_is_refused(wrong) -> None:
    with pytest.raises(RefusalError):
        wrong()


def test_nothing_to_do_is_nothing() -> None:
    assert exchange(8, 50, 50) == 0.0
    assert top_up(8, 50, 50) == 0.0


def test_mass_is_kept_as_coolant_swells() -> None:
    """ASHRAE: 50 % ethylene glycol, 1073.35 kg/m³ at 20 °C and 1038.46 at 80 °C."""
    swollen = swollen_volume(8.0, Glycol.ETHYLENE, 50, 20, 80)
    assert swollen == pytest.approx(8.0 * 1073.35 / 1038.46)
    assert swollen_volume(swollen, Glycol.ETHYLENE, 50, 80, 20) == pytest.approx(8.0)
