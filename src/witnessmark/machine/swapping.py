"""Swap analysis of a joint as its file describes it: which bolt may stray into which hole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from witnessmark.engineering.fastening.swaps import (
    Bolt,
    Hole,
    SwapReport,
    Verdict,
    analyse_swaps,
)
from witnessmark.machine.model import Fastener, Joint, Machine

LEAST_ENGAGEMENT = Fraction(1)
"""Diameters of thread wanted in a hole, or what its own bolt has where that is less. Our own
rule: files do not say what the hole is tapped in."""


@dataclass(frozen=True, slots=True)
class GroupSwaps:
    """The swaps of one joint.

    `left_out` names holes that could not be judged, each with what the file does not say.
    `sizes` gives the bolt of each hole in words.
    """

    joint: Joint
    report: SwapReport
    sizes: dict[str, str]
    left_out: tuple[str, ...]

    def why(self, one: str, other: str) -> tuple[str, ...]:
        """Say what is wrong when the bolts of two holes change places."""
        fits = (self.report.fit(one, other), self.report.fit(other, one))
        return tuple(fit.words for fit in fits if fit.verdict is Verdict.DANGEROUS)

    def dangers(self) -> list[tuple[str, tuple[str, ...], str]]:
        """Give each danger once: which bolt, in which holes, and what happens."""
        found: dict[tuple[str, str], dict[str, None]] = {}
        for fit in self.report.fits:
            if fit.verdict is Verdict.DANGEROUS and fit.bolt != fit.hole:
                what = fit.words.replace(f" in hole {fit.hole}", "")
                found.setdefault((self.sizes[fit.bolt], what), {}).setdefault(fit.hole)
        return [(size, tuple(holes), what) for (size, what), holes in found.items()]


def mixed_groups(machine: Machine) -> Iterator[Joint]:
    """Give the joints whose bolts differ in thread or length."""
    for joint in machine.joints.values():
        if is_mixed(joint):
            yield joint


def is_mixed(joint: Joint) -> bool:
    """Whether a joint has bolts of more than one thread or length."""
    threads = (f.thread for f in joint.fasteners if f.thread is not None)
    return len({(t.designation, t.left_hand, t.length) for t in threads}) > 1


def group_swaps(joint: Joint) -> GroupSwaps:
    """Try every bolt of a joint in every hole of it.

    Raises
    ------
    RefusalError
        If a hole or bolt has a size that cannot be.
    """
    holes: list[Hole] = []
    bolts: list[Bolt] = []
    sizes: dict[str, str] = {}
    left_out: list[str] = []
    for name, fastener in _each(joint):
        missing = _not_said(fastener)
        if missing:
            left_out.append(f"hole {name}: {' and '.join(missing)} not given")
            continue
        hole, bolt = _pair(name, fastener)
        holes.append(hole)
        bolts.append(bolt)
        sizes[name] = str(fastener.thread)
    return GroupSwaps(joint, analyse_swaps(tuple(holes), tuple(bolts)), sizes, tuple(left_out))


def _each(joint: Joint) -> Iterator[tuple[str, Fastener]]:
    """Give every single fastener a name: its hole, or its number in the file."""
    taken = {f.hole for f in joint.fasteners if f.hole is not None}
    number = 0
    for fastener in joint.fasteners:
        for copy in range(1, fastener.count + 1):
            number += 1
            if fastener.hole is None:
                name = f"no. {number}"
            else:
                name = fastener.hole if fastener.count == 1 else f"{fastener.hole}.{copy}"
            if fastener.hole is None or fastener.count > 1:
                while name in taken:
                    name += "'"
                taken.add(name)
            yield name, replace(fastener, count=1)


def _not_said(fastener: Fastener) -> list[str]:
    length = fastener.thread.length if fastener.thread is not None else None
    said = (("length", length), ("clamped", fastener.clamped), ("hole_depth", fastener.hole_depth))
    return [word for word, value in said if value is None]


def _pair(name: str, fastener: Fastener) -> tuple[Hole, Bolt]:
    thread, clamped, depth = fastener.thread, fastener.clamped, fastener.hole_depth
    assert thread is not None
    assert thread.length is not None
    assert clamped is not None
    assert depth is not None
    own = min(thread.length - clamped, depth)
    wanted = min(LEAST_ENGAGEMENT * thread.nominal, max(own, Fraction(1, 10_000)))
    hole = Hole(
        name,
        fastener.hole_thread or thread,
        float(clamped),
        float(depth),
        float(wanted),
        through=not fastener.blind,
    )
    return hole, Bolt(name, thread, float(thread.length), name)
