"""The machine library: machine files, what they include, and the workshop file above them.

The files are the only copy. What was read is kept only while they stay as they are.
"""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import TypeVar

from witnessmark.machine.checks import check_machine, check_workshop
from witnessmark.machine.complaints import Complaint
from witnessmark.machine.model import Machine
from witnessmark.machine.reading import read_machine, read_workshop
from witnessmark.machine.workshop import Workshop
from witnessmark.machine.yaml_nodes import Limits

Value = TypeVar("Value")

SUFFIX = ".yaml"
WORKSHOP_FILE = "workshop.yaml"
MOST_BYTES = Limits().size
"""Bytes of one file at the most, as `check` has it."""

_NAME = re.compile(r"(?:[A-Za-z0-9][A-Za-z0-9_-]{0,59}/){0,3}[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
_TAKEN_BY_SYSTEMS = frozenset(
    ("con", "prn", "aux", "nul", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10)))
)


class LibraryError(ValueError):
    """A file that is not there or cannot be taken; the text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Shelved:
    """A file of the library as it was read.

    `machine` is None when it cannot be read at all, or when it is a piece that others
    include; `includes` are the names of all files read with it; `stamp` changes with them.
    """

    name: str
    machine: Machine | None
    complaints: tuple[Complaint, ...]
    includes: tuple[str, ...]
    stamp: tuple[object, ...] = ()

    @property
    def errors(self) -> tuple[Complaint, ...]:
        """What must be put right before a job can be planned on it."""
        return tuple(each for each in self.complaints if not each.is_warning)

    @property
    def warnings(self) -> tuple[Complaint, ...]:
        """What should be looked at."""
        return tuple(each for each in self.complaints if each.is_warning)

    @property
    def is_fit(self) -> bool:
        """Whether a job can be planned on it."""
        return self.machine is not None and not self.errors


class Library:
    """The files of a workshop's folder. `machines` holds machine files and their includes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.machines = folder / "machines"

    def load(self, name: str) -> bytes:
        """Give the bytes of a file of the library, but no more than shows it is too long.

        Raises
        ------
        OSError
            If it is not there, no plain file, or outside the library.
        """
        path = self.machines / name
        if not path.resolve().is_relative_to(self.machines.resolve()):
            raise OSError(1, "it lies outside the library")
        if path.exists() and not path.is_file():
            raise OSError(21, "it is no plain file")
        with path.open("rb") as stream:
            return stream.read(MOST_BYTES + 1)

    def names(self) -> list[str]:
        """Name every file of the library, with its folders, in order."""
        found = (each.relative_to(self.machines) for each in self.machines.rglob(f"*{SUFFIX}"))
        return sorted(each.as_posix() for each in found if not _is_hidden(each))

    def read(self, machine: str) -> Shelved:
        """Read a machine file with all it includes, and check it.

        Raises
        ------
        LibraryError
            If there is no such file.
        """
        name = file_name(machine)
        if not (self.machines / name).is_file():
            known = ", ".join(stem(each) for each in self.names()[:12]) or "no file yet"
            raise LibraryError(f"there is no machine '{stem(name)}' in the library ({known})")
        return _kept(self.machines, name, self._read)

    def _read(self, name: str) -> tuple[Shelved, tuple[str, ...]]:
        read = read_machine(self.load, name)
        complaints = tuple(check_machine(read))
        stamp = _stamps(self.machines, read.files)
        return Shelved(name, read.value, complaints, read.files[1:], stamp), read.files

    def shelf(self) -> list[Shelved]:
        """Read every file; those that only serve others come without a machine, last."""
        read = [self.read(name) for name in self.names()]
        pieces = {name for each in read for name in each.includes}
        machines = [each for each in read if each.name not in pieces]
        served = [Shelved(each.name, None, (), ()) for each in read if each.name in pieces]
        return machines + served

    def workshop(self) -> tuple[Workshop | None, tuple[Complaint, ...]]:
        """Read the workshop file and check it; (None, ()) when there is none."""
        if not (self.folder / WORKSHOP_FILE).is_file():
            return None, ()
        return _kept(self.folder, WORKSHOP_FILE, self._read_workshop)

    def workshop_stamp(self) -> object:
        """Give what changes with the workshop file."""
        return _stamp(self.folder / WORKSHOP_FILE)

    def _read_workshop(
        self, name: str
    ) -> tuple[tuple[Workshop | None, tuple[Complaint, ...]], tuple[str, ...]]:
        read = read_workshop(lambda path: _bounded(self.folder / path), name)
        return (read.value, tuple(check_workshop(read))), (name,)


def file_name(machine: str) -> str:
    """Give the name of a machine's file in the library, from its name with or without suffix.

    Raises
    ------
    LibraryError
        If this is no name that a file of the library may have.
    """
    name = machine if machine.endswith(SUFFIX) else machine + SUFFIX
    parts = [part.split(".")[0].lower() for part in name.split("/")]
    if not _NAME.fullmatch(name) or ".." in name or _TAKEN_BY_SYSTEMS.intersection(parts):
        raise LibraryError(
            "a file of the library is named by letters, digits, '-', '_' and '.', "
            "in at most three folders: give it another name"
        )
    return name


def stem(name: str) -> str:
    """Give what a machine is called by: its file's name without the suffix."""
    return name.removesuffix(SUFFIX)


def _is_hidden(path: Path) -> bool:
    return any(part.startswith(".") for part in path.parts)


def _bounded(path: Path) -> bytes:
    with path.open("rb") as stream:
        return stream.read(MOST_BYTES + 1)


# What was read is kept while none of the files it was read from has changed.

_MOST_KEPT = 64
_turn = Lock()
_read: OrderedDict[tuple[str, str], tuple[tuple[object, ...], tuple[str, ...], object]] = (
    OrderedDict()
)


def _kept(folder: Path, name: str, read: Callable[[str], tuple[Value, tuple[str, ...]]]) -> Value:
    key = (str(folder), name)
    with _turn:
        known = _read.get(key)
    if known is not None and known[0] == _stamps(folder, known[1]):
        value: Value = known[2]  # type: ignore[assignment]
        return value
    before = _stamps(folder, (name,))
    value, files = read(name)
    stamps = _stamps(folder, files)
    if stamps[0] == before[0]:
        with _turn:
            _read[key] = (stamps, files, value)
            _read.move_to_end(key)
            while len(_read) > _MOST_KEPT:
                _read.popitem(last=False)
    return value


def _stamps(folder: Path, files: tuple[str, ...]) -> tuple[object, ...]:
    return tuple(_stamp(folder / name) for name in files)


def _stamp(path: Path) -> object:
    try:
        found = path.stat()
    except OSError:
        return None
    return (found.st_mtime_ns, found.st_size, found.st_ino)
