"""`witnessmark serve --lan`: trust, the address to open, and the first phone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from witnessmark.cli.session import fail
from witnessmark.cli.workshop_data import open_workshop

if TYPE_CHECKING:
    from witnessmark.workshop.trust import Names, Trust


def serve_on_the_network(
    folder: Path | None, port: int, name: str | None, addresses: tuple[str, ...], *, anew: bool
) -> None:
    """Serve paired devices on the workshop's network over TLS."""
    from witnessmark.cli.serving import run_server
    from witnessmark.workshop import trust as trusting
    from witnessmark.workshop.network import NameRefusedError, names_here

    try:
        names = names_here(name, addresses)
    except NameRefusedError as error:
        fail(f"{error}.", 2)
    place = open_workshop(folder, make=True)
    kept = place.folder / "trust"
    trust = _trust(kept, names, anew=anew)
    _say_where(trust, port)
    _offer_first_phone(trust, port)

    def renewed() -> bool:
        before = trust.certificate.read_bytes()
        trusting.make_trust(kept, names, trusting.now())
        return trust.certificate.read_bytes() != before

    hosts = (names.host, *map(str, trust.covers.addresses))
    run_server(place, "0.0.0.0", port, hosts=hosts, trust=trust, renewed=renewed)  # noqa: S104


def _trust(folder: Path, names: Names, *, anew: bool) -> Trust:
    from witnessmark.workshop.trust import TrustError, make_trust, now

    try:
        return make_trust(folder, names, now(), anew=anew)
    except TrustError as error:
        fail(f"{error}.", 2)
    except OSError as error:
        fail(f"{folder}: cannot be written: {error.strerror}.", 2)


def _say_where(trust: Trust, port: int) -> None:
    from witnessmark.workshop.trust import authority_bytes, fingerprint

    host = trust.covers.host
    click.echo(f"The workshop is at https://{host}:{port}")
    for each in trust.covers.addresses:
        click.echo(f"  or, where that name is not found, at https://{each}:{port}")
    for each in trust.left_out:
        click.echo(f"Not at {each}: phones were taught other addresses. --new-trust teaches anew.")
    authority = authority_bytes(trust.folder)
    assert authority is not None, "trust was made just now"
    click.echo(f"A phone that warns of this machine is taught at https://{host}:{port}/pair/trust/")
    click.echo(f"and must show this fingerprint:\n  {fingerprint(authority)}")


def _offer_first_phone(trust: Trust, port: int) -> None:
    """Pair one device with the owner: on the network not even this machine is let in without."""
    import segno

    from witnessmark.workshop.pairing import GOOD_FOR, new_code
    from witnessmark.workshop.taking_in import owners

    owner = owners().first()
    if owner is None:
        fail(
            "Nobody owns this workshop yet. Start it once without --lan, open it on this machine "
            "and say who you are; then start it with --lan.",
            2,
        )
    code = new_code(owner.id)
    address = f"https://{trust.covers.host}:{port}/pair/{code}/"
    click.echo(f"One device of {owner.name}, within {GOOD_FOR // 60_000} minutes: {address}")
    click.echo("Other people's phones are paired on the page People.\n")
    segno.make(address, error="m").terminal(compact=True)
