"""Rules of the bench that need no sum: what must not meet, and who must not be pulled again."""

from __future__ import annotations

from witnessmark.engineering.fastening.friction import FRICTION_CLASSES, surface_friction
from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.tightness import Tightness

_SLIPPERY = ("A", "B")
_LOCKED = ("threadlocker", "threadlocked")
_SEALED = ("sealed", "sealant")


def is_lubricant(surface: str) -> bool:
    """Whether a surface in words carries oil, grease, wax or paste (VDI 2230 class A or B)."""
    try:
        friction = surface_friction(surface)
    except RefusalError:
        return False
    return any((friction.low, friction.high) == FRICTION_CLASSES[name] for name in _SLIPPERY)


def surface_troubles(
    surfaces: tuple[str, ...],
    *,
    drives_by_friction: bool = False,
    blind: bool = False,
    cleaned_and_dried: bool = False,
) -> tuple[str, ...]:
    """Say what is wrong with what is put on a bolt, its hole and the faces it clamps.

    Parameters
    ----------
    surfaces : tuple of str
        Every surface or product named at the joint: `oiled`, `anti-seize`, `threadlocker`, …
    drives_by_friction : bool
        The clamped face carries drive by friction alone (a crank sprocket, a flywheel).
    blind : bool
        The hole has a bottom.
    cleaned_and_dried : bool
        A step cleans and dries the hole.

    Returns
    -------
    tuple of str
        Troubles in words; empty when there are none.

    Notes
    -----
    Workshop practice, no source.
    """
    words = [" ".join(s.lower().split()) for s in surfaces]
    slippery = [w for w in words if is_lubricant(w)]
    locked = any(w in _LOCKED for w in words)
    found = []
    if drives_by_friction and slippery:
        found.append(
            f"{slippery[0]} on a face that carries drive by friction: it must be clean and dry"
        )
    if locked and slippery:
        found.append(f"{slippery[0]} meets threadlocker: it will not set, use one or the other")
    if blind and not cleaned_and_dried:
        found.append(
            "a blind hole without a clean-and-dry step: what is left in it holds the bolt off "
            "and can burst the casting"
        )
    return tuple(found)


def further_pull_refusal(
    tightness: Tightness, surfaces: tuple[str, ...] = (), *, single_use: bool = False
) -> str | None:
    """Say why a bolt already tightened must not be pulled again; None if it may be.

    A further pull on a bolt tightened by torque alone only shows that it is not below; it is
    refused for angled, threadlocked, sealed and single-use bolts.

    Parameters
    ----------
    tightness : Tightness
        The final tightness of the joint.
    surfaces : tuple of str
        What is on the thread.
    single_use : bool
        The bolt is used once.

    Notes
    -----
    Workshop practice, no source.
    """
    words = {" ".join(s.lower().split()) for s in surfaces}
    if tightness.angle_degrees > 0.0:
        return "it was turned by an angle: a further pull stretches it again"
    if single_use:
        return "it is used once: slacken, renew and tighten anew"
    if words & set(_LOCKED):
        return "it is threadlocked: a further pull breaks the lock"
    if words & set(_SEALED):
        return "it is sealed: a further pull breaks the seal"
    if tightness.torque is None:
        return f"'{tightness}' has no torque to pull to"
    return None
