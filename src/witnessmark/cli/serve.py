"""`witnessmark serve`: the workshop on the network."""

from __future__ import annotations

import os
from pathlib import Path

import click

from witnessmark.cli.workshop_data import DATA, open_workshop


@click.command()
@DATA
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8600, show_default=True, help="Port to listen on.")
def serve(folder: Path | None, host: str, port: int) -> None:
    """Serve the workshop until stopped with Ctrl-C."""
    place = open_workshop(folder, make=True)
    from granian.constants import Interfaces
    from granian.server import Server

    from witnessmark.workshop.places import DATA as FOLDER
    from witnessmark.workshop.wsgi_names import HOSTS, PARENT

    os.environ[FOLDER] = str(place.folder)
    os.environ[PARENT] = str(os.getpid())
    os.environ.setdefault(HOSTS, f"localhost,127.0.0.1,{host}")
    click.echo(f"The workshop in {place.folder} is at http://{host}:{port}")
    Server(
        "witnessmark.workshop.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=4,
        respawn_failed_workers=True,
        log_enabled=False,
    ).serve()
