"""One browser for all tests of the JavaScript side.

It is Debian's Chromium, driven from a thread of its own (the driver keeps an event loop,
which other tests must not find running), on a page of a server that this process runs on
loopback. Under `/mutant/<name>/` the server gives the same modules with one text replaced.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, sync_playwright

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "witnessmark" / "workshop" / "static"
HERE = Path(__file__).parent

_TYPES = {".js": "text/javascript", ".json": "application/json", ".html": "text/html"}
_PAGE = b"<!doctype html><meta charset='utf-8'><title>ledger</title>"


class Mutants(dict[str, tuple[str, str, str]]):
    """By name: the module, the text to be replaced in it, and what by."""


class Handler(BaseHTTPRequestHandler):
    """Give the page, the modules, the runner, and whatever a test has laid out."""

    protocol_version = "HTTP/1.1"

    def __init__(self, laid_out: dict[str, bytes], mutants: Mutants, *args: Any) -> None:
        self.laid_out = laid_out
        self.mutants = mutants
        super().__init__(*args)

    def do_GET(self) -> None:
        """Answer with a file, or say that there is none."""
        found = self._found(self.path)
        self.send_response(200 if found is not None else 404)
        self.send_header("Content-Type", _TYPES.get(Path(self.path).suffix, "text/html"))
        self.send_header("Content-Length", str(len(found or b"")))
        self.end_headers()
        self.wfile.write(found or b"")

    def _found(self, path: str) -> bytes | None:
        if path == "/":
            return _PAGE
        if path in self.laid_out:
            return self.laid_out[path]
        top, _, rest = path[1:].partition("/")
        if top == "runner":
            return _read(HERE / rest)
        if top == "static":
            return _read(STATIC / rest)
        name, _, module = rest.partition("/")
        if top != "mutant" or name not in self.mutants:
            return None
        source = _read(STATIC / module)
        mutated, old, new = self.mutants[name]
        if source is None or not module.endswith(f"ledger/{mutated}"):
            return source
        return source.replace(old.encode(), new.encode(), 1)

    def log_message(self, *_: object) -> None:
        """Say nothing."""


def _read(path: Path) -> bytes | None:
    return path.read_bytes() if path.is_file() else None


class Browser:
    """The page, and what is done on it: always in the one thread it lives in."""

    def __init__(self, thread: ThreadPoolExecutor, page: Page, origin: str) -> None:
        self.thread = thread
        self.page = page
        self.origin = origin
        self.laid_out: dict[str, bytes] = {}
        self.mutants = Mutants()

    def call(self, module: str, function: str, *args: Any) -> Any:
        """Call a function that a module exports; what it gives comes back as plain data."""
        asked = [f"{self.origin}/{module}", function, json.dumps(args)]
        return self.thread.submit(self.page.evaluate, _CALL, asked).result(timeout=300)


_CALL = """async ([module, name, args]) => {
  const exported = await import(module);
  return await exported[name](...JSON.parse(args));
}"""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep these tests in one process, however many there are: one browser is enough."""
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.xdist_group("browser"))


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    executable = shutil.which("chromium")
    assert executable, "Debian's chromium is needed: run scripts/ensure-debian-packages"
    laid_out: dict[str, bytes] = {}
    mutants = Mutants()
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, laid_out, mutants))
    server.daemon_threads = True
    serving = Thread(target=server.serve_forever, daemon=True)
    serving.start()
    with ThreadPoolExecutor(max_workers=1) as thread:
        origin = f"http://127.0.0.1:{server.server_port}"
        playwright, page = thread.submit(_opened, executable, origin).result(timeout=120)
        found = Browser(thread, page, origin)
        found.laid_out = laid_out
        found.mutants = mutants
        yield found
        thread.submit(_closed, playwright, page).result(timeout=60)
    server.shutdown()
    server.server_close()
    serving.join()


def _opened(executable: str, origin: str) -> tuple[Playwright, Page]:
    playwright = sync_playwright().start()
    chromium = playwright.chromium.launch(executable_path=executable, args=["--no-sandbox"])
    page = chromium.new_page()
    page.goto(f"{origin}/")
    return playwright, page


def _closed(playwright: Playwright, page: Page) -> None:
    assert page.context.browser is not None
    page.context.browser.close()
    playwright.stop()
