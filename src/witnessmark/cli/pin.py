"""`witnessmark pin`: for who sits at the machine and has the workshop's folder."""

from __future__ import annotations

from pathlib import Path

import click

from witnessmark.cli.session import fail
from witnessmark.cli.workshop_data import DATA, open_workshop


@click.command()
@click.argument("person")
@DATA
def pin(person: str, folder: Path | None) -> None:
    """Set the PIN of PERSON (their id), asked for here twice."""
    open_workshop(folder)
    from witnessmark.workshop.models import Member
    from witnessmark.workshop.pins import PinRefusedError, set_pin

    found = Member.objects.filter(id=person, is_active=True).first()
    if found is None:
        there = ", ".join(Member.objects.filter(is_active=True).values_list("id", flat=True))
        fail(f"There is nobody of the id {person} here. There are: {there or 'none'}.", 2)
    new = click.prompt(f"New PIN of {found.name}", hide_input=True, confirmation_prompt=True)
    try:
        set_pin(found.id, new)
    except PinRefusedError as error:
        fail(f"{str(error).capitalize()}.", 2)
    click.echo(f"{found.name} has a new PIN.")
