"""Taking files into the library and giving them out again, byte for byte.

Nothing is rewritten, so comments stay. A file that takes the place of another leaves the
other one beside the library, never lost.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from time import time_ns
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile, ZipInfo

from witnessmark.machine.reading import kind_of_file, read_workshop
from witnessmark.workshop.library import (
    MOST_BYTES,
    SUFFIX,
    WORKSHOP_FILE,
    Library,
    LibraryError,
    file_name,
    stem,
)
from witnessmark.workshop.synced import write_synced

MOST_TOGETHER = 3 * MOST_BYTES
"""Bytes of all files of one archive at the most, unpacked."""

MOST_FILES = 200
REPLACED = "replaced"
"""The folder beside the machines that keeps what was replaced."""

_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The day of every file in an archive: the same files give the same bytes."""


@dataclass(frozen=True, slots=True)
class Taking:
    """What is to be taken in: bytes by their names in the library, and what they replace."""

    files: Mapping[str, bytes]
    replaces: tuple[str, ...]


def unpack(library: Library, uploaded: str, data: bytes, name: str = "") -> Taking:
    """Look at an upload: one YAML file, or an archive of a machine file and its includes.

    Parameters
    ----------
    library : Library
        Where it is to go.
    uploaded : str
        What the file was called where it came from.
    data : bytes
        What is in it.
    name : str
        What a single file is to be called here, folders included; else as it was called.

    Raises
    ------
    LibraryError
        If it cannot be taken; the text says why.
    """
    if uploaded.lower().endswith(".zip"):
        files = _unpacked(data)
    else:
        given = name.strip() or uploaded.replace("\\", "/").rsplit("/", 1)[-1]
        files = {file_name(_with_suffix(given)): _machine_text(given, data)}
    replaces = tuple(
        each
        for each in files
        if (library.machines / each).is_file() and library.load(each) != files[each]
    )
    return Taking(files, replaces)


def take(library: Library, taking: Taking) -> None:
    """Put files into the library; those they replace are kept beside it."""
    for name in taking.replaces:
        keep_replaced(library, library.machines / name)
    for name, data in taking.files.items():
        write_synced(library.machines / name, data)


def take_workshop(library: Library, data: bytes) -> None:
    """Put a workshop file in the place of the one that is here.

    Raises
    ------
    LibraryError
        If it has complaints that would keep every job from being planned.
    """
    _sized(WORKSHOP_FILE, data)
    read = read_workshop(lambda _path: data, WORKSHOP_FILE)
    errors = [str(each) for each in read.complaints if not each.is_warning]
    if read.value is None or errors:
        raise LibraryError("this workshop file was not taken: " + "; ".join(errors[:5]))
    here = library.folder / WORKSHOP_FILE
    if here.is_file():
        keep_replaced(library, here)
    write_synced(here, data)


def keep_replaced(library: Library, path: Path) -> None:
    """Keep a file that is about to be replaced, beside the library."""
    kept = library.folder / REPLACED / f"{path.stem}.{time_ns() // 1_000_000}{path.suffix}"
    write_synced(kept, path.read_bytes())


def give(library: Library, machine: str) -> tuple[str, bytes]:
    """Give a machine file as it lies here; with what it includes, as an archive.

    Returns
    -------
    name, data
        What to call it, and its bytes.

    Raises
    ------
    LibraryError
        If there is no such file, or it cannot be opened.
    """
    read = library.read(machine)
    names = [read.name, *(name for name in read.includes if _is_here(library, name))]
    try:
        if len(names) == 1:
            return read.name.rsplit("/", 1)[-1], library.load(read.name)
        out = BytesIO()
        with ZipFile(out, "w", ZIP_DEFLATED) as archive:
            for name in names:
                info = ZipInfo(name, _EPOCH)
                info.compress_type = ZIP_DEFLATED
                archive.writestr(info, library.load(name))
    except OSError as error:
        raise LibraryError(f"{read.name} cannot be opened: {error.strerror}") from None
    return f"{stem(read.name).rsplit('/', 1)[-1]}.zip", out.getvalue()


def copy_library(source: Path, target: Path) -> None:
    """Copy machine files, their includes and the workshop file, where none are yet.

    Files that are there already stay as they are.
    """
    there, here = Library(source), Library(target)
    for name in there.names():
        if not (here.machines / name).exists():
            write_synced(here.machines / name, there.load(name))
    if (source / WORKSHOP_FILE).is_file() and not (target / WORKSHOP_FILE).exists():
        write_synced(target / WORKSHOP_FILE, (source / WORKSHOP_FILE).read_bytes())


def _is_here(library: Library, name: str) -> bool:
    try:
        library.load(name)
    except OSError:
        return False
    return True


def _with_suffix(name: str) -> str:
    return name[: -len(".yml")] + SUFFIX if name.lower().endswith(".yml") else name


def _machine_text(name: str, data: bytes) -> bytes:
    _sized(name, data)
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        raise LibraryError(f"{name}: this is no text in UTF-8: save it as UTF-8") from None
    if kind_of_file(data) != "witnessmark":
        raise LibraryError(f"{name}: this is no machine file: bring a workshop file in below")
    return data


def _sized(name: str, data: bytes) -> None:
    if not data.strip():
        raise LibraryError(f"{name}: there is nothing in this file: choose another")
    if len(data) > MOST_BYTES:
        raise LibraryError(f"{name}: {len(data):,} bytes; at most {MOST_BYTES:,} are taken")


def _unpacked(data: bytes) -> dict[str, bytes]:
    try:
        with ZipFile(BytesIO(data)) as archive:
            return _members(archive, [i for i in archive.infolist() if not i.is_dir()])
    except (BadZipFile, EOFError, zlib.error, RuntimeError, OSError):
        raise LibraryError("this archive is damaged or locked: make it anew") from None


def _members(archive: ZipFile, infos: Iterable[ZipInfo]) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    left = MOST_TOGETHER
    for info in infos:
        if len(files) >= MOST_FILES:
            raise LibraryError(f"more than {MOST_FILES} files in this archive: bring fewer")
        with archive.open(info) as stream:
            raw = stream.read(min(MOST_BYTES, left) + 1)  # never by the size it claims
        left -= len(raw)
        if left < 0:
            raise LibraryError(f"this archive unpacks to over {MOST_TOGETHER:,} bytes")
        name = file_name(_with_suffix(info.filename))
        files[name] = _machine_text(info.filename, raw)
    if not files:
        raise LibraryError("there is no file in this archive: bring machine files")
    return files
