"""The shapes of the rule book's rows.

Every row holds texts, whole numbers, truth values and tuples of these, and nothing else:
the whole book can be written as JSON and run by an interpreter in another language.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Half(StrEnum):
    """Which way an action leads."""

    STRIP = "strip"
    """Away from rest."""
    REFIT = "refit"
    """Towards rest."""
    ACT = "act"
    """Done to the machine without taking an object to a depth it must come back from."""


@dataclass(frozen=True, slots=True)
class State:
    """One state of one kind of object; depth 0 is rest (S2).

    `opening` states are those a machine file describes a way to; the others are finer
    words the ledger keeps per fastener, hose end or circuit. `momentary` states exist
    only inside a step. `may_outlive` states may be left to a named duty (S11).
    """

    id: str
    depth: int
    says: str
    opening: bool = False
    momentary: bool = False
    may_outlive: bool = False


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of object and its states, rest first.

    `keeps` says for what the ledger keeps a state: the object, or each of its pieces
    (`each fastener`), whose states together make the object's.
    """

    id: str
    name: str
    keeps: str
    states: tuple[State, ...]


@dataclass(frozen=True, slots=True)
class Action:
    """A transition of one kind of object, with what must be asked and recorded.

    `sources` are the states it may start from. `says` is the line on the card, `{}` the object.
    `evidence` is asked always, `critical_evidence` also where the object is critical,
    `renewal_evidence` also where its pieces are used once, `setting_evidence` where it clamps
    what sets a belt's tension.
    `gates` name what must be passed first. `compound` actions are what a plan's step does
    in one line where the bench does several actions in turn, named in `through`.
    """

    id: str
    kind: str
    sources: tuple[str, ...]
    target: str
    half: Half
    says: str
    evidence: tuple[str, ...] = ()
    critical_evidence: tuple[str, ...] = ()
    renewal_evidence: tuple[str, ...] = ()
    setting_evidence: tuple[str, ...] = ()
    gates: tuple[str, ...] = ()
    through: tuple[str, ...] = ()


class Wanted(StrEnum):
    """What a check wants of the openings it lists."""

    OPEN = "open"
    """One of them must be open, at least as deep as listed."""
    SHUT = "shut"
    """None of them may be open as deep as listed."""


class Event(StrEnum):
    """When a check is made."""

    STRIP = "strip"
    REFIT = "refit"
    ACT = "act"


@dataclass(frozen=True, slots=True)
class Check:
    """One rule that the openings or acts of a machine must keep.

    `because` gives the reason of the rule, `says` what is wrong when it is broken: with
    places for `other` (what should or should not be open), `wanted` (how it should
    stand), `state` (how it stands) and `by` (what brings the rule). `lasting` checks
    hold all the time an object is open, not only when it is opened and closed: what they
    list may not be closed under it.
    """

    id: str
    wanted: Wanted
    events: tuple[Event, ...]
    because: str
    says: str
    lasting: bool = False


@dataclass(frozen=True, slots=True)
class Evidence:
    """Something the bench asks for, and how it is put.

    `owed` evidence keeps the object outstanding until it is given; other evidence is
    asked, and its lack only shows.
    """

    id: str
    asks: str
    owed: bool = False


@dataclass(frozen=True, slots=True)
class Clearance:
    """One demand of a gate: objects of this kind stand in one of these states.

    `scope` limits it: `holding` (what holds the shaft that is turned), `disturbed`
    (what this job has disturbed), `hidden` (what disappears behind the part refitted),
    `lifting` (what carries the machine), `opened` (what the act opens). `roles`, when
    given, limits joints to those roles and parts or temporary things to those kinds.
    `purposes`, when given, limits the demand to those purposes of the act.
    """

    kind: str
    states: tuple[str, ...]
    scope: str
    roles: tuple[str, ...] = ()
    purposes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Gate:
    """A point that is not passed until everything it lists is closed.

    `falls` names when: events of the rule book, or points of the job. A gate refuses the
    pass, never the record. Those with `passable` may be passed by a named person with a
    reason that shows on every paper.
    """

    id: str
    name: str
    falls: tuple[str, ...]
    clear_when: tuple[Clearance, ...]
    asks: tuple[str, ...] = ()
    passable: bool = True
    registers: tuple[str, ...] = ()
    purposes: tuple[str, ...] = ()
