"""The phone's data layer by itself, on a page on which nothing else runs."""

from __future__ import annotations

import time
from typing import Any

from tests.bench.phones import Phone

PAGE = "/bench/manifest.webmanifest"
"""A page of the bench without its scripts."""

LOAD = """
const names = ["store", "me", "records", "sending", "outgoing", "incoming", "link", "private"];
const all = await Promise.all(names.map((name) => import(`/static/bench/${name}.js`)));
globalThis.wm = Object.assign({}, ...all);
wm.store = await wm.openStore();
"""

SEND = """
wm.sender = wm.startSending(wm.store);
wm.sender.addEventListener("counts", ({ detail }) => {
  Object.assign(document.documentElement.dataset, detail);
});
"""

WRITE = """
const [job, notes] = args;
const record = await wm.openRecord(wm.store, job);
const ids = [];
for (const note of notes) ids.push((await record.write("measured", { note })).id);
record.close();
return ids;
"""

COUNTS = """
return await wm.store.read(["outbox", "refused", "events", "photos"], async (table) => {
  const [outbox, refused, events, photos] = ["outbox", "refused", "events", "photos"].map(table);
  return { waiting: await outbox.count(), refused: await refused.all(),
    events: (await events.keys()).sort(), photos: await photos.count() };
});
"""


def load(phone: Phone, *, sending: bool = True) -> Phone:
    """Load the modules, and let the phone send by itself unless told otherwise."""
    phone.run(LOAD)
    if sending:
        phone.run(SEND)
    return phone


def send_now(phone: Phone, *, reaching: bool = True) -> dict[str, Any]:
    """Send and fetch as by the button; give the counts.

    A busy machine may not answer in time, and the button is pressed again.
    """
    until = time.monotonic() + 60
    while True:
        found = dict(phone.run("return await wm.sender.sendNow();"))
        if found["reached"] == reaching:
            return found
        assert time.monotonic() < until, found


def fetch(phone: Phone, job: str) -> None:
    phone.run("await wm.sender.fetchJob(args[0]);", job)


def write(phone: Phone, job: str, *notes: str) -> list[str]:
    return list(phone.run(WRITE, job, notes))


def counts(phone: Phone) -> dict[str, Any]:
    return dict(phone.run(COUNTS))


def all_sent(phone: Phone, within: float = 60) -> None:
    """Wait until nothing waits."""
    phone.eventually(
        'return (await wm.store.read(["outbox"], (t) => t("outbox").count())) === 0;',
        within=within,
    )


def waiting(phone: Phone) -> list[list[str]]:
    """Give what waits to be sent, by kind and id, in the order it goes."""
    return list(
        phone.run(
            """
            const rows = await wm.store.read(["outbox"], (table) => table("outbox").all());
            rows.sort((one, other) => one.turn - other.turn || one.number - other.number);
            return rows.map(({ kind, id }) => [kind, id]);
            """
        )
    )
