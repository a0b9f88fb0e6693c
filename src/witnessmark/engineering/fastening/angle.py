"""Torque and angle: where the angle goes, and whether the bolt yields."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.fastening.stiffness import in_series
from witnessmark.engineering.refusal import RefusalError, require_above_zero

# ISO 898-1 least elongation after fracture, share of the gauge length (from memory).
ELONGATION_AT_FRACTURE: dict[str, float] = {
    "4.6": 0.22, "5.6": 0.20, "8.8": 0.12, "9.8": 0.10, "10.9": 0.09, "12.9": 0.08,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class AngleResult:
    """What an angle after snug did [N, m, degrees].

    `travel` is how far the thread moved; `stretch` the elastic lengthening of the bolt and
    `squeeze` that of the clamped parts, both from nothing; `plastic_stretch` stays in the
    bolt. `angle_to_yield` counts from snug; None when `yield_force` was not given.
    """

    snug_force: float
    force: float
    travel: float
    stretch: float
    squeeze: float
    plastic_stretch: float
    yielded: bool
    angle_to_yield: float | None


def tighten_by_angle(
    snug_force: float,
    angle: float,
    pitch: float,
    bolt_stiffness: float,
    joint_stiffness: float,
    yield_force: float | None = None,
) -> AngleResult:
    """Turn a bolt by an angle after it is snug.

    Parameters
    ----------
    snug_force : float
        Clamp force at the snug torque. [N]
    angle : float
        Turn after snug, all stages together. [degrees]
    pitch : float
        Thread pitch. [m]
    bolt_stiffness, joint_stiffness : float
        Axial stiffness of bolt and clamped parts. [N/m]
    yield_force : float, optional
        Clamp force at which the bolt yields while it is being turned. [N]

    Returns
    -------
    AngleResult
        Forces, lengths and whether it yields.

    Raises
    ------
    RefusalError
        If a figure is not above zero, or the bolt is past yield when merely snug.

    Notes
    -----
    While all is elastic: angle/360 × P = F (1/k_bolt + 1/k_joint). Beyond yield the force is
    held at `yield_force`; a real bolt hardens a little, so the true force is somewhat
    higher. Valid once the faces are closed: snug must have seated them.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       section 8-8, turn-of-the-nut method (relation from memory).
    """
    require_above_zero(snug_force, "the snug force")
    require_above_zero(pitch, "the pitch")
    require_above_zero(bolt_stiffness, "the bolt stiffness")
    require_above_zero(joint_stiffness, "the joint stiffness")
    if angle < 0.0:
        raise RefusalError(f"an angle of {angle:g}° turns back", "give the turn after snug")
    both = in_series(bolt_stiffness, joint_stiffness)
    travel = angle / 360.0 * pitch
    elastic = snug_force + travel * both
    to_yield = None
    force, plastic = elastic, 0.0
    if yield_force is not None:
        if snug_force > yield_force:
            raise RefusalError(
                f"the bolt is past yield at the snug torque: {snug_force / 1000:.3g} kN against "
                f"{yield_force / 1000:.3g} kN",
                "check torque, class and size",
            )
        to_yield = (yield_force - snug_force) / both / pitch * 360.0
        if elastic > yield_force:
            force = yield_force
            plastic = travel - (yield_force - snug_force) / both
    return AngleResult(
        snug_force=snug_force,
        force=force,
        travel=travel,
        stretch=force / bolt_stiffness,
        squeeze=force / joint_stiffness,
        plastic_stretch=plastic,
        yielded=plastic > 0.0,
        angle_to_yield=to_yield,
    )


def angle_for_force(
    gain: float, pitch: float, bolt_stiffness: float, joint_stiffness: float
) -> float:
    """Angle that adds a clamp force while all is elastic [degrees].

    360 F (1/k_bolt + 1/k_joint)/P; `gain` in newtons, stiffness in N/m, pitch in metres.
    """
    require_above_zero(pitch, "the pitch")
    return 360.0 * gain / in_series(bolt_stiffness, joint_stiffness) / pitch


def judge_stretch(stretch: float, least: float, most: float) -> str:
    """Say what to do with a bolt whose lengthening was measured [m].

    Raises
    ------
    RefusalError
        If the limits are upside down.

    References
    ----------
    .. [1] US Army TM 55-1905-223-24-1, connecting-rod bolt stretch procedure.
    """
    if not 0.0 < least <= most:
        raise RefusalError("the stretch limits are upside down", "least first, then most")
    if stretch > most:
        return "over: renew the bolt and repeat"
    if stretch < least:
        return "under: slacken and tighten again; still under, renew bolt and rod"
    return "within limits: leave it, never take it further"


# RCSC Specification, nut rotation from snug tight, steel parts only, degrees: up to 4, 8 and
# 12 diameters of bolt length. Faces: square, one sloped up to 1:20, both sloped.
_NUT_ROTATION: dict[str, tuple[int, int, int]] = {
    "square": (120, 180, 240),
    "one sloped": (180, 240, 300),
    "both sloped": (240, 300, 360),
}


def nut_rotation(length: float, diameter: float, faces: str = "square") -> float:
    """Turn of a structural bolt from snug, by its length and faces [degrees].

    Raises
    ------
    RefusalError
        If the faces are not known words or the bolt is longer than 12 diameters.

    References
    ----------
    .. [1] RCSC Specification for structural joints, table of nut rotation from snug tight.
       Rows seen in a summary; the rest of the table from memory.
    """
    row = _NUT_ROTATION.get(faces)
    if row is None:
        raise RefusalError(f"'{faces}' is not known here", f"faces are {', '.join(_NUT_ROTATION)}")
    require_above_zero(diameter, "the diameter")
    require_above_zero(length, "the length")
    for limit, turn in zip((4.0, 8.0, 12.0), row, strict=True):
        if length <= limit * diameter * (1.0 + 1e-9):
            return float(turn)
    raise RefusalError("the bolt is longer than 12 diameters", "find the turn by trial")
