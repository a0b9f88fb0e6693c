"""What bolts, screws and nuts must bear: property classes, inch grades, stainless classes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from witnessmark.engineering.fastening.threads import ThreadGeometry
from witnessmark.engineering.refusal import RefusalError

_MPA = 1e6
_KSI = 6_894_757.293168361
_ISO = "ISO 898-1"
_SAE = "SAE J429"
_STAINLESS = "ISO 3506-1 (from memory)"


@dataclass(frozen=True, slots=True)
class Strength:
    """What one class or grade is made to bear, in one range of sizes [Pa, m].

    `proof` is the stress the whole fastener stands without taking a set; `yielding` the
    least yield point or 0.2 % (0.0004 8 d for whole bolts) proof strength, None where the
    standard gives none; `tensile` the least breaking strength. `named_yield` is what the
    class name itself says (8.8: 0.8 × 800), used by some older tables.
    """

    name: str
    proof: float
    yielding: float | None
    tensile: float
    smallest: float
    largest: float
    source: str
    named_yield: float | None = None

    def proof_load(self, geometry: ThreadGeometry) -> float:
        """Proof load: proof stress × stress area [N]."""
        return self.proof * geometry.stress_area

    def breaking_load(self, geometry: ThreadGeometry) -> float:
        """Least breaking load: tensile strength × stress area [N]."""
        return self.tensile * geometry.stress_area


def _iso(
    name: str,
    proof: float,
    yielding: float,
    tensile: float,
    sizes: tuple[float, float] = (1.6, 39.0),
) -> Strength:
    first, second = name.split(".")
    return Strength(
        name,
        proof * _MPA,
        yielding * _MPA,
        tensile * _MPA,
        sizes[0] / 1000.0,
        sizes[1] / 1000.0,
        _ISO,
        named_yield=float(first) * float(second) * 10.0 * _MPA,
    )


def _sae(
    name: str, proof: float, yielding: float | None, tensile: float, low: float, high: float
) -> Strength:
    inch = 0.0254
    return Strength(
        name,
        proof * _KSI,
        None if yielding is None else yielding * _KSI,
        tensile * _KSI,
        low * inch,
        high * inch,
        _SAE,
    )


# ISO 898-1:2013 tables of mechanical properties; 3.6 is from the 1999 edition. Proof
# stresses agree with the coarse proof-load table row by row. Larger sizes than the standard
# tables (M39) are refused.
METRIC_CLASSES: tuple[Strength, ...] = (
    _iso("3.6", 180, 190, 330),
    _iso("4.6", 225, 240, 400),
    _iso("4.8", 310, 340, 420),
    _iso("5.6", 280, 300, 500),
    _iso("5.8", 380, 420, 520),
    _iso("6.8", 440, 480, 600),
    _iso("8.8", 580, 640, 800, (1.6, 16.0)),
    _iso("8.8", 600, 660, 830, (16.0, 39.0)),
    _iso("9.8", 650, 720, 900, (1.6, 16.0)),
    _iso("10.9", 830, 940, 1040),
    _iso("12.9", 970, 1100, 1220),
)

# SAE J429, in ksi and inches. Grades 1, 5.1 and 8.1 and the smaller range of grade 2 are
# from memory; the others as printed in Shigley and Mischke, 5th ed., 1989, p. 341.
INCH_GRADES: tuple[Strength, ...] = (
    _sae("1", 33, 36, 60, 0.25, 1.5),
    _sae("2", 55, 57, 74, 0.25, 0.75),
    _sae("2", 33, 36, 60, 0.75, 1.5),
    _sae("4", 65, 100, 115, 0.25, 1.5),
    _sae("5", 85, 92, 120, 0.25, 1.0),
    _sae("5", 74, 81, 105, 1.0, 1.5),
    _sae("5.1", 85, None, 120, 0.112, 0.625),
    _sae("5.2", 85, 92, 120, 0.25, 1.0),
    _sae("7", 105, 115, 133, 0.25, 1.5),
    _sae("8", 120, 130, 150, 0.25, 1.5),
    _sae("8.1", 120, 130, 150, 0.25, 1.5),
    _sae("8.2", 120, 130, 150, 0.25, 1.0),
)

# ISO 3506-1: 0.2 % proof stress and tensile strength of austenitic classes, whole bolts. The
# standard gives no separate proof stress; the 0.2 % value stands for it.
STAINLESS_CLASSES: dict[str, tuple[float, float]] = {
    "50": (210, 500), "70": (450, 700), "80": (600, 800), "100": (800, 1000),
}  # fmt: skip

_STAINLESS_NAME = re.compile(r"(?:([ACFD]\d)L?\s*-?\s*)?(50|70|80|100)", re.IGNORECASE)


def strength_of(name: str, geometry: ThreadGeometry) -> Strength:
    """Find what a class or grade bears in the size of a thread.

    Parameters
    ----------
    name : str
        A metric property class (`8.8`), an inch grade (`grade 5`, `5`, `SAE 8`) or a
        stainless class (`A2-70`, `70`).
    geometry : ThreadGeometry
        The thread; some classes change with size.

    Returns
    -------
    Strength
        The values of the standard for that size. [Pa]

    Raises
    ------
    RefusalError
        If the class is unknown or not made in that size.

    Notes
    -----
    Class 8.8 changes at d = 16 mm, grade 2 at 3/4 in, grade 5 at 1 in.

    References
    ----------
    .. [1] ISO 898-1:2013, mechanical properties of fasteners, bolts and screws.
    .. [2] SAE J429, mechanical and material requirements for externally threaded fasteners.
    .. [3] ISO 3506-1, stainless fasteners.
    """
    wanted = " ".join(name.split())
    stainless = _STAINLESS_NAME.fullmatch(wanted)
    if stainless is not None:
        proof, tensile = STAINLESS_CLASSES[stainless[2]]
        return Strength(
            wanted.upper(), proof * _MPA, proof * _MPA, tensile * _MPA,
            0.0016, 0.039, _STAINLESS,
        )  # fmt: skip
    bare = re.sub(r"^(?:SAE\s*)?(?:grade|class)?\s*", "", wanted, flags=re.IGNORECASE)
    table = INCH_GRADES if geometry.thread.family != "metric" else METRIC_CLASSES
    named = [s for s in table if s.name == bare]
    if not named:
        known = ", ".join(dict.fromkeys(s.name for s in table))
        raise RefusalError(
            f"'{wanted}' is not a strength known for {geometry.thread.designation}",
            f"choose one of {known}, or a stainless class like A2-70",
        )
    for strength in named:
        if strength.smallest <= geometry.diameter <= strength.largest * (1.0 + 1e-9):
            return strength
    low, high = named[0].smallest, named[-1].largest
    raise RefusalError(
        f"{named[0].source} has no {wanted} in {geometry.thread.designation}",
        f"it covers {low * 1000:g} mm to {high * 1000:g} mm",
    )


# ISO 898-2 / EN 20898-2 proof stresses of style 1 nuts, coarse thread [MPa], by the upper end
# of the step in mm. Classes 8, 10 and 12 agree with the printed loads row by row; the rest
# from memory.
_NUT_STEPS = (4.0, 7.0, 10.0, 16.0, 39.0)
NUT_CLASSES: dict[str, tuple[float | None, ...]] = {
    "04": (380, 380, 380, 380, 380),
    "05": (500, 500, 500, 500, 500),
    "4": (None, None, None, None, 510),
    "5": (520, 580, 590, 610, 630),
    "6": (600, 670, 680, 700, 720),
    "8": (800, 855, 870, 880, 920),
    "9": (900, 915, 940, 950, 920),
    "10": (1040, 1040, 1040, 1050, 1060),
    "12": (1150, 1150, 1160, 1190, 1200),
}


def nut_proof_load(nut_class: str, geometry: ThreadGeometry) -> float:
    """Proof load of a nut: its proof stress × the stress area of the bolt [N].

    Raises
    ------
    RefusalError
        If the nut class is unknown or has no value in this size.

    References
    ----------
    .. [1] ISO 898-2 / EN 20898-2, nuts with specified proof loads, coarse thread.
    """
    stresses = NUT_CLASSES.get(nut_class.strip())
    if stresses is None or geometry.thread.family != "metric":
        raise RefusalError(
            f"'{nut_class}' is not a nut class known for {geometry.thread.designation}",
            f"metric nut classes are {', '.join(NUT_CLASSES)}",
        )
    step = next((i for i, top in enumerate(_NUT_STEPS) if geometry.diameter * 1000 <= top), None)
    stress = None if step is None else stresses[step]
    if stress is None:
        raise RefusalError(
            f"EN 20898-2 has no nut class {nut_class} in {geometry.thread.designation}",
            "check class and size",
        )
    return stress * _MPA * geometry.stress_area
