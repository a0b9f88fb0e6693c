"""What the commands on a workshop share: where it lives, and starting on it."""

from __future__ import annotations

from pathlib import Path

import click

from witnessmark.cli.session import fail
from witnessmark.workshop.places import Place, PlaceError, place_for

DATA = click.option(
    "--data",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Where the workshop lives (default: your own data folder).",
)


def open_workshop(folder: Path | None, *, make: bool = False) -> Place:
    """Start on the workshop in a folder; end the command when there is none, unless made."""
    from django.db import Error

    from witnessmark.workshop.starting import start

    place = place_for(folder)
    if not make and not place.exists:
        fail(f"{place.folder}: there is no workshop here. Name its folder with --data.", 2)
    try:
        start(place)
    except PlaceError as error:
        fail(str(error), 2)
    except OSError as error:
        fail(f"{place.folder}: cannot be used: {error.strerror}.", 2)
    except Error as error:
        fail(f"The tables cannot be opened: {str(error).strip()}", 2)
    return place
