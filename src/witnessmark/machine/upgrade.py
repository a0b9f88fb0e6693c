"""Older files: what changed between versions of the format, as data, and doing it.

Version 0 is the first draft of the format. It called joints `fastenings` and works
`jobs`, a final tightness `torque`, and wrote job times as bare minutes under
`minutes_off` and `minutes_on`. An old file is read as it stands, with a warning, by
upgrading its nodes; `upgrade_text` in `rewriting.py` upgrades the file itself.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from witnessmark.machine.model import ObjectKind
from witnessmark.machine.states import OPENINGS
from witnessmark.machine.yaml_nodes import Node, Pairs, Scalar

_BARE_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def _as_is(text: str) -> str:
    return text


def _in_minutes(text: str) -> str:
    return f"{text} min" if _BARE_NUMBER.fullmatch(text) else text


@dataclass(frozen=True, slots=True)
class Renaming:
    """A key that has another name now, wherever `path` leads (`*`: every key).

    `value` turns a single value that stood under the old key into what the new key wants.
    """

    path: tuple[str, ...]
    old: str
    new: str
    value: Callable[[str], str] = _as_is


def _times(section: str, kind: ObjectKind) -> Iterator[Renaming]:
    for state in OPENINGS[kind]:
        for path in ((section, "*", state), (section, "*", state, "ways", "*")):
            yield Renaming(path, "minutes_off", "strip", _in_minutes)
            yield Renaming(path, "minutes_on", "refit", _in_minutes)


_SECTIONS = {
    "parts": ObjectKind.PART,
    "assemblies": ObjectKind.ASSEMBLY,
    "joints": ObjectKind.JOINT,
    "circuits": ObjectKind.CIRCUIT,
    "shafts": ObjectKind.SHAFT,
    "locks": ObjectKind.LOCK,
    "temporary": ObjectKind.TEMPORARY,
    "make_safe": ObjectKind.MAKE_SAFE,
}

FROM_VERSION_0: tuple[Renaming, ...] = (
    Renaming((), "fastenings", "joints"),
    Renaming((), "jobs", "works"),
    Renaming(("joints", "*"), "torque", "tightness"),
    *(renaming for section, kind in _SECTIONS.items() for renaming in _times(section, kind)),
)
"""Done in order, so that later paths use the newer names."""


def upgraded(root: Pairs) -> Pairs:
    """Rename the keys of a version 0 file's nodes to those of version 1; places stay."""
    renamed(root)
    return root


def renamed(root: Pairs) -> list[tuple[Scalar, str]]:
    """Rename the keys in a version 0 tree; give each single value that reads otherwise now.

    The values are those of the file, with their places, each with its new text.
    """
    changed: list[tuple[Scalar, str]] = []
    for renaming in FROM_VERSION_0:
        for pairs in _led_to(root, renaming.path):
            changed += _rename(pairs, renaming)
    return changed


def _led_to(node: Node, path: tuple[str, ...]) -> Iterator[Pairs]:
    if not isinstance(node, Pairs):
        return
    if not path:
        yield node
        return
    if path[0] == "*":
        inner = [value for _, value in node.entries.values()]
    else:
        inner = [node.entries[path[0]][1]] if path[0] in node.entries else []
    for value in inner:
        yield from _led_to(value, path[1:])


def _rename(pairs: Pairs, renaming: Renaming) -> list[tuple[Scalar, str]]:
    """Rename one key where it stands; a file that has both names keeps both."""
    if renaming.old not in pairs.entries or renaming.new in pairs.entries:
        return []
    changed: list[tuple[Scalar, str]] = []
    entries: dict[str, tuple[Scalar, Node]] = {}
    for name, (key, value) in pairs.entries.items():
        if name != renaming.old:
            entries[name] = (key, value)
            continue
        changed.append((key, renaming.new))
        new = value
        if isinstance(value, Scalar) and renaming.value(value.text) != value.text:
            new = replace(value, text=renaming.value(value.text))
            changed.append((value, new.text))
        entries[renaming.new] = (key, new)
    pairs.entries.clear()
    pairs.entries.update(entries)
    return changed
