"""The shafts of a timing drive: teeth, what drives what, ratios, state and what holds them.

A ratio always comes from the teeth. Half crank speed is usual for cams and for injection
pumps of four-strokes, but not universal: some distributor pumps run at crank speed (US Navy
Construction Mechanic training manual, NAVEDTRA 14264), and some drives go by way of another
shaft. Angles are in degrees, exact; a positive offset is ahead in the running direction.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from witnessmark.engineering.refusal import RefusalError

MOST_TEETH = 2000


class Role(StrEnum):
    """What a shaft does."""

    CRANK = "crank"
    VALVES = "valves"
    INJECTION = "injection"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Shaft:
    """A shaft of the timing drive.

    Attributes
    ----------
    name : str
        What people call it.
    teeth : int
        Teeth of the sprocket or gear it is driven by; the crank's own sprocket for the crank.
    role : Role
        What it does.
    driven_by : str or None
        Name of the shaft that drives it; None for the crank.
    driver_teeth : int or None
        Teeth on the driving shaft; None when they are that shaft's own `teeth` (one belt).
    floats : Fraction
        How far its sprocket floats in slots, either way from the middle. [degrees]
    """

    name: str
    teeth: int
    role: Role = Role.OTHER
    driven_by: str | None = None
    driver_teeth: int | None = None
    floats: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        for teeth in (self.teeth, self.driver_teeth):
            if teeth is not None and not 3 <= teeth <= MOST_TEETH:
                raise RefusalError(
                    f"{teeth} teeth on {self.name} cannot be right", "count the sprocket again"
                )
        if not 0 <= self.floats < 180:
            raise RefusalError(
                f"a float of {float(self.floats):g}° on {self.name} cannot be right",
                "give how far the slots let the sprocket turn either way from the middle",
            )

    @property
    def degrees_per_tooth(self) -> Fraction:
        """Degrees of this shaft for one tooth of its sprocket: 360 / z."""
        return degrees_per_tooth(self.teeth)


def degrees_per_tooth(teeth: int) -> Fraction:
    """Degrees a sprocket turns for one tooth: 360 / z, exactly.

    Raises
    ------
    RefusalError
        If there are fewer than 3 teeth.
    """
    if teeth < 3:
        raise RefusalError(f"{teeth} teeth make no sprocket", "count them again")
    return Fraction(360, teeth)


@dataclass(frozen=True, slots=True)
class TimingRun:
    """All shafts of one timing drive. The first is the crank, each other names its driver.

    Raises
    ------
    RefusalError
        If names repeat, there is not exactly one crank, or a shaft's driver is unknown or
        leads round in a ring.
    """

    shafts: tuple[Shaft, ...]

    def __post_init__(self) -> None:
        names = [shaft.name for shaft in self.shafts]
        for name in names:
            if names.count(name) > 1:
                raise RefusalError(f"two shafts are called {name}", "name each differently")
        cranks = [shaft for shaft in self.shafts if shaft.driven_by is None]
        if len(cranks) != 1:
            raise RefusalError(
                f"{len(cranks)} shafts have no driver", "exactly one, the crank, may have none"
            )
        for shaft in self.shafts:
            self._check_chain(shaft)

    def _check_chain(self, shaft: Shaft) -> None:
        passed = [shaft.name]
        while shaft.driven_by is not None:
            if shaft.driven_by not in {s.name for s in self.shafts}:
                raise RefusalError(
                    f"{shaft.name} is driven by {shaft.driven_by}, which is not among the shafts",
                    "check the name, or add the shaft",
                )
            shaft = self.shaft(shaft.driven_by)
            if shaft.name in passed:
                raise RefusalError(
                    f"the drive goes round in a ring: {' < '.join([*passed, shaft.name])}",
                    "say what each shaft is driven by, starting from the crank",
                )
            passed.append(shaft.name)

    @property
    def crank(self) -> Shaft:
        """The shaft that drives all the others."""
        return next(shaft for shaft in self.shafts if shaft.driven_by is None)

    def shaft(self, name: str) -> Shaft:
        """Find a shaft by name.

        Raises
        ------
        RefusalError
            If there is none of that name.
        """
        for shaft in self.shafts:
            if shaft.name == name:
                return shaft
        raise RefusalError(
            f"there is no shaft called {name}", f"known: {', '.join(s.name for s in self.shafts)}"
        )

    def step_ratio(self, name: str) -> Fraction:
        """Give the turns of a shaft for one turn of its own driver, from the teeth."""
        shaft = self.shaft(name)
        if shaft.driven_by is None:
            return Fraction(1)
        driver_teeth = shaft.driver_teeth or self.shaft(shaft.driven_by).teeth
        return Fraction(driver_teeth, shaft.teeth)

    def ratio(self, name: str) -> Fraction:
        """Give the turns of a shaft for one turn of the crank, from the teeth along the drive."""
        ratio = Fraction(1)
        shaft = self.shaft(name)
        while shaft.driven_by is not None:
            ratio *= self.step_ratio(shaft.name)
            shaft = self.shaft(shaft.driven_by)
        return ratio

    def crank_degrees_per_tooth(self, name: str) -> Fraction:
        """Crank degrees that one tooth at a shaft's sprocket is worth: 360 / (z × ratio)."""
        return self.shaft(name).degrees_per_tooth / self.ratio(name)

    def speed(self, name: str, crank_rpm: Fraction) -> Fraction:
        """Speed of a shaft at a crank speed. [rpm]."""
        return crank_rpm * self.ratio(name)

    def from_crank_outwards(self) -> tuple[Shaft, ...]:
        """Give the shafts with every driver before what it drives."""

        def depth(shaft: Shaft) -> int:
            steps = 0
            while shaft.driven_by is not None:
                shaft, steps = self.shaft(shaft.driven_by), steps + 1
            return steps

        return tuple(sorted(self.shafts, key=depth))


class Hold(StrEnum):
    """What may hold a shaft. A mark read by eye is not here: it holds nothing."""

    PIN = "pin"
    HOLDER = "holder"
    BELT = "belt"


@dataclass(frozen=True, slots=True)
class ShaftState:
    """Where one shaft stands and what holds it, as plain data.

    Attributes
    ----------
    shaft : str
        Which shaft.
    offset : Fraction or None
        Degrees ahead of its mark in the running direction; 0 is at the mark, None unknown.
    holds : frozenset of Hold
        What is in or on it now.
    read_by_eye : bool
        Whether the offset rests on a mark read by eye. That locates; it does not hold.
    """

    shaft: str
    offset: Fraction | None = None
    holds: frozenset[Hold] = frozenset()
    read_by_eye: bool = False

    @property
    def at_mark(self) -> bool | None:
        """Whether it is at its mark; None when not known."""
        return None if self.offset is None else self.offset == 0

    @property
    def held(self) -> bool:
        """Whether anything keeps it from turning by itself."""
        return bool(self.holds)

    @property
    def held_against_its_bolt(self) -> bool:
        """Whether its bolt may be turned: only a holder takes that load, never a pin."""
        return Hold.HOLDER in self.holds

    def in_words(self) -> str:
        """Say where it stands and what holds it."""
        if self.offset is None:
            where = "position unknown"
        elif self.offset == 0:
            where = "at its mark"
        else:
            word = "ahead of" if self.offset > 0 else "behind"
            where = f"{float(abs(self.offset)):g}° {word} its mark"
        if self.holds:
            by = f"held by {' and '.join(sorted(self.holds))}"
        elif self.read_by_eye:
            by = "held by nothing (a mark read by eye holds nothing)"
        else:
            by = "held by nothing"
        return f"{self.shaft}: {where}, {by}"
