"""A model of a disk that loses power: what was synced stays, the rest may be gone.

A child process commits through the API under strace, which writes down every change and every
sync of its files, with the data, and every acknowledgement, in order. The record is played into
files of which only synced bytes are sure. Nothing of the program or of SQLite is replaced.
"""

from __future__ import annotations

import os
import re
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

PAGE = 4096
_NAME = "workshop.sqlite3"
_CALLS = (
    "write,pwrite64,writev,pwritev,pwritev2,fsync,fdatasync,ftruncate,fallocate,truncate,"
    "sync_file_range"
)
_BY_NAME = frozenset({"truncate", "unlink", "unlinkat", "rename", "renameat", "renameat2"})
_HEXED = re.compile(r"(?<=<)(?:\\x[0-9a-f]{2})+(?=>)")
_CALL = re.compile(r"^\d+ +(\w+)\((.*)\) += +(\d+)(?:<[^>]*>)?$")
_PATH = re.compile(r"^\d+<([^>]*)>")
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')


class RecordError(ValueError):
    """The record holds a change of the files that this model does not know."""


@dataclass
class OneFile:
    """A file: what is sure, and what was written since the last sync (None cuts it there)."""

    sure: bytearray = field(default_factory=bytearray)
    waiting: list[tuple[int, bytes | None]] = field(default_factory=list)
    named: bool = False

    def sync(self) -> None:
        for offset, data in self.waiting:
            put(self.sure, offset, data)
        self.waiting.clear()

    def after_loss(self, random: Random | None) -> bytes:
        """Give what is left: only what is sure, or with each unsynced page there by chance."""
        left = bytearray(self.sure)
        if random is not None:
            for offset, data in self.waiting:
                for at, piece in by_page(offset, data):
                    if random.random() < 0.5:
                        put(left, at, piece)
        return bytes(left)


def put(content: bytearray, offset: int, data: bytes | None) -> None:
    if len(content) < offset:
        content.extend(bytes(offset - len(content)))
    if data is None:
        del content[offset:]
    else:
        content[offset : offset + len(data)] = data


def by_page(offset: int, data: bytes | None) -> Iterator[tuple[int, bytes | None]]:
    while data and (room := PAGE - offset % PAGE) < len(data):
        yield offset, data[:room]
        offset, data = offset + room, data[room:]
    yield offset, data


class Disk:
    """The tables and the log written ahead of them, as the record changes them."""

    def __init__(self, folder: Path, acknowledgements: Path) -> None:
        self.folder, self.said = str(folder), str(acknowledgements)
        self.tables = OneFile(bytearray((folder / _NAME).read_bytes()), named=True)
        self.log = OneFile()
        self.files = {f"{folder / _NAME}": self.tables, f"{folder / _NAME}-wal": self.log}
        self.syncs = 0

    def play(self, line: str) -> str | None:
        """Play one line of the record; give what was acknowledged, if that is what it was."""
        line = _HEXED.sub(_plain, line)
        found = _CALL.match(line)
        if found is None:
            if any(name in line for name in self.files) and " = -1 " not in line:
                raise RecordError(line[:200])
            return None
        call, arguments, gave = found.groups()
        path = _PATH.match(arguments)
        where = path[1] if path else ""
        if call in _BY_NAME:
            for text in _TEXT.findall(arguments):
                if any(name.endswith(_bytes(text).decode()) for name in self.files):
                    raise RecordError(f"{call} {_bytes(text)!r}")
        elif where == self.said and call == "write":
            return _data(arguments, int(gave)).decode()
        elif where == self.folder and call in {"fsync", "fdatasync"}:
            self.log.named = True
        elif where in self.files:
            self._change(self.files[where], call, arguments, int(gave))
        return None

    def _change(self, file: OneFile, call: str, arguments: str, gave: int) -> None:
        if call in {"fsync", "fdatasync"}:
            self.syncs += 1
            file.sync()
        elif call == "pwrite64":
            file.waiting.append((int(arguments.rpartition(", ")[2]), _data(arguments, gave)))
        elif call == "ftruncate":
            file.waiting.append((int(arguments.rpartition(", ")[2]), None))
        else:
            raise RecordError(call)

    def rebuild(self, folder: Path, random: Random | None) -> Path:
        """Write what a loss of power now would leave."""
        there = folder / _NAME
        for old in folder.glob(f"{_NAME}*"):
            old.unlink()
        there.write_bytes(self.tables.after_loss(random))
        if self.log.named:
            (folder / f"{_NAME}-wal").write_bytes(self.log.after_loss(random))
        return there


def _bytes(hexed: str) -> bytes:
    return bytes.fromhex(hexed.replace("\\x", ""))


def _plain(hexed: re.Match[str]) -> str:
    return _bytes(hexed[0]).decode()


def _data(arguments: str, length: int) -> bytes:
    found = _TEXT.search(arguments)
    data = _bytes(found[1]) if found else b""
    if len(data) != length:
        raise RecordError(f"{length} bytes were written, {len(data)} are in the record")
    return data


@dataclass
class Losses:
    """What came of it: of each acknowledgement, whether it outlived a loss right after it."""

    settings: str = ""
    acknowledged: list[str] = field(default_factory=list)
    lost: int = 0
    lost_by_chance: int = 0
    broken: int = 0
    syncs: int = 0
    complete: bool = False


def lose_power(
    folder: Path, secret: str, commits: int, work: Path, weaker: str = "", seed: int = 1
) -> Losses:
    """Commit under strace, then lose the power after every acknowledgement, in two ways.

    In the first way only synced bytes stay; in the second each page not synced stays or not by
    chance. `lost` and `lost_by_chance` count the acknowledgements after which a loss takes away
    any event that was acknowledged.
    """
    folder, work = folder.resolve(), work.resolve()
    said, record = work / "said", work / "record"
    disk, found, random = Disk(folder, said), Losses(), Random(seed)
    _write(folder, secret, commits, said, record, weaker)
    rebuilt = work / "rebuilt"
    rebuilt.mkdir()
    with record.open(encoding="ascii") as lines:
        for line in lines:
            answer = disk.play(line.rstrip("\n"))
            if answer is None:
                continue
            if not found.settings:
                found.settings = answer
                continue
            found.acknowledged.append(answer)
            promised = set(found.acknowledged)
            for chance in (None, random):
                stored, sound = _opened(disk.rebuild(rebuilt, chance))
                found.broken += not sound
                if chance is None:
                    found.lost += not promised <= stored
                else:
                    found.lost_by_chance += not promised <= stored
    found.syncs = disk.syncs
    for file in disk.files.values():
        file.sync()
    found.complete = all(Path(path).read_bytes() == file.sure for path, file in disk.files.items())
    return found


def _write(folder: Path, secret: str, commits: int, said: Path, record: Path, weaker: str) -> None:
    root = Path(__file__).parents[2]
    trace = ["strace", "-f", "--seccomp-bpf", "-y", "-xx", "-s", "1000000", "-e", "signal=none"]
    # The paths of descriptors are wanted as they are, data in hexadecimal.
    trace += ["-e", f"trace={','.join([_CALLS, *sorted(_BY_NAME)])}", "-o", str(record)]
    writer = [sys.executable, "-m", "tests.workshop.power_writer"]
    subprocess.run(
        [*trace, *writer, str(folder), secret, str(commits), str(said), weaker],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root)},
        check=True,
    )


def _opened(tables: Path) -> tuple[set[str], bool]:
    """Open as after a restart: the events that are there, and whether the file is sound."""
    connection = sqlite3.connect(tables)
    try:
        stored = {row[0] for row in connection.execute("SELECT id FROM workshop_event")}
        sound = connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    except sqlite3.DatabaseError:
        return set(), False
    finally:
        connection.close()
    return stored, sound
