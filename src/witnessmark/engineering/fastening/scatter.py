"""How far the clamp force strays, by the way of tightening."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError

_HANDBOOK = "Machinery's Handbook, accuracy of preload methods"
_NASA = "NASA preload practice"
_VDI_1986 = "VDI 2230:1986 tightening tolerances"
_VDI_2001 = "VDI 2230:2001 tightening factor"
_STANDARD = "NASA-STD-5020 practice"


@dataclass(frozen=True, slots=True)
class Scatter:
    """A way of tightening and the share by which clamp force strays either side.

    `low` and `high` are the best and worst published shares (0.25 is ± 25 %); most sources
    print one figure, then both are the same.
    """

    method: str
    low: float
    high: float
    source: str

    @property
    def tightening_factor(self) -> float:
        """VDI 2230 tightening factor of the worst share: F_max/F_min = (1 + G)/(1 - G)."""
        return (1.0 + self.high) / (1.0 - self.high)

    def __str__(self) -> str:
        """Print the method with its share."""
        return f"{self.method} ± {100 * self.high:g} % ({self.source})"


# The method people name -> the published figure used for it.
METHODS: dict[str, Scatter] = {
    "by feel": Scatter("by feel", 0.35, 0.35, _HANDBOOK),
    "torque wrench": Scatter("torque wrench", 0.25, 0.25, _HANDBOOK),
    "turn of nut": Scatter("turn of nut", 0.15, 0.15, _HANDBOOK),
    "indicating washer": Scatter("indicating washer", 0.10, 0.10, _HANDBOOK),
    "computer-controlled": Scatter("computer-controlled", 0.15, 0.15, _HANDBOOK),
    "yield sensing": Scatter("yield sensing", 0.08, 0.08, _HANDBOOK),
    "elongation": Scatter("elongation", 0.03, 0.05, _HANDBOOK),
}

# Every figure read, by source and in its words, for whoever prefers another one.
PUBLISHED: tuple[Scatter, ...] = (
    *METHODS.values(),
    Scatter("torque, unlubricated", 0.35, 0.35, _NASA),
    Scatter("torque, cadmium plated", 0.30, 0.30, _NASA),
    Scatter("torque, lubricated", 0.25, 0.25, _NASA),
    Scatter("preload indicating washer", 0.10, 0.10, _NASA),
    Scatter("ultrasonic", 0.10, 0.10, _NASA),
    Scatter("instrumented bolt", 0.05, 0.05, _NASA),
    Scatter("hydraulic", 0.09, 0.23, _VDI_1986),
    Scatter("torque, with torque found by test on the real joint", 0.17, 0.23, _VDI_1986),
    Scatter("torque, friction estimated", 0.23, 0.28, _VDI_1986),
    Scatter("torque, precision power driver", 0.26, 0.43, _VDI_1986),
    Scatter("full span over all methods", 0.09, 0.60, _VDI_2001),
    Scatter("as received, unlubricated", 0.35, 0.35, _STANDARD),
    Scatter("lubricated threads and bearing face", 0.25, 0.25, _STANDARD),
)

# VDI 2230 tightening factors α_A = F_max/F_min, low and high end. The first was read in a
# worked procedure; the others are VDI 2230:2003 Table A8 from memory.
TIGHTENING_FACTORS: dict[str, tuple[float, float]] = {
    "torque wrench, friction estimated": (1.6, 2.0),
    "torque wrench, torque found by test": (1.4, 1.6),
    "yield or angle controlled": (1.2, 1.4),
    "hydraulic": (1.2, 1.6),
    "impact wrench, set by re-tightening torque": (2.5, 4.0),
}


def scatter_of(method: str) -> Scatter:
    """Find the scatter of a method.

    Raises
    ------
    RefusalError
        If no figure is held for the method.

    References
    ----------
    .. [1] Machinery's Handbook, table of the accuracy of preload application methods.
    """
    wanted = " ".join(method.lower().replace("_", " ").split())
    by_name = {s.method.lower(): s for s in PUBLISHED} | METHODS
    if wanted not in by_name:
        raise RefusalError(
            f"no scatter is held for '{method}'", f"choose one of {', '.join(METHODS)}"
        )
    return by_name[wanted]


def preload_band(force: float, scatter: float) -> tuple[float, float]:
    """Clamp force band from a scatter ± G: F (1 - G) to F (1 + G) [N].

    References
    ----------
    .. [1] NASA-STD-5020 practice, as cited in a journal article.
    """
    if not 0.0 <= scatter < 1.0:
        raise RefusalError(f"a scatter of {scatter:g} cannot be", "give a share like 0.25")
    return force * (1.0 - scatter), force * (1.0 + scatter)


def lowest_preload(highest: float, tightening_factor: float) -> float:
    """Lowest clamp force: F_min = F_max/α_A (VDI 2230) [N]."""
    if tightening_factor < 1.0:
        raise RefusalError(
            f"a tightening factor of {tightening_factor:g} cannot be", "it is 1 or more"
        )
    return highest / tightening_factor
