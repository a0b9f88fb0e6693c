"""Figures from a size table: what their source reads as, and who took them.

A size table knows a thread and nothing of the joint. On the word of a named person it may
serve a bracket or a cover; wherever it is shown it says that it is not the maker's.
"""

from __future__ import annotations

import re

from witnessmark.engineering.fastening.size_tables import ALLOWED_JOINTS, REFUSED_JOINTS

NOT_THE_MAKERS = "size table, not the maker's"

_SIZE_TABLE = re.compile(r"\bsize[- ]table\b", re.IGNORECASE)
_SAID_ALREADY = re.compile(r"\bsize[- ]table\b|\bnot the maker'?s\b", re.IGNORECASE)
_TAKEN_BY = re.compile(r"[\s,;]*\b(?:taken )?by\s+(?P<who>[^,;()]+)", re.IGNORECASE)


def is_size_table(source: str | None) -> bool:
    """Whether a figure's source is a size table."""
    return source is not None and _SIZE_TABLE.search(source) is not None


def source_words(source: str | None, by: str | None) -> str | None:
    """Give a source as it is shown everywhere, with the person who took the figure.

    >>> source_words("size table of the works", "J. Moss")
    "size table, not the maker's; taken by J. Moss (of the works)"
    """
    if source is None or not is_size_table(source):
        taken = f"taken by {by}" if by else None
        return "; ".join(words for words in (source, taken) if words) or None
    named = _TAKEN_BY.search(source)
    who = by or (named["who"].strip() if named else None)
    rest = _SAID_ALREADY.sub("", source.replace(named[0], "") if named else source)
    detail = re.sub(r"\s*[,;]\s*[,;]+", ",", " ".join(rest.split())).strip(" ,;()")
    return (
        NOT_THE_MAKERS + (f"; taken by {who}" if who else "") + (f" ({detail})" if detail else "")
    )


def taken_by(source: str | None) -> str | None:
    """Give the person who took a figure, as `source_words` shows it."""
    found = None if source is None else _TAKEN_BY.search(source)
    return None if found is None else found["who"].strip()


def objection(role: str | None, source: str | None, *, critical: bool = False) -> str | None:
    """Say which complaint a size-table figure brings on at a joint of this role.

    `critical` is True where the file says that the joint's failure hurts people or the
    machine; such a one is refused whatever its role. Gives the code of the complaint; None
    where nothing speaks against it.
    """
    if not is_size_table(source):
        return None
    if critical or role in REFUSED_JOINTS:
        return "size-table-refused"
    if role not in ALLOWED_JOINTS:
        return "size-table-not-listed"
    return None if taken_by(source) else "size-table-nobody"
