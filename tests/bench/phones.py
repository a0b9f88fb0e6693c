"""Phones to test on: Debian's Chromium, each profile a device of its own.

The browser's driver keeps an event loop, which other tests must not find running; so it lives
in a thread of its own, and everything is done there. Pages forbid the evaluation of text, as
they should: what a test calls on them goes by the browser's debugging protocol instead.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, sync_playwright

from tests.bench.servers import WorkshopServer

SIZE = {"width": 410, "height": 860}
TOUCH: dict[str, Any] = {"viewport": SIZE, "has_touch": True, "is_mobile": True}
ARGUMENTS = ["--no-sandbox"]


class Away:
    """Something of the browser's, used from another thread: calls are made where it lives."""

    def __init__(self, thread: ThreadPoolExecutor, there: Any) -> None:
        self._thread, self._there = thread, there

    def __getattr__(self, name: str) -> Any:
        found = self._thread.submit(getattr, self._there, name).result()
        if not callable(found):
            return self._kept(found)

        def call(*args: Any, **named: Any) -> Any:
            plain = [each._there if isinstance(each, Away) else each for each in args]
            return self._kept(self._thread.submit(found, *plain, **named).result(timeout=120))

        return call

    def _kept(self, found: Any) -> Any:
        if type(found).__module__.startswith("playwright."):
            return Away(self._thread, found)
        return found


class Phone:
    """One profile of the browser, on one page at a time."""

    def __init__(self, phones: Phones, profile: str, server: WorkshopServer, lasting: bool) -> None:
        self.phones, self.profile, self.server, self.lasting = phones, profile, server, lasting
        self.pairing: dict[str, Any] | None = None
        self.context: BrowserContext | None = None
        self._page: Page | None = None

    # Opening and closing

    def open(self, path: str = "/bench/") -> Phone:
        """Open the bench, or another page, in a new tab; tabs before are closed."""
        self.do(lambda _: self._open(path))
        return self

    def _open(self, path: str) -> None:
        if self.context is None:
            self.context = self.phones.context(self)
        old = [each for each in self.context.pages if each is not self._page]
        if self._page is not None:
            old.append(self._page)
        self._page = self.context.new_page()
        for each in old:
            each.close()
        self._page.goto(f"{self.server.origin}{path}")

    def close(self) -> None:
        """Close the browser's window as a person does; a lasting profile stays on the disk."""
        if self.context is not None:
            self.phones.thread.submit(self.context.close).result(timeout=60)
        self.context = self._page = None

    def close_tab(self) -> None:
        """Close the tab without a word to the page."""
        self.do(lambda page: page.close())
        self._page = None

    def kill(self) -> None:
        """Kill the browser of a lasting profile, all its processes, by their ids."""
        assert self.lasting, "only a phone with a browser of its own can be killed"
        for process in self._processes():
            try:
                os.kill(process, signal.SIGKILL)
            except ProcessLookupError:
                continue
        while self._processes():
            time.sleep(0.01)
        try:
            self.close()
        except Error:
            self.context = self._page = None
        for left in ("SingletonLock", "SingletonCookie", "SingletonSocket"):
            (self.phones.folder / self.profile / left).unlink(missing_ok=True)

    def _processes(self) -> list[int]:
        mine = f"--user-data-dir={self.phones.folder / self.profile}\0".encode()
        found = []
        for path in Path("/proc").glob("[0-9]*/cmdline"):
            try:
                words = path.read_bytes()
                state = (path.parent / "stat").read_text().rpartition(")")[2].split()[0]
            except OSError:
                continue
            if mine in words and state != "Z":
                found.append(int(path.parent.name))
        return found

    # Doing

    @property
    def page(self) -> Any:
        """The page, to be used like the browser driver's own; waits included."""
        assert self._page is not None, "open the phone first"
        return Away(self.phones.thread, self._page)

    def do(self, doing: Callable[[Any], Any]) -> Any:
        """Do something with the page in the thread it lives in."""
        return self.phones.thread.submit(doing, self._page).result(timeout=120)

    def offline(self, is_off: bool = True) -> None:
        """Take the phone off the network, or put it back on."""
        assert self.context is not None
        self.phones.thread.submit(self.context.set_offline, is_off).result(timeout=60)

    def run(self, body: str, *args: Any) -> Any:
        """Run the body of an asynchronous function on the page; `args` are its arguments."""
        return self.do(lambda page: _run(page, body, args))

    def start_run(self, body: str, *args: Any) -> None:
        """Start such a function and do not wait for what comes of it."""
        self.do(lambda page: _run(page, body, args, waiting=False))

    # Its own modules

    def pair(self, member: str = "pim") -> Phone:
        """Pair it past the pairing page, hear who works here, and load the page again."""
        self.pairing = self.server.pair_device(member)
        self.run(PAIR, self.pairing)
        self.page.reload()
        return self

    def eventually(self, body: str, *args: Any, within: float = 60) -> Any:
        """Run a body again until it gives something that is not nothing."""
        until = time.monotonic() + within
        while not (found := self.run(body, *args)):
            assert time.monotonic() < until, f"never came about: {body}"
            time.sleep(0.05)
        return found


PAIR = """
const [pairing] = args;
const { openStore } = await import("/static/bench/store.js");
const { pairedAs } = await import("/static/bench/me.js");
const { hear } = await import("/static/bench/incoming.js");
const { Link } = await import("/static/bench/link.js");
const store = await openStore();
await pairedAs(store, pairing);
await hear(store, new Link(pairing.secret));
store.close();
"""


def _run(page: Page, body: str, args: tuple[Any, ...], *, waiting: bool = True) -> Any:
    session = page.context.new_cdp_session(page)
    try:
        said = session.send(
            "Runtime.evaluate",
            {
                "expression": f"(async (args) => {{{body}}})({json.dumps(args)})",
                "awaitPromise": waiting,
                "returnByValue": waiting,
                "allowUnsafeEvalBlockedByCSP": True,
            },
        )
    finally:
        session.detach()
    if "exceptionDetails" in said:
        details = said["exceptionDetails"]
        raise AssertionError(details.get("exception", {}).get("description", details["text"]))
    return said["result"].get("value")


class Phones:
    """One browser for all profiles that need not outlive it, and those that do."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.thread = ThreadPoolExecutor(max_workers=1)
        self.opened: list[Phone] = []
        executable = shutil.which("chromium")
        assert executable, "Debian's chromium is needed: run scripts/ensure-debian-packages"
        self.executable = executable
        self.playwright, self.browser = self.thread.submit(self._start).result(timeout=120)

    def _start(self) -> tuple[Playwright, Browser]:
        playwright = sync_playwright().start()
        browser = playwright.chromium.launch(executable_path=self.executable, args=ARGUMENTS)
        return playwright, browser

    def phone(self, profile: str, server: WorkshopServer, *, lasting: bool = False) -> Phone:
        """Give a phone that is not open yet; its profile is new unless it was used before."""
        found = Phone(self, profile, server, lasting)
        self.opened.append(found)
        return found

    def context(self, phone: Phone) -> BrowserContext:
        """Give the browser's context for a phone; called in the thread."""
        if not phone.lasting:
            return self.browser.new_context(**TOUCH)
        return self.playwright.chromium.launch_persistent_context(
            self.folder / phone.profile, executable_path=self.executable, args=ARGUMENTS, **TOUCH
        )

    def close_all(self) -> None:
        """Close the windows of all phones."""
        for each in self.opened:
            each.close()
        self.opened.clear()

    def stop(self) -> None:
        """Close everything and end the thread."""
        self.close_all()
        self.thread.submit(self.browser.close).result(timeout=60)
        self.thread.submit(self.playwright.stop).result(timeout=60)
        self.thread.shutdown()
