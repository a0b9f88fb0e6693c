"""Files that include files: found by relative path, each read once, loops told apart."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from witnessmark.machine.complaints import Complaints, clip, in_a_row
from witnessmark.machine.model import Place
from witnessmark.machine.yaml_nodes import Limits, Node, Pairs, read_nodes

Loader = Callable[[str], bytes]
"""Gives the bytes behind a path; raises OSError when it cannot."""

MOST_FILES = 200
_ABSOLUTE = re.compile(r"[/\\]|[A-Za-z]:|~")


class Includes:
    """The files of one machine: what was read, what is being read, what is still allowed.

    The limits hold for all files together, so that a file cannot grow by including
    others over and over.
    """

    def __init__(self, load: Loader, complaints: Complaints, limits: Limits | None = None) -> None:
        self._load = load
        self._complaints = complaints
        limits = limits or Limits()
        self._size, self._nodes, self._depth = limits.size, limits.nodes, limits.depth
        self._open: list[str] = []
        self._seen: set[str] = set()
        self.read: list[str] = []
        """Every file that was asked for, in order."""

    def nodes(self, path: str, by: Place | None) -> Node | None:
        """Read the nodes of a file; `by` is where it is included, None for the first."""
        self.read.append(path)
        self._seen.add(posixpath.normpath(path))
        place = by or Place(path, 1, 1)
        try:
            raw = self._load(path)
        except FileNotFoundError:
            code = "unreadable-file" if by is None else "include-missing"
            self._complaints.add(code, place, path=clip(path), reason="there is no such file")
            return None
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or "it cannot be opened"
            self._complaints.add("unreadable-file", place, path=clip(path), reason=reason)
            return None
        limits = Limits(self._size, self._nodes, self._depth)
        root = read_nodes(raw, path, self._complaints, limits)
        self._size -= len(raw)
        self._nodes -= root.size if isinstance(root, Pairs) else 1
        return root

    @contextmanager
    def entering(self, path: str) -> Iterator[None]:
        """Mark a file as being read while its includes are."""
        self._open.append(posixpath.normpath(path))
        try:
            yield
        finally:
            self._open.pop()

    def resolve(self, base: str, written: str, at: Place) -> str | None:
        """Give the path of an include that is to be read now.

        None when it was read before (two files may share a third), when it would close a
        loop, or when it may not be read; the last two are complained about.
        """
        if _ABSOLUTE.match(written):
            self._complaints.add("include-not-relative", at, path=clip(written))
            return None
        path = posixpath.normpath(posixpath.join(posixpath.dirname(base), written))
        if path in self._open:
            chain = [*self._open[self._open.index(path) :], path]
            self._complaints.add("include-loop", at, chain=in_a_row(chain, " -> "))
            return None
        if path in self._seen:
            return None
        if len(self.read) >= MOST_FILES:
            self._complaints.add("too-many-includes", at, limit=MOST_FILES)
            return None
        return path
