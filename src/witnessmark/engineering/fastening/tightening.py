"""Torque and clamp force: the short form, and the full form with its three shares."""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.fastening.threads import ThreadGeometry, circle_area
from witnessmark.engineering.refusal import RefusalError, require_above_zero

# VDI 2230 rounds P/(2π) to 0.16 P and 1/(2 cos 30°) to 0.58; kept so, because the published
# tables were made with them. The rounding raises a torque by about 0.25 %.
VDI_PITCH = 0.16
VDI_THREAD = 0.58
_VDI_FLANK = 1.155


@dataclass(frozen=True, slots=True)
class TorqueShares:
    """Where a tightening torque goes [N·m].

    `pitch` stretches the bolt, `thread` and `bearing` are lost to friction.
    """

    pitch: float
    thread: float
    bearing: float

    @property
    def total(self) -> float:
        """The whole tightening torque [N·m]."""
        return self.pitch + self.thread + self.bearing

    def percents(self) -> tuple[float, float, float]:
        """Pitch, thread and bearing as per cent of the whole."""
        whole = 100.0 / self.total
        return self.pitch * whole, self.thread * whole, self.bearing * whole


def torque_lever(
    geometry: ThreadGeometry, bearing_diameter: float, thread_friction: float, head_friction: float
) -> TorqueShares:
    """Torque for each newton of clamp force, by its three shares (VDI 2230) [N·m/N].

    Parameters
    ----------
    geometry : ThreadGeometry
        The thread.
    bearing_diameter : float
        Mean diameter of the bearing ring, D_Km = (d_w + d_h)/2. [m]
    thread_friction, head_friction : float
        Friction coefficients μ_G and μ_K. [-]

    Returns
    -------
    TorqueShares
        0.16 P, 0.58 d2 μ_G and D_Km/2 μ_K. For Whitworth forms 0.58 becomes
        1/(2 cos 27.5°).

    Raises
    ------
    RefusalError
        If friction or bearing diameter is not above zero.

    References
    ----------
    .. [1] VDI 2230 part 1, tightening torque. Constants from memory; the fine-thread guide
       table was read and is reproduced by them to its last printed digit or the next.
    """
    require_above_zero(thread_friction, "the friction of the thread")
    require_above_zero(head_friction, "the friction under the head")
    require_above_zero(bearing_diameter, "the bearing diameter")
    flank = VDI_THREAD
    if geometry.half_angle != 30.0:
        flank = 0.5 / math.cos(math.radians(geometry.half_angle))
    return TorqueShares(
        pitch=VDI_PITCH * geometry.pitch,
        thread=flank * geometry.pitch_diameter * thread_friction,
        bearing=bearing_diameter / 2.0 * head_friction,
    )


def tightening_torque(
    force: float,
    geometry: ThreadGeometry,
    bearing_diameter: float,
    thread_friction: float,
    head_friction: float,
) -> TorqueShares:
    """Tightening torque for a clamp force, full form, by its shares [N·m].

    M_A = F_M (0.16 P + 0.58 d2 μ_G + D_Km/2 μ_K), VDI 2230. Parameters as in `torque_lever`;
    `force` is in newtons.
    """
    require_above_zero(force, "the clamp force")
    lever = torque_lever(geometry, bearing_diameter, thread_friction, head_friction)
    return TorqueShares(force * lever.pitch, force * lever.thread, force * lever.bearing)


def clamp_force(
    torque: float,
    geometry: ThreadGeometry,
    bearing_diameter: float,
    thread_friction: float,
    head_friction: float,
) -> float:
    """Clamp force from a tightening torque, full form (VDI 2230, solved for F_M) [N].

    Parameters as in `torque_lever`; `torque` is in N·m.
    """
    require_above_zero(torque, "the torque")
    lever = torque_lever(geometry, bearing_diameter, thread_friction, head_friction)
    return torque / lever.total


def short_form_torque(force: float, diameter: float, nut_factor: float) -> float:
    """Tightening torque, short form: T = K F d.

    Parameters
    ----------
    force : float
        Clamp force. [N]
    diameter : float
        Nominal thread diameter. [m]
    nut_factor : float
        Lumped friction factor K. [-]

    Returns
    -------
    float
        Torque. [N·m]

    Raises
    ------
    RefusalError
        If diameter or nut factor is not above zero.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       eq. 8-27. The book gives no range; K from a table is a guide only.
    """
    require_above_zero(diameter, "the diameter")
    require_above_zero(nut_factor, "the nut factor")
    return nut_factor * force * diameter


def short_form_force(torque: float, diameter: float, nut_factor: float) -> float:
    """Clamp force, short form: F = T/(K d) [N from N·m and m]."""
    require_above_zero(torque, "the torque")
    return torque / short_form_torque(1.0, diameter, nut_factor)


# Nut factors by condition: Shigley 9th ed., Table 8-15, but for molybdenum anti-seize (an
# aircraft bolt torque note). A dirty thread was once measured lower than a clean oiled one:
# a guide only.
NUT_FACTORS: dict[str, float] = {
    "nonplated": 0.30,  # black finish; from memory of the same table
    "zinc-plated": 0.20,
    "lubricated": 0.18,
    "cadmium-plated": 0.16,
    "phosphated": 0.14,
    "anti-seize": 0.12,
    "molybdenum anti-seize": 0.11,
    "special lubricated nuts": 0.09,
}


def equivalent_nut_factor(
    geometry: ThreadGeometry, bearing_diameter: float, thread_friction: float, head_friction: float
) -> float:
    """Nut factor K that makes the short form agree with the full form [-]."""
    lever = torque_lever(geometry, bearing_diameter, thread_friction, head_friction)
    return lever.total / geometry.diameter


def total_friction(
    torque: float, force: float, geometry: ThreadGeometry, bearing_diameter: float
) -> float:
    """Find one friction coefficient for both faces from a measured torque and clamp force [-].

    μ_tot = (T/F - P/(2π)) / (0.577 d2 + 0.5 D_b), ISO 16047 (constants from memory).

    Raises
    ------
    RefusalError
        If the torque would not even turn the thread without friction.
    """
    require_above_zero(force, "the clamp force")
    friction = (torque / force - geometry.pitch / (2.0 * math.pi)) / (
        geometry.pitch_diameter / (2.0 * math.cos(math.radians(geometry.half_angle)))
        + bearing_diameter / 2.0
    )
    if friction <= 0.0:
        raise RefusalError(
            f"{torque:g} N·m cannot make {force / 1000:g} kN in this thread",
            "check torque and force",
        )
    return friction


@dataclass(frozen=True, slots=True)
class ScrewTorque:
    """Torque on a power screw or bolt, exact helix [N·m]."""

    thread: float
    collar: float
    lowering: float

    @property
    def total(self) -> float:
        """Torque to raise or tighten [N·m]."""
        return self.thread + self.collar


def screw_torque(
    force: float,
    lead: float,
    mean_diameter: float,
    thread_friction: float,
    half_angle: float,
    collar: tuple[float, float],
) -> ScrewTorque:
    """Torque of a screw with the exact helix, thread and collar apart (book form).

    Parameters
    ----------
    force : float
        Axial force. [N]
    lead, mean_diameter : float
        Lead and mean (pitch) diameter. [m]
    thread_friction : float
        Friction of the thread. [-]
    half_angle : float
        Flank angle: 0 for square, 14.5 for Acme, 30 for ISO threads. [degrees]
    collar : tuple of float
        Friction and mean diameter of collar or bearing face. [-, m]

    Returns
    -------
    ScrewTorque
        Thread and collar torque, and the torque to lower without the collar. [N·m]

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       eqs 8-1, 8-2, 8-5, 8-6.
    """
    secant = 1.0 / math.cos(math.radians(half_angle))
    reach = math.pi * mean_diameter
    drag = thread_friction * secant
    half = force * mean_diameter / 2.0
    return ScrewTorque(
        thread=half * (lead + drag * reach) / (reach - drag * lead),
        collar=force * collar[0] * collar[1] / 2.0,
        lowering=half * (drag * reach - lead) / (reach + drag * lead),
    )


def screw_efficiency(force: float, lead: float, torque: float) -> float:
    """Share of the work that lifts: F l/(2π T) (Shigley eq. 8-4) [-]."""
    require_above_zero(torque, "the torque")
    return force * lead / (2.0 * math.pi * torque)


def assembly_preload(
    use: float,
    yielding: float,
    geometry: ThreadGeometry,
    thread_friction: float,
    *,
    waist: float | None = None,
    torsion_diameter: float | None = None,
    held_against_twist: bool = False,
) -> float:
    """Clamp force that uses a share of yield under tension and torsion together.

    Parameters
    ----------
    use : float
        Share of the yield stress used, ν; 0.9 in the VDI guide tables. [-]
    yielding : float
        Least yield point or 0.2 % proof stress. [Pa]
    geometry : ThreadGeometry
        The thread.
    thread_friction : float
        Friction of the thread μ_G. [-]
    waist : float, optional
        Diameter of a waisted shank thinner than the thread. [m]
    torsion_diameter : float, optional
        Another diameter for the torsion than that of the stress area. [m]
    held_against_twist : bool
        The shank is held while tightening, so that no torsion reaches it.

    Returns
    -------
    float
        F_M = ν R_p0.2 A0 / √(1 + 3 (3/2 d2/d0 (P/(π d2) + 1.155 μ_G))²). [N]

    Raises
    ------
    RefusalError
        If the share is not above 0 and up to 1, or the friction not above zero.

    Notes
    -----
    d0 = (d2 + d3)/2 and A0 the stress area; with a waist both are the waist's. Fully plastic
    torsion (factor 3/2) as in the 2001 and 2003 editions.

    References
    ----------
    .. [1] VDI 2230:2003 part 1, assembly preload at a share of yield. From memory; the
       fine-thread guide table was read and is reproduced within 0.35 %.
    """
    if not 0.0 < use <= 1.0:
        raise RefusalError(f"a use of {use:g} cannot be", "give a share above 0 and up to 1")
    require_above_zero(thread_friction, "the friction of the thread")
    diameter = (geometry.pitch_diameter + geometry.root_diameter) / 2.0
    area = geometry.stress_area
    if waist is not None:
        diameter, area = waist, circle_area(waist)
    if held_against_twist:
        return use * yielding * area
    flank = _VDI_FLANK
    if geometry.half_angle != 30.0:
        flank = 1.0 / math.cos(math.radians(geometry.half_angle))
    slope = geometry.pitch / (math.pi * geometry.pitch_diameter) + flank * thread_friction
    torsion = 1.5 * geometry.pitch_diameter / (torsion_diameter or diameter) * slope
    return use * yielding * area / math.sqrt(1.0 + 3.0 * torsion**2)
