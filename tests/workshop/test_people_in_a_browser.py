"""The pages of people, pairing and trust are for everybody: axe, small screens, the keyboard."""

from __future__ import annotations

from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import sync_playwright

from tests.bench.servers import WorkshopServer

pytestmark = pytest.mark.xdist_group("bench")

AXE = next(Path(axe_playwright_python.__file__).parent.rglob("axe.min.js"))
RULES = ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PIN = "135790"
SMALL = """() => [...document.querySelectorAll("a, button, select, summary, input, label.tick")]
  .filter((each) => each.type !== "hidden" && each.checkVisibility() && !each.closest(".past"))
  .map((each) => [each.getBoundingClientRect(), each.outerHTML.slice(0, 90)])
  .filter(([box]) => box.width < 38 || box.height < 38)
  .map(([box, text]) => `${box.width} x ${box.height}: ${text}`)"""
"""Ten millimetres are 38 CSS pixels."""


def for_everybody(page):
    """Look at the page that is open, in three widths."""
    page.evaluate(AXE.read_text("utf-8"))
    found = page.evaluate("rules => axe.run({runOnly: {type: 'tag', values: rules}})", RULES)
    assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []
    assert page.evaluate(SMALL) == []
    for width in (320, 410, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("document.scrollingElement.scrollWidth <= innerWidth"), width
    page.set_viewport_size({"width": 410, "height": 860})
    assert [said for said in page.complaints if "favicon" not in said] == []


def typed(page, *words):
    """Type each word into the field that is reached next by the keyboard."""
    for word in words:
        page.keyboard.press("Tab")
        page.keyboard.type(word)


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        yield found
        found.close()


def opened(browser, server):
    page = browser.new_page(base_url=server.origin, viewport={"width": 410, "height": 860})
    page.complaints = []
    page.on(
        "console",
        lambda said: said.type in {"error", "warning"} and page.complaints.append(said.text),
    )
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    return page


@pytest.fixture(scope="module")
def page(browser, tmp_path_factory):
    """A page on a workshop that nobody has opened yet."""
    server = WorkshopServer(tmp_path_factory.mktemp("people") / "workshop").start()
    yield opened(browser, server)
    server.stop()


def test_from_the_first_day_to_a_paired_phone_by_the_keyboard_alone(page, browser):
    page.goto("/people/")
    page.wait_for_url("**/first-day/")
    for_everybody(page)
    typed(page, "Ola Tern", PIN, PIN)
    page.keyboard.press("Enter")
    page.wait_for_url("**/people/")
    for_everybody(page)
    page.get_by_role("link", name="Take somebody in").press("Enter")
    page.wait_for_url("**/settings/open/**")
    for_everybody(page)
    page.keyboard.type(PIN)  # the field has the focus
    page.keyboard.press("Enter")
    page.wait_for_url("**/people/new/")
    page.get_by_label("Name").press_sequentially("Una Snipe")
    page.get_by_label("apprentice").press("Space")
    page.get_by_text("What an apprentice may do alone").press("Enter")
    page.get_by_label("everything on a part").press("Space")
    for_everybody(page)
    page.get_by_role("button", name="Take in").press("Enter")
    page.wait_for_url("**/people/una-snipe-*/")
    for_everybody(page)
    address = page.url
    page.get_by_role("link", name="Set a PIN").press("Enter")
    for_everybody(page)
    page.goto(address)
    page.get_by_role("button", name="Pair a new phone").press("Enter")
    page.locator(".code").wait_for()
    for_everybody(page)
    paired(page, browser)


def paired(page, browser):
    """Pair a second browser by the code that is shown, typed as people type it."""
    code = page.locator(".code").inner_text().upper()
    phone = browser.new_context(base_url=page.url.partition("/people")[0]).new_page()
    phone.complaints = []
    phone.goto("/pair/")
    phone.locator("html[data-ready]").wait_for()
    for_everybody(phone)
    phone.get_by_label("The code").fill("2222 2222")
    phone.get_by_label("What this phone is called").fill("Una's phone")
    phone.get_by_role("button", name="Pair").press("Enter")
    phone.get_by_text("this code is not right").wait_for()
    phone.get_by_label("The code").fill(code)
    phone.get_by_role("button", name="Pair").press("Enter")
    phone.wait_for_url("**/bench/**")
    phone.context.close()


def test_other_pages_are_for_everybody(page):
    for path in ("/who/", "/pair/trust/"):
        page.goto(path)
        for_everybody(page)
    page.goto("/who/")
    page.get_by_role("button", name="Una Snipe").press("Enter")
    page.complaints.clear()
    page.goto("/people/new/")
    page.complaints.clear()  # the browser says itself that it was refused
    for_everybody(page)
