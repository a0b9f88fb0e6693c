"""Two pulleys, in closed form: the textbook sums for open and crossed belts.

`belt_path` gives the same lengths for any layout; these are for working backwards, and for
comparing with books. Prefer the exact forms: the short ones are a little low (open) where
the pulleys differ much in size.
"""

from __future__ import annotations

import math

from witnessmark.engineering.refusal import RefusalError, require_above_zero


def open_belt_length(large: float, small: float, centres: float) -> float:
    """Exact length of an open belt: L = √(4C² − (D−d)²) + (D θD + d θd) / 2.

    Parameters
    ----------
    large, small : float
        Pitch-line diameters D and d. [m]
    centres : float
        Distance between centres C. [m]

    Returns
    -------
    float
        Belt length. [m]

    Raises
    ------
    RefusalError
        If the pulleys touch or a figure is not above zero.

    References
    ----------
    Budynas & Nisbett, Shigley's Mechanical Engineering Design, Eqs. (17-1), (17-2).
    """
    lean = _open_lean(large, small, centres)
    straight = math.sqrt(4 * centres**2 - (large - small) ** 2)
    return straight + (large * (math.pi + 2 * lean) + small * (math.pi - 2 * lean)) / 2


def open_belt_wraps(large: float, small: float, centres: float) -> tuple[float, float]:
    """Give the wraps on the large and the small pulley: π ± 2 asin((D−d)/2C). [rad].

    References
    ----------
    Budynas & Nisbett, Shigley's Mechanical Engineering Design, Eq. (17-1).
    """
    lean = _open_lean(large, small, centres)
    return math.pi + 2 * lean, math.pi - 2 * lean


def open_belt_length_short_form(large: float, small: float, centres: float) -> float:
    """Textbook approximation: L = 2C + π(D+d)/2 + (D−d)²/(4C). [m].

    Notes
    -----
    The first terms of the exact form's series. Short by 1e-4 in on 230 in for pulleys of
    18 and 6 in at 96 in; more as the pulleys near each other. Use `open_belt_length`.
    """
    _open_lean(large, small, centres)
    return 2 * centres + math.pi * (large + small) / 2 + (large - small) ** 2 / (4 * centres)


def crossed_belt_length(first: float, second: float, centres: float) -> float:
    """Exact length of a crossed belt: L = √(4C² − (D+d)²) + θ (D+d) / 2. [m].

    θ = π + 2 asin((D+d)/2C) is the wrap on both pulleys.

    References
    ----------
    Budynas & Nisbett, Shigley's Mechanical Engineering Design, Eqs. (17-3), (17-4)
    (equation numbers from memory).
    """
    wrap = crossed_belt_wrap(first, second, centres)
    return math.sqrt(4 * centres**2 - (first + second) ** 2) + wrap * (first + second) / 2


def crossed_belt_wrap(first: float, second: float, centres: float) -> float:
    """Wrap of a crossed belt, the same on both pulleys: π + 2 asin((D+d)/2C). [rad]."""
    _open_lean(first, second, centres)
    return math.pi + 2 * math.asin((first + second) / (2 * centres))


def crossed_belt_length_short_form(first: float, second: float, centres: float) -> float:
    """Textbook approximation: L = 2C + π(D+d)/2 + (D+d)²/(4C). [m]."""
    _open_lean(first, second, centres)
    return 2 * centres + math.pi * (first + second) / 2 + (first + second) ** 2 / (4 * centres)


def centre_distance(length: float, large: float, small: float) -> float:
    """Distance between centres that takes up an open belt, from the exact length. [m].

    Raises
    ------
    RefusalError
        If the belt is too short to go round both pulleys side by side.

    Notes
    -----
    The exact length grows with the distance, so halving an interval finds it.
    """
    large, small = max(large, small), min(large, small)
    for value, name in ((length, "the belt length"), (small, "the small diameter")):
        require_above_zero(value, name)
    low = (large + small) / 2 * (1 + 1e-12)
    high = max(low, length)
    if open_belt_length(large, small, low) > length:
        raise RefusalError(
            f"a belt of {length * 1000:.6g} mm is too short for these pulleys",
            "they would overlap; check length and diameters",
        )
    for _ in range(80):
        middle = (low + high) / 2
        if open_belt_length(large, small, middle) < length:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def centre_distance_short_form(length: float, large: float, small: float) -> float:
    """Textbook inverse of the short form: C = (B + √(B² − 32(D−d)²)) / 16. [m].

    B = 4L − 2π(D+d). The source prints 6.28 for 2π; the exact figure is used here.

    Raises
    ------
    RefusalError
        If the belt is too short.

    References
    ----------
    Wentzell, Machine Design, Example 14.2, p. 310.
    """
    b = 4 * length - math.tau * (large + small)
    under_root = b**2 - 32 * (large - small) ** 2
    if b <= 0 or under_root < 0:
        raise RefusalError(
            f"a belt of {length * 1000:.6g} mm is too short for these pulleys",
            "check length and diameters",
        )
    return (b + math.sqrt(under_root)) / 16


def next_step(length: float, ratio: float, centres: float) -> tuple[float, float]:
    """Radii of another pair of steps on the same open belt and centres. [m].

    Parameters
    ----------
    length : float
        Belt length, by the exact form, of the first pair. [m]
    ratio : float
        Speed ratio of the new pair: second radius over first.
    centres : float
        Distance between centres. [m]

    Returns
    -------
    tuple of float
        The first and the second radius. [m]

    Raises
    ------
    RefusalError
        If no pair of that ratio takes up the belt at these centres.

    References
    ----------
    Stepped pulleys as in Khurmi & Gupta, Theory of Machines, Example 11.3, with the exact
    length in place of its short form.
    """
    for value, name in ((length, "the belt length"), (ratio, "the ratio")):
        require_above_zero(value, name)
    require_above_zero(centres, "the distance between centres")
    low, high = 0.0, centres / (1 + ratio) * (1 - 1e-12)

    def with_radius(first: float) -> float:
        return open_belt_length(2 * first * max(1.0, ratio), 2 * first * min(1.0, ratio), centres)

    if length <= 2 * centres or with_radius(high) < length:
        raise RefusalError(
            "no pair of steps of this ratio takes up the belt", "check length, ratio and centres"
        )
    for _ in range(80):
        middle = (low + high) / 2
        if with_radius(middle) < length:
            low = middle
        else:
            high = middle
    return low, low * ratio


def _open_lean(large: float, small: float, centres: float) -> float:
    """Lean of the belt against the line of centres, after checking the layout. [rad]."""
    for value, name in (
        (large, "the first diameter"),
        (small, "the second diameter"),
        (centres, "the distance between centres"),
    ):
        require_above_zero(value, name)
    if centres <= (large + small) / 2:
        raise RefusalError("the two pulleys touch or overlap", "check centres and diameters")
    return math.asin((large - small) / (2 * centres))
