"""What a joint loses after tightening: faces bedding in, and plating creeping."""

from __future__ import annotations

from witnessmark.engineering.fastening.stiffness import in_series
from witnessmark.engineering.refusal import RefusalError

# Roughness -> bedding in micrometres at the thread, each head or nut face, each inner face,
# for axial load. VDI 2230:2003 Table 5, from memory.
EMBEDDING: dict[str, tuple[float, float, float]] = {
    "Rz below 10 µm": (3.0, 2.5, 1.5),
    "Rz 10 to 40 µm": (3.0, 3.0, 2.0),
    "Rz 40 to 160 µm": (3.0, 4.0, 3.0),
}
_STEPS = ((10.0, "Rz below 10 µm"), (40.0, "Rz 10 to 40 µm"), (160.0, "Rz 40 to 160 µm"))

# Share of clamp force lost in five days: RCSC commentary on relaxation (Munse 1967).
RELAXATION: dict[str, float] = {"galvanised": 0.065, "uncoated": 0.025}


def embedding(roughness: float, bearing_faces: int, inner_faces: int) -> float:
    """How far a joint beds in under axial load [m].

    Parameters
    ----------
    roughness : float
        Rz of the faces. [m]
    bearing_faces, inner_faces : int
        Faces under head and nut, and faces between clamped parts.

    Raises
    ------
    RefusalError
        If the roughness is outside the table.

    References
    ----------
    .. [1] VDI 2230:2003 part 1, Table 5, from memory.
    """
    micro = roughness * 1e6
    name = next((n for top, n in _STEPS if 0.0 < micro < top), None)
    if name is None:
        raise RefusalError(f"no bedding in is held for Rz {micro:g} µm", "the table ends at 160 µm")
    thread, bearing, inner = EMBEDDING[name]
    return (thread + bearing * bearing_faces + inner * inner_faces) * 1e-6


def embedding_loss(settled: float, bolt_stiffness: float, joint_stiffness: float) -> float:
    """Clamp force lost by bedding in: F_Z = f_Z/(δ_S + δ_P) (VDI 2230) [N]."""
    return settled * in_series(bolt_stiffness, joint_stiffness)


def relaxation(surface: str) -> float:
    """Share of clamp force lost in the first five days [-].

    Raises
    ------
    RefusalError
        If no figure is held for the surface.

    References
    ----------
    .. [1] RCSC commentary on relaxation (Munse 1967): 6.5 % galvanised, 2.5 % uncoated.
    """
    if surface not in RELAXATION:
        raise RefusalError(
            f"no relaxation is held for '{surface}'", f"known: {', '.join(RELAXATION)}"
        )
    return RELAXATION[surface]
