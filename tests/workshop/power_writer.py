"""Commit events one by one through the API, and say each acknowledgement; run under strace.

Arguments: the workshop's folder, the phone's secret, how many, the file to acknowledge in, and
a setting of `synchronous` to use in place of the workshop's own, if any.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start


def main(folder: str, secret: str, commits: str, said: str, weaker: str = "") -> None:
    start(Place(Path(folder)), tables_are_ready=True)
    from django.db import connection

    from tests.workshop.small_workshop import Phone

    with connection.cursor() as cursor:
        if weaker:
            cursor.execute(f"PRAGMA synchronous={weaker}")
        settings = [
            str(cursor.execute(f"PRAGMA {name}").fetchone()[0])
            for name in ("journal_mode", "synchronous")
        ]
    out = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    os.write(out, " ".join(settings).encode())
    phone = Phone("phone-new", secret)
    for _ in range(int(commits)):
        sent = phone.writes.write(job="job-1")
        phone.writes.holds = {sent: phone.writes.holds[sent]}
        if [answer["answer"] for answer in phone.send([sent])] != ["new"]:
            raise SystemExit("an event was not taken")
        os.write(out, sent.encode())
    os._exit(0)  # nothing is closed, so the files stay as the last commit left them


main(*sys.argv[1:])
