"""`witnessmark backup`, `restore`, `verify` and `export`: keeping what the workshop knows."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from witnessmark.cli.session import fail
from witnessmark.cli.workshop_data import DATA, open_workshop

FILE = click.argument("file", type=click.Path(path_type=Path, dir_okay=False))


@click.command()
@FILE
@DATA
def backup(file: Path, folder: Path | None) -> None:
    """Write the whole workshop into one FILE, while work goes on."""
    open_workshop(folder)
    from witnessmark.workshop.archive import back_up

    try:
        counts = back_up(file)
    except OSError as error:
        fail(f"{file}: cannot be written: {error.strerror}.", 2)
    click.echo(f"written: {file}: {counts['job']} jobs, {counts['event']} events")


@click.command()
@FILE
@DATA
def restore(file: Path, folder: Path | None) -> None:
    """Put the backup in FILE into an empty folder or database."""
    if not file.is_file():
        fail(f"{file}: there is no such backup.", 2)
    place = open_workshop(folder, make=True)
    from witnessmark.workshop import archive

    try:
        counts = archive.restore(file)
    except archive.ArchiveError as error:
        fail(str(error))
    except OSError as error:
        fail(f"{file}: cannot be restored: {error.strerror}.", 2)
    click.echo(f"restored into {place.folder}: {counts['job']} jobs, {counts['event']} events")
    click.echo("Phones will send again what came in after this backup was made.")


@click.command()
@DATA
def verify(folder: Path | None) -> None:
    """Check chains, arrival books, packs, photos and private texts."""
    open_workshop(folder)
    from witnessmark.workshop.verifying import verify as looked_at

    found = looked_at()
    for each in found.findings:
        click.echo(f"{'withheld' if each.withheld else 'broken'}: {each.where}: {each.says}")
    click.echo(f"{found.word}: {found.jobs} jobs, {found.events} events, {found.photos} photos")
    sys.exit(1 if found.word == "broken" else 0)


@click.command()
@click.argument("job")
@click.option(
    "--out",
    "file",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="The archive to write (default: JOB.zip here).",
)
@DATA
def export(job: str, file: Path | None, folder: Path | None) -> None:
    """Write all that is known of JOB into one archive that a stranger can read."""
    open_workshop(folder)
    from witnessmark.workshop.export import export as written

    file = file or Path(f"{job}.zip")
    try:
        events = written(job, file)
    except LookupError as error:
        fail(f"{error}. Give the id of a job.", 2)
    except OSError as error:
        fail(f"{file}: cannot be written: {error.strerror}.", 2)
    click.echo(f"written: {file}: {events} events")
