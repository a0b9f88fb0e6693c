"""How an engineering sum says no: what is wrong, and what to do about it."""

from __future__ import annotations


class RefusalError(ValueError):
    """A sum that cannot be done, or must not be. `what` says why, `hint` what to do.

    Raised for figures outside what a formula allows and for layouts that cannot exist; the
    words are written for the person who gave the figures.
    """

    def __init__(self, what: str, hint: str) -> None:
        super().__init__(f"{what}: {hint}")
        self.what = what
        self.hint = hint


def require_above_zero(value: float, name: str) -> None:
    """Refuse a figure that is not a finite number above zero."""
    if not 0.0 < value < float("inf"):
        raise RefusalError(f"{name} is {value:g}", "it must be above zero; check figure and unit")
