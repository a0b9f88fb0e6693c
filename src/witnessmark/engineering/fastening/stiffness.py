"""How springy bolts and clamped parts are."""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.fastening.threads import circle_area
from witnessmark.engineering.refusal import RefusalError, require_above_zero


@dataclass(frozen=True, slots=True)
class Material:
    """Elastic constants of a clamped part [Pa, -].

    `fit_a` and `fit_b` are the constants of the exponential fit k/(E d) = A exp(B d/l).
    """

    name: str
    modulus: float
    poisson: float
    fit_a: float
    fit_b: float


# Shigley 9th ed., Table 8-8 (Wileman, Choudury and Green 1991).
MATERIALS: dict[str, Material] = {
    "steel": Material("steel", 207e9, 0.291, 0.78715, 0.62873),
    "aluminium": Material("aluminium", 71e9, 0.334, 0.79670, 0.63816),
    "copper": Material("copper", 119e9, 0.326, 0.79568, 0.63553),
    "grey cast iron": Material("grey cast iron", 100e9, 0.211, 0.77871, 0.61616),
}
GENERAL_FIT = (0.78952, 0.62914)
_ALSO = {"iron": "grey cast iron", "cast iron": "grey cast iron", "aluminum": "aluminium"}


def material_named(name: str) -> Material:
    """Find a clamped material.

    Raises
    ------
    RefusalError
        If its constants are not held.
    """
    word = " ".join(name.lower().split())
    material = MATERIALS.get(_ALSO.get(word, word))
    if material is None:
        raise RefusalError(
            f"no stiffness is held for '{name}'", f"choose one of {', '.join(MATERIALS)}"
        )
    return material


def in_series(*stiffnesses: float) -> float:
    """Stiffness of springs one behind another: 1/Σ(1/k) [N/m]."""
    for stiffness in stiffnesses:
        require_above_zero(stiffness, "a stiffness")
    return 1.0 / sum(1.0 / stiffness for stiffness in stiffnesses)


def bolt_stiffness(
    shank_area: float,
    stress_area: float,
    shank_length: float,
    thread_length: float,
    modulus: float = 207e9,
) -> float:
    """Stiffness of a bolt within its grip: shank and thread in series.

    Parameters
    ----------
    shank_area, stress_area : float
        Areas of shank and thread. [m²]
    shank_length, thread_length : float
        Lengths of shank and thread inside the grip; either may be 0. [m]
    modulus : float
        Modulus of elasticity, steel if not given. [Pa]

    Returns
    -------
    float
        k_b = A_d A_t E/(A_d l_t + A_t l_d). [N/m]

    Raises
    ------
    RefusalError
        If areas or modulus are not above zero, or there is no length.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       eq. 8-17. Head and engaged thread are taken as rigid.
    """
    for value, name in ((shank_area, "shank area"), (stress_area, "stress area")):
        require_above_zero(value, f"the {name}")
    require_above_zero(modulus, "the modulus")
    if min(shank_length, thread_length) < 0.0:
        raise RefusalError("a length is below zero", "check shank and grip")
    require_above_zero(shank_length + thread_length, "the length of bolt in the grip")
    return (
        shank_area
        * stress_area
        * modulus
        / (shank_area * thread_length + stress_area * shank_length)
    )


def frustum_stiffness(
    small_diameter: float, thickness: float, hole: float, modulus: float, half_angle: float = 30.0
) -> float:
    """Stiffness of a cone of clamped material round a bolt.

    Parameters
    ----------
    small_diameter : float
        Diameter of the cone at its smaller end, D. [m]
    thickness : float
        Height of the cone, t. [m]
    hole : float
        Diameter of the hole, taken as the bolt diameter in the book, d. [m]
    modulus : float
        Modulus of elasticity. [Pa]
    half_angle : float
        Half-apex angle. [degrees]

    Returns
    -------
    float
        k = π E d tan α / ln[((2 t tan α + D - d)(D + d)) / ((2 t tan α + D + d)(D - d))].
        [N/m]

    Raises
    ------
    RefusalError
        If the cone does not go round the hole or a size is not above zero.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       eqs 8-19, 8-20 (there 2 tan 30° = 1.155 and tan 30° = 0.5774).
    """
    require_above_zero(thickness, "the thickness")
    require_above_zero(hole, "the hole")
    require_above_zero(modulus, "the modulus")
    if small_diameter <= hole:
        raise RefusalError("the bearing face is no larger than the hole", "check both diameters")
    slope = math.tan(math.radians(half_angle))
    spread = 2.0 * thickness * slope
    ratio = ((spread + small_diameter - hole) * (small_diameter + hole)) / (
        (spread + small_diameter + hole) * (small_diameter - hole)
    )
    return math.pi * modulus * hole * slope / math.log(ratio)


def joint_stiffness(
    layers: list[tuple[float, float]],
    bearing_diameter: float,
    hole: float,
    half_angle: float = 30.0,
) -> float:
    """Stiffness of clamped layers by cones from both ends that meet at half grip.

    Parameters
    ----------
    layers : list of (thickness, modulus)
        From the head to the nut. [m, Pa]
    bearing_diameter : float
        Diameter of the face under head and nut. [m]
    hole : float
        Diameter of the hole. [m]
    half_angle : float
        Half-apex angle of the cones. [degrees]

    Returns
    -------
    float
        Stiffness of the joint. [N/m]

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       section 8-5 and example 8-2.
    """
    grip = sum(thickness for thickness, _ in layers)
    require_above_zero(grip, "the grip")
    slope = 2.0 * math.tan(math.radians(half_angle))
    parts = [
        frustum_stiffness(bearing_diameter + slope * start, thickness, hole, modulus, half_angle)
        for side in (layers, layers[::-1])
        for start, thickness, modulus in _slices(side, grip / 2.0)
    ]
    return in_series(*parts)


def _slices(layers: list[tuple[float, float]], depth: float) -> list[tuple[float, float, float]]:
    """Cut layers off at a depth: (where each starts, how thick, modulus)."""
    start, slices = 0.0, []
    for thickness, modulus in layers:
        kept = min(thickness, depth - start)
        if kept > 1e-12:
            slices.append((start, kept, modulus))
            start += kept
    return slices


def wileman_stiffness(diameter: float, grip: float, material: Material) -> float:
    """Stiffness of clamped parts of one material, exponential fit [N/m].

    k = E d A exp(B d/l), fitted to finite elements for a washer face of 1.5 d.

    References
    ----------
    .. [1] Wileman, Choudury and Green, "Computation of member stiffness in bolted
       connections", 1991, as in Shigley 9th ed., eq. 8-23 and Table 8-8.
    """
    require_above_zero(diameter, "the diameter")
    require_above_zero(grip, "the grip")
    return material.modulus * diameter * material.fit_a * math.exp(material.fit_b * diameter / grip)


def tube_stiffness(outer: float, inner: float, length: float, modulus: float) -> float:
    """Stiffness of a plain tube round the bolt: E A/l [N/m]."""
    require_above_zero(length, "the length")
    if outer <= inner:
        raise RefusalError("the tube has no wall", "outer diameter first")
    return modulus * (circle_area(outer) - circle_area(inner)) / length


def effective_grip(thickness: float, tapped_depth: float, diameter: float) -> float:
    """Grip of a screw in a tapped hole: h + t/2, or h + d/2 in a deep one [m].

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       Table 8-7 and fig. 8-21.
    """
    return thickness + min(tapped_depth, diameter) / 2.0


def thread_length(bolt_length: float, diameter: float, *, inch: bool = False) -> float:
    """Usual length of thread on a part-threaded bolt [m].

    Metric: 2 d + 6 mm to 125 mm length, + 12 to 200 mm, + 25 above. Inch: 2 d + 1/4 in to 6 in,
    + 1/2 in above. Never more than the bolt itself.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       eqs 8-13, 8-14.
    """
    if inch:
        extra = 0.00635 if bolt_length <= 0.1524 else 0.0127
    elif bolt_length <= 0.125:
        extra = 0.006
    else:
        extra = 0.012 if bolt_length <= 0.200 else 0.025
    return min(2.0 * diameter + extra, bolt_length)
