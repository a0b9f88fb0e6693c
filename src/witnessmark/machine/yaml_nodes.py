"""YAML text to a small tree of nodes with places, in bounded time and memory.

Built from libyaml's events one by one, never by recursion, so that no depth of nesting
can overflow a stack; nodes, depth and what aliases stand for are counted while they are
read, and a file that goes beyond the limits is refused at once. Scalars stay text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from witnessmark.machine.complaints import Complaints, clip
from witnessmark.machine.model import Place

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# What YAML lets stand in no file; it means that this is not a text. (Halves of surrogate
# pairs are not text either, but UTF-8 has none. Naming what is wrong compiles much faster
# than naming all that is right.)
_NOT_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufeff\ufffe\uffff]")
_NOTHING = frozenset({"", "~", "null", "Null", "NULL"})


@dataclass(frozen=True, slots=True)
class Limits:
    """How much of a file is read before it is refused."""

    size: int = 4_000_000
    """Bytes of one file."""
    nodes: int = 200_000
    """Values in one file, with those that aliases stand for counted each time."""
    depth: int = 40
    """Values inside values."""


@dataclass(slots=True)
class Scalar:
    """A single value, as text. `line` and `column` count from 1.

    `start` and `end` are where it stands in the text of the file, in characters.
    """

    text: str
    line: int
    column: int
    plain: bool = True
    start: int = 0
    end: int = 0

    @property
    def is_nothing(self) -> bool:
        """Whether nothing was written: an empty value, `~` or `null`."""
        return self.plain and self.text in _NOTHING


@dataclass(slots=True)
class Items:
    """A list. `flow` lists stand in brackets; others end where their last item does."""

    line: int
    column: int
    start: int = 0
    flow: bool = False
    items: list[Node] = field(default_factory=list)
    size: int = 1
    end: int = 0


@dataclass(slots=True)
class Pairs:
    """A mapping: keys as text, each with where it stands and its value."""

    line: int
    column: int
    start: int = 0
    flow: bool = False
    entries: dict[str, tuple[Scalar, Node]] = field(default_factory=dict)
    size: int = 1
    end: int = 0


Node = Scalar | Items | Pairs


class _Refused(Exception):  # noqa: N818 - it ends the reading of one file
    """The rest of the file cannot be read."""


def read_nodes(
    raw: bytes, file: str, complaints: Complaints, limits: Limits | None = None
) -> Node | None:
    """Read the one document of a file; None (and a complaint) when it cannot be read.

    Mistakes that hide nothing (a key given twice, a tag) are collected and passed over:
    the first of two equal keys counts.
    """
    limits = limits or Limits()
    text = _decoded(raw, file, complaints, limits)
    if text is None:
        return None
    builder = _Builder(file, complaints, limits)
    try:
        return builder.read(text)
    except _Refused:
        return None


def _decoded(raw: bytes, file: str, complaints: Complaints, limits: Limits) -> str | None:
    top = Place(file, 1, 1)
    if len(raw) > limits.size:
        complaints.add("file-too-big", top, limit=limits.size)
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8", "replace")
        found = f"byte 0x{raw[error.start]:02x}"
        complaints.add("not-text", _place_after(before, file), found=found)
        return None
    odd = _NOT_TEXT.search(text)
    if odd is not None:
        found = f"character U+{ord(odd.group()):04X}"
        complaints.add("not-text", _place_after(text[: odd.start()], file), found=found)
        return None
    if not text.strip():
        complaints.add("file-empty", top)
        return None
    return text


def _place_after(before: str, file: str) -> Place:
    """Give the place of the character that follows a text."""
    line = before.count("\n") + 1
    return Place(file, line, len(before) - (before.rfind("\n") + 1) + 1)


class _Builder:
    """Builds the tree of one file from parse events."""

    def __init__(self, file: str, complaints: Complaints, limits: Limits) -> None:
        self.file = file
        self.complaints = complaints
        self.limits = limits
        self.root: Node | None = None
        self.open: list[Items | Pairs] = []
        self.keys: list[Scalar | None] = []
        """For each open mapping the key whose value comes next."""
        self.anchors: dict[str, Node] = {}
        self.documents = 0
        self.nodes = 0

    def read(self, text: str) -> Node | None:
        loader = _Loader(text)
        try:
            while loader.check_event():
                self._take(loader.get_event())
        except yaml.MarkedYAMLError as error:
            self._syntax(error)
        except yaml.YAMLError as error:  # of the text itself, before it is parsed
            problem = clip(str(error))
            self.complaints.add("not-yaml", Place(self.file, 1, 1), problem=problem)
            raise _Refused from error
        finally:
            loader.dispose()
        if self.root is None:
            self.complaints.add("file-empty", Place(self.file, 1, 1))
        return self.root

    def _syntax(self, error: yaml.MarkedYAMLError) -> None:
        mark = error.problem_mark or error.context_mark
        assert mark is not None
        place = Place(self.file, mark.line + 1, mark.column + 1)
        if "nesting depth" in (error.problem or ""):  # libyaml looks ahead of our count
            self.complaints.add("too-deep", place, limit=self.limits.depth)
            raise _Refused from error
        words = [clip(word) for word in (error.context, error.problem) if word]
        self.complaints.add("not-yaml", place, problem=", ".join(words) or "it stops short")
        raise _Refused from error

    def _take(self, event: Event) -> None:
        if isinstance(event, ScalarEvent):
            self._scalar(event)
        elif isinstance(event, MappingStartEvent):
            self._start(Pairs(*_where(event), *_style(event)), event)
        elif isinstance(event, SequenceStartEvent):
            self._start(Items(*_where(event), *_style(event)), event)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            self._end(event)
        elif isinstance(event, AliasEvent):
            self._alias(event)
        elif isinstance(event, DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                line, column = _where(event)
                self.complaints.add("second-document", Place(self.file, line, column))
                raise _Refused

    def _scalar(self, event: ScalarEvent) -> None:
        start, end = event.start_mark, event.end_mark
        assert start is not None
        assert end is not None
        plain = not event.style  # None or empty, by which parser is there
        node = Scalar(event.value, start.line + 1, start.column + 1, plain, start.index, end.index)
        if event.tag is not None:
            self._tag(event, node)
        self._count(1, node)
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        if self.open and type(self.open[-1]) is Pairs and self.keys[-1] is None:
            self.keys[-1] = node
        else:
            self._place_value(node, 1)

    def _start(self, node: Items | Pairs, event: MappingStartEvent | SequenceStartEvent) -> None:
        self._count(1, node)
        if event.tag is not None:
            self._tag(event, node)
        if len(self.open) >= self.limits.depth:
            self.complaints.add("too-deep", self._at(node), limit=self.limits.depth)
            raise _Refused
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        self._expect_key(node)
        self.open.append(node)
        self.keys.append(None)

    def _end(self, event: MappingEndEvent | SequenceEndEvent) -> None:
        node = self.open.pop()
        self.keys.pop()
        assert event.end_mark is not None
        node.end = event.end_mark.index
        self._place_value(node, node.size)

    def _alias(self, event: AliasEvent) -> None:
        line, column = _where(event)
        place = Place(self.file, line, column)
        anchor = event.anchor or ""
        node = self.anchors.get(anchor)
        if node is None:
            self.complaints.add("unknown-alias", place, alias=clip(anchor))
            node = Scalar("", line, column)
        elif any(node is other for other in self.open):
            self.complaints.add("alias-loop", place, alias=clip(anchor))
            raise _Refused
        size = 1 if isinstance(node, Scalar) else node.size
        self._count(size, Scalar("", line, column))
        if self.open and type(self.open[-1]) is Pairs and self.keys[-1] is None:
            if not isinstance(node, Scalar):
                self.complaints.add("key-not-text", place)
                raise _Refused
            self.keys[-1] = Scalar(node.text, line, column, node.plain)
        else:
            self._place_value(node, size)

    def _expect_key(self, node: Node) -> None:
        """Refuse a list or mapping where the key of a mapping should stand."""
        if self.open and type(self.open[-1]) is Pairs and self.keys[-1] is None:
            self.complaints.add("key-not-text", self._at(node))
            raise _Refused

    def _place_value(self, node: Node, size: int) -> None:
        if not self.open:
            self.root = node
            return
        owner = self.open[-1]
        owner.size += size
        if isinstance(owner, Items):
            owner.items.append(node)
            return
        key = self.keys[-1]
        assert key is not None
        self.keys[-1] = None
        first = owner.entries.setdefault(key.text, (key, node))[0]
        if first is not key:
            self.complaints.add("duplicate-key", self._at(key), key=clip(key.text), line=first.line)

    def _count(self, size: int, node: Node) -> None:
        self.nodes += size
        if self.nodes > self.limits.nodes:
            self.complaints.add("too-many-values", self._at(node), limit=self.limits.nodes)
            raise _Refused

    def _tag(self, event: ScalarEvent | MappingStartEvent | SequenceStartEvent, node: Node) -> None:
        if event.tag != "!":
            self.complaints.add("yaml-tag", self._at(node), tag=clip(str(event.tag)))

    def _at(self, node: Node) -> Place:
        return Place(self.file, node.line, node.column)


def _where(event: Event) -> tuple[int, int]:
    mark = event.start_mark
    assert mark is not None
    return mark.line + 1, mark.column + 1


def _style(event: MappingStartEvent | SequenceStartEvent) -> tuple[int, bool]:
    assert event.start_mark is not None
    return event.start_mark.index, bool(event.flow_style)


def shape_word(node: Node) -> str:
    """Say in plain words what a node is."""
    if isinstance(node, Scalar):
        return "nothing" if node.is_nothing else "a single value"
    return "a list" if isinstance(node, Items) else "a mapping"
