"""Litres of coolant: blending, topping up, exchanging, and what stays behind.

Percents are by volume and volumes are taken to add; real glycol and water shrink slightly
on mixing. Volumes may be in any unit, the same throughout.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError, require_above_zero

MOST_ROUNDS = 50


@dataclass(frozen=True, slots=True)
class Charge:
    """What to pour: `concentrate` and plain `water`; `rounds` of draining and filling.

    `stays` is what stayed behind and `reached` the strength [%] the whole comes to.
    """

    concentrate: float
    water: float
    stays: float
    reached: float
    rounds: int = 1


def blend(total: float, weak: float, strong: float, wanted: float) -> tuple[float, float]:
    """Volumes of a weak and a strong mix that make a wanted one: x = V (s - w)/(s - k).

    Parameters
    ----------
    total : float
        Volume to make. [any unit of volume]
    weak, strong, wanted : float
        Strengths by volume. [%]

    Returns
    -------
    tuple of float
        Volume of the weak and of the strong mix. [the same unit]

    Raises
    ------
    RefusalError
        If the wanted strength does not lie between the two.
    """
    require_above_zero(total, "the volume")
    _require_percents(weak, strong, wanted)
    if not weak <= wanted <= strong or weak == strong:
        raise RefusalError(
            f"{wanted:g} % cannot be mixed from {weak:g} % and {strong:g} %",
            "it must lie between them",
        )
    of_weak = total * (strong - wanted) / (strong - weak)
    return of_weak, total - of_weak


def exchange(volume: float, present: float, wanted: float, poured: float = 100.0) -> float:
    """Volume to drain from a full system and replace: x = V (z - y)/(c - y).

    Parameters
    ----------
    volume : float
        What the system holds, full and well mixed. [any unit of volume]
    present, wanted, poured : float
        Strength now, wanted, and of what is poured in; by volume. [%]

    Returns
    -------
    float
        Volume to drain and replace. [the same unit]

    Raises
    ------
    RefusalError
        If what is poured can never bring it there.
    """
    require_above_zero(volume, "what the system holds")
    _require_percents(present, wanted, poured)
    if present == wanted:
        return 0.0
    share = (wanted - present) / (poured - present) if poured != present else math.inf
    if not 0.0 < share < 1.0:
        raise RefusalError(
            f"pouring {poured:g} % into {present:g} % never reaches {wanted:g} %",
            "pour something stronger or weaker, or empty the system",
        )
    return volume * share


def top_up(
    held: float, present: float, wanted: float, poured: float = 100.0, room: float = math.inf
) -> float:
    """Volume to add, nothing drained: x = V (z - y)/(c - z).

    Parameters
    ----------
    held : float
        What is in the system now. [any unit of volume]
    present, wanted, poured : float
        Strength now, wanted, and of what is poured in; by volume. [%]
    room : float
        How much more it takes. [the same unit]

    Returns
    -------
    float
        Volume to add. [the same unit]

    Raises
    ------
    RefusalError
        If what is poured can never bring it there, or there is not the room.
    """
    require_above_zero(held, "what is in the system")
    _require_percents(present, wanted, poured)
    if present == wanted:
        return 0.0
    needed = held * (wanted - present) / (poured - wanted) if poured != wanted else math.inf
    if not 0.0 < needed < math.inf:
        raise RefusalError(
            f"adding {poured:g} % to {present:g} % never reaches {wanted:g} %",
            "add something stronger or weaker",
        )
    if needed > room:
        raise RefusalError(
            f"{needed:.3g} would have to be added and there is room for {room:.3g}",
            "drain some first: work it out as an exchange",
        )
    return needed


def refill(
    capacity: float, stays: float, present: float, wanted: float, concentrate: float = 100.0
) -> Charge:
    """Work out what to pour after a drain that leaves part of the old charge behind.

    Parameters
    ----------
    capacity : float
        What the system holds, full. [any unit of volume]
    stays : float
        What stayed in block and heater. [the same unit]
    present : float
        Strength of what stayed, by volume. [%]
    wanted : float
        Strength wanted of the whole, by volume. [%]
    concentrate : float
        Strength of the bottle, by volume; 100 for neat. [%]

    Returns
    -------
    Charge
        Concentrate and water that fill it. [the same unit]

    Raises
    ------
    RefusalError
        If one fill cannot reach it; `rounds_to_reach` then says how many can.
    """
    require_above_zero(capacity, "what the system holds")
    _require_percents(present, wanted, concentrate)
    if not 0.0 <= stays < capacity:
        raise RefusalError(
            f"{stays:g} stays behind of {capacity:g}", "it must be less than the whole"
        )
    if concentrate == 0.0:
        raise RefusalError("the concentrate is plain water", "give the strength of the bottle")
    poured = capacity - stays
    neat = (capacity * wanted - stays * present) / concentrate
    if not -1e-9 * capacity <= neat <= poured * (1 + 1e-9):
        way = "weaker" if neat < 0 else "stronger"
        raise RefusalError(
            f"one fill cannot reach {wanted:g} %: what stayed behind would need something {way} "
            f"than {'water' if neat < 0 else 'the concentrate'}",
            "drain more, or drain and fill again",
        )
    neat = min(max(neat, 0.0), poured)
    return Charge(neat, poured - neat, stays, wanted)


def rounds_to_reach(
    capacity: float, stays: float, present: float, wanted: float, poured: float
) -> Charge:
    """Count the drains and fills with one mix until the whole has come past a strength.

    Parameters
    ----------
    capacity : float
        What the system holds, full. [any unit of volume]
    stays : float
        What stays behind at each drain. [the same unit]
    present, wanted, poured : float
        Strength now, wanted, and of what is poured in; by volume. [%]

    Returns
    -------
    Charge
        Rounds, the strength reached and all that was poured, as concentrate. [the same unit]

    Raises
    ------
    RefusalError
        If it never gets there, or not in 50 rounds.
    """
    exchange(capacity, present, wanted, poured)
    if not 0.0 <= stays < capacity:
        raise RefusalError(
            f"{stays:g} stays behind of {capacity:g}", "it must be less than the whole"
        )
    reached = present
    for rounds in range(1, MOST_ROUNDS + 1):
        reached = (stays * reached + (capacity - stays) * poured) / capacity
        if (reached - wanted) * (wanted - present) >= 0:
            return Charge(rounds * (capacity - stays), 0.0, stays, reached, rounds)
    raise RefusalError(f"not reached in {MOST_ROUNDS} rounds", "get more of the old charge out")


def glycol_for_mass_percent(total: float, mass_percent: float, relative_density: float) -> float:
    """Volume of neat glycol in a total that is so many percent glycol by mass.

    V2 = V1 / (1 + SG (1 - P)/P), SG the glycol's density over water's, volumes added.

    Parameters
    ----------
    total : float
        Volume of the whole. [any unit of volume]
    mass_percent : float
        Percent by mass. [%]
    relative_density : float
        Density of the glycol against water's. [-]

    Returns
    -------
    float
        Volume of glycol. [the same unit]

    Raises
    ------
    RefusalError
        If a figure is zero or below, or the percent above 100.
    """
    require_above_zero(total, "the volume")
    require_above_zero(relative_density, "the relative density")
    require_above_zero(mass_percent, "the percent by mass")
    _require_percents(mass_percent)
    share = mass_percent / 100.0
    return total / (1 + relative_density * (1 - share) / share)


def _require_percents(*percents: float) -> None:
    for percent in percents:
        if not 0.0 <= percent <= 100.0:
            raise RefusalError(f"{percent:g} % is not a strength", "it must be 0 to 100 %")
