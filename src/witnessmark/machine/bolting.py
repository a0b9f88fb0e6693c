"""What the sums say about the bolts of a joint: thread, strength, friction, torque, clamp.

The bridge from machine files to `engineering.fastening`. Where a file does not say enough
(no class, a surface without a published range) there is no answer, and none is invented.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from witnessmark.engineering.fastening.bearing import bearing_of
from witnessmark.engineering.fastening.friction import Friction, surface_friction
from witnessmark.engineering.fastening.heads import heads_that_fit
from witnessmark.engineering.fastening.plausibility import PlausibleTorque, plausible_torque
from witnessmark.engineering.fastening.preload import Band, ThreadAndHead, clamp_band
from witnessmark.engineering.fastening.strength import Strength, strength_of
from witnessmark.engineering.fastening.threads import ThreadGeometry, thread_geometry
from witnessmark.engineering.refusal import RefusalError
from witnessmark.machine.model import Fastener, Joint
from witnessmark.quantities.reading import QuantityError
from witnessmark.quantities.threads import Thread

FREE_OF_GREASE = "free of grease"

_HEAD_WORDS = re.compile(r"(?P<size>\d+(?:\.\d+)?)\s*mm\b")
_USUAL_HEADS = {"metric": "ISO 4014", "unified": "ASME B18.2.1"}
_SAME_SIZE = 0.0003
_SAME_FACE = 0.0005


@dataclass(frozen=True, slots=True)
class BoltSums:
    """One size and class of bolt with one surface. `bearing` is the mean diameter [m]."""

    geometry: ThreadGeometry
    bearing: float
    strength: Strength
    friction: ThreadAndHead
    head: str
    """The standard whose head the bearing is of."""

    @property
    def band_words(self) -> str:
        """Say what makes the band, and the head where it is not the plain hexagon."""
        usual = _USUAL_HEADS.get(self.geometry.thread.family)
        return str(self.friction) + ("" if self.head == usual else f", {self.head} head")

    def plausible(
        self, *, angle_follows: bool, least_clamp: float | None = None
    ) -> PlausibleTorque:
        """Give the torques that could make sense, with the words that show them [N·m].

        `least_clamp` is the least clamp force the joint wants [N], where the file says it.
        """
        return plausible_torque(
            self.geometry,
            self.bearing,
            self.strength,
            self.friction,
            least_clamp=least_clamp,
            angle_follows=angle_follows,
        )

    def clamp(self, torque: float) -> Band:
        """Give the clamp force of a torque over the friction range [N]."""
        return clamp_band(torque, self.geometry, self.bearing, self.friction)

    @property
    def proof_load(self) -> float:
        """Proof load of the bolt [N]."""
        return self.strength.proof_load(self.geometry)


def sums_of(fastener: Fastener, joint: Joint) -> BoltSums | None:
    """Give the sums of a fastener; None when the file or the tables do not say enough."""
    if fastener.thread is None or fastener.strength is None or joint.surface is None:
        return None
    return _sums(_bare(fastener.thread), fastener.strength, joint.surface, fastener.head or "")


def each_bolt(joint: Joint) -> Iterator[tuple[Fastener, BoltSums]]:
    """Give one fastener of each size, class and head of a joint, with its sums."""
    seen: set[tuple[str, str | None, str | None]] = set()
    for fastener in joint.fasteners:
        if fastener.thread is None:
            continue
        key = (fastener.thread.designation, fastener.strength, fastener.head)
        sums = None if key in seen else sums_of(fastener, joint)
        seen.add(key)
        if sums is not None:
            yield fastener, sums


def _bare(thread: Thread) -> Thread:
    """Leave out length and hand, which change no sum."""
    return Thread(thread.family, thread.designation, thread.nominal, thread.pitch, thread.series)


@cache
def _sums(thread: Thread, strength: str, surface: str, head: str) -> BoltSums | None:
    try:
        geometry = thread_geometry(thread)
        standard = head_standard(head, geometry)
        return BoltSums(
            geometry,
            bearing_of(geometry, standard).mean_diameter,
            strength_of(strength, geometry),
            ThreadAndHead.same(friction_of(surface)),
            standard or _USUAL_HEADS.get(thread.family, "plain hexagon"),
        )
    except (RefusalError, QuantityError):
        return None


def head_standard(words: str, geometry: ThreadGeometry) -> str | None:
    """Give the standard whose head a file's words mean, like `hex 15 mm` or `socket 6 mm`.

    None for the plain hexagon, and for words that mean no one bearing face that is held:
    the plain hexagon then stands in. Heads of one tool size that bear alike count as one.
    """
    found = _HEAD_WORDS.search(words)
    if found is None:
        return None
    size = float(found["size"]) / 1000.0
    flanged = "flange" in words.lower()
    drive = "socket" if "socket" in words.lower() or "key" in words.lower() else "hexagon"
    fitting = [
        head
        for head in heads_that_fit(geometry)
        if head.drive == drive
        and head.flats is not None
        and abs(head.flats - size) < _SAME_SIZE
        and head.bearing is not None
        and (not flanged or "flange" in head.kind)
    ]
    if not fitting or any(head.standard == "ISO 4014" for head in fitting):
        return None
    if drive == "socket":
        return fitting[0].standard
    faces = [head.bearing for head in fitting if head.bearing is not None]
    return fitting[0].standard if max(faces) - min(faces) < _SAME_FACE else None


def friction_of(surface: str) -> Friction:
    """Give the friction range of a surface; a face free of grease is a dry one.

    Raises
    ------
    RefusalError
        If no range is published for it.
    """
    return surface_friction("dry" if surface.strip().lower() == FREE_OF_GREASE else surface)


def engagement_of(fastener: Fastener) -> float | None:
    """Give the thread a bolt has in its hole [m]; None when length or stack is not given.

    The hole's depth limits it. A washer under the head is part of what is clamped.
    """
    length = fastener.thread.length if fastener.thread is not None else None
    if length is None or fastener.clamped is None:
        return None
    reach = length - fastener.clamped
    return float(reach if fastener.hole_depth is None else min(reach, fastener.hole_depth))


def refit_words(joint: Joint) -> str:
    """Give everything the ways of a joint say, in small letters."""
    words = (
        text
        for opening in joint.openings
        for way in opening.ways
        for text in (way.refit_text, way.caution, way.why, way.text)
    )
    return ". ".join(text.lower() for text in words if text)
