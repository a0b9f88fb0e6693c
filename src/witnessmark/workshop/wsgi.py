"""What a server's worker loads: the workshop at the place that the environment names."""

from __future__ import annotations

import os
import shutil
from threading import Thread
from time import sleep

from django.core.wsgi import get_wsgi_application

from witnessmark.workshop.places import place_for
from witnessmark.workshop.starting import start
from witnessmark.workshop.wsgi_names import HOSTS, NETWORK, PARENT, PASSING


def _end_with(parent: int) -> None:
    """End at once when the parent is gone: an orphan would hold the port and the tables."""
    while os.getppid() == parent:
        sleep(0.25)
    if os.environ.get(PASSING):
        shutil.rmtree(place_for(None).folder, ignore_errors=True)
    os._exit(1)


if os.environ.get(PARENT):
    Thread(target=_end_with, args=(int(os.environ[PARENT]),), daemon=True).start()

start(
    place_for(None),
    hosts=tuple(os.environ.get(HOSTS, "localhost,127.0.0.1").split(",")),
    on_the_network=bool(os.environ.get(NETWORK)),
    # Whoever started this worker brought the tables up to date.
    tables_are_ready=bool(os.environ.get(PARENT)),
)
application = get_wsgi_application()
