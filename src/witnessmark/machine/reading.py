"""Reading machine, workshop and state files into the model, collecting every complaint.

No file is touched here: a loader is handed in that gives the bytes behind a path, so the
same reading serves the command, the workshop's pages and the tests. A loader may raise
`OSError`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from witnessmark.machine.complaints import Complaint, Complaints, clip
from witnessmark.machine.files import (
    FORMAT_VERSION,
    SECTIONS,
    VERSION_KEYS,
    MachineFile,
    machine_file,
    state_file,
    workshop_file,
)
from witnessmark.machine.include import Includes, Loader
from witnessmark.machine.model import JobState, Machine, Place
from witnessmark.machine.node_entry import ID, NodeEntry
from witnessmark.machine.node_texts import Mention, Reading
from witnessmark.machine.upgrade import upgraded
from witnessmark.machine.workshop import Workshop
from witnessmark.machine.yaml_nodes import Pairs, Scalar, shape_word

T = TypeVar("T")

_VERSION_KEY = re.compile(
    rb"^(?:\{\s*)?[\"']?(%s)[\"']?\s*:" % "|".join(VERSION_KEYS).encode("ascii"), re.MULTILINE
)
_WHERE_KINDS_SHOW = 1_000_000


@dataclass(frozen=True, slots=True)
class ReadResult(Generic[T]):
    """What was read (None when the file cannot be read at all) and all complaints.

    `mentions` are the ids and facts the files refer to, for the checks; `files` every
    file that was read, in order.
    """

    value: T | None
    complaints: tuple[Complaint, ...]
    mentions: tuple[Mention, ...] = ()
    files: tuple[str, ...] = ()

    @property
    def clean(self) -> bool:
        """Whether nothing but warnings was found."""
        return all(complaint.is_warning for complaint in self.complaints)


def read_machine(load: Loader, path: str) -> ReadResult[Machine]:
    """Read a machine file with everything it includes.

    What can be read is read: a file with mistakes still gives a machine, so that the
    checks can find more in the same run. Only a clean result may be planned on.
    """
    return _MachineReader(load).read(path)


def read_workshop(load: Loader, path: str) -> ReadResult[Workshop]:
    """Read a workshop file."""
    return _read_single(load, path, "workshop", workshop_file)


def read_state(load: Loader, path: str) -> ReadResult[JobState]:
    """Read where a job stands."""
    return _read_single(load, path, "state", state_file)


def kind_of_file(raw: bytes) -> str:
    """Tell which kind of file this is by its version key; "witnessmark" when in doubt."""
    found = _VERSION_KEY.search(raw[:_WHERE_KINDS_SHOW])
    return found[1].decode("ascii") if found else VERSION_KEYS[0]


def _read_single(
    load: Loader, path: str, key: str, build: Callable[[NodeEntry], T]
) -> ReadResult[T]:
    complaints = Complaints()
    root = _root(Includes(load, complaints), path, None, key, complaints)
    if root is None:
        return ReadResult(None, tuple(complaints.in_order()), files=(path,))
    reading = Reading(path, complaints)
    entry = NodeEntry(reading, root, "", Place(path, root.line, root.column))
    built = build(entry)
    entry.finish()
    found = tuple(complaints.in_order())
    return ReadResult(built, found, tuple(reading.mentions), (path,))


def _root(
    includes: Includes, path: str, by: Place | None, key: str, complaints: Complaints
) -> Pairs | None:
    """Give the top mapping of a file in the present version of the format."""
    node = includes.nodes(path, by)
    if node is None:
        return None
    place = Place(path, node.line, node.column)
    if not isinstance(node, Pairs):
        complaints.add("not-a-file-of-ours", place, found=shape_word(node), key=key)
        return None
    if key not in node.entries:
        complaints.add("missing-version", place, key=key, version=FORMAT_VERSION)
        return node
    written = node.entries[key][1]
    version = written.text if isinstance(written, Scalar) else ""
    at = Place(path, written.line, written.column)
    if version == str(FORMAT_VERSION):
        return node
    if key == "witnessmark" and version == "0":
        complaints.add("old-version", at, version=version, current=FORMAT_VERSION)
        return upgraded(node)
    complaints.add("unknown-version", at, version=clip(version), current=FORMAT_VERSION)
    return None


class _MachineReader:
    """Merges a machine file and its includes into one machine."""

    def __init__(self, load: Loader) -> None:
        self.complaints = Complaints()
        self.includes = Includes(load, self.complaints)
        self.mentions: list[Mention] = []
        self.found: dict[str, dict[str, Any]] = {section.key: {} for section in SECTIONS}
        self.positions: dict[str, str] = {}
        self.special_tools: dict[str, Any] = {}
        self.cautions: list[Any] = []
        self.named: dict[tuple[str, str], Place] = {}
        """Where each name is given first; things that have states share one set."""

    def read(self, path: str) -> ReadResult[Machine]:
        with self.includes.entering(path):
            top = self._file(path, None)
        files = tuple(self.includes.read)
        machine = None if top is None else self._machine(top, files)
        found = tuple(self.complaints.in_order(files))
        return ReadResult(machine, found, tuple(self.mentions), files)

    def _machine(self, top: MachineFile, files: tuple[str, ...]) -> Machine:
        if top.machine is None:
            self.complaints.add("missing-key", top.place, key="machine")
        elif not ID.fullmatch(top.machine):
            self.complaints.add("bad-id", top.place, id=clip(top.machine))
        id_ = top.machine or ""
        things = {section.field: self.found[section.key] for section in SECTIONS}
        return Machine(
            id=id_,
            name=top.name or id_.replace("-", " "),
            place=top.place,
            source=top.source,
            maker=top.maker,
            viewpoint=top.viewpoint,
            positions=self.positions,
            cautions=tuple(self.cautions),
            special_tools=self.special_tools,
            files=files,
            **things,
        )

    def _file(self, path: str, by: Place | None) -> MachineFile | None:
        root = _root(self.includes, path, by, "witnessmark", self.complaints)
        if root is None:
            return None
        reading = Reading(path, self.complaints, self.mentions)
        included = by is not None
        place = Place(path, root.line, root.column)
        if included and "machine" in root.entries:
            key = root.entries["machine"][0]
            self.complaints.add("machine-included", reading.at(key), by=by)
            return None
        entry = NodeEntry(reading, root, "", place)
        said = machine_file(entry, included=included)
        entry.finish()
        self._merge(said, entry, included=included)
        for written, at in said.include:
            resolved = self.includes.resolve(path, written, at)
            if resolved is not None:
                with self.includes.entering(resolved):
                    self._file(resolved, at)
        return said

    def _merge(self, said: MachineFile, entry: NodeEntry, *, included: bool) -> None:
        for section in SECTIONS:
            scope = "object" if section.has_states else section.kind
            for id_, thing in said.things[section.key].items():
                if self._is_first(scope, id_, entry.place_within(section.key, id_)):
                    viewed = _seen_from(thing, said.viewpoint) if included else thing
                    self.found[section.key][id_] = viewed
        for key, into in (("positions", self.positions), ("special_tools", self.special_tools)):
            kind = "position" if key == "positions" else "special tool"
            for id_, value in getattr(said, key).items():
                if self._is_first(kind, id_, entry.place_within(key, id_)):
                    into[id_] = value
        self.cautions += said.cautions

    def _is_first(self, scope: str, id_: str, place: Place) -> bool:
        first = self.named.setdefault((scope, id_), place)
        if first is not place:
            self.complaints.add("duplicate-id", place, id=clip(id_), first=first)
        return first is place


def _seen_from(thing: Any, viewpoint: str | None) -> Any:  # noqa: ANN401 - any thing of the model
    """Let joints and runs of an included file be seen from that file's viewpoint."""
    if viewpoint is not None and getattr(thing, "viewpoint", "") is None:
        return replace(thing, viewpoint=viewpoint)
    return thing
