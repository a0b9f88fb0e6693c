"""The library in a backup: machine files, their includes and the workshop file, as they lie."""

from __future__ import annotations

from pathlib import Path
from zipfile import ZipFile

from witnessmark.workshop.library import WORKSHOP_FILE, Library, LibraryError, file_name
from witnessmark.workshop.library_taking import keep_replaced
from witnessmark.workshop.synced import write_synced

FOLDER = "machines/"


def write_library(archive: ZipFile, folder: Path) -> None:
    """Write the files of a library into a backup; one that cannot be opened is left out."""
    library = Library(folder)
    for name in library.names():
        try:
            archive.writestr(FOLDER + name, library.load(name))
        except OSError:
            continue  # deleted just now, or a link that leads out of the library
    if (folder / WORKSHOP_FILE).is_file():
        archive.write(folder / WORKSHOP_FILE, WORKSHOP_FILE)


def read_library(archive: ZipFile, folder: Path) -> None:
    """Put the files of a backup back; others that lie in their places are kept beside.

    Raises
    ------
    LibraryError
        If a name in the backup leads out of the library; nothing was written.
    """
    library, files = Library(folder), {}
    for member in archive.namelist():
        if member.startswith(FOLDER) and not member.endswith("/"):
            name = member.removeprefix(FOLDER)
            if file_name(name) != name:
                raise LibraryError(f"{member} is no file of a library")
            files[library.machines / name] = member
        elif member == WORKSHOP_FILE:
            files[folder / WORKSHOP_FILE] = member
    for path, member in files.items():
        data = archive.read(member)
        if path.is_file() and path.read_bytes() != data:
            keep_replaced(library, path)
        write_synced(path, data)
