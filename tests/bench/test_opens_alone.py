"""The bench opens with the workshop gone, and a newer edition waits until a person takes it."""

from __future__ import annotations

import json
import re
import shutil
from hashlib import sha256

import pytest

from tests.bench.servers import ROOT, WorkshopServer, copied

PACKAGE = ROOT / "src" / "witnessmark"
EDITION = 'return document.querySelector("meta[name=edition]").content;'
EDITIONS = """
const { Editions } = await import("/static/bench/editions.js");
globalThis.told = 0;
globalThis.editions = new Editions();
editions.addEventListener("editionWaiting", () => { told += 1; });
await editions.start();
"""
TAKEN = """
const here = document.querySelector("meta[name=edition]")?.content;
return here !== undefined && here !== args[0];
"""
IS_KEPT = """
const kept = await navigator.serviceWorker.getRegistration("/bench/");
return kept?.active?.state === "activated";
"""


def test_the_worker_is_told_every_file_of_the_bench_with_its_digest(shared_server):
    status, body = shared_server.ask("/bench/worker.js")
    assert status == 200
    files = json.loads(re.search(r"const FILES = (.*);", body.decode())[1])
    there = [
        f"/static/{path.relative_to(PACKAGE / 'workshop' / 'static').as_posix()}"
        for folder in ("bench", "ledger", "look")
        for path in (PACKAGE / "workshop" / "static" / folder).rglob("*")
        if path.is_file() and path.name != "service_worker.js"
    ]
    assert sorted(files) == sorted([*there, "/bench/", "/bench/manifest.webmanifest"])
    for address, digest in files.items():
        assert sha256(shared_server.ask(address)[1]).hexdigest() == digest, address


def test_the_shell_is_the_same_for_everybody_and_holds_nothing_of_the_workshop(shared_server):
    pairing = shared_server.pair_device()
    told = [shared_server.ask("/bench/"), shared_server.ask("/bench/", pairing["secret"])]
    assert told[0] == told[1]
    assert b"Pim" not in told[0][1]


def test_it_opens_with_the_workshop_gone(serve, phone):
    server = serve()
    found = phone("phone", server=server)
    found.eventually(IS_KEPT)
    server.kill()
    found.page.reload()
    found.page.wait_for_selector("#bench[data-ready]")
    assert found.run("return (await caches.keys()).length") == 1
    assert found.run("return fetch('/api/jobs').then(() => 'answered', () => 'gone');") == "gone"
    found.open("/bench/#/")
    found.page.wait_for_selector("#bench[data-ready]")


@pytest.fixture
def newer(tmp_path):
    """The sources as a later edition has them."""
    folder = tmp_path / "sources"
    left_out = shutil.ignore_patterns("__pycache__")
    shutil.copytree(PACKAGE, folder / "witnessmark", ignore=left_out)
    style = folder / "witnessmark" / "workshop" / "static" / "look" / "bench.css"
    style.write_text(style.read_text("utf-8") + "\n:root { --edition: later; }\n", "utf-8")
    return folder


@pytest.fixture
def upgraded(empty_folder, tmp_path, phone, newer):
    """A phone with the bench on it, and its workshop upgraded meanwhile."""
    server = WorkshopServer(copied(empty_folder, tmp_path / "workshop")).start()
    found = phone("phone", server=server)
    found.eventually(IS_KEPT)
    found.page.reload()  # from what is kept: the page is under the worker's care now
    server.kill()
    server.sources = newer
    server.start()
    yield found
    server.stop()


def test_a_newer_edition_waits_until_a_person_takes_it(upgraded):
    first = upgraded.run(EDITION)
    for _ in range(2):  # the person goes on working, before it came and after
        upgraded.page.reload()
        upgraded.page.wait_for_selector("#bench[data-ready]")
        assert upgraded.run(EDITION) == first
        upgraded.run(EDITIONS)
        upgraded.run('await editions.look("another");')
        upgraded.eventually("return editions.waiting;")
    assert upgraded.run("return told;") == 1
    upgraded.run("editions.take();")
    upgraded.eventually(TAKEN, first)
    upgraded.page.wait_for_selector("#bench[data-ready]")
    later = "return getComputedStyle(document.documentElement).getPropertyValue('--edition');"
    assert upgraded.run(later).strip() == "later"
    assert upgraded.eventually("return (await caches.keys()).length === 1;")
