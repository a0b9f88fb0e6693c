"""What a technician is told about fastening at one step, beyond the torque itself.

The clamp force to expect and its share of proof load, the wrench and its setting, which
way the thread turns, what holds the shaft meanwhile, and the cautions that matter here.
"""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.fastening.cautions import (
    IMPACT_TOOL,
    LUBRICATED_AT_DRY_TORQUE,
    REUSED_STRETCH_BOLT,
    SIZE_TABLE,
)
from witnessmark.engineering.fastening.rules import is_lubricant
from witnessmark.engineering.fastening.size_tables import REFUSED_JOINTS
from witnessmark.machine.bolting import each_bolt
from witnessmark.machine.model import Joint, Machine, Way
from witnessmark.machine.workshop import Workshop
from witnessmark.planning.kit import wrenches_for
from witnessmark.quantities.reading import Quantity
from witnessmark.quantities.units import BY_NAME

TURNING_ROLES = frozenset({"crank", "cam", "flywheel"})
"""Roles whose bolt turns its shaft along unless something holds it."""

HOLD_IT = "hold the shaft with a holder, never with a timing pin"


@dataclass(frozen=True, slots=True)
class ClampText:
    """The clamp force of one size and class of bolt [N], and its share of proof load [-].

    `before_angle` says that the force is the one at which the angle begins.
    """

    bolt: str
    low: float
    nominal: float
    high: float
    proof_load: float
    friction: str
    before_angle: bool

    def __str__(self) -> str:
        """Print as `M8x1.25 8.8: clamps 11 to 19 kN, 50 to 90 % of proof load`."""
        share = f"{100 * self.low / self.proof_load:.0f} to {100 * self.high / self.proof_load:.0f}"
        when = " before the angle" if self.before_angle else ""
        return (
            f"{self.bolt}: clamps {self.low / 1000:.3g} to {self.high / 1000:.3g} kN{when}, "
            f"{share} % of proof load ({self.friction})"
        )


@dataclass(frozen=True, slots=True)
class FasteningText:
    """Everything said at the half that makes a joint for good."""

    clamps: tuple[ClampText, ...] = ()
    wrench: str | None = None
    setting: Quantity | None = None
    hand: str | None = None
    holder: str | None = None
    tensioner: str | None = None
    """A torque held on a tensioner while this joint, its clamp, is tightened: a setting."""
    cautions: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """What is printed below the torque, cautions apart."""
        found = [str(clamp) for clamp in self.clamps]
        if self.wrench is not None and self.setting is not None:
            found.append(f"{self.wrench}, set {self.setting}")
        found += [words for words in (self.hand, self.holder, self.tensioner) if words]
        return tuple(found)


def fastening_text(joint: Joint, way: Way, machine: Machine, workshop: Workshop) -> FasteningText:
    """Say what there is to say when a joint is brought to its final tightness."""
    torque = joint.tightness.tightness.torque if joint.tightness is not None else None
    fitting = wrenches_for(torque, workshop) if torque is not None else ()
    newton_metre = BY_NAME["N·m"]
    return FasteningText(
        clamps=clamp_texts(joint),
        wrench=fitting[0].name if fitting else None,
        setting=Quantity(torque.si, newton_metre) if torque is not None and fitting else None,
        hand=hand_text(joint, loosen=False) if is_left(joint) or joint.hand else None,
        holder=holder_text(joint, way, machine),
        tensioner=tensioner_text(joint, machine, workshop),
        cautions=tuple(_cautions(joint)),
    )


def clamp_texts(joint: Joint) -> tuple[ClampText, ...]:
    """Give the expected clamp force of every size and class of bolt in a joint.

    Nothing is said where class or surface is missing: a force is never guessed.
    """
    given = joint.tightness
    if given is None or given.tightness.torque is None:
        return ()
    torque = float(given.tightness.torque.si)
    angled = given.tightness.angle_degrees > 0.0
    found = []
    for fastener, sums in each_bolt(joint):
        band = sums.clamp(torque)
        assert fastener.thread is not None
        found.append(
            ClampText(
                f"{fastener.thread.designation} {fastener.strength}",
                band.low,
                band.nominal,
                band.high,
                sums.proof_load,
                str(sums.friction),
                angled,
            )
        )
    return tuple(found)


def is_left(joint: Joint) -> bool:
    """Whether a joint's thread is left-hand."""
    return joint.hand == "left" or any(f.thread and f.thread.left_hand for f in joint.fasteners)


def hand_text(joint: Joint, *, loosen: bool) -> str:
    """Say which way to turn, as an arrow and in words, seen from where."""
    clockwise = is_left(joint) is loosen
    arrow, word = ("↻", "clockwise") if clockwise else ("↺", "anticlockwise")
    hand = "left" if is_left(joint) else "right"
    seen = joint.viewpoint or "from the head"
    return f"{arrow} {word} {'loosens' if loosen else 'tightens'}, seen {seen} ({hand}-hand thread)"


def holder_text(joint: Joint, way: Way, machine: Machine) -> str | None:
    """Say what holds the shaft while a bolt on it is tightened; a timing pin never does."""
    fitted = [
        machine.temporaries[ref.object].name
        for ref in (*way.needs, *way.refit_needs)
        if ref.object in machine.temporaries and machine.temporaries[ref.object].kind == "holder"
    ]
    names = [*fitted, *(aid for aid in way.aids if "hold" in aid.lower())]
    if names:
        return f"held by {', '.join(dict.fromkeys(names))}, never by a timing pin"
    turned = joint.tightness is not None and joint.tightness.tightness.torque is not None
    return HOLD_IT if turned and joint.role in TURNING_ROLES else None


def tensioner_text(joint: Joint, machine: Machine, workshop: Workshop) -> str | None:
    """Say what is held on the tensioner whose clamp this joint is."""
    for run in machine.runs.values():
        tensioner = run.tensioner
        if tensioner is None or tensioner.clamp is None or tensioner.clamp.id != joint.id:
            continue
        if tensioner.setting is None or tensioner.setting.tightness.torque is None:
            continue
        torque = tensioner.setting.tightness.torque
        fitting = [w.name for w in wrenches_for(torque, workshop) if w.shows_value]
        wrench = fitting[0] if fitting else "no wrench here shows its value at that torque"
        return f"hold {torque} on the tensioner meanwhile: a setting, not a tightness ({wrench})"
    return None


def _cautions(joint: Joint) -> list[str]:
    given = joint.tightness
    if given is None or given.tightness.torque is None:
        return []
    found = []
    if "size table" in (given.source or "").lower():
        found.append(SIZE_TABLE)
    if given.tightness.angle_degrees > 0.0 and not joint.single_use:
        found.append(REUSED_STRETCH_BOLT)
    if joint.critical or joint.role in REFUSED_JOINTS:
        if joint.surface is not None and not is_lubricant(joint.surface):
            found.append(LUBRICATED_AT_DRY_TORQUE)
        found.append(IMPACT_TOOL)
    return found
