"""Changing a file that people wrote: comments stay, and only the lines that must change do.

Every edit is made in the text itself, at the places where the reader found keys and
values, so all that is not edited stays as it was written, byte for byte. Each changed
text is read again before it is given back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from witnessmark.machine.complaints import Complaints
from witnessmark.machine.files import FORMAT_VERSION
from witnessmark.machine.upgrade import renamed
from witnessmark.machine.yaml_nodes import Items, Node, Pairs, Scalar, read_nodes

Path = tuple[str | int, ...]
"""Where something stands: keys of mappings and positions in lists, from the top."""

_INDENT = "  "
_PLAIN = re.compile(r"[^\W_][^\n]*")
"""Begins like a word or a number; what may not follow is asked for apart."""
_NOT_PLAIN = re.compile(r": |:$| #|[\x00-\x1f\x7f-\xa0\u2028\u2029\ufeff]|\s$")
_ESCAPED = re.compile(r'["\\\x00-\x1f\x7f-\xa0\u2028\u2029\ufeff\ufffe\uffff]')
_NOT_IN_FLOW = re.compile(r"[,\[\]{}]")


class RewritingError(ValueError):
    """The text cannot be changed as asked; the message says why."""


@dataclass(frozen=True, slots=True)
class Put:
    """Set what stands at a path; the last key may be new, everything above it not.

    A value is text, or a list or mapping of values. In a list the position after the last
    adds an item.
    """

    path: Path
    value: object


@dataclass(frozen=True, slots=True)
class Rename:
    """Give the key at a path another name, in place."""

    path: Path
    name: str


@dataclass(frozen=True, slots=True)
class Remove:
    """Take out what stands at a path, with its lines; comments before it stay."""

    path: Path


Edit = Put | Rename | Remove


def rewrite(text: str, edits: Iterable[Edit]) -> str:
    """Make edits to the text of a file, one after the other.

    Raises
    ------
    RewritingError
        If the text cannot be read, or a path does not lead anywhere.
    """
    body = text.removeprefix("\ufeff")
    mark = text[: len(text) - len(body)]
    tree = _Tree(body)
    for edit in edits:
        tree = _Tree(tree.edited(edit))
    return mark + tree.text


def upgrade_text(text: str) -> str:
    """Bring the text of an older machine file to the present version of the format.

    Raises
    ------
    RewritingError
        If the text cannot be read.
    """
    body = text.removeprefix("\ufeff")
    root = _Tree(body).root
    version = root.entries.get("witnessmark") if isinstance(root, Pairs) else None
    if version is None or not isinstance(root, Pairs) or not isinstance(version[1], Scalar):
        return text
    if version[1].text != "0":
        return text
    replacements = [(version[1].start, version[1].end, str(FORMAT_VERSION))]
    for scalar, new in renamed(root):
        replacements.append((scalar.start, scalar.end, _written(new, flow=True)))
    body_now = _replaced(body, replacements)
    _Tree(body_now)
    return text[: len(text) - len(body)] + body_now


def _replaced(text: str, replacements: Iterable[tuple[int, int, str]]) -> str:
    """Replace pieces of a text, last first so that places stay true."""
    for start, end, new in sorted(set(replacements), reverse=True):
        text = text[:start] + new + text[end:]
    return text


class _Tree:
    """A text with its nodes."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.newline = "\r\n" if "\r\n" in text else "\n"
        complaints = Complaints()
        root = read_nodes(text.encode("utf-8", "surrogatepass"), "text", complaints)
        for found in complaints:
            place = f"line {found.place.line}, column {found.place.column}"
            raise RewritingError(f"{place}: {found.what}: {found.to_do}")
        assert root is not None
        self.root = root

    def edited(self, edit: Edit) -> str:
        """Give the text with one edit made."""
        if not edit.path:
            raise RewritingError("the whole file cannot be edited at once")
        owner = self.owner_of(edit.path)
        key = edit.path[-1]
        if isinstance(edit, Put):
            return self.put(edit.path, owner, key, edit.value)
        if not _holds(owner, key):
            raise RewritingError(f"there is no {_words(edit.path)} in this file")
        if isinstance(edit, Rename):
            return self.rename(owner, key, edit.name)
        return self.remove(edit.path, owner, key)

    def owner_of(self, path: Path) -> Node:
        node: Node = self.root
        for depth, key in enumerate(path[:-1]):
            if not _holds(node, key):
                raise RewritingError(f"there is no {_words(path[: depth + 1])} in this file")
            node = _value(node, key)
        return node

    # Putting

    def put(self, path: Path, owner: Node, key: str | int, value: object) -> str:
        if isinstance(owner, Scalar):
            if not owner.is_nothing or len(path) == 1:
                raise RewritingError(f"{_words(path[:-1])} holds a single value")
            inner = {str(key): value} if isinstance(key, str) else [value]
            return self.put(path[:-1], self.owner_of(path[:-1]), path[-2], inner)
        if _holds(owner, key):
            return self.put_over(owner, key, value)
        if isinstance(owner, Items) and key != len(owner.items):
            raise RewritingError(f"there is no place {key} in a list of {len(owner.items)}")
        if owner.flow or not _children(owner):
            return self.put_in_flow(owner, key, value)
        return self.put_in_block(owner, key, value)

    def put_over(self, owner: Items | Pairs, key: str | int, value: object) -> str:
        """Put a value in the place of another."""
        old = _value(owner, key)
        start, end = old.start, self.end_of(old)
        if owner.flow or not _is_block(value):
            if not isinstance(old, Scalar) and not old.flow:
                start = len(self.text[:start].rstrip())  # it stood on lines of its own
            # An empty value has no place of its own beyond the colon.
            space = "" if start > 0 and self.text[start - 1] in " [-" else " "
            return self.spliced(start, end, space + _written(value, flow=owner.flow))
        column = self.column(owner, key)
        lines = self.newline + self.indented(_lines(value), column + len(_INDENT))
        before = self.text[:start].rstrip(" ")
        if not old.start or before.endswith((":", "-")):
            return before + lines + self.text[end:]
        # The old value stood on lines of its own; a comment after the colon stays.
        before = before.rstrip("\r\n ")
        return before + lines + self.text[end:]

    def put_in_flow(self, owner: Items | Pairs, key: str | int, value: object) -> str:
        closing = owner.end - 1
        entry = _written(value, flow=True)
        if isinstance(key, str):
            entry = f"{_written(key, flow=True)}: {entry}"
        children = _children(owner)
        if not children:
            return self.spliced(closing, closing, entry)
        last = self.end_of(children[-1])
        return self.spliced(last, last, f", {entry}")

    def put_in_block(self, owner: Items | Pairs, key: str | int, value: object) -> str:
        column = self.column(owner, None)
        entry = _lines({key: value}) if isinstance(key, str) else _item_lines(value)
        lines = self.indented(entry, column)
        at = self.line_end(self.end_of(owner))
        return self.spliced(at, at, self.newline + lines)

    def indented(self, lines: list[str], column: int) -> str:
        margin = " " * column
        return self.newline.join(margin + line for line in lines)

    # Renaming and removing

    def rename(self, owner: Node, key: str | int, name: str) -> str:
        if not isinstance(owner, Pairs) or not isinstance(key, str):
            raise RewritingError("an item of a list has no name")
        if name in owner.entries:
            raise RewritingError(f"'{name}' is there already")
        scalar = owner.entries[key][0]
        return self.spliced(scalar.start, scalar.end, _written(name, flow=True))

    def remove(self, path: Path, owner: Node, key: str | int) -> str:
        assert not isinstance(owner, Scalar)
        if len(_children(owner)) == 1:
            if len(path) == 1:
                raise RewritingError("the last key of a file cannot be taken out")
            empty: object = {} if isinstance(owner, Pairs) else []
            return self.put_over(self._not_scalar(self.owner_of(path[:-1])), path[-2], empty)
        if owner.flow:
            return self.remove_in_flow(owner, key)
        start, end = self.start_of(owner, key), self.line_end(self.end_of(_value(owner, key)))
        line = self.line_start(start)
        if self.text[line:start].strip():  # the first key after the dash of a list
            following = self.start_of(owner, _keys(owner)[1])
            return self.spliced(start, following, "")
        if end < len(self.text):
            return self.spliced(line, end + len(self.newline), "")
        return self.spliced(max(line - len(self.newline), 0), end, "")

    def remove_in_flow(self, owner: Items | Pairs, key: str | int) -> str:
        keys = _keys(owner)
        position = keys.index(key)
        if position + 1 < len(keys):
            start, end = self.start_of(owner, key), self.start_of(owner, keys[position + 1])
        else:
            start = self.end_of(_value(owner, keys[position - 1]))
            end = self.end_of(_value(owner, key))
        return self.spliced(start, end, "")

    @staticmethod
    def _not_scalar(node: Node) -> Items | Pairs:
        assert not isinstance(node, Scalar)
        return node

    # Places

    def spliced(self, start: int, end: int, new: str) -> str:
        return self.text[:start] + new + self.text[end:]

    def line_start(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def line_end(self, at: int) -> int:
        """Give the end of the line a place is in, before its line break."""
        end = self.text.find("\n", at)
        if end < 0:
            return len(self.text)
        return end - 1 if self.newline == "\r\n" and self.text[end - 1] == "\r" else end

    def end_of(self, node: Node) -> int:
        """Give where a node's own text ends, without comments and blank lines after it."""
        while not isinstance(node, Scalar) and not node.flow and _children(node):
            node = _children(node)[-1]
        if isinstance(node, Scalar):
            return node.start + len(self.text[node.start : node.end].rstrip())
        return node.end

    def start_of(self, owner: Items | Pairs, key: str | int) -> int:
        """Give where an entry begins: its key, or the dash of an item."""
        if isinstance(owner, Pairs):
            return owner.entries[str(key)][0].start
        start = _value(owner, key).start
        return start if owner.flow else self.text.rfind("-", 0, start)

    def column(self, owner: Items | Pairs, key: str | int | None) -> int:
        """Give how far an entry, or the first, is indented."""
        first = _keys(owner)[0] if key is None else key
        start = self.start_of(owner, first)
        return start - self.line_start(start)


def _holds(node: Node, key: str | int) -> bool:
    if isinstance(node, Pairs):
        return key in node.entries
    return isinstance(node, Items) and isinstance(key, int) and 0 <= key < len(node.items)


def _value(node: Node, key: str | int) -> Node:
    if isinstance(node, Pairs):
        return node.entries[str(key)][1]
    assert isinstance(node, Items)
    return node.items[int(key)]


def _keys(owner: Items | Pairs) -> list[str | int]:
    return list(owner.entries) if isinstance(owner, Pairs) else list(range(len(owner.items)))


def _children(node: Node) -> list[Node]:
    if isinstance(node, Pairs):
        return [value for _, value in node.entries.values()]
    return node.items if isinstance(node, Items) else []


def _words(path: Path) -> str:
    return "'" + " / ".join(str(key) for key in path) + "'"


# Writing values


def _is_block(value: object) -> bool:
    """Tell whether a value is written on lines of its own."""
    if isinstance(value, dict):
        return bool(value)
    return isinstance(value, list | tuple) and any(isinstance(v, dict | list) for v in value)


def _lines(value: object) -> list[str]:
    """Write a value as lines: mappings one key to a line, lists of texts in brackets."""
    if not _is_block(value):
        return [_written(value, flow=False)]
    if isinstance(value, dict):
        lines = []
        for key, inner in value.items():
            name = _written(str(key), flow=False)
            if _is_block(inner):
                lines += [f"{name}:", *(_INDENT + line for line in _lines(inner))]
            else:
                lines.append(f"{name}: {_written(inner, flow=False)}".rstrip())
        return lines
    assert isinstance(value, list | tuple)
    return [line for inner in value for line in _item_lines(inner)]


def _item_lines(value: object) -> list[str]:
    first, *others = _lines(value)
    return [f"- {first}", *(_INDENT + line for line in others)]


def _written(value: object, *, flow: bool) -> str:
    """Write a value on one line; quoted where it would be misread."""
    if isinstance(value, dict):
        pairs = (
            f"{_written(str(k), flow=True)}: {_written(v, flow=True)}" for k, v in value.items()
        )
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_written(v, flow=True) for v in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    plain = _PLAIN.fullmatch(text) and not _NOT_PLAIN.search(text)
    if plain and not (flow and _NOT_IN_FLOW.search(text)) and text not in {"null", "Null", "NULL"}:
        return text
    return f'"{_ESCAPED.sub(_escape, text)}"'


def _escape(match: re.Match[str]) -> str:
    """Write one character as YAML's double quotes want it."""
    character = match.group()
    if character in '"\\':
        return "\\" + character
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
