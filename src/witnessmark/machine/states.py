"""The states each kind of object can be in, and the words people use for them."""

from __future__ import annotations

from collections.abc import Mapping

from witnessmark.machine.model import ObjectKind

REST: Mapping[ObjectKind, str] = {
    ObjectKind.PART: "fitted",
    ObjectKind.ASSEMBLY: "fitted",
    ObjectKind.JOINT: "made",
    ObjectKind.CIRCUIT: "ready",
    ObjectKind.SHAFT: "proven",
    ObjectKind.LOCK: "out",
    ObjectKind.TEMPORARY: "away",
    ObjectKind.MAKE_SAFE: "normal",
}
"""Depth 0 of every kind: nothing has been done to it."""

OPENINGS: Mapping[ObjectKind, tuple[str, ...]] = {
    ObjectKind.PART: ("moved", "off"),
    ObjectKind.ASSEMBLY: ("moved", "off"),
    ObjectKind.JOINT: ("slack", "out"),
    ObjectKind.CIRCUIT: ("relieved", "drained"),
    ObjectKind.SHAFT: ("unproven", "free"),
    ObjectKind.LOCK: ("in",),
    ObjectKind.TEMPORARY: ("fitted",),
    ObjectKind.MAKE_SAFE: ("safe",),
}
"""The openings of every kind by depth, from 1."""

_PART_WORDS = {
    "aside": "moved",
    "part-way": "moved",
    "part way": "moved",
    "lowered": "moved",
    "drawn back": "moved",
    "removed": "off",
}
_JOINT_WORDS = {
    "cracked": "slack",
    "cracked off": "slack",
    "backed off": "slack",
    "slackened": "slack",
    "loose": "slack",
    "open": "out",
    "undone": "out",
    "unplugged": "out",
    "removed": "out",
}

SYNONYMS: Mapping[ObjectKind, Mapping[str, str]] = {
    ObjectKind.PART: _PART_WORDS,
    ObjectKind.ASSEMBLY: _PART_WORDS,
    ObjectKind.JOINT: _JOINT_WORDS,
    ObjectKind.CIRCUIT: {"empty": "drained"},
    ObjectKind.SHAFT: {},
    ObjectKind.LOCK: {},
    ObjectKind.TEMPORARY: {"in place": "fitted"},
    ObjectKind.MAKE_SAFE: {"made safe": "safe"},
}
"""Other trade words for the same depth."""


def state_named(kind: ObjectKind, word: str) -> str | None:
    """Give the rule book's word for a state of this kind, rest included; None if unknown."""
    word = " ".join(word.lower().split())
    word = SYNONYMS[kind].get(word, word)
    return word if word == REST[kind] or word in OPENINGS[kind] else None


def depth_of(kind: ObjectKind, state: str) -> int:
    """Give the depth of a state by the rule book's word: 0 at rest.

    Raises
    ------
    ValueError
        If this kind has no such state.
    """
    return 0 if state == REST[kind] else OPENINGS[kind].index(state) + 1
