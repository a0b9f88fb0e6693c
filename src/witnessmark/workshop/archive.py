"""Backing up and restoring: one archive that goes back into either database.

A zip file: `witnessmark-backup.json` says what is in it, `tables/NAME.jsonl` holds the rows in
the order they must go back, `photos/HASH` the photos as they came, `machines/` and `workshop.yaml`
the library.
"""

from __future__ import annotations

import binascii
import json
import os
import secrets
import sqlite3
import tempfile
from base64 import b64decode, b64encode
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import islice
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile

from django.db import Error, connection, connections, models, transaction

from witnessmark.ledger.canonical import digest
from witnessmark.workshop.library_keeping import read_library, write_library
from witnessmark.workshop.models import KEPT, Job, Member, Photo, Workshop
from witnessmark.workshop.photos import path_of
from witnessmark.workshop.places import Place, database_of
from witnessmark.workshop.starting import here
from witnessmark.workshop.synced import write_synced
from witnessmark.workshop.writing import write_transaction

FORMAT = 1
SAYS = "witnessmark-backup.json"
_MANY = 500

README = """A backup of a workshop, written by Witnessmark.

Restore it with: witnessmark restore FILE --data FOLDER
tables/*.jsonl   one row a line; {"bytes": ...} is base64
photos/          every photo as it came in, named by its SHA-256
machines/        machine files and what they include; workshop.yaml beside them
It holds customers' names and the hashed secrets and PINs of people: keep it as you keep those.
"""


class ArchiveError(ValueError):
    """An archive that cannot be read, or a place it cannot go to; the text says why."""


def back_up(file: Path) -> dict[str, int]:
    """Write everything into one archive while work goes on; give the rows of each table.

    Raises
    ------
    OSError
        If the file cannot be written.
    """
    counts: dict[str, int] = {}
    beside = file.with_name(f".{file.name}.{secrets.token_hex(4)}")
    try:
        with _snapshot() as alias, ZipFile(beside, "w", ZIP_DEFLATED) as archive:
            archive.writestr("README.txt", README)
            for model in KEPT:
                counts[_name(model)] = _write_table(archive, model, alias)
            for photo in Photo.objects.using(alias).filter(withheld=None).order_by("id"):
                _write_photo(archive, photo.id)
            write_library(archive, here().folder)
            archive.writestr(SAYS, json.dumps({"format": FORMAT, "rows": counts}))
        with beside.open("rb") as written:
            os.fsync(written.fileno())
        beside.replace(file)
    finally:
        beside.unlink(missing_ok=True)
    return counts


def restore(file: Path) -> dict[str, int]:
    """Put an archive into the empty workshop that Django was started on, as a new epoch.

    Raises
    ------
    ArchiveError
        If the workshop is not empty, or the archive is damaged; nothing was restored.
    OSError
        If files cannot be read or written.
    """
    if Job.objects.exists() or Member.objects.exists():
        raise ArchiveError("there is a workshop here already: restore into an empty folder")
    try:
        with ZipFile(file) as archive:
            counts = _manifest(archive)
            _read_photos(archive)
            read_library(archive, here().folder)
            with write_transaction():
                Workshop.objects.all().delete()
                for model in KEPT:
                    _read_table(archive, model, counts[_name(model)])
                Workshop.objects.update_or_create(id=1, defaults={"epoch": secrets.token_hex(16)})
    except (BadZipFile, KeyError, TypeError, ValueError, binascii.Error, EOFError) as error:
        if isinstance(error, ArchiveError):
            raise
        raise ArchiveError(f"{file}: this backup is damaged: {error}") from None
    except Error as error:
        raise ArchiveError(f"{file}: the rows of this backup do not fit: {error}") from None
    return counts


# Writing


@contextmanager
def _snapshot() -> Iterator[str]:
    """Hold still for a moment: a copy by SQLite's own means, or one view of PostgreSQL."""
    if connection.vendor != "sqlite":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield "default"
        return
    with tempfile.TemporaryDirectory() as folder:
        copy = Place(Path(folder))
        with (
            closing(sqlite3.connect(connection.settings_dict["NAME"])) as source,
            closing(sqlite3.connect(copy.sqlite)) as target,
        ):
            source.backup(target)
        connections.settings["snapshot"] = connections.configure_settings(
            {"default": database_of(copy)}
        )["default"]
        try:
            yield "snapshot"
        finally:
            connections["snapshot"].close()
            del connections["snapshot"]
            del connections.settings["snapshot"]


def _name(model: type[models.Model]) -> str:
    return str(model._meta.model_name)  # noqa: SLF001 - Django documents it


def _fields(model: type[models.Model]) -> list[str]:
    """Give the columns that are ours: numbers that a database makes are made anew."""
    fields = model._meta.concrete_fields  # noqa: SLF001 - Django documents it
    return [each.attname for each in fields if not isinstance(each, models.AutoField)]


def _write_table(archive: ZipFile, model: type[models.Model], alias: str) -> int:
    fields, count = _fields(model), 0
    rows = model.objects.using(alias).order_by("pk").values_list(*fields)
    with archive.open(f"tables/{_name(model)}.jsonl", "w") as out:
        for row in rows.iterator(chunk_size=_MANY):
            said = {name: _out(value) for name, value in zip(fields, row, strict=True)}
            out.write(json.dumps(said).encode() + b"\n")
            count += 1
    return count


def _out(value: object) -> object:
    if isinstance(value, bytes | memoryview):
        return {"bytes": b64encode(bytes(value)).decode()}
    return value if value is None or isinstance(value, str | int) else str(value)


def _write_photo(archive: ZipFile, photo: str) -> None:
    path = path_of(photo)
    if path.is_file():  # deleted since the snapshot, or gone: verify says which
        archive.write(path, f"photos/{photo}", compress_type=ZIP_STORED)


# Reading


def _manifest(archive: ZipFile) -> dict[str, int]:
    said = json.loads(archive.read(SAYS))
    if said["format"] != FORMAT:
        raise ArchiveError(f"a backup of format {said['format']}: get a newer Witnessmark")
    return dict(said["rows"])


def _read_photos(archive: ZipFile) -> None:
    for name in archive.namelist():
        folder, _, photo = name.partition("/")
        if folder == "photos":
            data = archive.read(name)
            if digest(data) != photo:
                raise ArchiveError(f"the photo {photo} in this backup is damaged")
            write_synced(path_of(photo), data)


def _read_table(archive: ZipFile, model: type[models.Model], wanted: int) -> None:
    fields, count = set(_fields(model)), 0
    with archive.open(f"tables/{_name(model)}.jsonl") as lines:
        rows = (_row(line, fields) for line in lines)
        while some := [model(**row) for row in islice(rows, _MANY)]:
            model.objects.bulk_create(some)
            count += len(some)
    if count != wanted:
        raise ArchiveError(f"{_name(model)}: {count} rows where {wanted} were written")


def _row(line: bytes, fields: set[str]) -> dict[str, Any]:
    said = json.loads(line)
    if said.keys() - fields:
        raise ArchiveError(f"a row has a column that is not known: {sorted(said)}")
    return {
        name: b64decode(value["bytes"]) if isinstance(value, dict) else value
        for name, value in said.items()
    }
