"""What a technician is told about fastening at one step, beyond the torque itself.

The clamp force to expect and its share of proof load, the wrench and its setting, which
way the thread turns, what holds the shaft meanwhile, and the cautions that matter here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from witnessmark.engineering.fastening.cautions import (
    IMPACT_TOOL,
    LUBRICATED_AT_DRY_TORQUE,
    REUSED_STRETCH_BOLT,
    SIZE_TABLE,
)
from witnessmark.engineering.fastening.rules import is_lubricant
from witnessmark.engineering.fastening.size_tables import REFUSED_JOINTS
from witnessmark.engineering.fastening.witness_marks import WitnessMark
from witnessmark.machine.bolting import each_bolt
from witnessmark.machine.model import Joint, Machine, Way
from witnessmark.machine.size_table import is_size_table
from witnessmark.machine.workshop import Workshop
from witnessmark.machine.wrenching import (
    WrenchUse,
    adapter_of,
    why_none_serves,
    wrenches_serving,
)
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
    use: WrenchUse | None = None
    """The wrench of the workshop's list, its adapter and setting."""
    no_wrench: str | None = None
    """Why no wrench of the list serves, when none does."""
    hand: str | None = None
    notable_hand: bool = False
    """Whether which way it turns is printed: left-hand, stated, critical or on a shaft."""
    holder: str | None = None
    tensioner: str | None = None
    """A torque held on a tensioner while this joint, its clamp, is tightened: a setting."""
    cautions: tuple[str, ...] = ()
    mark: WitnessMark | None = None
    """The job's witness mark, when one was chosen; the last act at the joint."""

    @property
    def wrench(self) -> str | None:
        """The name of the wrench that serves."""
        return None if self.use is None else self.use.wrench.name

    @property
    def setting(self) -> Quantity | None:
        """What it is set to, with its adapter on, in newton metres."""
        return None if self.use is None else Quantity(self.use.setting, BY_NAME["N·m"])

    @property
    def lines(self) -> tuple[str, ...]:
        """What is printed below the torque, cautions apart."""
        found = [str(clamp) for clamp in self.clamps]
        if self.use is not None:
            found.append(self.use.words)
        elif self.no_wrench is not None:
            found.append(f"no wrench here serves it: {self.no_wrench}")
        hand = self.hand if self.notable_hand else None
        found += [words for words in (hand, self.holder, self.tensioner) if words]
        if self.mark is not None:
            found.append(f"mark it last: {self.mark}")
        return tuple(found)


def fastening_text(
    joint: Joint,
    way: Way,
    machine: Machine,
    workshop: Workshop,
    *,
    day: date | None = None,
    mark: WitnessMark | None = None,
) -> FasteningText:
    """Say what there is to say when a joint is brought to its final tightness.

    `day` is the day of the work, for checks that are due; `mark` the job's witness mark.
    """
    torque = joint.tightness.tightness.torque if joint.tightness is not None else None
    adapter = adapter_of(way, workshop)
    uses = wrenches_serving(torque, workshop, on=day, adapter=adapter) if torque is not None else ()
    none = torque is not None and not uses and bool(workshop.wrenches)
    threaded = joint.hand is not None or any(f.thread is not None for f in joint.fasteners)
    return FasteningText(
        clamps=clamp_texts(joint),
        use=uses[0] if uses else None,
        no_wrench=why_none_serves(torque, workshop, on=day, adapter=adapter)
        if none and torque is not None
        else None,
        hand=hand_text(joint, loosen=False) if threaded else None,
        notable_hand=is_left(joint)
        or joint.hand is not None
        or joint.critical
        or joint.role in TURNING_ROLES,
        holder=holder_text(joint, way, machine),
        tensioner=tensioner_text(joint, machine, workshop, day),
        cautions=tuple(_cautions(joint, way)),
        mark=mark if torque is not None else None,
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
                sums.band_words,
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


def tensioner_text(
    joint: Joint, machine: Machine, workshop: Workshop, day: date | None = None
) -> str | None:
    """Say what is held on the tensioner whose clamp this joint is."""
    for run in machine.runs.values():
        tensioner = run.tensioner
        if tensioner is None or tensioner.clamp is None or tensioner.clamp.id != joint.id:
            continue
        if tensioner.setting is None or tensioner.setting.tightness.torque is None:
            continue
        torque = tensioner.setting.tightness.torque
        fitting = wrenches_serving(torque, workshop, on=day, must_show_value=True)
        wrench = (
            fitting[0].wrench.name if fitting else "no wrench here shows its value at that torque"
        )
        return f"hold {torque} on the tensioner meanwhile: a setting, not a tightness ({wrench})"
    return None


def slackening_text(joint: Joint) -> str | None:
    """Say in which order a joint is slackened; None when the file does not say."""
    if isinstance(joint.slackening, tuple):
        return "slacken in the order " + " ".join(joint.slackening)
    if joint.slackening is None:
        return None
    if joint.slackening == "reverse":
        return "slacken in the reverse order, a little at a time"
    if joint.slackening == "cross":
        return "slacken across and across, a little at a time"
    return "slacken in a spiral; the machine file does not say from where"


def held_while_undone(joint: Joint, way: Way, machine: Machine) -> str | None:
    """Say what holds the shaft while a bolt on it is undone; a timing pin never does."""
    if joint.role not in TURNING_ROLES or joint.tightness is None:
        return None
    return holder_text(joint, way, machine)


_IMPACT = re.compile(r"\bimpact\b|\b(?:nut|wind|rattle) gun\b", re.IGNORECASE)


def _cautions(joint: Joint, way: Way) -> list[str]:
    """Give the warnings that matter at this joint, each once."""
    given = joint.tightness
    if given is None or given.tightness.torque is None:
        return []
    found = []
    if is_size_table(given.source):
        found.append(SIZE_TABLE)
    angled = given.tightness.angle_degrees > 0.0
    if angled and not joint.single_use:
        found.append(REUSED_STRETCH_BOLT)
    weighty = joint.critical or joint.role in REFUSED_JOINTS
    if weighty and joint.surface is not None and not is_lubricant(joint.surface):
        found.append(LUBRICATED_AT_DRY_TORQUE)
    tools = " ".join((way.tool or "", *way.aids))
    if weighty or angled or _IMPACT.search(tools):
        found.append(IMPACT_TOOL)
    return found
