"""The first draft of a machine file, out of what was seen while a machine was taken apart.

What nobody said is left out, so that `check` asks for it by name. Times are those measured
between two entries of the record; where something came between, there is none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from witnessmark.machine.drafting_words import (
    Names,
    comment,
    fastener_thread,
    flow,
    head_words,
    joint_kind,
    quoted,
    readable_tightness,
)
from witnessmark.quantities.duration import minutes_text

MOST_NAME = 80


@dataclass(frozen=True, slots=True)
class SeenGroup:
    """Some alike fasteners: how many, which thread and length, or a word for them."""

    count: int | None = None
    thread: str | None = None
    length: str | None = None
    which: str | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """A thing as the record has it.

    `kind` is part, joint, circuit, lock, temporary or make-safe. `state` is how far it was
    opened. `strip` and `refit` are minutes measured, in tenths; None where nobody can tell.
    """

    id: str
    kind: str
    name: str
    state: str
    where: str | None = None
    stored: str | None = None
    line: str | None = None
    holds: tuple[str, ...] = ()
    count: int | None = None
    groups: tuple[SeenGroup, ...] = ()
    thread: str | None = None
    head: str | None = None
    fastener: str | None = None
    hand: str | None = None
    role: str | None = None
    surface: str | None = None
    single_use: bool = False
    how: str | None = None
    tightness: str | None = None
    source: str | None = None
    litres: str | None = None
    hole: str | None = None
    strip: int | None = None
    refit: int | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """What a job's record says of a machine: its things in the order they came off."""

    machine: str
    name: str
    work: str
    seen: tuple[Seen, ...]
    source: str
    beside: tuple[str, ...] = field(default=())
    """What was put in, dropped or found: words for whoever writes on."""


_SECTIONS: Mapping[str, tuple[str, str]] = {
    "part": ("parts", "off"),
    "joint": ("joints", "out"),
    "circuit": ("circuits", "drained"),
    "lock": ("locks", "in"),
    "temporary": ("temporary", "fitted"),
    "make-safe": ("make_safe", "safe"),
}
"""The section of each kind of thing, and its deepest opening."""


def draft(record: Record) -> str:
    """Write the first draft of a machine file.

    Parameters
    ----------
    record : Record
        What was seen, in the order it came off.

    Returns
    -------
    str
        A machine file. It can always be read; `check` complains of what nobody said.
    """
    names = Names()
    ids = {each.id: names.take(each.name, each.kind) for each in record.seen}
    lines = [*_top(record), *_order(record, ids)]
    for kind, (section, _) in _SECTIONS.items():
        of_kind = [each for each in record.seen if each.kind == kind]
        if of_kind:
            lines += ["", f"{section}:"]
        for each in of_kind:
            lines += _thing(each, ids, _before(record, each))
    lines += _work(record, ids)
    return "\n".join(lines) + "\n"


def _top(record: Record) -> Iterator[str]:
    yield "# A first draft, written from the record of a job. Nobody has looked at it yet."
    yield "# Where a figure is missing, nobody gave it: fill it in with its source, never by guess."
    yield "witnessmark: 1"
    yield f"machine: {record.machine}"
    yield f"name: {quoted(record.name)}"
    yield f"source: {quoted(record.source)}"


def _order(record: Record, ids: Mapping[str, str]) -> Iterator[str]:
    """Say in which order things came off, and what else was said, for the eye."""
    if record.seen:
        yield ""
        yield "# Came off in this order; each needs what came off before it, until somebody says"
        yield f"# that it does not: {', '.join(ids[each.id] for each in record.seen)}"
    for each in record.beside:
        yield comment(each)


def _before(record: Record, thing: Seen) -> Seen | None:
    """Give the part that came off last before a thing: as seen, it was in the way."""
    last = None
    for each in record.seen:
        if each.id == thing.id or thing.id in each.holds:
            return last
        if each.kind == "part" and each.state == "off" and each.id not in thing.holds:
            last = each
    return last


def _thing(seen: Seen, ids: Mapping[str, str], before: Seen | None) -> Iterator[str]:
    yield f"  {ids[seen.id]}:"
    yield f"    name: {quoted(seen.name[:MOST_NAME])}"
    if seen.line and seen.line != seen.name:
        yield "    " + comment(f"as it was said: {seen.line}")
    written = {"joint": _joint, "circuit": _circuit, "lock": _lock, "part": _part}.get(seen.kind)
    if written is not None:
        yield from (f"    {line}" for line in written(seen, ids))
    yield f"    {_opening(seen)}: {flow(_way(seen, ids, before))}"


def _opening(seen: Seen) -> str:
    deepest = _SECTIONS[seen.kind][1]
    shallow = {"joint": "slack", "part": "moved", "circuit": "relieved"}
    return seen.state if seen.state == shallow.get(seen.kind) else deepest


def _way(seen: Seen, ids: Mapping[str, str], before: Seen | None) -> dict[str, str]:
    way: dict[str, str] = {}
    if seen.strip is not None:
        way["strip"] = minutes_text(seen.strip)
    if seen.refit is not None:
        way["refit"] = minutes_text(seen.refit)
    if before is not None:
        way["needs"] = f"[{ids[before.id]} off]"
    return way


def _part(seen: Seen, _ids: Mapping[str, str]) -> Iterator[str]:
    if seen.where:
        yield f"where: {quoted(seen.where)}"
    if seen.stored:
        yield f"store: {quoted(seen.stored)}"


def _joint(seen: Seen, ids: Mapping[str, str]) -> Iterator[str]:
    kind = joint_kind(seen.fastener, threaded=bool(seen.thread or seen.groups or seen.head))
    if kind is not None:
        yield f"kind: {kind}"
    if seen.holds:
        yield f"holds: [{', '.join(ids[each] for each in seen.holds if each in ids)}]"
    if seen.where:
        yield f"where: {quoted(seen.where)}"
    if seen.role:
        yield f"role: {seen.role}"
    if seen.stored:
        yield comment(f"kept: {seen.stored}")
    yield from _fasteners(seen)
    yield from _how_tight(seen)
    if seen.surface:
        yield f"surface: {seen.surface}"
    if seen.single_use:
        yield "single_use: true"
    if seen.hand:
        yield f"hand: {seen.hand}"


def _fasteners(seen: Seen) -> Iterator[str]:
    sized = [each for each in seen.groups if each.which is None]
    for each in seen.groups:
        if each.which is not None:
            yield comment(f"{each.count or 'some'} {each.which}")
    groups: Sequence[SeenGroup] = sized
    if not groups and (seen.count is not None or seen.thread or seen.head):
        groups = (SeenGroup(seen.count, seen.thread),)
    if not groups:
        return
    yield "fasteners:"
    for each in groups:
        yield f"  - {flow(_fastener(each, seen))}"


def _fastener(group: SeenGroup, seen: Seen) -> dict[str, str]:
    row: dict[str, str] = {}
    if group.count is not None:
        row["count"] = str(group.count)
    thread, left = fastener_thread(group.thread or seen.thread, group.length)
    if thread is not None:
        row["thread"] = thread
    if left:
        row["name"] = quoted(left)
    if seen.head:
        row["head"] = quoted(head_words(seen.head))
    return row or {"count": "1"}


def _how_tight(seen: Seen) -> Iterator[str]:
    figure = readable_tightness(seen.tightness)
    if figure is not None and seen.source:
        yield f"tightness: {flow({'is': quoted(figure), 'source': quoted(seen.source)})}"
        return
    if seen.how or seen.tightness:
        said = ", ".join(each for each in (seen.how, seen.tightness) if each)
        yield comment(f"nobody's figure; it was tightened: {said}")


def _circuit(seen: Seen, _ids: Mapping[str, str]) -> Iterator[str]:
    yield f"fluid: {quoted(seen.name[:MOST_NAME])}"
    if seen.litres:
        yield comment(f"{seen.litres} L came out when it was drained")


def _lock(seen: Seen, _ids: Mapping[str, str]) -> Iterator[str]:
    if seen.hole:
        yield f"hole: {quoted(seen.hole)}"


def _work(record: Record, ids: Mapping[str, str]) -> Iterator[str]:
    """Write the one work there is: what was reached."""
    goals = [f"{ids[each.id]} {_opening(each)}" for each in _reached(record)]
    if not goals:
        return
    yield ""
    yield "works:"
    yield f"  {record.work}:"
    yield f"    name: {quoted(f'As it was done: {record.name}'[:MOST_NAME])}"
    yield f"    goals: [{', '.join(goals)}]"


def _reached(record: Record) -> list[Seen]:
    """Give the goals: the last part off, else the last joint; and what was drained or let go."""
    parts = [each for each in record.seen if each.kind == "part"]
    joints = [each for each in record.seen if each.kind == "joint"]
    circuits = [each for each in record.seen if each.kind == "circuit"]
    return [*(parts or joints)[-1:], *circuits]


def is_id(text: str) -> bool:
    """Tell whether a text may be the id of a machine or work."""
    return re.fullmatch(r"[a-z0-9][a-z0-9-]{0,59}", text) is not None
