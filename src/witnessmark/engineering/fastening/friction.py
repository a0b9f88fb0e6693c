"""Friction between threads and under heads: a value, a range, or a surface in words."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.reading import QuantityError, read_number, shorten

_VDI = "VDI 2230 friction classes"


@dataclass(frozen=True, slots=True)
class Friction:
    """A friction coefficient with its range. `why` says where the range is from."""

    low: float
    high: float
    why: str

    def __post_init__(self) -> None:
        """Refuse what cannot be a friction coefficient."""
        if not 0.0 < self.low <= self.high <= 1.0:
            raise RefusalError(
                f"a friction of {self.low:g} to {self.high:g} cannot be",
                "give a value or a range above 0 and up to 1, low first",
            )

    @property
    def nominal(self) -> float:
        """The middle of the range."""
        return (self.low + self.high) / 2.0

    @property
    def is_range(self) -> bool:
        """Whether low and high differ."""
        return self.low < self.high

    def __str__(self) -> str:
        """Print as value or range."""
        return f"{self.low:g} to {self.high:g}" if self.is_range else f"{self.low:g}"


# VDI 2230 friction classes. E has no upper end in the table.
FRICTION_CLASSES: dict[str, tuple[float, float | None]] = {
    "A": (0.04, 0.10),
    "B": (0.08, 0.16),
    "C": (0.14, 0.24),
    "D": (0.20, 0.35),
    "E": (0.30, None),
}

# Which class the table names for a surface; steel on steel unless the words say more.
_SURFACES: dict[str, tuple[str, str]] = {
    "anti-seize": ("A", "solid lubricant paste, wax"),
    "waxed": ("A", "wax, solid lubricant top coat"),
    "oiled": ("B", "oil on bare, phosphated or zinc-coated steel"),
    "greased": ("B", "grease"),
    "dry": ("C", "delivery state without lubricant, or light oil film left by the maker"),
    "as delivered": ("C", "delivery state"),
    "threadlocker": ("C", "adhesive on zinc or flake coatings"),
    "stainless oiled": ("D", "austenitic steel with oil"),
    "stainless waxed": ("B", "austenitic steel, waxed or pasted"),
}

# Words people use for the same surfaces.
_ALSO: dict[str, str] = {
    "antiseize": "anti-seize", "copper grease": "anti-seize", "anti seize": "anti-seize",
    "oil": "oiled", "lightly oiled": "oiled", "engine oil": "oiled",
    "grease": "greased", "wax": "waxed", "clean and dry": "dry",
    "threadlocked": "threadlocker", "thread locker": "threadlocker", "locked": "threadlocker",
}  # fmt: skip

SURFACES: tuple[str, ...] = tuple(_SURFACES)


def surface_friction(surface: str) -> Friction:
    """Give the friction range of a surface in words.

    Parameters
    ----------
    surface : str
        `dry`, `oiled`, `greased`, `waxed`, `anti-seize`, `threadlocker`, `as delivered`,
        `stainless oiled`, `stainless waxed`.

    Returns
    -------
    Friction
        The range of the class the surface belongs to.

    Raises
    ------
    RefusalError
        If the surface has no published range here: sealant, and stainless or bare aluminium
        run dry (class E begins at 0.30 and has no upper end).

    References
    ----------
    .. [1] VDI 2230 friction classes, as reproduced in a fastener catalogue, p. 681.
    """
    word = " ".join(surface.lower().split())
    word = _ALSO.get(word, word)
    if word not in _SURFACES:
        raise RefusalError(
            f"no published friction range is held for '{shorten(surface)}'",
            f"known surfaces: {', '.join(SURFACES)}; or give a value or a range",
        )
    name, what = _SURFACES[word]
    low, high = FRICTION_CLASSES[name]
    assert high is not None  # no surface points at the open class E
    return Friction(low, high, f"{word}: {_VDI}, class {name} ({what})")


def read_friction(text: str) -> Friction:
    """Read a friction as written: `0.12`, `0.10-0.16`, `0.10:0.16`, or a surface in words.

    Raises
    ------
    QuantityError
        If it starts like a number and cannot be read.
    RefusalError
        If the surface has no published range, or the numbers cannot be friction.
    """
    plain = text.strip()
    if not plain.lstrip("-+")[:1].isdigit() and not plain.startswith("."):
        return surface_friction(plain)
    for mark in ("..", ":", "–", "to", "-", "/"):
        if mark in plain:
            low, high = plain.split(mark, 1)
            return Friction(_value(low, text), _value(high, text), "the range given")
    value = _value(plain, text)
    return Friction(value, value, "the value given")


def _value(text: str, whole: str) -> float:
    try:
        return float(read_number(text))
    except QuantityError:
        raise QuantityError(
            f"'{shorten(whole)}' is not a friction", "write it like 0.12, 0.10-0.16 or oiled"
        ) from None
