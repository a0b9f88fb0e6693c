"""Running the server: one worker that ends with its parent."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from threading import Thread
from time import sleep
from typing import TYPE_CHECKING

from witnessmark.workshop.places import DATA, Place
from witnessmark.workshop.wsgi_names import HOSTS, NETWORK, PARENT

if TYPE_CHECKING:
    from witnessmark.workshop.trust import Trust

LOOK_EVERY = 6 * 3_600
"""How often a running server looks whether its certificate must be renewed. [s]"""


def run_server(
    place: Place,
    address: str,
    port: int,
    *,
    hosts: Iterable[str],
    trust: Trust | None = None,
    renewed: Callable[[], bool] | None = None,
) -> None:
    """Serve until stopped; with trust over TLS, for paired devices alone.

    `renewed` renews the certificate where it is time, and tells whether it did.
    """
    from django.core.management import call_command
    from granian.constants import Interfaces
    from granian.server import Server

    call_command("clearsessions")  # of those that are over
    os.environ[DATA] = str(place.folder)
    os.environ[PARENT] = str(os.getpid())
    os.environ[HOSTS] = ",".join(hosts)
    os.environ[NETWORK] = "1" if trust else ""
    server = Server(
        "witnessmark.workshop.wsgi:application",
        address=address,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=4,
        respawn_failed_workers=True,
        log_enabled=False,
        ssl_cert=trust.certificate if trust else None,
        ssl_key=trust.key if trust else None,
    )
    if renewed is not None:
        reload = server.signal_handler_reload
        Thread(target=_renew, args=(renewed, reload), daemon=True).start()
    server.serve()


def _renew(renewed: Callable[[], bool], reload: Callable[[], object]) -> None:
    """Let a new worker read the new certificate; the old one ends what it is at."""
    while True:
        sleep(LOOK_EVERY)
        if renewed():
            reload()
