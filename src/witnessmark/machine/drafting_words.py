"""Words and figures of a drafted machine file: each written so that it can be read again."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction

from witnessmark.quantities.reading import QuantityError
from witnessmark.quantities.threads import read_thread
from witnessmark.quantities.tightness import read_tightness

_LONGEST = 48
_KINDS = {
    "bolt": "bolts", "screw": "bolts", "nut": "bolts", "stud": "bolts",
    "clip": "clips", "circlip": "clips", "cable tie": "clips", "rivet": "clips",
    "hose end": "hose-end", "union": "hose-end", "connector": "connector",
}  # fmt: skip


class Names:
    """Ids out of names: small letters, digits and hyphens, each once."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def take(self, name: str, otherwise: str) -> str:
        """Give an id for a name that is not taken yet."""
        plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
        start = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST].strip("-") or otherwise
        found, number = start, 1
        while found in self._taken:
            number += 1
            found = f"{start}-{number}"
        self._taken.add(found)
        return found


def _on_one_line(text: str) -> str:
    kept = (each if each.isprintable() else " " for each in text)
    return " ".join("".join(kept).split())


def quoted(text: str) -> str:
    """Write a text so that YAML reads it back as it is."""
    return json.dumps(_on_one_line(text), ensure_ascii=False)


def comment(text: str) -> str:
    """Write a text as a line that is for people only."""
    return f"# {_on_one_line(text)}"


def flow(row: Mapping[str, str]) -> str:
    """Write values that are YAML already as one line in braces."""
    return "{" + ", ".join(f"{key}: {value}" for key, value in row.items()) + "}"


def joint_kind(fastener: str | None, *, threaded: bool) -> str | None:
    """Give how a joint holds; None where nobody said what it is made with."""
    if fastener in _KINDS:
        return _KINDS[fastener]
    return "bolts" if threaded else None


def fastener_thread(thread: str | None, length: str | None) -> tuple[str | None, str]:
    """Give a thread as machine files write it, and in words what does not go into it."""
    in_words = " ".join(each for each in (thread, f"{length} mm long" if length else None) if each)
    if thread is None:
        return None, in_words
    written = f"{thread} x {length}" if length else thread
    try:
        read = read_thread(written)
    except QuantityError:
        return None, in_words
    if length and (read.length is None or read.length * 1000 != Fraction(length)):
        return None, in_words
    return written, ""


def head_words(head: str) -> str:
    """Give a head as machine files name it; a size alone may be any drive, and stays so."""
    if match := re.fullmatch(r"key (\S+ mm)", head):
        return f"hex socket {match[1]}"
    if match := re.fullmatch(r"T(\d+)", head):
        return f"hexalobular {match[1]}"
    if match := re.fullmatch(r"E(\d+)", head):
        return f"external hexalobular {match[1]}"
    return head


def readable_tightness(text: str | None) -> str | None:
    """Give a figure of tightness if it can be read as one."""
    try:
        return None if text is None else str(read_tightness(text))
    except QuantityError:
        return None
