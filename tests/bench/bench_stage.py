"""The bench's pages on a phone without a workshop: pack and people are laid into the phone.

A small server gives the modules, styles and the page under the product's own content security
policy; every request to the workshop is answered as by one that is busy, so all that is drawn
comes from the phone. Profiles share nothing.
"""

from __future__ import annotations

import hmac
import json
import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from functools import partial
from hashlib import pbkdf2_hmac, sha256
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

HERE = Path(__file__).parent
STATIC = HERE.parents[1] / "src" / "witnessmark" / "workshop" / "static"
POLICY = "default-src 'self'; img-src 'self' blob:; object-src 'none'; base-uri 'none'"
PAGE = (
    b"<!doctype html><html lang='en-GB'><meta charset='utf-8'><title>Bench</title>"
    b"<meta name='viewport' content='width=device-width, initial-scale=1'>"
    b"<link rel='stylesheet' href='/static/look/base.css'>"
    b"<link rel='stylesheet' href='/static/look/bench.css'>"
    b"<link rel='stylesheet' href='/static/look/capture.css'>"
    b"<script type='module' src='/static/bench/main.js'></script><main id='bench'></main></html>"
)
BLANK = b"<!doctype html><meta charset='utf-8'><title>blank</title>"
TYPES = {".js": "text/javascript", ".css": "text/css"}

PEOPLE = [
    {"id": "ann", "name": "Ann", "role": "technician", "may_do": None, "pin": None},
    {"id": "ben", "name": "Ben", "role": "apprentice", "may_do": ["part"], "pin": None},
]
PICTURE = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de"
    "0000000c49444154789c63f8cfc0000003010100c9fe92ef0000000049454e44ae426082"
)
"""The smallest picture there is: one red point."""


ROUNDS = 1000
"""Few, so that a test does not wait; the product's own number is tested with its PINs."""


def verifier(pin: str, member: str) -> dict[str, Any]:
    """Make what a phone checks a PIN by, with Python's own PBKDF2 and HMAC."""
    salt, device_salt = sha256(member.encode()).digest()[:16], b"sixteen bytes ok"
    stretched = pbkdf2_hmac("sha256", pin.encode(), salt, ROUNDS)
    return {
        "salt": salt.hex(),
        "rounds": ROUNDS,
        "device_salt": device_salt.hex(),
        "verifier": hmac.new(stretched, device_salt, "sha256").hexdigest(),
    }


def path_of(address: str) -> str:
    return address.split("?", maxsplit=1)[0]


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        path = path_of(self.path)
        found = {"/bench/": PAGE, "/blank": BLANK}.get(path)
        if path.startswith("/static/"):
            file = STATIC / path.removeprefix("/static/")
            found = file.read_bytes() if file.is_file() else None
        if path.startswith("/tests/"):
            found = (HERE / path.removeprefix("/tests/")).read_bytes()
        self._answer(503 if path.startswith("/api/") else 200 if found is not None else 404, found)

    def do_POST(self) -> None:
        self._answer(503, None)

    def _answer(self, status: int, found: bytes | None) -> None:
        self.send_response(status)
        suffix = Path(path_of(self.path)).suffix
        self.send_header("Content-Type", TYPES.get(suffix, "text/html"))
        self.send_header("Content-Length", str(len(found or b"")))
        if path_of(self.path).startswith("/static/"):
            self.send_header("Cache-Control", "max-age=600")
        if self.path.startswith("/bench"):
            self.send_header("Content-Security-Policy", POLICY)
        self.end_headers()
        self.wfile.write(found or b"")

    def log_message(self, *_: object) -> None:
        """Say nothing."""


_CALL = """async ([module, name, args]) => {
  const exported = await import(module);
  return await exported[name](...JSON.parse(args));
}"""


_COUNTING = """
window.writing = 0;
const real = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (...given) {
  const made = real.apply(this, given);
  window.writing += 1;
  for (const end of ["complete", "abort"]) {
    made.addEventListener(end, () => { window.writing -= 1; });
  }
  return made;
};
"""
"""Counts what the page has under way on its disk: a tap is over when that is nothing."""

_STANDS = """() => [
  window.writing, document.getElementById("bench").dataset.drawn,
  document.getElementById("bench").innerHTML.length, window.location.hash,
]"""


class Stage:
    """One browser, and phones opened in it."""

    def __init__(self, thread: ThreadPoolExecutor, browser: Browser, origin: str) -> None:
        self.thread, self.browser, self.origin = thread, browser, origin
        self.contexts: dict[tuple[int, int], BrowserContext] = {}

    def do(self, doing: Callable[..., Any], *args: Any) -> Any:
        return self.thread.submit(doing, *args).result(timeout=240)

    def call(self, module: str, function: str, *args: Any) -> Any:
        """Call what a module exports, on a page without the bench."""

        def calling() -> Any:
            page = self.browser.new_page()
            try:
                page.goto(f"{self.origin}/blank")
                return page.evaluate(_CALL, [module, function, json.dumps(args)])
            finally:
                page.close()

        return self.do(calling)

    def context(self, size: tuple[int, int]) -> BrowserContext:
        """Give the window of a size; its tables are emptied for every phone laid out in it."""
        if size not in self.contexts:
            viewport: Any = {"width": size[0], "height": size[1]}
            self.contexts[size] = self.browser.new_context(viewport=viewport, has_touch=True)
            self.contexts[size].add_init_script(_COUNTING)
        return self.contexts[size]

    def phone(self, pack: dict[str, Any], **more: Any) -> PhoneOnStage:
        """Open a phone that has a job on this pack."""
        return self.do(PhoneOnStage, self, pack, more)


class PhoneOnStage:
    """A phone with one job on it; taps are counted."""

    def __init__(self, stage: Stage, pack: dict[str, Any], more: dict[str, Any]) -> None:
        self.stage, self.taps, self.photos = stage, 0, 0
        size = more.pop("size", (410, 860))
        self.page: Page = stage.context(size).new_page()
        self.errors: list[str] = []
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.goto(f"{stage.origin}/blank")
        people = [
            each | {"pin": verifier(more["pins"][each["id"]], each["id"])}
            if each["id"] in more.get("pins", {})
            else each
            for each in PEOPLE
        ]
        laid = {"pack": pack, "people": people, "title": "Van, timing belt", **more}
        self.page.evaluate(_CALL, ["/tests/laying.js", "lay", json.dumps([laid])])
        self.page.goto(f"{stage.origin}/bench/")
        self.page.wait_for_selector("#bench[data-ready]")

    def close(self) -> None:
        self.stage.do(self.page.close)
        assert self.errors == [], self.errors

    # Looking

    def shows(self, selector: str) -> str:
        """Wait for something to be there; give its words."""
        return str(self.stage.do(lambda: self.page.wait_for_selector(selector).inner_text()))

    def count(self, selector: str) -> int:
        return int(self.stage.do(lambda: self.page.locator(selector).count()))

    def words(self) -> str:
        return str(self.stage.do(lambda: self.page.inner_text("#bench")))

    def events(self) -> list[dict[str, Any]]:
        """Give what is written on the phone, in the order of writing."""
        found = self.stage.do(self.page.evaluate, _CALL, ["/tests/laying.js", "written", "[]"])
        return list(found)

    # Doing

    def come_in(self, *rows: dict[str, Any], up_to: int | None = None) -> None:
        """Let entries of another phone come in, which knew of the first so many here."""
        given = json.dumps([list(rows), {"upTo": up_to}])
        call = ["/tests/laying.js", "comeIn", given]
        self._drawn_after(lambda: self.page.evaluate(_CALL, call))

    def go(self, address: str) -> None:
        going = "to => { window.location.hash = to; }"
        self._drawn_after(lambda: self.page.evaluate(going, address))

    def tap(self, selector: str, *, at: int = 0) -> None:
        """Tap something as a thumb does; count it."""
        self.taps += 1
        self._drawn_after(lambda: self.page.locator(selector).nth(at).tap())

    def photo(self, selector: str = "[data-tap=photo] input") -> None:
        """Take a photo: the camera gives a picture of its own each time."""
        self.photos += 1
        picture = PICTURE + bytes([self.photos])
        file = {"name": "p.png", "mimeType": "image/png", "buffer": picture}
        self._drawn_after(lambda: self.page.set_input_files(selector, files=[file]))

    def press(self, key: str) -> None:
        self._drawn_after(lambda: self.page.keyboard.press(key))

    def type(self, selector: str, words: str) -> None:
        self.stage.do(lambda: self.page.fill(selector, words))

    def _drawn_after(self, doing: Callable[[], Any]) -> None:
        def both() -> None:
            doing()
            before = None
            for _ in range(400):
                now = self.page.evaluate(_STANDS)
                if now == before and now[0] == 0:
                    return
                before = now
                self.page.wait_for_timeout(25)
            raise AssertionError("the page never came to rest")

        self.stage.do(both)

    def picture(self, path: str, *, whole: bool = False) -> None:
        self.stage.do(lambda: self.page.screenshot(path=path, full_page=whole))


@contextmanager
def staged() -> Iterator[Stage]:
    """Open the stage: the server and Debian's Chromium in a thread of its own."""
    executable = shutil.which("chromium")
    assert executable, "Debian's chromium is needed: run scripts/ensure-debian-packages"
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Handler))
    server.daemon_threads = True
    Thread(target=server.serve_forever, daemon=True).start()
    with ThreadPoolExecutor(max_workers=1) as thread:
        playwright = thread.submit(lambda: sync_playwright().start()).result(timeout=120)
        browser = thread.submit(
            lambda: playwright.chromium.launch(executable_path=executable, args=["--no-sandbox"])
        ).result(timeout=120)
        yield Stage(thread, browser, f"http://127.0.0.1:{server.server_port}")
        thread.submit(browser.close).result(timeout=60)
        thread.submit(playwright.stop).result(timeout=60)
    server.shutdown()
    server.server_close()
