"""How long a guess at a secret must wait, by how many before it were wrong."""

from __future__ import annotations

from dataclasses import dataclass

_SECOND, _MINUTE = 1_000, 60_000

FORGOTTEN_AFTER = 86_400_000
"""[ms]"""


@dataclass(frozen=True, slots=True)
class Waits:
    """How long the next guess must wait, by how many were wrong; [ms].

    After `locked_at` wrong ones every further one waits `locked_for`. What was wrong is
    forgotten a day after the last.
    """

    free: int
    slowed_by: int
    locked_at: int
    locked_for: int

    def after(self, wrong: int) -> int:
        """Give the wait after so many wrong guesses."""
        if wrong < self.free:
            return 0
        if wrong < self.locked_at:
            return self.slowed_by << (wrong - self.free)
        return self.locked_for


PIN_OF_MEMBER = Waits(free=3, slowed_by=5 * _SECOND, locked_at=6, locked_for=15 * _MINUTE)
PIN_ON_DEVICE = Waits(free=10, slowed_by=5 * _SECOND, locked_at=15, locked_for=15 * _MINUTE)
PAIRING_FROM_ADDRESS = Waits(free=5, slowed_by=2 * _SECOND, locked_at=10, locked_for=15 * _MINUTE)
