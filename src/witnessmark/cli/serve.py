"""`witnessmark serve`: the workshop for the machine itself, for its network, or to try."""

from __future__ import annotations

import os
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

import click

from witnessmark.cli.session import fail
from witnessmark.cli.workshop_data import DATA, open_workshop

DEMO_PIN = "135790"
"""Everybody's PIN in the demonstration, where nothing is worth guarding."""


@click.command()
@DATA
@click.option("--port", default=8600, show_default=True, help="Port to listen on.")
@click.option("--lan", is_flag=True, help="Answer paired phones on the workshop's network too.")
@click.option("--name", metavar="NAME.local", help="With --lan: the machine's name there.")
@click.option("--address", "addresses", multiple=True, help="With --lan: its private address.")
@click.option("--new-trust", is_flag=True, help="With --lan: begin trust anew on all phones.")
@click.option("--demo", is_flag=True, help="Open invented jobs in a folder that goes at the end.")
def serve(
    folder: Path | None,
    port: int,
    *,
    lan: bool,
    name: str | None,
    addresses: tuple[str, ...],
    new_trust: bool,
    demo: bool,
) -> None:
    """Serve the workshop until stopped with Ctrl-C.

    Only browsers on this machine reach it, unless --lan is given.
    """
    if not lan and (name or addresses or new_trust):
        fail("--name, --address and --new-trust belong to --lan.", 2)
    if demo and folder:
        fail("--demo opens a folder of its own: leave --data away.", 2)
    with ExitStack() as at_the_end:
        if demo:
            passing = TemporaryDirectory(prefix="witnessmark-demo-", ignore_cleanup_errors=True)
            folder = Path(at_the_end.enter_context(passing))
            _open_demo(folder)
        if lan:
            from witnessmark.cli.serve_lan import serve_on_the_network

            serve_on_the_network(folder, port, name, addresses, anew=new_trust)
        else:
            _serve_here(folder, port)


def _open_demo(folder: Path) -> None:
    from witnessmark.cli.load_demo import fill_with_demo
    from witnessmark.workshop.places import TABLES
    from witnessmark.workshop.wsgi_names import PASSING

    os.environ.pop(TABLES, None)  # what is tried goes into no real database
    os.environ[PASSING] = "1"
    fill_with_demo(folder)
    from witnessmark.workshop.models import Member
    from witnessmark.workshop.pins import set_pin

    for member in Member.objects.all():
        set_pin(member.id, DEMO_PIN)
    click.echo(f"Everybody's PIN in the demonstration is {DEMO_PIN}. It is deleted at the end.")


def _serve_here(folder: Path | None, port: int) -> None:
    place = open_workshop(folder, make=True)
    from witnessmark.cli.serving import run_server

    click.echo(f"The workshop in {place.folder} is at http://127.0.0.1:{port}")
    click.echo("Only browsers on this machine reach it; phones need --lan.")
    run_server(place, "127.0.0.1", port, hosts=("localhost", "127.0.0.1"))
